"""Look back: what is missing, answered here; a quarter; below it record, overruns, looks and rules, folded."""

from __future__ import annotations

import datetime as dt
import json

from flask import Blueprint, current_app, render_template, request, url_for
from flask.typing import ResponseReturnValue

from estimator.counter.answer_files import KeptAnswer, PageQuestion
from estimator.counter.forms import PageForm, done
from estimator.counter.missing_days import still_missing
from estimator.counter.taking import said_after, sent_now, take_step
from estimator.counter.workplace import at_counter
from estimator.log.edits import keep_accepted
from estimator.log.steps.missing import DAY_WAS, LACKING, MissingWritten
from estimator.words.dates import FIRST_YEAR, Quarter, say_quarter
from estimator.words.errors import UnreadableError
from estimator.words.page_labels import page_label
from estimator.words.records import Accepted, Rule
from estimator.working_day import as_written

page = Blueprint("look_back", __name__)
UNDER = ("otherwise", "money", "settings", "book", "setting_up", "phones")  # pages that stand under this one
SHEETS = ("record", "overruns", "looks", "rules", "week")
FOLDED = ("record", "overruns", "looks", "rules")  # what stands below the quarter, folded
RULES, OPEN = "rules", "open"


def read_quarter_asked(text: str, today: dt.date) -> Quarter:
    """The quarter that was asked for, else the one before today's.

    Raises UnreadableError where it is none.
    """
    return Quarter.read(text, today) if text else Quarter.holding(today).before(1)


@page.get("/look-back")
def show() -> ResponseReturnValue:
    """A quarter looked back on, and what stands below it."""
    return _shown(PageForm.blank())


@page.post("/look-back/missing")
def write_missing() -> ResponseReturnValue:
    """Why days were empty, and what boards lacked: all that is answered, in one act."""
    form = PageForm.sent()
    days, boards = dict[str, str](), dict[str, dict[str, str]]()
    for name in form.typed:
        what, _, of = name.partition(".")
        if what == "day":
            days[of] = form.text(name)
        elif what in LACKING:
            boards.setdefault(of, {})[what] = form.text(name)
    if form.errors or take_step(MissingWritten(days, boards), form) is None:
        return _shown(form), 422
    said = form.key if said_after(form.key) else None
    return done(url_for("look_back.show", quarter=form.text("quarter") or None, said=said))


@page.post("/look-back/keep")
def keep() -> ResponseReturnValue:
    """What the log says of a rule of thumb, kept beside it: as it stood on the page."""
    form, counter = PageForm.sent(), at_counter()
    name, day = form.text("rule"), counter.clock() or dt.date.today()
    found, _ = counter.answer(PageQuestion(RULES))
    offer = _offers(found).get(name)
    if offer is None or offer.spelt != form.text("offer"):
        form.wrong("", page_label("rule-changed"))
    else:
        kept, at = Accepted(offer.low, offer.high, day, offer.cases), sent_now("").at
        form.do(lambda: keep_accepted(counter.store, name, kept, at, form.own_key, form.digest))
    if form.errors:
        return _shown(form), 422
    return done(url_for("look_back.show", quarter=form.text("quarter") or None, open=RULES) + "#rules")


class RangeOffer:
    """A range that can be kept beside a rule of thumb. spelt: the same as one text, which its button carries"""

    def __init__(self, low: float, high: float, cases: int) -> None:
        self.low, self.high, self.cases = low, high, cases
        self.spelt = f"{low:.6g}-{high:.6g}-{cases}"

    def is_kept(self, rule: Rule) -> bool:
        """Whether it stands beside the rule already."""
        there = rule.accepted
        return there is not None and (there.boards, f"{there.low:.3g}", f"{there.high:.3g}") == (
            self.cases,
            f"{self.low:.3g}",
            f"{self.high:.3g}",
        )


def _offers(found: KeptAnswer | None) -> dict[str, RangeOffer]:
    """What can be kept beside rules, by their names, as the worker last left it; not what is kept already."""
    parts = found.parts.get("offers", ()) if found else ()
    offers = {str(name): RangeOffer(*of) for name, *of in map(json.loads, map(str, parts))}
    rules = {rule.name: rule for rule in at_counter().now.settings.rules}
    return {name: one for name, one in offers.items() if name in rules and not one.is_kept(rules[name])}


def _shown(form: PageForm) -> str:
    """The page, with its forms as they were typed."""
    counter = at_counter()
    today = counter.now.today or dt.date.today()
    wrong, asked = "", (form.text("quarter") or request.args.get("quarter", ""))[:20]
    try:
        quarter = read_quarter_asked(asked, today)
    except UnreadableError:
        quarter, wrong = Quarter.holding(today).before(1), page_label("no-such-quarter")
    name, older = quarter.name, quarter.first.year > FIRST_YEAR
    folded = {kind: counter.answer(PageQuestion(kind)) for kind in reversed(FOLDED)}
    found, fresh = counter.answer(PageQuestion("quarter", name))  # asked last, answered first
    parts = found.parts if found else {}
    apart = bool(form.text("apart") or request.args.get("apart", ""))
    now = as_written(counter.now)
    days, lacking = still_missing(parts.get("asked", ()), now, today, apart=apart)
    return render_template(
        "look_back.html",
        form=form,
        found=found,
        fresh=fresh,
        parts=parts,
        wrong=wrong,
        quarter=name,
        quarter_words=say_quarter(quarter.first),
        running=Quarter.holding(today).name,
        earlier=quarter.before(1).name if older else "",
        year_before=quarter.before(4).name if older else "",
        writes=counter.writes,
        said=said_after(request.args.get("said", "")),
        days=days,
        lacking=lacking,
        apart=apart,
        together=any("/" in one.field for one in days),
        day_was=[(was, page_label(f"day-{was}")) for was in DAY_WAS],
        folded={kind: folded[kind] for kind in FOLDED},
        open=form.text(OPEN) or request.args.get(OPEN, ""),
        offers=_offers(folded[RULES][0]) if counter.writes else {},
        sheets=SHEETS,
        under=[
            (name, url_for(f"{name}.show")) for name in UNDER if f"{name}.show" in current_app.view_functions
        ],
    )
