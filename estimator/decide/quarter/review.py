"""A quarter looked back on: what is missing, whether it paid, what was kept, what went over, what to change."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from estimator.bench.calendar import Calendar
from estimator.decide.overruns.overruns import Overruns
from estimator.decide.overruns.parts import BoardOverrun, InAll
from estimator.decide.quarter.accounts import (
    Clock,
    Gaps,
    Owing,
    Till,
    clock_of,
    gaps_of,
    owing,
    payments_written,
    till_of,
)
from estimator.decide.quarter.charges import Charge, charges_of
from estimator.decide.quarter.control_chart import Chart, Landed, chart_of
from estimator.decide.quarter.lost_time import (
    AllGivenBack,
    TurnedDown,
    WaitingTime,
    given_back_in,
    stood_of,
    turned_down,
)
from estimator.decide.quarter.outcomes import Afterwards, Kept, afterwards, dates_kept, hours_kept
from estimator.decide.quarter.pay import (
    COLOUR_GROUPS,
    COLOURS,
    KIND,
    WETNESS,
    Change,
    Made,
    Pay,
    Short,
    between,
    hours_of,
    log_pays,
    made_ready,
    of_span,
    pay_of,
    short_of,
)
from estimator.decide.quarter.suggestions import (
    Suggestion,
    ask_for_money,
    ask_more,
    guess_more,
    mend_rule,
    suggested,
    tell_later,
)
from estimator.decide.quarter.work_in_hand import WorkInHand
from estimator.decide.weigh.worth import overhead_an_hour
from estimator.log.money import with_agreed_prices
from estimator.model.saved_fit import SavedFit
from estimator.record.backtest.track_record import TrackRecord
from estimator.record.rules.verdicts import Verdict, Verdicts
from estimator.words.dates import Quarter
from estimator.words.json_form import JsonForm, named
from estimator.words.records import Board, Log, Rule
from estimator.words.settings.schema import Settings

PAID, JUST_SHORT, SHORT, BELOW_LEAST = "paid", "just short", "short", "below the least"
NEARLY = 0.9  # of the pay wanted, from which on it is just short


@dataclass(frozen=True, slots=True)
class Group(JsonForm):
    """The boards of one group over twelve months, and over the twelve before.

    by: kind, wetness or spray_colours; name: of the group, empty for boards of no sort; quarter: of the quarter alone
    change: of its pay from the one to the other, None where too few boards tell
    over: hours over guessed hours of its boards with a guess, None without any
    """

    by: str
    name: str
    pay: Pay
    before: Pay
    quarter: Pay
    change: Change | None
    over: float | None

    def _json(self) -> dict[str, Any]:
        """As JSON: its own figures on top, `before` and `quarter` beside them."""
        # by hand: its name stands under the sort of comparison, and its pay is not an object of its own
        return {
            self.by: self.name,
            **self.pay.as_dict(),
            "over_guess": self.over,
            "before": self.before,
            "quarter": self.quarter,
            "change": None if self.change is None else self.change.shrunk,
            "how_sure": None if self.change is None else self.change.how_sure,
        }


@dataclass(frozen=True)
class WentOver(InAll):
    """What made the boards of a quarter go over, in hours that add up.

    boards: those with a guess made before and all their hours; left_out: how many others were made ready
    paid_by: of tellings because of hidden work, how often each paid; charged: price charged above that quoted, of
        boards that hid work
    """

    left_out: int
    paid_by: Mapping[str, int]
    charged: float

    @property
    def hid(self) -> tuple[BoardOverrun, ...]:
        """The boards that hid work, to the half hour, most first."""
        hidden = [one for one in self.boards if one.hours["hidden"] >= 0.5]
        return tuple(sorted(hidden, key=lambda one: -one.hours["hidden"]))

    def _json(self) -> dict[str, Any]:
        # by hand: the parts in hours, and how many boards hid work, follow from the boards
        return {
            "boards": self.boards,
            "left_out": self.left_out,
            "guessed": self.guessed,
            "took": self.took,
            "parts": self.hours,
            "hid_work": len(self.hid),
            "paid_by": self.paid_by,
            "charged": self.charged,
        }


@dataclass(frozen=True, slots=True)
class QuarterMoney(JsonForm):
    """The money of the boards that the pay counts, in the shop's currency: each figure is part of the first.

    came_in: their prices; rent: overheads for all their hours; left: what came in less materials and rent
    """

    came_in: float = field(metadata=named("in"))
    materials: float
    rent: float
    left: float


@dataclass(frozen=True)
class Review(JsonForm):
    """A quarter looked back on; money and hours of its boards as they are known today, all else as of its end.

    made: the boards made ready in it, in that order; pay: theirs; overheads: for each hour at the bench
    last_year: pay of the same quarter a year before; quarters: of the last nine, the oldest first
    groups: over twelve months, by kind first; year, year_before: all boards of them
    verdicts: of the restorer's own rules of thumb, None where they could not be told
    decided: boards that were thought over, looked at afterwards
    in_hand: at the end of the quarter, or today; owing: boards ready by then, owed on or not fetched today
    chart: None without a track record; notes: what could not be told, and why
    """

    quarter: Quarter
    currency: str
    wanted: float
    least: float
    made: tuple[Made, ...]
    gaps: Gaps
    pay: Pay
    overheads: float
    last_year: Pay
    quarters: tuple[tuple[str, Pay], ...]
    short: Short | None
    hours_kept: Kept
    dates_kept: Kept
    went_over: WentOver | None
    stood: tuple[WaitingTime, ...]
    suggestions: tuple[Suggestion, ...]
    groups: tuple[Group, ...]
    year: Pay
    year_before: Pay
    verdicts: tuple[Verdict, ...] | None
    turned_down: TurnedDown
    given_back: AllGivenBack
    owing: tuple[Owing, ...]
    payments_written: bool
    charges: tuple[Charge, ...]
    in_hand: tuple[WorkInHand, ...]
    decided: Afterwards
    clock: Clock
    till: Till
    chart: Chart | None
    notes: tuple[str, ...] = ()

    @property
    def verdict(self) -> str | None:
        """Whether it paid, in a word; None where no board tells."""
        if self.pay.all is None:
            return None
        if self.pay.all >= self.wanted:
            return PAID
        if self.pay.all < self.least:
            return BELOW_LEAST
        return JUST_SHORT if self.pay.all >= NEARLY * self.wanted else SHORT

    @property
    def after_overheads(self) -> float | None:
        """Pay an hour after rent and power."""
        return None if self.pay.all is None else self.pay.all - self.overheads

    @property
    def money(self) -> QuarterMoney | None:
        """What came in for the boards that count, and what is left of it; None where none counts."""
        pay = self.pay
        if pay.all is None:
            return None
        rent = self.overheads * pay.counted_hours
        return QuarterMoney(pay.counted_income, pay.counted_income - pay.brought, rent, pay.brought - rent)

    @property
    def owed(self) -> float | None:
        """All that is owed on boards ready by the end of the quarter; None where no payment is ever written."""
        return math.fsum(one.owed or 0.0 for one in self.owing) if self.payments_written else None

    @property
    def by_kind(self) -> tuple[Group, ...]:
        """The groups by kind."""
        return tuple(group for group in self.groups if group.by == "kind")

    def _json(self) -> dict[str, Any]:
        """The JSON of `quarter`, numbers unrounded."""
        # by hand: the quarter's own figures stand on top, and what follows from them beside them
        return {
            "quarter": self.quarter.name,
            "first": self.quarter.first,
            "last": self.quarter.last,
            "looked_at_until": self.quarter.end,
            "running": self.quarter.running,
            "boards": self.pay.boards,
            "hours": self.pay.hours,
            "income": self.pay.income,
            "materials": self.pay.materials,
            "pay_per_hour": self.pay.per_hour,
            "counted": {
                "boards": self.pay.counted,
                "hours": self.pay.counted_hours,
                "brought": self.pay.brought,
            },
            "money": self.money,
            "verdict": self.verdict,
            "wanted": self.wanted,
            "least": self.least,
            "overheads_per_hour": self.overheads,
            "after_overheads": self.after_overheads,
            "short": self.short,
            "missing": self.gaps,
            "kept": {"hours": self.hours_kept, "dates": self.dates_kept},
            "went_over": self.went_over,
            "waits": self.stood,
            "suggestions": self.suggestions,
            "by_kind": self.by_kind,
            "by_group": [group for group in self.groups if group.by != "kind"],
            "year": self.year,
            "year_before": self.year_before,
            "same_quarter_last_year": self.last_year,
            "quarters": [{"quarter": name, **pay.as_dict()} for name, pay in self.quarters],
            "rules": None if self.verdicts is None else [_rule(one) for one in self.verdicts],
            "turned_down": self.turned_down,
            "given_back": self.given_back,
            "owed": self.owed,
            "owing": self.owing,
            "charges": self.charges,
            "in_hand": self.in_hand,
            "decided": self.decided.as_dicts(),
            "clock": self.clock,
            "till": self.till,
            "chart": self.chart,
            "each": self.made,
            "notes": self.notes,
        }


def _rule(verdict: Verdict) -> dict[str, Any]:
    """A verdict as far as the quarter needs it."""
    return {
        "name": verdict.name,
        "verdict": verdict.verdict,
        "looks": verdict.looks,
        "inside": verdict.inside,
        "below": verdict.below,
        "above": verdict.above,
        "of": verdict.of,
    }


HIDDEN_WORK = "hidden work"
QUARTERS = 9  # that are shown: this one, the same of a year ago and two years ago, and those between


@dataclass(frozen=True)
class Known:
    """What a quarter is looked back on with; None where it cannot be told.

    now: the log as it is known today
    then, rules: log and rules of thumb as they stood at the quarter's end, as are fit, what was in hand, verdicts,
        overruns and record; notes: why anything of it is None, in words
    """

    now: Log
    then: Log
    settings: Settings
    rules: tuple[Rule, ...]
    fit: SavedFit | None = None
    in_hand: tuple[WorkInHand, ...] = ()
    record: TrackRecord | None = None
    verdicts: Verdicts | None = None
    overruns: Overruns | None = None
    notes: Sequence[str] = ()


def review_of(quarter: Quarter, known: Known, *, seed: int = 0) -> Review:
    """Everything that `quarter` says."""
    now, then, settings = with_agreed_prices(known.now), known.then, known.settings
    shop = settings.workshop
    made = made_ready(now, settings, hours_of(now, settings))
    made = tuple(one for one in made if one.ended <= quarter.end)
    its, year = of_span(made, quarter.span), of_span(made, quarter.twelve_months())
    before = of_span(made, quarter.twelve_months(1))
    owed = owing(now.by_id, made)
    own = None if known.verdicts is None else tuple(v for v in known.verdicts.rules if not v.lent)
    return Review(
        quarter=quarter,
        currency=shop.currency,
        wanted=shop.target_pay,
        least=shop.floor_pay,
        made=its,
        gaps=gaps_of(now, its, owed, quarter, Calendar.of(settings.bench)),
        pay=pay_of(its),
        overheads=overhead_an_hour(now, settings, quarter.end).an_hour,
        last_year=pay_of(of_span(made, quarter.before(4).span)),
        quarters=_quarters(quarter, made),
        short=short_of(its, shop.target_pay),
        hours_kept=hours_kept(now, its),
        dates_kept=dates_kept(now, its),
        went_over=_went_over(known, its),
        stood=stood_of(then, quarter),
        suggestions=_suggestions(quarter, known, year, owed, own or ()),
        groups=_groups(its, year, before, settings),
        year=pay_of(year),
        year_before=pay_of(before),
        verdicts=own,
        turned_down=turned_down(then, quarter.span),
        given_back=given_back_in(now, settings, its, (quarter.first, quarter.end)),
        owing=owed,
        payments_written=payments_written(now.boards),
        charges=() if known.fit is None else charges_of(known.fit, settings, known.rules, seed=seed),
        in_hand=known.in_hand,
        decided=afterwards(now, settings, made, quarter.span),
        clock=clock_of(now.entries, its, quarter.span),
        till=till_of(now, settings, its, quarter.span),
        chart=_chart(quarter, known),
        notes=tuple(known.notes),
    )


def _quarters(quarter: Quarter, made: Sequence[Made]) -> tuple[tuple[str, Pay], ...]:
    """Pay of the last quarters, from the first of them in which a board was made ready."""
    spans = [quarter.before(back) for back in reversed(range(QUARTERS))]
    pays = [(one.name, pay_of(of_span(made, one.span))) for one in spans]
    first = next((at for at, (_, pay) in enumerate(pays) if pay.boards), len(pays) - 1)
    return tuple(pays[first:])


def _went_over(known: Known, made: Sequence[Made]) -> WentOver | None:
    """What made the boards of the quarter go over."""
    if known.overruns is None:
        return None
    ids = {one.board for one in made}
    boards = tuple(one for one in known.overruns.boards if one.board in ids)
    told = [t.paid_by for t in known.now.told if t.board in ids and t.because == HIDDEN_WORK]
    charged = 0.0
    for board in (known.now.by_id[one.board] for one in boards if one.hidden > 0):
        if board.price_charged is not None and board.price_quoted is not None:
            charged += board.price_charged - board.price_quoted
    return WentOver(boards, len(made) - len(boards), Counter(told), charged)


def _groups(
    its: Sequence[Made], year: Sequence[Made], before: Sequence[Made], settings: Settings
) -> tuple[Group, ...]:
    """By kind, by how wet boards were and by colours: twelve months, the twelve before, the quarter."""
    found: list[Group] = []
    for by in (KIND, WETNESS, COLOURS):
        parts = [_parted(some, by) for some in (year, before, its)]
        names = dict.fromkeys((*_in_order(by, settings), *(n for part in parts for n in sorted(part))))
        logs = log_pays({(at, name): some for at in (0, 1) for name, some in parts[at].items()})
        for name in names:
            now, then, of_quarter = (part.get(name, []) for part in parts)
            if not (now or then or of_quarter):
                continue
            guessed = [one for one in now if one.guess and one.whole]
            hours = sum(one.guess or 0.0 for one in guessed)
            found.append(
                Group(
                    by=by,
                    name=name,
                    pay=pay_of(now),
                    before=pay_of(then),
                    quarter=pay_of(of_quarter),
                    change=between(logs.get((0, name)), logs.get((1, name))),
                    over=sum(one.hours for one in guessed) / hours if hours else None,
                )
            )
    return tuple(found)


def _in_order(by: str, settings: Settings) -> Sequence[str]:
    """The names of groups in the order in which they are shown."""
    if by == KIND:
        return tuple(settings.kinds)
    if by == WETNESS:
        return settings.modifiers[WETNESS].grades if WETNESS in settings.modifiers else ()
    return COLOUR_GROUPS


def _parted(made: Sequence[Made], by: str) -> dict[str, list[Made]]:
    """The boards by their group; those of which it is not known are in none, but for boards of no kind."""
    parts: dict[str, list[Made]] = defaultdict(list)
    for one in made:
        if by in one.groups:
            parts[one.groups[by]].append(one)
    return parts


def _suggestions(
    quarter: Quarter, known: Known, year: Sequence[Made], owed: Sequence[Owing], verdicts: Sequence[Verdict]
) -> tuple[Suggestion, ...]:
    """What to change, by twelve months of boards."""
    kinds = _parted(year, KIND)
    pays = {kind: pay_of(some) for kind, some in kinds.items()}
    short = short_of(year, known.settings.workshop.target_pay)
    more = ask_more(pays, log_pays(kinds), known.settings, short)
    return suggested(
        (
            more,
            guess_more(year) if more is None else None,  # both at once would ask for the same money twice
            tell_later(dates_kept(known.now, year)),
            mend_rule(verdicts),
            ask_for_money(owed, quarter.today, known.settings.workshop.currency),
        )
    )


def _chart(quarter: Quarter, known: Known) -> Chart | None:
    """The boards as they landed in their forecasts, up to the end of the quarter."""
    if known.record is None:
        return None
    boards = {board.board: board for board in known.now.boards}
    landed = []
    for name, day, score in known.record.landed:
        board = boards.get(name, Board(name))
        landed.append(Landed(name, board.called, day, score, known=board.known))
    return chart_of(landed, quarter.first.isoformat(), quarter.end.isoformat())
