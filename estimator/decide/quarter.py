"""A quarter looked back on: what is missing, whether it paid, what was kept, what made boards go over, what to change.

Money and hours of the boards made ready in it are as they are known today: what is paid later, or worked on a board
after it was ready, is its own all the same. Forecasts, states, waits and rules of thumb are as of the quarter's end.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from estimator.bench.calendar import Calendar
from estimator.bench.outlook import Outlook
from estimator.decide.afterwards import afterwards
from estimator.decide.change import between, log_pays
from estimator.decide.charges import charges_of
from estimator.decide.control import Chart, Landed, chart_of
from estimator.decide.gaps import gaps_of
from estimator.decide.in_hand import in_hand_of
from estimator.decide.kept import dates_kept, hours_kept
from estimator.decide.overruns import BoardOverruns
from estimator.decide.pay import (
    COLOUR_GROUPS,
    COLOURS,
    KIND,
    WETNESS,
    Made,
    Pay,
    hours_of,
    made_ready,
    of_span,
    pay_of,
    short_of,
)
from estimator.decide.periods import Quarter
from estimator.decide.review import Group, Review, WentOver
from estimator.decide.stood import stood_of, turned_down
from estimator.decide.suggestions import (
    Suggestion,
    ask_for_money,
    ask_more,
    guess_more,
    mend_rule,
    suggested,
    tell_later,
)
from estimator.decide.till import Owing, clock_of, owing, payments_written, till_of
from estimator.decide.worth import overhead_an_hour
from estimator.forecast.stretched import UNSTRETCHED, Stretch
from estimator.model.saved_fit import SavedFit
from estimator.record.track_record import TrackRecord
from estimator.record.verdicts import Verdict, Verdicts
from estimator.words.records import Log
from estimator.words.rules import Rule
from estimator.words.settings import Settings

HIDDEN_WORK = "hidden work"
QUARTERS = 9  # that are shown: this one, the same of a year ago and two years ago, and those between


@dataclass(frozen=True)
class Known:
    """What a quarter is looked back on with; None where it cannot be told.

    now, record: the log, and how past ranges went, as they are known today; each range of the record was made of what
        was known before its board was quoted, and only boards finished by the quarter's end are looked at
    then, rules: log and rules of thumb as they stood at the quarter's end, as are fit, outlook, verdicts, overruns and
        stretch; notes: why anything of it is None, in words
    """

    now: Log
    then: Log
    settings: Settings
    rules: tuple[Rule, ...]
    fit: SavedFit | None = None
    outlook: Outlook | None = None
    record: TrackRecord | None = None
    verdicts: Verdicts | None = None
    overruns: BoardOverruns | None = None
    stretch: Stretch = UNSTRETCHED
    notes: Sequence[str] = ()


def review_of(quarter: Quarter, known: Known, *, seed: int = 0) -> Review:
    """Everything that `quarter` says."""
    now, then, settings = known.now, known.then, known.settings
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
        owing=owed,
        payments_written=payments_written(now.boards),
        charges=() if known.fit is None else charges_of(known.fit, settings, known.rules, seed=seed),
        in_hand=()
        if known.fit is None
        else in_hand_of(
            then, settings, known.fit, known.outlook, today=quarter.end, stretch=known.stretch, seed=seed
        ),
        decided=afterwards(now, settings, made, quarter.span),
        clock=clock_of(now.entries, its, quarter.span),
        till=till_of(now.boards, its, quarter.span),
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
    called = {board.board: board.called for board in known.now.boards}
    landed = [Landed(board, called.get(board, ""), day, score) for board, day, score in known.record.landed]
    return chart_of(landed, quarter.first.isoformat(), quarter.end.isoformat())
