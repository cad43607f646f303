"""A morning at the bench as a restorer reads it: whom to ring, what to touch, what to leave; then every board."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from estimator.bench.calendar import Calendar
from estimator.bench.ics import Event
from estimator.bench.jobs import PLACES, QUEUE
from estimator.bench.promises import (
    ANSWER_DUE,
    IN_DANGER,
    IS_READY,
    SPAN,
    SURE,
    BenchDay,
    Leave,
    Promise,
    Ring,
    Swap,
    Worse,
)
from estimator.said.owner import say_work
from estimator.said.parts import Action, Heading, Part, Table
from estimator.words.dates import A_DAY, say_day, say_exactly, short_date, short_exactly, the_date
from estimator.words.labels import label
from estimator.words.odds import say_odds, short_chance
from estimator.words.phrases import OF_DATES, capital, inside, say_count, say_hours, say_stretch, say_value
from estimator.words.records import LATE
from estimator.words.settings.schema import DUSTY, SPRAY, WET, Settings

SWAP = "A change of order that helps"
ALL = "All boards in hand"
STILL_OPEN = "Still open from an earlier day"
TOUCH, LEAVE, SCALES = "Touch today", "Leave", "On the scales"
NOT_TOLD = "-"
TWO = 2  # causes that are said of a board that became later


def bench_parts(day: BenchDay, settings: Settings) -> list[Part]:
    """Everything that `bench` says of a day, in the order in which a restorer wants it."""
    return [
        *_begins(day, settings),
        *_ring(day, settings),
        *_rung_already(day),
        *_work(day, settings),
        *_promises(day),
        *_then(day),
    ]


def day_parts(day: BenchDay, settings: Settings) -> list[Part]:
    """The same for a page that lists whom to ring by itself: who is still to be told stands below all boards."""
    return [
        *_begins(day, settings),
        *_work(day, settings),
        *_promises(day),
        *_rung_already(day),
        *_then(day),
    ]


def _begins(day: BenchDay, settings: Settings) -> Iterable[Part]:
    """The day, and up to which day the log tells."""
    yield Heading(say_day(day.today), level=1)
    yield _log_tells(day, settings)


def _work(day: BenchDay, settings: Settings) -> Iterable[Part]:
    """What to work on, what to leave alone, and what to weigh."""
    yield from _touch(day, settings)
    yield from _leave(day)
    yield from _scales(day)


def _then(day: BenchDay) -> Iterable[Part]:
    """When one more board could be begun, the change of order that helps, and boards without a date."""
    yield from next_board(day)
    yield from _swap(day.swap, day)
    yield from _left_out(day)


def _log_tells(day: BenchDay, settings: Settings) -> str:
    """Up to which day the log tells, and what is made of the days since."""
    if day.last_entry is None:
        return "No hours are written down yet: work is taken to begin today."
    if day.last_entry < day.log_up_to:
        since = say_exactly(day.last_entry, day.today)
        return f"Nothing is written down since {since}: boards are taken to stand today as they stood then."
    said = f"Your log tells up to {say_exactly(day.log_up_to, day.today)}"
    empty = Calendar.of(settings.bench).working_days(day.log_up_to + A_DAY, day.today - A_DAY)
    if not empty:
        return f"{said}."
    have, are = ("has", "is") if empty == 1 else ("have", "are")
    return f"{said}. {say_count(empty, 'working day')} since {have} no entry, and {are} taken as worked."


def _ring(day: BenchDay, settings: Settings) -> Iterable[Part]:
    """Whom to ring, and what to say: dates in danger first, then boards that are ready, then answers that are due."""
    if not day.ring and not day.worse and not day.ring_later:
        yield "Nobody else needs ringing today." if day.rung_already else "Nobody needs ringing today."
        return
    yield Heading("Ring")
    for one in day.worse:
        yield worse_words(one, day.today, settings)
    told = {promise.board: promise for promise in day.promises if promise.told}
    in_danger = [ring for ring in day.ring if ring.why == IN_DANGER and ring.tell and ring.board in told]
    if in_danger:
        rung = (told[ring.board].told for ring in in_danger)
        over = ", or over" if any(one is not None and one.last < day.today for one in rung) else ""
        yield f"The day that you told is in danger{over}. Say the new one: ready by then, {say_odds(SURE)}."
        rows = tuple(_new_day(ring, told[ring.board], day.today) for ring in in_danger)
        head = ("", "you told them", label("chance kept"), "say: ready by")
        yield Table(head, rows, boards=tuple(ring.board for ring in in_danger))
        if day.swap:
            yield f"Before you ring, see “{SWAP}” below."
    if day.ring_later:
        names = ", ".join(ring.name for ring in day.ring_later)
        yield f"In danger too, for another day: {names}."
    for ring in day.ring:
        if ring not in in_danger:
            yield _say(ring, day.today)


def worse_words(one: Worse, today: dt.date, settings: Settings) -> str:
    """A board that became much later, with its cause, in one sentence with one date.

    >>> one = Worse("26-014", "tan gun", 37, dt.date(2027, 3, 5), {})
    >>> worse_words(one, dt.date(2026, 10, 1), Settings())
    'tan gun is 5 weeks later than when you last looked: say, ready by Fri 5 March 2027.'
    """
    weeks = say_count(round(one.days / 7), "week")
    tell = say_exactly(max(one.tell, today), today)
    cause = "".join(f", {words}" for words in causes_of(one, settings))
    comma = "," if cause else ""
    return f"{one.name}{cause}{comma} is {weeks} later than when you last looked: say, ready by {tell}."


def causes_of(one: Worse, settings: Settings) -> list[str]:
    """Why a board became later, at most two causes, the surest first: as clauses that stand behind its name."""
    found = [_quantity(name, value, settings) for name, value in one.found.items()]
    later = [_quantity(name, value, settings) for name, value in one.later.items()]
    causes = []
    if found:
        causes.append(f"found {' and '.join(found)}")
    if later:
        causes.append(f"with {' and '.join(later)} asked for since")
    if one.why:
        causes.append(one.why if one.why.startswith("waiting") else f"as {one.why}")
    if one.before:
        more = f" and {len(one.before) - 1} more" if len(one.before) > 1 else ""
        causes.append(f"with {one.before[0]}{more} put before it")
    if one.idle and not causes:
        causes.append("not worked on since")
    return causes[:TWO]


def _quantity(name: str, value: float, settings: Settings) -> str:
    """A quantity with its value, or the grade of a condition."""
    if name in settings.modifiers:
        grades = settings.modifiers[name].grades
        return say_value(value, grades=grades) if grades else inside(settings.quantity_label(name))
    if name in settings.drivers:
        return say_work(settings.quantity_label(name), value, settings.drivers[name].unit)
    return inside(settings.quantity_label(name))


def _new_day(ring: Ring, promise: Promise, today: dt.date) -> tuple[str, ...]:
    """A date in danger as cells: the day told, its chance, and the day to tell."""
    told = say_exactly(promise.told.last, today) if promise.told else NOT_TOLD
    new = say_exactly(max(ring.tell, today), today) if ring.tell else ""
    return ring.name, told, _chance(promise, today), new


def _say(ring: Ring, today: dt.date) -> str:
    """Why to ring about a board, and what to say."""
    if ring.why == IS_READY:
        return f"{ring.name} is ready: say so, and ask when they will fetch it."
    if ring.why == ANSWER_DUE:
        return f"{ring.name} waits for its owner's answer: ask for it."
    tell = f" Say: ready by {say_exactly(max(ring.tell, today), today)}." if ring.tell else ""
    return f"{ring.name}: {ring.why}.{tell}"


def _rung_already(day: BenchDay) -> Iterable[Part]:
    """Of whom it was said on an earlier day, and is still so."""
    if not day.rung_already:
        return
    yield Heading(STILL_OPEN)
    rows = [
        (ring.name, f"on {say_exactly(ring.said, day.today)}" if ring.said else "", _still(ring, day.today))
        for ring in day.rung_already
    ]
    yield Table(("", "", ""), tuple(rows), boards=tuple(ring.board for ring in day.rung_already))
    tell = [
        Action("tell", ring.board, {"last": max(ring.tell, day.today).isoformat(), "because": LATE})
        for ring in day.rung_already
        if ring.why == IN_DANGER and ring.tell
    ]
    if tell:
        yield "Once you have told a new day, write it down:"
        yield from tell


def _still(ring: Ring, today: dt.date) -> str:
    """What is still so of a board whose owner was to be rung."""
    about = say_exactly(ring.about, today) if ring.about else ""
    if ring.why == IN_DANGER and ring.tell:
        over = "is over" if ring.about and ring.about < today else "is in danger"
        return f"{about} {over}; say: ready by {say_exactly(max(ring.tell, today), today)}"
    since = f" since {about}" if about else ""
    if ring.why == IS_READY:
        return f"it {'has been' if since else 'is'} ready{since}"
    waits = "has been waiting" if since else "waits"
    return f"it {waits} for its owner's answer{since}" if ring.why == ANSWER_DUE else ring.why


def _touch(day: BenchDay, settings: Settings) -> Iterable[Part]:
    """What to work on today, and why."""
    if not day.promises:
        return
    yield Heading(TOUCH)
    if day.touch:
        hours = any(t.hours for t in day.touch)
        rows = tuple(
            (t.name, settings.label(t.stage), *([say_hours(t.hours)] if hours else []), t.why)
            for t in day.touch
        )
        yield Table(("",) * len(rows[0]), rows, boards=tuple(t.board for t in day.touch))
        airs = {settings.stages[t.stage].air for t in day.touch if t.stage in settings.stages}
        if DUSTY in airs and airs & {WET, SPRAY}:
            yield "In this order: what makes dust comes before what has to stay clean while it sets."
        return
    calendar = Calendar.of(settings.bench)
    if calendar.works(day.today):
        yield "Nothing can be worked on today."
        return
    open_ = calendar.next_open(day.today)
    then = f" The next working day is {say_exactly(open_, day.today)}." if open_ else ""
    yield f"There are no hours at the bench today.{then}"


def _leave(day: BenchDay) -> Iterable[Part]:
    """What to leave alone, until when and why."""
    if day.leave:
        yield Heading(LEAVE)
        rows = tuple((one.name, _until(one, day.today), one.why) for one in day.leave)
        yield Table(("", "", ""), rows, boards=tuple(one.board for one in day.leave))


def _until(leave: Leave, today: dt.date) -> str:
    """Until when to leave a board; where that day is over by what the log tells, to have a look."""
    return f"until about {the_date(leave.until, today)}" if leave.until > today else "have a look today"


def _scales(day: BenchDay) -> Iterable[Part]:
    """Drying boards to weigh, and when."""
    if day.scales:
        yield Heading(SCALES)
        rows = [
            (one.name, f"on {say_exactly(one.day, day.today)}" if one.day > day.today else "weigh it today")
            for one in day.scales
        ]
        yield Table(("", ""), tuple(rows), boards=tuple(one.board for one in day.scales))


def _promises(day: BenchDay) -> Iterable[Part]:
    """Every board in hand by where it is: when it will be ready, what was told, and the chance of that."""
    if not day.promises:
        if not day.left_out:
            yield "No board is in hand."
        return
    head = ("", "not before", label("ready-by"), label("promise"), label("chance kept"))
    rows: list[tuple[str, ...]] = []
    boards: list[str] = []
    for place, word in PLACES.items():
        here = [promise for promise in day.promises if promise.on == place]
        if here:
            rows += [
                (f"{capital(label(word))}:", *[""] * (len(head) - 1)),
                *(_row(p, day.today) for p in here),
            ]
            boards += ["", *(promise.board for promise in here)]
    yield Heading(ALL)
    odds = say_odds(SURE)
    yield f"{capital(odds)} a board comes after the first day, and {odds} by the second, the day to tell."
    yield Table(head, tuple(rows), boards=tuple(boards))
    moved = say_stretch(day.stretch.low, day.stretch.high, OF_DATES)
    if moved and any(promise.on == QUEUE for promise in day.promises):
        taught = say_day(dt.date.fromisoformat(day.stretch.day))
        yield f"{moved} So says the record of {taught}, for boards in line."
    if anew := [p for p in day.promises if p.told and p.told.last != p.told.first_last]:
        firsts = ", ".join(f"{p.name} by {say_exactly(p.told.first_last, day.today)}" for p in anew if p.told)
        yield f"Told anew since; you are judged on the first day told: {firsts}."


def _row(promise: Promise, today: dt.date) -> tuple[str, ...]:
    """A board as cells: not before, ready by, told, and its chance."""
    low = short_date(max(promise.ready.low, today), today)
    high = short_exactly(max(promise.ready.tell, today), today)
    told = short_exactly(promise.told.last, today) if promise.told else NOT_TOLD
    return promise.name, low, high, told, _chance(promise, today)


def _chance(promise: Promise, today: dt.date) -> str:
    """The chance of the day told last, or that it is over."""
    if promise.told is None or promise.chance_kept is None:
        return NOT_TOLD
    return _short(promise.chance_kept) if promise.told.last >= today else "that day is over"


def next_board(day: BenchDay) -> Iterable[Part]:
    """When one more board could be begun, what to tell the next who asks, and where the hours come from."""
    start, today = day.next_start, day.today
    low, likely, high = (the_date(max(d, today), today) for d in (start.low, start.likely, start.high))
    yield Heading("Next free start")
    if start.high <= today:
        yield "A place is free now."
    elif low == high:
        yield f"{capital(low)}, {say_odds(SPAN)}."
    else:
        yield f"Between {low} and {high}, {say_odds(SPAN)}; by {likely}, {say_odds(0.5)}."
    if start.high <= day.say_yes_by:
        begun = f"begun as soon as they say yes, {say_odds(SURE)}"
    else:
        yes = say_exactly(day.say_yes_by, today)
        begun = f"begun by {say_exactly(start.high, today)}, {say_odds(SURE)}, if they say yes by {yes}"
    yield f"Tell the next who asks: {begun}."
    if day.capacity:
        yield f"Hours to come are taken from {day.capacity}."
    if day.weeks_apart:
        yield f"{capital(day.weeks_apart)}."


def _swap(swap: Swap | None, day: BenchDay) -> Iterable[Part]:
    """The change of order that helps most: chances of the dates told, as it is and with one board first."""
    if swap is None:
        return
    at_stake = [p for p in day.promises if p.told and p.told.last >= day.today]
    rows = [(p.name, _chance(p, day.today), _short(swap.after[p.board]), p.board) for p in at_stake]
    moved = [row for row in rows if row[3] == swap.board or row[1] != row[2]]
    moved.sort(key=lambda row: row[3] != swap.board)
    yield Heading(SWAP)
    yield f"Put {swap.name} before all others. {capital(label('chance kept'))}:"
    head = ("", "as it is", f"{swap.name} first")
    yield Table(head, tuple(row[:3] for row in moved), boards=tuple(row[3] for row in moved))
    if rest := len(rows) - len(moved):
        stay = "stays" if rest == 1 else "stay"
        yield f"{say_count(rest, 'other day')} that you told {stay} as likely as before."


def _short(chance: float) -> str:
    """A chance in a table."""
    return short_chance(chance)


def _left_out(day: BenchDay) -> Iterable[Part]:
    """Boards that no date can be given for, and why."""
    if not day.left_out:
        return
    yield Heading("No date can be given")
    for reason in day.left_out.values():
        yield reason if reason.endswith(".") else f"{reason}."


def ready_days(day: BenchDay) -> Iterable[Event]:
    """For a calendar, by board the day by which it is ready, 9 times in 10; none before today."""
    for promise in day.promises:
        by = max(promise.ready.tell, day.today)
        told = f"You told the owner by {say_day(promise.told.last)}." if promise.told else ""
        yield Event(promise.board, by, by, f"{promise.name}: ready by, {say_odds(SURE)}", told)
