"""Evening light or daylight, as this browser was told; and a word that the counter is there."""

from __future__ import annotations

from flask import Blueprint, Response, current_app, request

from estimator.counter.forms import done
from estimator.counter.safety import PLACE, keep_cookie
from estimator.counter.showing import EVENING

page = Blueprint("light", __name__)


@page.post("/light")
def switch() -> Response:
    """Light letters on dark from now on, or dark on light; back to the page that was open."""
    back = request.form.get("back", "/")
    answer = done(back if back.startswith("/") and not back.startswith(("//", "/\\")) else "/")
    evening = "yes" if request.form.get("evening") == "yes" else "no"
    keep_cookie(answer, EVENING, evening)
    return answer


@page.get("/here")
def here() -> Response:
    """Nothing but which workshop is served, to whoever asks whether the counter can be reached."""
    return Response(status=204, headers={PLACE: current_app.config.get("PLACE", "")})
