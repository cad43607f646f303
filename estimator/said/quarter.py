"""What made the boards of a quarter go over, what they stood for, and whether hours have changed, in words."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Sequence

from estimator.decide.overruns.parts import parts_story
from estimator.decide.quarter.accounts import Gaps
from estimator.decide.quarter.control_chart import FEWEST, average_run_length
from estimator.decide.quarter.lost_time import WaitingTime
from estimator.decide.quarter.outcomes import Kept
from estimator.decide.quarter.pay import Made, Short
from estimator.decide.quarter.review import BELOW_LEAST, JUST_SHORT, PAID, SHORT, Review, WentOver
from estimator.decide.quarter.suggestions import OWED
from estimator.said.parts import Heading, Part, Table
from estimator.said.quarter_page_two import page_two
from estimator.words.dates import say_day, say_exactly, say_quarter, short_exactly
from estimator.words.labels import label
from estimator.words.money import say_money, say_pay
from estimator.words.odds import say_chance
from estimator.words.phrases import (
    capital,
    round_middle,
    say_count,
    say_middle,
    say_one_in,
    say_small,
)
from estimator.words.settings.schema import Settings

NAMED = 5  # days, or boards, that are named
LONGEST = 3  # causes of waits that are told
# who paid for hidden work, of one telling and of several
ONE_PAID = {
    "me": ", and you paid for it",
    "owner": ", and paid for it",
    "half": ", and paid half",
    "": "; who paid is not written",
}
PAID_TIMES = {
    "me": "you paid {}",
    "owner": "the owner paid {}",
    "half": "you shared it {}",
    "": "{} it is not written who paid",
}
CAUSES = {"owner": "an owner's answer", "away": "you being away", "queue": "a place"}


def over_parts(review: Review) -> list[Part]:
    """What made boards go over, what was hidden and who paid for it, and what they stood for."""
    parts: list[Part] = []
    if review.went_over is not None and review.went_over.boards:
        parts += _parts(review.went_over, review)
    parts += [*_stood(review.stood), *_chart(review)]
    return [Heading("Where it went over"), *parts] if parts else []


def _parts(went: WentOver, review: Review) -> Iterable[str]:
    """Hours over the guesses, in parts that add up."""
    boards = say_count(len(went.boards), "board")
    yield (
        f"{capital(boards)} took {say_middle(went.took)} hours; you had guessed {say_middle(went.guessed)}. "
        + parts_story(went.hours, round_middle(went.took) - round_middle(went.guessed), boards=True)
    )
    if went.left_out:
        has = "has" if went.left_out == 1 else "have"
        yield f"{capital(say_count(went.left_out, 'board'))} {has} no guess, or hours are missing."
    if went.hid:
        yield (
            f"{capital(label('hidden'))} on {say_small(len(went.hid))} of them: "
            f"{names([one.name for one in went.hid])}."
        )
    if went.paid_by:
        told = sum(went.paid_by.values())
        if told == 1:
            yield f"One owner was told of hidden work{ONE_PAID[next(iter(went.paid_by))]}."
        else:
            said = ", ".join(PAID_TIMES[who].format(times(n)) for who, n in went.paid_by.items())
            yield f"Owners were told of hidden work {times(told)}: {said}."
    if went.charged > 0:
        yield f"Above what was quoted, {say_money(went.charged, review.currency)} was charged on boards that hid work."


def _stood(stood: Sequence[WaitingTime]) -> Iterable[str]:
    """The longest waits by cause."""
    if not stood:
        return
    said = []
    for one in stood[:LONGEST]:
        longest = f"longest {one.board}, {say_count(one.longest, 'day')}{'' if one.over else ' so far'}"
        days = f", {say_count(one.days, 'day')} within the quarter" if one.days else ""
        said.append(f"for {CAUSES.get(one.cause, one.cause)} {times(one.waits)}{days} ({longest})")
    yield f"Boards stood {'. '.join([said[0], *map(capital, said[1:])])}."


def _chart(review: Review) -> Iterable[str]:
    """Whether hours have changed against what was said, by more than luck."""
    chart = review.chart
    if chart is None or not chart.looked_at:
        return
    if not chart.enough:
        only = say_count(len(chart.boards), "board")
        yield f"Whether hours have changed is told from {FEWEST} boards on; only {only} yet."
    elif chart.signal:
        way = "longer" if chart.signal > 0 else "less"
        since = (
            f" from {say_exactly(dt.date.fromisoformat(chart.since), review.quarter.today)} on"
            if chart.since
            else ""
        )
        now = "; since then they have come back to it" if chart.back else ""
        yield f"Boards took {way} than ranges said, by more than luck,{since}{now}. Look for what has changed."
        if review.year.boards:
            years = average_run_length(0.0) / review.year.boards
            yield f"By luck alone that comes about once in {say_count(max(round(years), 1), 'year')} here."
    else:
        yield "Hours have stayed as near to what ranges said as luck lets them."


def names(all_of_them: Sequence[str], most: int = NAMED) -> str:
    """The first names, and how many more.

    >>> names(["red", "blue", "green"], 2)
    'red, blue and 1 more'
    """
    more = len(all_of_them) - most
    return ", ".join(all_of_them[:most]) + (f" and {more} more" if more > 0 else "")


def times(n: int) -> str:
    """So often.

    >>> times(1), times(3)
    ('once', 'three times')
    """
    return {1: "once", 2: "twice"}.get(n, f"{say_small(n)} times")


VERDICTS = {PAID: "It paid.", JUST_SHORT: "Just short.", SHORT: "Short.", BELOW_LEAST: "It did not pay."}
ENOUGH = 5  # boards from which on a spread is told
OUT = "left out of the pay below"


def quarter_parts(review: Review, settings: Settings) -> list[Part]:
    """Everything that `quarter` says, in the order in which a restorer wants it."""
    if review.quarter.ahead:
        return [Heading(headline(review), level=1), pay_sentence(review)]
    return [
        Heading(headline(review), level=1),
        *gap_parts(review),
        *first_page(review),
        *page_two(review, settings),
    ]


def first_page(review: Review) -> list[Part]:
    """Whether it paid and was in time, what went over, and what to change."""
    return [*_pay(review), *_kept(review), *over_parts(review), *_changes(review)]


def headline(review: Review) -> str:
    """Which quarter it is, and whether it is over."""
    quarter = review.quarter
    name = say_quarter(quarter.first)
    if quarter.ahead:
        return f"{name}, not begun yet"
    return f"{name}, so far" if quarter.running else name


def gap_parts(review: Review, *, answered_here: bool = False) -> list[Part]:
    """What is missing, asked first.

    answered_here: fields stand below it, so that nobody need be told how to write an answer
    """
    if review.quarter.ahead:
        return []
    gaps, today = review.gaps, review.quarter.today
    parts: list[Part] = [Heading("Before we count")]
    if gaps.days:
        shown = [f"{say_exactly(day, today)}" for day in gaps.days[:NAMED]]
        more = f" and {len(gaps.days) - NAMED} more" if len(gaps.days) > NAMED else ""
        parts.append(
            f"{capital(say_count(len(gaps.days), 'working day'))} with nothing written: {', '.join(shown)}{more}."
        )
        why = "Away, didn't work, or not written down?"
        how = " A row on the shop with 0 hours and the note away, or did not work, explains a day."
        parts.append(why if answered_here else why + how)
    parts += _without(gaps)
    if gaps.not_paid:
        parts.append(f"Ready and not paid: {names(gaps.not_paid)}.")
    if gaps.begins is None:
        parts.append("No hours are written by day, so nobody can tell which days are missing.")
    elif gaps.begins > review.quarter.end:
        parts.append(f"Your log begins after it, on {say_day(gaps.begins)}.")
    elif len(parts) == 1:
        parts.append("Nothing is missing.")
    return parts


def _without(gaps: Gaps) -> Iterable[str]:
    """The boards of which something is not written."""
    for what, boards, tail in (
        ("No price is written on", gaps.no_price, OUT),
        ("No materials are written on", gaps.no_materials, OUT),
        ("Hours are missing on", gaps.no_hours, OUT),
        ("No ready date is written on", gaps.no_ready_date, "the last day written stands in"),
    ):
        if boards:
            yield f"{what} {say_count(len(boards), 'board')} ({names(boards)}): {tail}."


def _pay(review: Review) -> list[Part]:
    """Whether it paid."""
    parts: list[Part] = [Heading("Did it pay?"), pay_sentence(review)]
    if not review.made:
        return parts
    pay, sign = review.pay, review.currency
    if said := money_sentence(review):
        parts.append(said)
    if pay.counted >= ENOUGH and pay.median is not None and pay.low is not None and pay.high is not None:
        parts.append(
            f"Half of the boards brought more than {say_pay(pay.median, sign)} an hour; "
            f"8 in 10 between {say_pay(pay.low)} and {say_pay(pay.high, sign)}."
        )
    if review.short is not None:
        parts.append(_why(review.short, review))
    if review.last_year.all is not None:
        parts.append(
            f"The same quarter a year before: {say_pay(review.last_year.all, sign)} an hour "
            f"on {say_count(review.last_year.counted, 'board')}."
        )
    return [*parts, _boards(review.made, review)]


def pay_sentence(review: Review) -> str:
    """The one sentence: whether it paid, before rent and after.

    It stands over the figures of page and sheet too.
    """
    pay, sign = review.pay, review.currency
    if pay.all is None or review.verdict is None:
        if review.quarter.ahead:
            return f"It begins on {say_day(review.quarter.first)}: look back on it then."
        if not review.made:
            still = " yet" if review.quarter.running else ""
            return f"No board was made ready{still}, so there is nothing to tell."
        return (
            "None of the boards has its price, its materials and all its hours written, so nobody can tell."
        )
    wanted = f"you want {say_pay(review.wanted)}"
    if review.verdict == BELOW_LEAST:
        wanted = f"the least you'd take is {say_pay(review.least)}, and {wanted}"
    on = f"on {say_count(pay.counted, 'board')}"
    said = f"{VERDICTS[review.verdict]} {say_pay(pay.all, sign)} an hour {on}; {wanted}."
    after = review.after_overheads
    if review.overheads and after is not None:
        return f"{said} After rent and power, {say_pay(after)}."
    return f"{said} That is before rent and power: none stand in your settings."


def money_sentence(review: Review) -> str:
    """What came in for the boards that count, what went out, and what is left: as it is shown it adds up."""
    money = review.money
    if money is None:
        return ""
    came, materials, rent = map(_tens, (money.came_in, money.materials, money.rent))
    left, sign = came - materials - rent, review.currency
    rented = f", rent and power {say_money(rent)}" if review.overheads else ""
    ends = f"{say_money(left, sign)} is left" if left >= 0 else f"{say_money(-left, sign)} is missing"
    hours = f"for {say_middle(review.pay.counted_hours)} hours of work"
    brought = f"{capital(say_count(review.pay.counted, 'board'))} brought in {say_money(came, sign)}"
    return f"{brought}; materials took {say_money(materials)}{rented}; {ends}, {hours}."


def _why(short: Short, review: Review) -> str:
    """Whether it was the hours or the price that made the difference to what is wanted."""
    sign = review.currency
    total, hours = _tens(short.total), _tens(short.from_hours)
    price = total - hours  # as they are shown the two add up
    on = f"On {say_count(short.boards, 'board')} with a guess of yours"
    head = f"{on} you came {say_money(abs(total), sign)} {'short of' if total > 0 else 'over'} what you want"
    went = "took longer" if hours > 0 else "went quicker"
    enough = "low" if price > 0 else "more than enough"
    return (
        f"{head}. {say_money(abs(hours), sign)} {_sign(hours)}: boards {went} than you guessed. "
        f"{say_money(abs(price), sign)} {_sign(price)}: the price was {enough} for the hours you guessed."
    )


def _tens(money: float) -> float:
    """Money as it is shown."""
    return math.copysign(10 * math.floor(abs(money) / 10 + 0.5), money)


def _sign(short: float) -> str:
    """Whether an amount was lost or won."""
    return "less" if short > 0 else "more"


def _boards(made: Sequence[Made], review: Review) -> Table:
    """The boards one by one."""
    today = review.quarter.today
    rows = tuple(
        (
            one.name,
            short_exactly(one.ended, today),
            say_middle(one.hours) + ("" if one.whole else " +?"),
            "?" if one.price is None else say_money(one.price),
            "?" if one.materials is None else say_money(one.materials),
            "?" if one.pay is None else say_pay(one.pay),
        )
        for one in made
    )
    head = ("Made ready", "on", "hours", "price", "materials", "an hour")
    return Table(head, rows, right=(2, 3, 4, 5), boards=tuple(one.board for one in made))


def _kept(review: Review) -> list[Part]:
    """Whether what was told came true."""
    hours, dates = review.hours_kept, review.dates_kept
    late = [one.name for one in review.in_hand if one.late]
    if not (hours.of or dates.of or late):
        return []
    parts: list[Part] = [Heading("In time, and as told?")]
    if dates.of:
        parts += _count(dates, "ready by the last day you first told", "late")
    if hours.of:
        parts += _count(hours, "done in the hours you first told", "not")
    if late:
        is_are = "is" if len(late) == 1 else "are"
        parts.append(
            f"{say_count(len(late), 'board')} still in hand {is_are} past the day told: {names(late)}."
        )
    return parts


def _count(kept: Kept, what: str, missed: str) -> Iterable[str]:
    """One count with what luck allows."""
    few, most = kept.band
    span = str(few) if few == most else f"{few} to {most}"
    was = "was" if kept.of == 1 else "were"
    luck = f"; luck alone allows {span}" if kept.of >= ENOUGH else ""  # of a handful luck allows nearly all
    yield f"{kept.held} of {say_count(kept.of, 'board')} {was} {what}{luck}."
    if kept.held < few:
        yield f"So few by luck alone: {say_one_in(kept.chance)}."
    if kept.missed:
        yield f"{capital(missed)}: {names(kept.missed, len(kept.missed))}."


def _changes(review: Review) -> list[Part]:
    """At most three things to change."""
    parts: list[Part] = [Heading("What to change")]
    if not review.suggestions:
        return [*parts, "Nothing that is sure enough to change."]
    for number, one in enumerate(review.suggestions, start=1):
        sure = "" if one.sort == OWED else f" How sure: {say_chance(one.how_sure)}."
        parts.append(f"{number}. {one.change} {one.because}{sure}")
    return parts
