"""What the worker works out: to each kind of question the parts of a page, by name."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import replace

from estimator.counter.answer_files import PageQuestion
from estimator.counter.kept_parts import PagePart
from estimator.counter.step_questions import DIARY, ENQUIRY, FIRST_START, RINGS, SINCE, TELLING
from estimator.log.names import board_named
from estimator.snapshot import Snapshot
from estimator.words.errors import EstimatorError
from estimator.words.records import ASKED, IN_HAND

Parts = dict[str, tuple[PagePart, ...]]
Breathe = Callable[
    [int, int], None
]  # called now and then in a long answer, so that a short one need not wait
LINE = "line "  # before the id of a board: what is said of it on the telephone


def today_parts(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is about the whole workshop, and short
    """The morning at the bench, by what it is about; and of each board in hand its line."""
    from estimator.bench.call_log import unanswered
    from estimator.log.steps.ringing import answered_rings
    from estimator.said.bench import day_parts
    from estimator.said.telephone import not_yet

    settings, log = shop.settings, shop.known[0]
    day = unanswered(shop.bench(), answered_rings(log.notes))
    day = replace(day, rung_already=tuple(ring for ring in day.rung_already if ring.said != day.today))
    lines = {
        f"{LINE}{promise.board}": tuple(
            not_yet(promise, settings, day.today, [one for one in log.told if one.board == promise.board])
        )
        for promise in day.promises
    }
    return {"day": tuple(day_parts(day, settings)), **lines}


def board_parts(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is short
    """One board: the sentence, its days and hours with their drawings, and all that is said of its hours."""
    from estimator.counter.tapes import dates_drawings, hours_drawings
    from estimator.said.range import all_done, range_parts
    from estimator.said.telephone import not_yet, to_read_aloud
    from estimator.said.ten_boards import table_of_days, table_of_hours
    from estimator.sheets.layouts.ranges import drawing_of

    board = board_named(about, shop.known[0].boards)
    today, settings = shop.looking_from(), shop.settings
    parts: Parts = {}
    promise = shop.promise(board.board) if board.state in IN_HAND else None
    if promise is None and board.state == ASKED and (one_more := shop.promise_if_yes(board.board)):
        promise = one_more[0]
    elif promise is not None:
        told = [one for one in shop.known[0].told if one.board == board.board]
        parts["sentence"] = tuple(not_yet(promise, settings, today, told))
        parts["aloud"] = (to_read_aloud(promise, today),)
    if promise is not None:
        away = [(one.first, one.last) for one in settings.bench.away]
        parts["dates"] = dates_drawings(promise, today, away)
        parts["dates table"] = (table_of_days(promise.points, today),)
    answer = shop.range(board.board, dates=board.state in {ASKED, *IN_HAND})
    said = range_parts(answer, settings, board.name, today if answer.ready else None)
    parts["range"] = tuple(said)
    if not all_done(answer):  # what is known needs no drawing
        parts["hours"] = hours_drawings(answer)
        parts["hours table"] = (table_of_hours(drawing_of(answer).places),)
    return parts


def weigh_up_parts(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is short
    """Whether to take a board on, with what it pays as a drawing; about: its id, or JSON of that and a price."""
    from estimator.counter.tapes import pay_drawings
    from estimator.said.ten_boards import table_of_pay
    from estimator.said.weigh import weigh_parts
    from estimator.sheets.layouts.pay import pay_drawing

    asked: float | None = None
    with suppress(ValueError, TypeError):
        board, price = json.loads(about)
        about, asked = str(board), float(price)
    said = shop.weigh(board_named(about, shop.known[0].boards).board, price=asked)
    settings = shop.settings
    drawing = pay_drawing(said, settings)
    return {
        "weigh": tuple(weigh_parts(said, settings)),
        "pay": pay_drawings(said, settings),
        "pay table": (table_of_pay(drawing.boards.places, drawing.unit),),
    }


def quarter_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:
    """A quarter looked back on."""
    from estimator.counter.looking_back import quarter_answer

    return dict(quarter_answer(shop, about, breathe))


def record_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is about the whole workshop
    """How past ranges went."""
    from estimator.counter.looking_back import record_answer

    return dict(record_answer(shop, breathe))


def overruns_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is about the whole workshop
    """What made boards go over."""
    from estimator.counter.looking_back import overruns_answer

    return dict(overruns_answer(shop))


def looks_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is about the whole workshop
    """What the eye misses."""
    from estimator.counter.looking_back import looks_answer

    return dict(looks_answer(shop))


def rules_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is about the whole workshop
    """How rules of thumb hold, and what can be kept beside them."""
    from estimator.counter.looking_back import rules_answer

    return dict(rules_answer(shop))


def otherwise_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is short
    """The past year under another habit; about: the habit, as its address spells it."""
    from estimator.decide.otherwise import habit_of
    from estimator.said.otherwise import otherwise_parts

    return {"otherwise": tuple(otherwise_parts(shop.otherwise(habit_of(about)), shop.settings))}


def money_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is short
    """What came in and went out; about: from one day to another."""
    from estimator.said.notes_and_money import money_parts

    first, last = (dt.date.fromisoformat(day) if day else None for day in about.split("/"))
    sums = shop.money(first, last)
    return {"money": tuple(money_parts(sums, shop.log.by_id, shop.settings.workshop.currency))}


def enquiry_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is short
    """What is said of a board that somebody asks for."""
    from estimator.counter.step_answers import enquiry_parts

    return dict(enquiry_parts(shop, about))


def since_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is short
    """What comes of what an owner asks for since."""
    from estimator.counter.step_answers import since_parts

    return dict(since_parts(shop, about))


def rings_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is short
    """Whom to ring, as far as nobody has answered it."""
    from estimator.counter.step_answers import rings_parts

    return dict(rings_parts(shop))


def telling_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is short
    """What an owner is told where it is left out."""
    from estimator.counter.step_answers import telling_parts

    return dict(telling_parts(shop, board_named(about, shop.known[0].boards).board))


def first_start_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is short
    """When one more board could be begun, what boards of each sort take, and on what that rests."""
    from estimator.counter.step_forms import questions_of
    from estimator.forecast.ranges import Range
    from estimator.said.setting_up import first_start_parts
    from estimator.words.errors import NoAnswerError
    from estimator.words.records import Board

    settings, ranges = shop.settings, dict[str, Range]()
    for kind in settings.kinds:
        asked = dict.fromkeys(questions_of(Board("", kind=kind), settings), "?")
        with suppress(NoAnswerError):
            ranges[kind] = shop.range({**asked, "kind": kind})
    return {"start": tuple(first_start_parts(shop.morning(), ranges, settings))}


def diary_page(shop: Snapshot, about: str, breathe: Breathe) -> Parts:  # noqa: ARG001  it is about the whole log
    """How near a job is told by the boards that are written, and whether typing on still pays."""
    from estimator.record.more_boards import how_near
    from estimator.said.setting_up import how_near_parts

    log, rules = shop.known
    near = how_near(log, shop.settings, rules, seed=shop.seed, breathe=breathe)
    return {"near": tuple(how_near_parts(near, shop.settings))}


LONG_ONES = ("quarter", "record", DIARY)  # kinds that take half a minute the first time
KINDS: Mapping[str, Callable[[Snapshot, str, Breathe], Parts]] = {
    "today": today_parts,
    "board": board_parts,
    "weigh": weigh_up_parts,
    "quarter": quarter_page,
    "record": record_page,
    "overruns": overruns_page,
    "looks": looks_page,
    "rules": rules_page,
    "otherwise": otherwise_page,
    "money": money_page,
    ENQUIRY: enquiry_page,
    SINCE: since_page,
    RINGS: rings_page,
    TELLING: telling_page,
    FIRST_START: first_start_page,
    DIARY: diary_page,
}


def answered(shop: Snapshot, question: PageQuestion, breathe: Breathe) -> tuple[Parts, str]:
    """The parts of a page, or in words why there are none."""
    try:
        return KINDS[question.kind](shop, question.about, breathe), ""
    except EstimatorError as error:
        return {}, str(error)


def ahead(shop: Snapshot) -> Iterable[PageQuestion]:
    """What is likely to be asked next, the likeliest first: today, then every board in hand, then those asked for."""
    yield PageQuestion("today")
    yield PageQuestion(RINGS)
    boards = shop.known[0].boards
    yield from (PageQuestion("board", board.board) for board in boards if board.state in IN_HAND)
    asked = [board.board for board in boards if board.state == ASKED]
    yield from (PageQuestion(ENQUIRY, board) for board in asked)
    yield from (PageQuestion("board", board) for board in asked)
    yield from (PageQuestion("weigh", board) for board in asked)
