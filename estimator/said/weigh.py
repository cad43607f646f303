"""Whether to take a board on, as a restorer reads it: the answer first, then what carries it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from estimator.decide.weigh.promise_impact import Moved
from estimator.decide.weigh.terms import CEILING, OPEN_FIRST, TermsSaid
from estimator.decide.weigh.weighing import NO, OpenFirst, Weighing
from estimator.decide.weigh.worth import FULL
from estimator.log.edits import Decision, KeptDecision
from estimator.said.parts import Action, Heading, Part, Table
from estimator.words.dates import say_exactly, short_exactly
from estimator.words.labels import label
from estimator.words.money import say_money, say_pay
from estimator.words.odds import SELDOM, say_chance, say_odds, short_chance, short_odds
from estimator.words.phrases import capital, say_count, say_hours, say_middle, say_range, say_small
from estimator.words.records import DECISIONS
from estimator.words.settings.schema import Settings

CARRY = 2  # facts that carry the answer
TEN = 10  # boards that stand for what may become of one
FEW = 5  # boards: money from fewer is said to be so
VALUE = "Restoring can lower what a collectable board is worth: say so before you name a price."
LAW = "What binds you when you name a price differs from place to place: local law decides."
ANYWAY, YOURS = "Worth doing anyway?", "Your answer"
ANSWERS = {"yes": "yes", "no": "no", "open-first": "open it up first"}


def weigh_parts(said: Weighing, settings: Settings) -> Iterator[Part]:
    """Everything that `weigh` says, in the order in which a restorer wants it."""
    yield Heading(f"{label('weigh')} {said.name}, at {_money(said.price, settings)}", level=1)
    yield said.recommendation
    yield from said.because[:CARRY]
    if said.decided is not None:
        earlier = Decision(said.decided.answer, said.decided.why, said.decided.for_love)
        yield f"You have decided already: {say_decision(earlier)}."
    yield from _pays(said, settings)
    yield from _moves(said)
    yield from _ordinary(said, settings)
    yield from _opening(said, settings)
    if said.flips:
        yield Heading("What would change the answer")
        yield from said.flips
    if said.notes:
        yield Heading("What it counts on, and leaves out")
        yield from said.notes
    if said.answer == NO:
        yield Heading(ANYWAY)
        yield "Then take it, for love: it is counted apart, and never held against you."
        yield Action("decide", said.board, {"answer": "yes", "why": "", "for_love": True})
    else:
        yield Heading(YOURS)
    yield "Whichever it is, keep it with your reason, to see later whether it was right:"
    yield Action("decide", said.board, {"answer": DECISIONS, "why": ""})
    yield VALUE
    yield LAW


def _pays(said: Weighing, settings: Settings) -> Iterator[Part]:
    """Hours, and under each of the terms what is paid an hour, and how often too little."""
    low, _, high = said.hours
    yield Heading("What it pays")
    weeks = f", {_weeks(said.bench_weeks)}" if said.bench_weeks else ""
    yield (
        f"It takes {say_range(low, high)}, {say_odds(said.odds)}{weeks}, and about "
        f"{_money(said.materials, settings)} of materials."
    )
    if said.best.terms != OPEN_FIRST:
        yield f"{ten_pay(said.best, said.odds)}"
    head = ("", *(label(f"terms {one.terms}") for one in said.terms))
    rows = [
        ("not over", *(_money(one.ceiling, settings) for one in said.terms)),
        ("fee", *(_money(one.fee, settings) for one in said.terms)),
        (f"{label('pay per hour')}", *(_pay_range(one) for one in said.terms)),
        (
            f"less than you want ({say_pay(said.wanted.target)})",
            *(_often(t.chance_below_target) for t in said.terms),
        ),
        (
            f"less than the least ({say_pay(said.wanted.floor)})",
            *(_often(t.chance_below_floor) for t in said.terms),
        ),
        *(
            [("loses money after rent", *(_often(t.chance_of_loss) for t in said.terms))]
            if said.wanted.overhead
            else []
        ),
        (
            f"pays what you want, {short_odds(said.odds)}, at",
            *(_money(one.price_for_target, settings) for one in said.terms),
        ),
        ("brings more than ordinary work", *(_money(one.worth, settings) for one in said.terms)),
    ]
    kept = tuple(row for row in rows if any(cell for cell in row[1:]))
    yield Table(head, kept, right=tuple(range(1, len(head))), guessed=True)
    yield from _what_terms_are(said, settings)
    if said.wanted.overhead:
        rent = say_pay(said.wanted.overhead, settings.workshop.currency)
        fixed = said.best
        loses = (
            ""
            if fixed.break_even_hours is None or fixed.chance_of_loss < SELDOM
            else (f" From {say_hours(fixed.break_even_hours)} on there is nothing left.")
        )
        yield f"Rent, power and insurance take {rent} of each hour at the bench.{loses}"
    else:
        yield "Rent, power and insurance are not in your settings, so whether it loses money can't be said."


def _what_terms_are(said: Weighing, settings: Settings) -> Iterator[str]:
    """What a price with a range is, and which boards count where one is opened up first."""
    terms, opening = {one.terms: one for one in said.terms}, said.opening
    if CEILING in terms:
        ceiling = _money(terms[CEILING].ceiling, settings)
        yield (
            f"{capital(label('terms ceiling'))}: you charge {say_pay(said.wanted.target)} for each hour that it takes, "
            f"and the materials, and ask before it goes over {ceiling}."
        )
    if OPEN_FIRST in terms and opening is not None:
        fee, hours = _money(opening.fee, settings), say_hours(opening.hours)
        yield (
            f"Opened up first, pay counts the boards whose work goes on. One that ends there pays its fee, {fee} for "
            f"about {hours}, and no more."
        )


def ten_pay(terms: TermsSaid, odds: float) -> str:
    """Pay as a count of boards.

    >>> from estimator.said.weigh import ten_pay  # see the tests for more
    """
    low, high = say_pay(terms.low), say_pay(terms.high)
    if terms.terms == CEILING:
        over = say_chance(terms.chance_below_target)
        return f"Up to the ceiling it pays what you want; it goes over, and pays less, {over}."
    beyond = (
        "one pays less, one more" if abs(odds - 0.8) < 1e-9 else f"the others less or more, {say_odds(odds)}"
    )
    return (
        f"Of ten boards like this, eight pay {low} to {high} an hour, before rent, {beyond}; half pay more than "
        f"{say_pay(terms.likely)}."
    )


def _pay_range(terms: TermsSaid) -> str:
    """Pay an hour in a cell."""
    low, high = say_pay(terms.low), say_pay(terms.high)
    return low if low == high else f"{low} to {high}"


def _often(chance: float) -> str:
    """A chance in a cell."""
    return short_chance(chance)


def _money(amount: float | None, settings: Settings) -> str:
    """Money in words; empty where there is none."""
    return "" if amount is None else say_money(amount, settings.workshop.currency)


def _weeks(weeks: float) -> str:
    """Hours as weeks at the bench."""
    if weeks < 0.75:
        return "less than a week of your bench"
    shown = say_middle(weeks)
    return f"about {shown} {'week' if shown == '1' else 'weeks'} of your bench"


def _moves(said: Weighing) -> Iterator[Part]:
    """Whose dates move, and when this board would be ready."""
    moved = said.moved
    if moved is None or said.today is None:
        return
    yield Heading("Whose dates move")
    worse = [one for one in moved.boards if one.worth_a_word and (one.later > 0 or one.fell > 0)]
    cells = {one.board: _row(one, said) for one in worse}
    rows = {board: row for board, row in cells.items() if row[1] != row[2] or row[4] != row[5]}
    if rows:
        head = ("", "ready by", "with it", "told", "in time", "with it")
        yield Table(head, tuple(rows.values()), boards=tuple(rows))
    others = len(moved.boards) - len(rows)
    if others and rows:
        yield f"{say_count(others, 'other board')} {'is' if others == 1 else 'are'} hardly moved."
    elif not rows:
        yield "Nobody's date moves enough to speak of." if moved.boards else "No other board is in hand."
    yes = f" if its owner says yes by {say_exactly(moved.say_yes_by, said.today)}" if moved.say_yes_by else ""
    will = "will" if said.in_hand else "would"
    by = say_exactly(max(moved.own.tell, said.today), said.today)
    yield f"This one {will} be ready by {by}{yes}, {say_odds(0.9)}."
    if moved.left_out:
        yield f"No date can be given for {', '.join(moved.left_out)}."


def _row(one: Moved, said: Weighing) -> tuple[str, ...]:
    """A board whose date moves as cells."""
    assert said.today is not None
    today = said.today
    days = [short_exactly(max(day, today), today) for day in (one.before.tell, one.after.tell)]
    if one.told is None or one.kept_before is None or one.kept_after is None:
        return one.name, *days, "-", "-", "-"
    told = short_exactly(one.told, today)
    return one.name, *days, told, _often(one.kept_before), _often(one.kept_after)


def _ordinary(said: Weighing, settings: Settings) -> Iterator[Part]:
    """What the same hours would earn on ordinary work."""
    usual = said.usual
    yield Heading("Your ordinary work in the same weeks")
    whence = (
        f"from {say_count(usual.boards, 'board')} of the last two years"
        if usual.boards
        else "taken as what you want, for no finished board tells"
    )
    few = (
        f" Only {say_count(usual.boards, 'board')}: it is still mostly what you want."
        if 0 < usual.boards < FEW
        else ""
    )
    pay = say_pay(usual.pay, settings.workshop.currency)
    earns = _money(usual.pay * said.mean_hours, settings)
    yield f"It pays {pay} an hour, before rent, {whence}: {say_middle(said.mean_hours)} hours would bring {earns}.{few}"
    yield _bar(said, settings)


def _bar(said: Weighing, settings: Settings) -> str:
    """What an hour counts that does not go to the board, and why, in one sentence."""
    there, sign = said.elsewhere, settings.workshop.currency
    pay, idle, better = (say_pay(amount, sign) for amount in (there.pay, there.idle, there.better))
    what = f"{better}, at which the better-paying of your last {there.asks} enquiries just fill your hours"
    if not there.asks:
        what = "what your ordinary work pays"
    elif there.better <= there.idle:
        return f"An hour counts as {idle} here: your last {there.asks} enquiries do not fill your hours."
    if there.filled == 1:
        return f"An hour counts as {pay} here: {what}." if not there.asks else f"An hour counts as {what}."
    weeks = (
        f"{say_count(round(there.weeks), 'week')} of" if there.weeks and there.weeks >= 0.5 else "hardly any"
    )
    return (
        f"An hour counts as {pay} here: with {weeks} work in hand it lies between {idle}, for one that stands idle, "
        f"and {what}, which counts from {FULL:.0f} weeks on."
    )


def _opening(said: Weighing, settings: Settings) -> Iterator[Part]:
    """What opening up first would show, and what becomes of the board then."""
    opening = said.opening
    if opening is None or all(one.terms != OPEN_FIRST for one in said.terms):
        return
    yield Heading("Open it up first?")
    shows = ", ".join(settings.quantity_label(q).lower() for q in opening.shows)
    fee = _money(opening.fee, settings)
    goes = "counts towards the price" if opening.credited else "comes on top of the price"
    named = "" if opening.named else f", its {say_hours(opening.hours)} at what you want"
    yield f"The fee is {fee}{named}; it {goes}."
    if not shows:
        yield "It would show nothing that you don't know already."
        return
    narrower = opening.before - opening.after
    what = f"{say_hours(narrower)} narrower" if narrower >= 0.5 else "less than ½ hour narrower"
    yield f"It would show {shows}. It would make the range of hours {what}."
    yield _becomes(opening, settings)
    seeing = _money(opening.seeing, settings)
    learned = (
        "hardly changes what you'd do" if seeing == _money(0.0, settings) else f"is worth {seeing} by itself"
    )
    fee = (
        " It is the fee that makes the difference." if opening.value - opening.seeing > opening.seeing else ""
    )
    yield f"{_worth(opening, settings)} What it shows {learned}.{fee}"
    yield "How often an owner takes a new price stands in your settings."


def _becomes(opening: OpenFirst, settings: Settings) -> str:
    """What becomes of ten boards opened up first: counts that add up to ten."""
    asks = _money(opening.asks, settings)
    ways = (
        (opening.goes_on, "{} go on at the price you named", "{} goes on at the price you named"),
        (opening.asks_anew, f"{{}} go on at more, up to {asks}", f"{{}} goes on at more, up to {asks}"),
        (opening.ends, "{} end there, by your no or the owner's", "{} ends there, by your no or the owner's"),
    )
    counts = in_ten([chance for chance, _, _ in ways])
    said = [
        (one if count == 1 else many).format("all" if count == TEN else say_small(count))
        for count, (_, many, one) in zip(counts, ways, strict=True)
        if count
    ]
    return f"Of ten such boards opened up, {', '.join(said)}."


def in_ten(chances: Sequence[float]) -> list[int]:
    """Chances that sum to 1 as counts that sum to ten, the largest remainders rounded up.

    >>> in_ten([0.86, 0.07, 0.07]), in_ten([0.95, 0.05, 0.0]), in_ten([0.01, 0.0, 0.99])
    ([8, 1, 1], [10, 0, 0], [0, 0, 10])
    """
    shares = [TEN * chance for chance in chances]
    counts = [math.floor(share + 1e-9) for share in shares]
    by_rest = sorted(range(len(shares)), key=lambda i: counts[i] - shares[i])
    for i in by_rest[: TEN - sum(counts)]:
        counts[i] += 1
    return counts


def _worth(opening: OpenFirst, settings: Settings) -> str:
    """What opening first is worth over deciding today."""
    worth = _money(abs(opening.value), settings)
    if worth == _money(0.0, settings):
        return "All in all it comes to the same as deciding today."
    return f"All in all it is worth {worth} {'more' if opening.value > 0 else 'less'} than deciding today."


def say_decision(decision: Decision) -> str:
    """A decision and its reason.

    >>> say_decision(Decision("yes", "that shape", for_love=True))
    'yes, for love: “that shape”'
    """
    love = ", for love" if decision.for_love else ""
    why = f": “{decision.why}”" if decision.why else ""
    return f"{ANSWERS.get(decision.answer, decision.answer)}{love}{why}"


def kept_parts(kept: KeptDecision) -> Iterator[Part]:
    """What was kept of a decision, and what stood there before."""
    where = f"Kept in {kept.file}" if kept.file else "Not written"
    yield f"{where}: {kept.name}, {say_decision(kept.decision)}."
    if kept.before is not None and kept.before != kept.decision:
        yield f"Before, it said {say_decision(kept.before)}."
    yield from kept.notes
