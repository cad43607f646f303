"""What the worker leaves for looking back: a quarter in pieces, what is asked before it is counted, and what was."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping

from estimator.counter.kept_parts import PagePart
from estimator.counter.past_drawings import (
    looks_drawings,
    nearer_drawings,
    overruns_drawings,
    quarter_drawings,
    record_drawings,
    rules_drawings,
)
from estimator.decide.quarter.review import Review
from estimator.log.steps.missing import MATERIALS, PAID, PRICE, READY
from estimator.record.rules.verdicts import Verdict
from estimator.said.looks import looks_parts
from estimator.said.overruns import overruns_parts
from estimator.said.past_boards import table_of_landed, table_of_ranges
from estimator.said.quarter import first_page, gap_parts, headline, pay_sentence
from estimator.said.quarter_page_two import charge_parts, page_two
from estimator.said.record import record_parts
from estimator.said.rules import rule_parts
from estimator.sheets.layouts.quarter import drawn_boards
from estimator.sheets.layouts.record import last_boards
from estimator.snapshot import Snapshot

DAY, HOURS = "day", "hours"  # what else may be missing: why a day is empty, and hours of a board
Parts = Mapping[str, tuple[PagePart, ...]]
Progress = Callable[[int, int], None]


def quarter_answer(shop: Snapshot, name: str, progress: Progress) -> Parts:
    """A quarter looked back on, in the pieces in which its page shows it.

    asked: JSON of what is missing and of which day or board it is, in the order in which it is asked
    """
    review, settings = shop.quarter(name, progress=progress, jobs=1), shop.settings
    if review.quarter.ahead:
        return {"head": (headline(review),), "quarter": (pay_sentence(review),)}
    return {
        "head": (headline(review),),
        "gaps": tuple(gap_parts(review, answered_here=True)),
        "asked": tuple(json.dumps(one) for one in _asked(review)),
        "quarter": tuple(first_page(review)),
        "quarter drawing": quarter_drawings(review),
        "quarter table": (table_of_landed(drawn_boards(review.chart)),) if review.chart else (),
        "page two": tuple(page_two(review, settings, charges=False)),
        "charges": tuple(charge_parts(review.charges, settings)),
    }


def _asked(review: Review) -> Iterator[tuple[str, str]]:
    """What is missing, and of which day or board."""
    for day in review.gaps.days:
        yield DAY, day.isoformat()
    for made in review.made:
        lacks = {
            PRICE: made.price is None,
            MATERIALS: made.materials is None,
            HOURS: not made.whole or not made.hours,
            READY: not made.dated,
        }
        yield from ((what, made.board) for what, missing in lacks.items() if missing)
    boards = {made.board for made in review.made}
    yield from ((PAID, one.board) for one in review.owing if one.owed and one.board in boards)


def rules_answer(shop: Snapshot) -> Parts:
    """How rules of thumb hold; offers: JSON of a rule, and of the range and the number of cases that can be kept."""
    verdicts = shop.rules()
    offered = [json.dumps(_offer(one)) for one in verdicts.rules if one.accused and one.suggested]
    drawn = rules_drawings(verdicts)
    return {"rules": tuple(rule_parts(verdicts)), "offers": tuple(offered), "rules drawing": drawn}


def record_answer(shop: Snapshot, progress: Progress) -> Parts:
    """How past ranges went, with the last boards in a row, and who has been nearer."""
    past = shop.record(progress=progress, jobs=1)
    return {
        "record": tuple(record_parts(past, shop.settings, statistician=False)),
        "record drawing": record_drawings(past),
        "record table": (table_of_ranges(last_boards(past)),),
        "nearer drawing": nearer_drawings(past),
    }


def overruns_answer(shop: Snapshot) -> Parts:
    """What made boards go over, as a batten laid end to end too."""
    found = shop.overruns()
    return {
        "overruns": tuple(overruns_parts(found, shop.settings)),
        "overruns drawing": overruns_drawings(found),
    }


def looks_answer(shop: Snapshot) -> Parts:
    """What the eye misses, with boards that turned out as they looked or otherwise."""
    found = shop.looks()
    return {
        "looks": tuple(looks_parts(found, shop.settings)),
        "looks drawing": looks_drawings(found, shop.settings),
    }


def _offer(verdict: Verdict) -> tuple[str, float, float, int]:
    """What can be kept beside a rule."""
    assert verdict.suggested is not None
    return verdict.name, *verdict.suggested, verdict.of
