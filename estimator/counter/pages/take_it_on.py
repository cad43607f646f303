"""Take it on? The answer, the two facts that carry it, what it pays as ten boards, and all that would change it."""

from __future__ import annotations

import json

from flask import Blueprint, abort, render_template, request

from estimator.counter.answer_files import PageQuestion
from estimator.counter.forms import PageForm
from estimator.counter.workplace import at_counter
from estimator.said.parts import Heading
from estimator.words.money import money_in

page = Blueprint("take_it_on", __name__)


@page.get("/take-it-on/<board:board>")
def show(board: str) -> str:
    """Whether to take a board on."""
    counter = at_counter()
    row = next((one for one in counter.now.as_of.at_once.boards if one.board == board), None)
    if row is None:
        abort(404)
    form = PageForm({"price": [request.args.get("price", "").strip()[:40]]})
    money = money_in(counter.now.settings.workshop.currency)
    price = form.read("price", money) if form.text("price") else None
    found, fresh = counter.answer(
        PageQuestion("weigh", row.board if price is None else json.dumps([row.board, price]))
    )
    parts = found.parts.get("weigh", ()) if found else ()
    heads = [at for at, part in enumerate(parts) if isinstance(part, Heading) and part.level > 1]
    first = heads[0] if heads else len(parts)
    pay = found.parts.get("pay", ()) if found else ()
    return render_template(
        "take_it_on.html",
        board=row,
        form=form,
        found=found,
        fresh=fresh,
        first=parts[:first],
        rest=parts[first:],
        pay=pay,
    )
