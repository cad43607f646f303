"""What is worked out for forms: hours, price and day of somebody who asks, and of what an owner asks for since."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping

from estimator.bench.call_log import unanswered
from estimator.counter.step_forms import questions_of
from estimator.forecast.ranges import Range
from estimator.log.steps.ringing import answered_rings, put_first
from estimator.log.steps.telling import ODDS, figures_of
from estimator.said.added import added_parts
from estimator.said.day_moves import absence_words, first_words
from estimator.said.parts import Heading, Part
from estimator.said.range import headline, money_words, range_parts
from estimator.said.rings import nobody_to_ring, rings_later, whom_to_ring
from estimator.snapshot import Snapshot
from estimator.words.actions import Action
from estimator.words.dates import say_exactly
from estimator.words.errors import NoAnswerError
from estimator.words.measures import number
from estimator.words.money import say_money, to_the_ten
from estimator.words.phrases import round_hours
from estimator.words.records import Board
from estimator.words.settings.schema import Settings
from estimator.working_day import DayAnswers, moved_by_absence, moved_by_firsts

Parts = dict[str, tuple[Part, ...]]


def enquiry_parts(now: Snapshot, board: str) -> Parts:
    """What is said of a board that somebody asks for, by place on the page.

    rough: hours, price and day of boards of its sort and length; texts: to copy; range: of the board as it was looked
    at; told: hours, price and days to tell, as texts by name; best: what to ask next, best first

    Raises UsageError where there is no such board.
    """
    row = next(one for one in now.whole_log.boards if one.board == board)
    parts: Parts = {}
    try:
        rough = now.range(_of_its_sort(row, now.settings), dates=True)
        parts["rough"] = tuple(_rough(now, rough))
        parts["texts"] = tuple(_texts(now, rough))
    except NoAnswerError as error:
        parts["rough"] = (str(error),)
    try:
        said = now.range(board, dates=True)
        today = now.looking_from()
        parts["range"] = tuple(
            p for p in range_parts(said, now.settings, row.name, today)[1:] if not isinstance(p, Action)
        )
        parts["told"] = tuple(json.dumps([name, text]) for name, text in _to_tell(said).items())
        parts["best"] = tuple(one.driver for one in said.look_next)
    except NoAnswerError as error:
        parts["range"] = (str(error),)
    return parts


def _of_its_sort(row: Board, settings: Settings) -> Mapping[str, object]:
    """Sort and length alone; all that is asked of it is not known."""
    asked = dict.fromkeys(questions_of(row, settings), "?")
    length = {} if row.length_m is None else {"length": f"{row.length_m:.3f} m"}
    return {**asked, "kind": row.kind or None, **length}


def _rough(now: Snapshot, said: Range) -> Iterable[Part]:
    """The rough answer: what such boards take and cost, and when one could be ready."""
    today = now.looking_from()
    yield headline(said)
    yield "Nothing is known of this one yet."
    yield from money_words(said, now.settings)
    if said.ready is not None:
        yes = (
            f", if its owner says yes by {say_exactly(said.ready.say_yes_by, today)}"
            if said.ready.say_yes_by
            else ""
        )
        yield f"Ready by {say_exactly(said.ready.tell, today)}, 9 times in 10{yes}."


def _texts(now: Snapshot, said: Range) -> Iterable[str]:
    """Three texts to copy: bring it in, it would be a while, not for me."""
    money = now.settings.workshop.currency
    cost = (
        f" Boards like that come to about {say_money(to_the_ten(said.price.for_target), money)} here."
        if said.price
        else ""
    )
    yield f"Thank you for asking. Bring it in, and I'll tell you more once I've seen it.{cost}"
    if said.ready is not None:
        by = say_exactly(said.ready.tell, now.looking_from())
        wait = f"It would be a while: I'd expect to have it ready by {by}."
        yield f"Thank you for asking. {wait}{cost} Shall I put you down?"
    yield "Thank you for asking. I'm sorry, that one is not for me."


def _to_tell(said: Range) -> dict[str, str]:
    """What to tell, by field of the form: hours, the price to the ten, the day."""
    told = {"hours": f"{number(round_hours(said.low))}-{number(round_hours(said.high))}"}  # as they are said
    if said.price is not None and said.price.target:
        told["price"] = number(to_the_ten(said.price.for_target))
    if said.ready is not None:
        told |= {"last": said.ready.tell.isoformat(), "first": said.ready.low.isoformat()}
    return told


def since_parts(now: Snapshot, about: str) -> Parts:
    """What comes of what an owner asks for since: `said` in words, `figures` as texts that the form carries.

    about: JSON of the board's id and of what is asked for, by name as it stands in a later_ cell

    Raises UsageError and UnreadableError for what cannot be asked, NoAnswerError where nothing can be told.
    """
    board, more = json.loads(about)
    row = next(one for one in now.whole_log.boards if one.board == board)
    answers = DayAnswers(now)
    agreement = answers.agreement(board, more)
    said = agreement.said
    extra = to_the_ten(said.price.for_target) if said.price.target else None
    figures = figures_of(agreement, less=said.hours.high < 0, extra=extra)
    words = added_parts(said, now.settings, board, row.name, now.looking_from())
    shown = [
        part
        for part in words
        if not isinstance(part, Action | Heading) and not str(part).startswith("Once the owner")
    ]
    return {
        "said": tuple(shown),
        "figures": tuple(json.dumps([name, text]) for name, text in figures.items()),
    }


def telling_parts(now: Snapshot, board: str) -> Parts:
    """What an owner is told where the one who writes it leaves it out: `figures`, JSON of a name and what it is.

    hours: both ends, or in words why there are none; wishes: hours and days; days: two ISO days; null is not known
    """
    answers = DayAnswers(now)
    said: dict[str, object] = {"wishes": answers.wishes_of(board)}
    try:
        said["hours"] = answers.hours_of(board, ODDS)
    except NoAnswerError as error:
        said["hours"] = str(error)
    days = answers.days_of(board)
    said["days"] = days and [day.isoformat() for day in days]
    return {"figures": tuple(json.dumps(pair) for pair in said.items())}


def rings_parts(now: Snapshot) -> Parts:
    """What is answered on Today.

    rings: whom to ring, of those whose matter nobody has answered: JSON of board, name, why, about, the day to tell,
        and what to say; after: in words what is in danger besides, or that nobody needs ringing
    firsts: boards that are put first: JSON of board, name, why, about; costs: whose dates that moves, in words
    away: till when nobody is in, and whose dates that moves, in words

    Raises NoAnswerError where no day can be told.
    """
    answers = answered_rings(now.whole_log.notes)
    day, today = unanswered(now.bench(), answers), now.looking_from()
    settled = {one.board for one in now.known[0].told if one.date == today}
    settled |= {one.board for one in answers if one.on == today}
    rings = whom_to_ring(day, now.settings, settled)
    after = rings_later(day, rings) if rings else nobody_to_ring(day)
    parts: Parts = {
        "rings": tuple(
            json.dumps(
                [r.board, r.name, r.why, *(d.isoformat() if d else "" for d in (r.about, r.tell)), *r.says]
            )
            for r in rings
        ),
        "after": (after,) if after else (),
    }
    first, moved = moved_by_firsts(now)
    if first:
        said = {one.board: one for one in put_first(answers)}
        names = {one.board: one.name for one in moved}
        parts["firsts"] = tuple(
            json.dumps([b, names[b], said[b].why, about.isoformat() if (about := said[b].about) else ""])
            for b in first
        )
        parts["costs"] = tuple(first_words([names[b] for b in first], moved, today))
    if (absence := moved_by_absence(now)) is not None:
        parts["away"] = tuple(absence_words(*absence, today))
    return parts
