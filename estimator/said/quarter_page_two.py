"""The second page of a quarter: sorts of work, decisions, rules of thumb, owed, charged, in hand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from estimator.bench.jobs import PLACES
from estimator.decide.quarter.charges import Charge
from estimator.decide.quarter.outcomes import Taken, TurnedAway
from estimator.decide.quarter.pay import COLOURS, Pay
from estimator.decide.quarter.review import Group, Review
from estimator.decide.quarter.work_in_hand import WorkInHand
from estimator.said.parts import Heading, Part, Table
from estimator.words.dates import say_exactly, short_date, short_exactly
from estimator.words.labels import label
from estimator.words.money import say_money, say_pay, say_price
from estimator.words.odds import say_chance
from estimator.words.phrases import (
    NOTHING,
    capital,
    range_in_figures,
    round_middle,
    say_count,
    say_hours,
    say_middle,
    say_share,
    say_shown,
    say_small,
    shown_to_add_up,
    unit_sign,
)
from estimator.words.settings.schema import ONCE, Settings

ENOUGH = 5  # boards of a group from which on its pay is shown
SURE = 0.9  # chance from which on a change from one year to the next is said


def sort_parts(review: Review, settings: Settings) -> list[Part]:
    """By sort of work, wetness and colours over twelve months, beside the twelve before."""
    if not (review.year.boards or review.year_before.boards):
        return []
    head = ("", "boards", "hours", "an hour", "year before", "hours went")
    kinds, others = review.by_kind, review.groups[len(review.by_kind) :]
    hours = figures(tuple(group.pay.hours for group in kinds), round_middle(review.year.hours))
    rows = [_row(group, shown, settings) for group, shown in zip(kinds, hours, strict=True)]
    whole = ("All", str(review.year.boards), say_middle(review.year.hours))
    rows.append((*whole, _pay(review.year), _pay(review.year_before), ""))
    parts: list[Part] = [
        Heading("By sort of work, in twelve months"),
        Table(head, tuple(rows), right=(1, 2, 3, 4), total=True),
    ]
    if others:
        table = tuple(_row(group, say_middle(group.pay.hours), settings) for group in others)
        parts.append(Table(head, table, right=(1, 2, 3, 4)))
    for group in kinds:
        change = group.change
        if change is not None and change.how_sure >= SURE:
            way = "more" if change.shrunk > 0 else "less"
            parts.append(
                f"{_name(group, settings)} pays {way} than a year before. How sure: {say_chance(change.how_sure)}."
            )
    return parts


def _row(group: Group, hours: str, settings: Settings) -> tuple[str, ...]:
    """One group."""
    over = "" if group.over is None or group.pay.counted < ENOUGH else _went(group.over)
    name = _name(group, settings)
    return name, str(group.pay.boards), hours, _pay(group.pay), _pay(group.before), over


def _went(over: float) -> str:
    """How hours went against the guesses.

    >>> _went(1.16), _went(0.98), _went(0.8)
    ('a fifth over', 'as guessed', 'a fifth under')
    """
    if abs(over - 1) < NOTHING:
        return "as guessed"
    if over >= 2:
        return "twice the guess or more"
    return f"{say_share(abs(over - 1))} {'over' if over > 1 else 'under'}"


def _pay(pay: Pay) -> str:
    """Pay an hour, or that there are too few boards for it."""
    if pay.all is None or pay.counted < ENOUGH:
        return f"only {say_count(pay.counted, 'board')}" if pay.counted else "-"
    return say_pay(pay.all)


def _name(group: Group, settings: Settings) -> str:
    """What a group is called."""
    if group.by == "kind":
        return settings.label(group.name) if group.name else "No sort written"
    return group.name.capitalize() if group.by == COLOURS else f"Was {group.name}"


def figures(hours: tuple[float, ...], whole: float) -> list[str]:
    """Hours in figures that add up as they are shown."""
    return [say_shown(at) for at in shown_to_add_up(hours, whole)]


def decided_parts(review: Review) -> list[Part]:
    """Boards taken on, those taken for love apart, and what the weeks of boards turned down went to."""
    seen = review.decided
    parts: list[Part] = []
    if seen.taken:
        parts += [*_count(review), _table(seen.taken)]
    if seen.for_love:
        parts += ["Taken for love, and counted apart:", _table(seen.for_love)]
    parts += [_away(one, review) for one in seen.turned_away]
    return [Heading("What you decided, looked back on"), *parts] if parts else []


def _count(review: Review) -> Iterable[str]:
    """How many boards taken paid what is wanted."""
    seen = review.decided
    of = len(seen.judged)
    if of:
        few = " Too few to learn from." if seen.few else ""
        yield (
            f"Of {say_count(of, 'board')} that you thought over and took, {seen.paid_target or 'none'} paid the "
            f"{say_pay(seen.target, review.currency)} you want, {seen.paid_floor or 'none'} at least "
            f"{say_pay(seen.floor)}.{few}"
        )


def _table(taken: Sequence[Taken]) -> Table:
    """Boards one by one: why, what they took, what had been said, what they brought."""
    rows = tuple(
        (
            one.name,
            one.why or "no reason written",
            "?" if one.hours is None else say_middle(one.hours),
            "" if one.said is None else _said(*one.said),
            "?" if one.pay is None else say_pay(one.pay),
        )
        for one in taken
    )
    head, boards = ("", "why", "took", "you said", "an hour"), tuple(one.board for one in taken)
    return Table(head, rows, right=(2, 3, 4), boards=boards)


def _said(low: float, high: float) -> str:
    """Hours that were said, as figures."""
    if low == high:
        return say_middle(low)
    return range_in_figures(low, high)


def _away(one: TurnedAway, review: Review) -> str:
    """A board turned down, and what its weeks went to."""
    why = f" ({one.why})" if one.why else ""
    said = f"You turned down {one.name}{why}."
    if one.filled is None:
        return said
    tenths = round(10 * one.filled)
    full = "were full" if tenths >= FULL else f"were {tenths} tenths full" if tenths else "stood empty"
    paid = ""
    if one.pay is not None and tenths:
        paid = f", with boards that paid {say_pay(one.pay, review.currency)} an hour"
    return f"{said} The twelve weeks since {full}{paid}."


FULL = 10  # tenths


FEW_BOARDS = 3  # that a charge rests on, up to which it is said
LEAST_SHOWN = 5.0  # money below which nothing is shown: it would be rounded to nought


def page_two(review: Review, settings: Settings, *, charges: bool = True) -> list[Part]:
    """All that is not on the first page; charges: with what to charge for what."""
    return [
        *sort_parts(review, settings),
        *_rules(review),
        *_turned_down(review),
        *_given_back(review),
        *_owed(review),
        *(charge_parts(review.charges, settings) if charges else ()),
        *_in_hand(review),
        *decided_parts(review),
        *_clock(review),
        *_notes(review),
    ]


def _rules(review: Review) -> list[Part]:
    """How the restorer's own rules of thumb stand."""
    if not review.verdicts:
        return []
    wrong = [one for one in review.verdicts if one.accused]
    holds = sum(one.verdict == "holds" for one in review.verdicts)
    few = len(review.verdicts) - holds - len(wrong)
    parts: list[Part] = [
        Heading("Your rules of thumb"),
        _standing(holds, few, len(wrong)),
    ]
    parts += [
        f"“{one.text or one.name}”: {label(one.verdict)}; {one.inside} of {one.of} fell inside."
        for one in wrong
    ]
    return parts


def _standing(holds: int, few: int, wrong: int) -> str:
    """How many hold, cannot be told, and should change.

    >>> _standing(9, 1, 2)
    'Nine hold, one has not enough boards to say, two should change.'
    """
    counts = (
        (holds, "holds" if holds == 1 else "hold"),
        (few, f"{'has' if few == 1 else 'have'} not enough boards to say"),
        (wrong, "should change"),
    )
    said = [(n, does) for n, does in counts if n]
    (count, rest), *others = said
    more = "".join(f", {say_small(n)} {does}" for n, does in others)
    return f"{say_small(count).capitalize()} {rest}{more}."


def _turned_down(review: Review) -> list[Part]:
    """What was turned down, and what that cost."""
    down = review.turned_down
    if not (down.boards or down.dropped):
        return []
    cost = say_price(down.hours * review.wanted, review.currency)
    said = [
        *([f"you said no to {say_count(len(down.boards), 'board')}"] if down.boards else []),
        *([f"{say_count(len(down.dropped), 'owner')} dropped theirs"] if down.dropped else []),
    ]
    parts: list[Part] = [Heading("Turned down"), f"{capital('; '.join(said))}."]
    parts.append(f"Counting an hour each, that took {say_hours(down.hours)}: {cost} at what you want.")
    if down.why:
        why = "; ".join(f"{reason}{f' ({n} times)' if n > 1 else ''}" for reason, n in down.why)
        parts.append(f"Why: {why}.")
    return parts


def _given_back(review: Review) -> list[Part]:
    """What was taken back half done: hours, and what was kept and returned."""
    back, sign = review.given_back, review.currency
    parts: list[Part] = []
    if back.boards:
        rows = tuple(
            (
                one.name,
                short_exactly(one.ended, review.quarter.today),
                say_middle(one.hours),
                say_price(one.charged),
                say_price(one.returned),
                say_price(one.kept),
                "" if one.pay is None else say_pay(one.pay),
            )
            for one in back.boards
        )
        boards = say_count(len(back.boards), "board")
        said = (
            f"{capital(boards)} went back half done, after {say_hours(back.hours)} in all: "
            f"{say_price(back.charged, sign)} charged, {say_price(back.kept, sign)} kept. "
            "Not counted in the pay above."
        )
        parts += [
            said,
            Table(
                ("", "on", "hours", "charged", "returned", "kept", "an hour"),
                rows,
                right=(2, 3, 4, 5, 6),
                boards=tuple(one.board for one in back.boards),
            ),
        ]
    if back.on_ready > 0:
        parts.append(
            f"{say_price(back.on_ready, sign)} was given back on boards made ready, and is taken off the pay above."
        )
    return [Heading("Given back"), *parts] if parts else []


def _owed(review: Review) -> list[Part]:
    """What is owed, and what stands about."""
    if review.owed is None:
        return [Heading("Owed"), "No payment is written in your log, so what is owed can't be told."]
    if not review.owing:
        return []
    today = review.quarter.today
    rows = tuple(
        (
            one.name,
            short_exactly(one.ready, today),
            say_money(one.owed) if one.owed else "paid",
            "" if one.collected else "still here",
        )
        for one in review.owing
    )
    return [
        Heading(f"Owed today: {say_money(review.owed, review.currency)}"),
        Table(("", "ready", "owed", ""), rows, right=(2,), boards=tuple(one.board for one in review.owing)),
    ]


def charge_parts(charges: Sequence[Charge], settings: Settings) -> list[Part]:
    """What I charge for what."""
    shown = [one for one in charges if one.boards]
    if not shown:
        return []
    rows = tuple(
        (
            _each(one, settings),
            range_in_figures(one.hours.low, one.hours.high),
            say_middle(one.set_up) if one.set_up >= 0.25 else "",
            "" if one.materials is None or one.materials < LEAST_SHOWN else say_money(one.materials),
            _charge(one),
            _little(one),
        )
        for one in shown
    )
    sign = settings.workshop.currency
    pay = say_pay(settings.workshop.target_pay, sign)
    return [
        Heading("What I charge for what, guessed"),
        f"One more of each, sound and dry: hours 8 times in 10, then what brings {pay} an hour and pays the materials.",
        Table(("", "hours", "to set up", "materials", "charge", ""), rows, right=(1, 2, 3, 4), guessed=True),
    ]


def _little(charge: Charge) -> str:
    """Why a charge is poorly told: few boards, or by rules of thumb alone."""
    few = [f"only {say_count(charge.boards, 'board')}"] if charge.boards <= FEW_BOARDS else []
    return ", ".join([*few, *(["by rules of thumb"] if charge.by_rules else [])])


def _each(charge: Charge, settings: Settings) -> str:
    """What one of it is."""
    if charge.driver == ONCE:
        return "Every board, whatever is done"
    name = settings.quantity_label(charge.driver)
    return f"{name}, 1 {unit_sign(charge.unit)}" if charge.unit else name


def _charge(charge: Charge) -> str:
    """From so much to so much."""
    low, high = say_money(charge.charge.low), say_money(charge.charge.high)
    return low if low == high else f"{low} to {high}"


def _in_hand(review: Review) -> list[Part]:
    """The work in hand, guessed."""
    if not review.in_hand:
        return []
    end = review.quarter.end
    left = [one.left for one in review.in_hand if one.left is not None]
    rows = tuple(_hand(one, review) for one in review.in_hand)
    when = "now" if end == review.quarter.today else f"on {say_exactly(end, review.quarter.today)}"
    boards = say_count(len(review.in_hand), "board")
    head, ids = ("", "", "worked", "still to work", "ready"), tuple(one.board for one in review.in_hand)
    parts: list[Part] = [
        Heading(f"In hand {when}, guessed: {boards}"),
        Table(head, rows, right=(2, 3), guessed=True, boards=ids),
    ]
    if left:
        parts.append(f"About {say_hours(sum(one.likely for one in left))} still to work.")
    price = [one.price for one in review.in_hand if one.price is not None]
    if price:
        of = "them" if len(price) == len(review.in_hand) else f"{len(price)} of them"
        parts.append(f"Quoted for {of}: {say_money(sum(price), review.currency)}.")
    return parts


def _hand(one: WorkInHand, review: Review) -> tuple[str, ...]:
    """One board in hand."""
    today = review.quarter.end
    ready = "can't be told"
    if one.ready is not None:
        first, last = short_date(one.ready.low, today), short_exactly(one.ready.tell, today)
        ready = first if first == last else f"{first} to {last}"
    left = "can't be told" if one.left is None else range_in_figures(one.left.low, one.left.high)
    return one.name, stands(one), say_middle(one.so_far), left, ready


def stands(one: WorkInHand) -> str:
    """Where a board in hand stands, in the word that the bench has for it; its state where no bench can be told."""
    return label(PLACES[one.on] if one.on else f"state {one.state}")


def _clock(review: Review) -> list[Part]:
    """The quarter's clock and till, apart from the boards made ready in it."""
    if review.quarter.ahead or not (review.made or review.clock.worked or review.till.all):
        return []
    clock, till, sign = review.clock, review.till, review.currency
    worked, both = round_middle(clock.worked), round_middle(clock.both)
    others, none = figures((clock.on_others, clock.on_no_board), worked - both)
    here = f"{say_middle(both)} on boards made ready in it, {others} on others"
    here += f", {none} on no board" if clock.on_no_board > 0 else ""
    parts: list[Part] = [
        Heading("The clock and the till, apart"),
        f"You worked {say_middle(worked)} hours in it: {here}.",
    ]
    if review.made:
        whole = round_middle(clock.of_boards)
        earlier, undated = figures((clock.earlier, clock.undated), whole - both)
        when = f"{say_middle(both)} worked in it, {earlier} on other days"
        tail = f", {undated} on no day that is written" if clock.undated > 0 else ""
        parts.append(f"The boards made ready in it hold {say_middle(whole)} hours: {when}{tail}.")
    if review.payments_written:
        given = f"; {say_money(till.returned)} given back" if till.returned else ""
        other = f", {say_money(till.other)} on no board" if till.other else ""
        parts.append(
            f"Money in: {say_money(till.all, sign)}, of it {say_money(till.deposits)} deposits on new boards and "
            f"{say_money(till.balances)} on boards paid for{other}{given}."
        )
    return parts


def _notes(review: Review) -> list[Part]:
    """What could not be told."""
    return [Heading("What could not be told"), *review.notes] if review.notes else []
