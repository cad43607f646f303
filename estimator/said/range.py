"""The answer to "how many hours" as a restorer reads it: sentences, stages, why, money, boards like it."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping

from estimator.bench.promises import SPAN
from estimator.forecast.ranges import INK_FROM, Outside, Price, Range, StageRange
from estimator.model.saved_fit import UNPLANNED
from estimator.record.backtest.track_record import ENOUGH
from estimator.said.looks import looked_words
from estimator.said.parts import Action, Heading, Part, Table
from estimator.said.told import tell_owner
from estimator.words.dates import say_day, say_exactly, the_date
from estimator.words.labels import label
from estimator.words.measures import say_length
from estimator.words.money import LENT, say_money, say_price, say_span
from estimator.words.odds import say_chance, say_odds
from estimator.words.phrases import (
    capital,
    inside,
    round_hours,
    round_middle,
    say_from,
    say_hours,
    say_middle,
    say_range,
    say_stretch,
    say_value,
    shown_to_add_up,
)
from estimator.words.settings.schema import ONCE, Settings


def by_rules(stages: Iterable[str], settings: Settings) -> Iterable[str]:
    """Which stages' own hours rest on rules of thumb, though the log tells of whole boards."""
    named = [inside(settings.label(stage)) for stage in stages]
    if named and len(named) == len(settings.stages):
        yield "How the hours divide among the stages comes from rules of thumb: your log says little about it."
    elif named:
        yield f"Your log says little about {', '.join(named)}: those hours come from rules of thumb."


def money_words(answer: Range, settings: Settings, *, done: bool = False) -> Iterable[str]:
    """What materials cost, and the price that pays what one wants; done: it is known, and no matter of odds."""
    currency = settings.workshop.currency
    if answer.materials is None or answer.price is None:
        return
    lent = LENT if answer.materials.lent else ""
    span = say_span(answer.materials.low, answer.materials.high, currency)
    yield f"Materials {span}{lent}.{_pays(answer.price, currency, done=done)}"


def _pays(price: Price, currency: str, *, done: bool) -> str:
    """The price that pays what one wants; nothing where nothing is wanted."""
    if not price.target:
        return ""
    odds = "" if done else f" {say_odds(price.odds)}"
    return f" {say_money(price.for_target, currency)} pays you {say_price(price.target)} an hour{odds}."


WIDER = 1.05  # times, below which nobody would see it
NAMED = 8  # reasons that have a line of their own
OTHER_REASONS = {
    ONCE: "Setting up, all stages together",
    UNPLANNED: "Work that nobody had planned",
    "booked": "Finished stages, as booked",
    "guess": "Your own guess",
}
LENGTH = "length"


def range_parts(answer: Range, settings: Settings, name: str, today: dt.date | None = None) -> list[Part]:
    """Everything that `range` says of a board, in the order in which a restorer wants it.

    name: what the board is called, or how it was described; today: days far from it are said less exactly
    """
    head = Heading(f"{name}, {label(f'view {answer.view}')}", level=1)
    if all_done(answer):
        hours = say_middle(answer.likely)
        booked = (
            f"{hours} {'hour is' if hours in {'½', '1'} else 'hours are'} booked, and nothing is left to do."
        )
        money = money_words(answer, settings, done=True)
        return [
            head,
            booked,
            *money,
            *_ready(answer, today),
            *_guess(answer),
            *_passed(answer),
            *_alike(answer),
        ]
    return [
        head,
        headline(answer),
        rests_on(answer),
        *_unused(answer),
        *stretch_words(answer),
        *money_words(answer, settings),
        *_ready(answer, today),
        *_guess(answer),
        *_over(answer),
        *_warnings(answer, settings),
        *_stages(answer, settings),
        *_why(answer, settings),
        *_alike(answer),
        *_record_next(answer),
    ]


def _look_next(answer: Range, settings: Settings) -> str:
    """What to look at next, by the hours that its answer would take off the range; or that it is not worth it."""
    if not answer.look_next:
        return "None of these, once known, would make the range an hour narrower."
    worth = [
        f"{settings.quantity_label(n.driver).lower()}, {say_hours(n.narrows_hours)}"
        for n in answer.look_next[:3]
    ]
    return f"Worth finding out first, by how much narrower the range would be: {'; '.join(worth)}."


def headline(answer: Range) -> str:
    """The range in one sentence; "guessed" where fewer than a dozen of the restorer's boards stand behind it."""
    hours = say_range(answer.low, answer.high)
    said = f"guessed: {hours}" if guessed(answer) else hours
    return f"{capital(said)}, {say_odds(answer.odds)}; half take more than {say_middle(answer.likely)}."


def rests_on(answer: Range) -> str:
    """From how many boards and rules of thumb, or from the restorer's own guess."""
    if answer.stages:
        return _sentence(say_from(answer.boards, answer.rules, answer.lent))
    past = f", and how {answer.boards} of your guesses turned out" if answer.boards else ""
    return f"From your own guess alone{past}."


def _unused(answer: Range) -> Iterable[Part]:
    """How many finished boards teach nothing, and where to see what is missing on them."""
    if answer.unused:
        wait = "board waits" if answer.unused == 1 else "boards wait"
        on = "it" if answer.unused == 1 else "them"
        yield f"{answer.unused} finished {wait} unused: nobody wrote what was done on {on}. The cells to fill:"
        yield Action("check")


def stretch_words(answer: Range) -> Iterable[str]:
    """By what the range is widened or narrowed for how past ranges went, and of which day that record is."""
    if said := say_stretch(*answer.stretch):
        day = answer.stretch_day
        yield f"{said} So says the record of {say_day(dt.date.fromisoformat(day))}." if day else said


def _ready(answer: Range, today: dt.date | None) -> Iterable[str]:
    """When the board will be ready, for one not taken on if its owner says yes; and the day to tell the owner."""
    if answer.ready is None:
        return
    seen_from = today or answer.ready.low
    low, high = (the_date(max(day, seen_from), seen_from) for day in (answer.ready.low, answer.ready.high))
    when = f"about {low}" if low == high else f"between {low} and {high}"
    yes = answer.ready.say_yes_by
    condition = f", if the owner says yes by {say_exactly(yes, seen_from)}" if yes else ""
    yield f"Ready {when}, {say_odds(SPAN)}{condition}; {tell_owner(answer.ready.tell, seen_from)}."


def _record_next(answer: Range) -> Iterable[Part]:
    """Where to see how past ranges went, while nobody has looked and there is something to see."""
    if not answer.stretch_day and answer.stages and answer.boards >= ENOUGH:
        yield "Did past ranges hold? See for yourself:"
        yield Action("record")


def all_done(answer: Range) -> bool:
    """Whether every stage is finished, so that its hours are known."""
    return answer.view == "now" and all(stage.done for stage in answer.stages)


def guessed(answer: Range) -> bool:
    """Whether the answer is pencil, not ink."""
    return answer.boards < INK_FROM


def _shown(hours: float) -> str:
    """Hours in a table."""
    return "under ½" if hours > 0 and not round_hours(hours) else say_middle(round_hours(hours))


def _sentence(text: str) -> str:
    """The same as a sentence."""
    return capital(text) + ("" if text.endswith(".") else ".")


def _guess(answer: Range) -> Iterable[str]:
    """The restorer's own guess, and the chance that it takes more, while that is open."""
    if answer.guess is not None:
        more = "" if answer.chance_beyond_guess is None else say_chance(answer.chance_beyond_guess)
        known = f" Chance that it takes more: {more}." if more and not all_done(answer) else ""
        yield f"You said {say_middle(answer.guess)} hours.{known}"


def _passed(answer: Range) -> Iterable[str]:
    """Whether a board with all its hours booked passed each number of hours asked about."""
    for hours, chance in answer.over.items():
        yield f"That is {'more' if chance else 'no more'} than {say_value(float(hours))} hours."


def _over(answer: Range) -> Iterable[str]:
    """The chance to pass each number of hours asked about, and what is booked already."""
    so_far = math.fsum(stage.so_far for stage in answer.stages)
    for hours, chance in answer.over.items():
        asked = f"more than {say_value(float(hours))} hours"
        if so_far > float(hours):
            yield f"It has taken {asked}: {say_middle(so_far)} are booked already."
        else:
            yield f"Chance that it takes {asked}: {say_chance(chance)}."
    if so_far:
        yield f"Booked so far, and among these hours: {say_middle(so_far)}."


def _warnings(answer: Range, settings: Settings) -> Iterable[str]:
    """Where the board lies outside past experience, what is not known, and what was worked out."""
    for one in answer.outside:
        if one.how == "beyond":
            yield _beyond(one, settings)
    if answer.widened >= WIDER:
        yield f"What lies beyond your log makes this range {5 * round(20 * (answer.widened - 1))} % wider."
    if not answer.settled:
        yield (
            "This range is not settled: worked out once more it might differ. More boards with hours by stage, or a "
            "rule of thumb for every stage, settle it."
        )
    mixed = [one for one in answer.outside if one.how != "beyond"]
    if mixed:
        yield f"{capital(label('together'))}: {', '.join(_amount(o, o.value, settings) for o in mixed)}."
    if answer.unknown:
        yield f"Not known yet, so counted as such boards usually have it: {_names(answer.unknown, settings)}."
        yield _look_next(answer, settings)
    if answer.looked_so is not None:
        yield looked_words(answer.looked_so, settings)
    if answer.taken_as_none:
        names = _names(answer.taken_as_none, settings)
        yield f"Not said, and so counted as none: {names}. Say {answer.taken_as_none[0]}=? where you can't tell."
    if answer.worked_out:
        yield f"Worked out from length and width: {_names(answer.worked_out, settings)}."


def _beyond(one: Outside, settings: Settings) -> str:
    """The warning for one driver that is more than was ever written down, or less."""
    most, least = ("longest", "shortest") if one.driver == LENGTH else ("most", "least")
    if one.seen_high == 0:
        word, so_far = "new to your log", "none so far"
    elif one.value > one.seen_high:
        word, so_far = label("beyond"), f"{most} so far {_value(one.driver, one.seen_high, settings)}"
    else:
        word = label("beyond below")
        so_far = f"{least} so far {_value(one.driver, one.seen_low, settings)}"
    return f"{capital(word)}: {_amount(one, one.value, settings)} ({so_far})."


def _amount(one: Outside, value: float, settings: Settings) -> str:
    """A driver with its value."""
    return f"{inside(settings.quantity_label(one.driver))} {_value(one.driver, value, settings)}"


def _value(driver: str, value: float, settings: Settings) -> str:
    """A driver's value in its unit."""
    if driver == LENGTH and driver not in settings.drivers:
        return say_length(value)
    return say_value(value, settings.drivers[driver].unit if driver in settings.drivers else "")


def _names(quantities: Iterable[str], settings: Settings) -> str:
    """Quantities by their labels."""
    return ", ".join(inside(settings.quantity_label(name)) for name in quantities)


def _stages(answer: Range, settings: Settings) -> Iterable[Part]:
    """The stages in order of work, each with its range."""
    if not answer.stages:
        return
    begun = any(stage.so_far for stage in answer.stages)
    usual = [stage for stage in answer.stages if stage.high > 0 or stage.done]
    seldom = [stage.stage for stage in answer.stages if stage not in usual]
    head = ("Stage", *(("so far",) if begun else ()), "low", label("likely"), "high")
    rows = tuple(_stage_row(stage, settings, begun=begun) for stage in usual)
    yield Heading(f"Hours by stage, each {say_odds(answer.odds)}")
    yield Table(head, rows, right=tuple(range(1, len(head))), guessed=guessed(answer))
    if seldom:
        names = ", ".join(inside(settings.label(stage)) for stage in seldom)
        yield f"Seldom needed, but counted in the whole: {names}."
    if answer.passed_by:
        names = ", ".join(inside(settings.label(stage)) for stage in answer.passed_by)
        yield (
            f"No hours are written for {names}, and later work is begun: counted as over, with no hours. Write them "
            "if there were any."
        )
    yield from by_rules(answer.by_rules, settings)
    yield "Neither the lows nor the highs add up to the whole: no board is quick, or slow, at everything."


def _stage_row(stage: StageRange, settings: Settings, *, begun: bool) -> tuple[str, ...]:
    """One stage: what was booked on it where any was, and its range unless it is done."""
    so_far = ((say_middle(stage.so_far) if stage.so_far else "-"),) if begun else ()
    if stage.done:
        return (f"{settings.label(stage.stage)}, done", *so_far, "", "", "")
    return (settings.label(stage.stage), *so_far, _shown(stage.low), _shown(stage.likely), _shown(stage.high))


def _why(answer: Range, settings: Settings) -> Iterable[Part]:
    """The largest reasons, each over all stages, the rest in one line, and the even chance that they add up to."""
    hours: dict[str, float] = {}
    for reason in answer.reasons:
        hours[reason.driver] = hours.get(reason.driver, 0.0) + reason.hours
    if len(hours) < 2:
        return
    largest = sorted(hours, key=lambda driver: -abs(hours[driver]))
    named = largest if len(largest) == NAMED + 1 else largest[:NAMED]
    lines = [(_reason(driver, settings), hours[driver]) for driver in named]
    if rest := largest[len(named) :]:
        lines.append((f"{len(rest)} smaller reasons together", math.fsum(hours[driver] for driver in rest)))
    total = round_middle(math.fsum(hours.values()))
    shown = shown_to_add_up([true for _, true in lines], total)
    rows = [
        (text, say_middle(at) if at else _shown(true)) for (text, true), at in zip(lines, shown, strict=True)
    ]
    rows.append((capital(label("likely")), say_middle(total)))
    yield Heading(f"Why {say_middle(total)} hours")
    yield Table(("", ""), tuple(rows), right=(1,), guessed=guessed(answer), total=True)


def _reason(driver: str, settings: Settings) -> str:
    """A reason by its label."""
    return OTHER_REASONS.get(driver) or settings.quantity_label(driver)


def _alike(answer: Range) -> Iterable[Part]:
    """Past boards most like it, what they took and what differed."""
    if not answer.alike:
        return
    rows = tuple((past.called or past.board, say_middle(past.hours), past.differs) for past in answer.alike)
    yield Heading(capital(label("alike")))
    head, boards = ("Board", "hours", "what differed"), tuple(past.board for past in answer.alike)
    yield Table(head, rows, right=(1,), boards=boards)


def name_of(called: str | None, changed: Mapping[str, str], settings: Settings) -> str:
    """What a board is called, with the values that were set on it; called: None for one that was described."""
    name = called or "A board as you describe it"
    if not changed:
        return name
    said = {of: "not known" if value == "?" else value for of, value in changed.items()}
    return f"{name} with {', '.join(f'{settings.quantity_label(of).lower()} {v}' for of, v in said.items())}"
