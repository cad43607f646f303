"""Who has been nearer, in words and, for a statistician, in scores."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from estimator.record.backtest.track import COMMON_FINDING, FEWEST, GUESS_ODDS
from estimator.record.backtest.track_record import ENOUGH, REGRESSION, Calibration, Count, Rival, TrackRecord
from estimator.said.parts import Heading, Part, Table
from estimator.words.labels import label
from estimator.words.odds import say_chance, say_odds
from estimator.words.phrases import (
    NOTHING,
    capital,
    round_hours,
    say_count,
    say_hours,
    say_middle,
    say_times,
    say_value,
)

COUNTED = "Hours off count from the middle of a range, which half of boards pass, or from the one number of a guess."
SCORED = (
    "Whole ranges have a score of their own, in hours, the lower the better: a narrow range that holds scores lower "
    "than a wide one. One number alone scores the hours that it is off."
)


def nearer_parts(rivals: Sequence[Rival], *, scores: bool = True) -> list[Part]:
    """Each other way of saying hours against ours; that ours is no better comes first.

    scores: how whole ranges scored, too
    """
    judged = [rival for rival in rivals if rival.of >= ENOUGH]
    few = [rival for rival in rivals if rival.of < ENOUGH]
    if not rivals:
        return []
    parts: list[Part] = [Heading("Who has been nearer?")]
    no_better = [rival for rival in judged if _even(rival) or rival.off < rival.our_off]
    if no_better:
        parts.append(f"{no_nearer_words(no_better)}.")
    elif judged:
        parts.append("These ranges have been nearer, on average, than every other way here.")
    parts += [nearer_words(rival) for rival in judged]
    if judged:
        parts.append(COUNTED)
    if judged and scores:
        parts += [SCORED, scores_of(judged)]
    if any(rival.name == REGRESSION for rival in judged):
        parts.append("Plain regression is the textbook formula from what there was to do.")
    parts += [f"Against {label(r.name)}: only {say_count(r.of, 'board')}." for r in few]
    return parts


def no_nearer_words(rivals: Sequence[Rival]) -> str:
    """Than which other ways of saying hours ours has been no better."""
    return f"These ranges have been no nearer than {_all([label(rival.name) for rival in rivals])}"


def nearer_words(rival: Rival) -> str:
    r"""One other way against ours: on how many boards ours was nearer, by how much, and how sure that is.

    >>> both = {"off": 9.0, "our_off": 7.0, "closer": 31, "off_chance": 0.9}
    >>> one = Rival("own guess", 45, 33, crps=9, ours=5, gain=4, gain_low=1, gain_high=6, chance=0.9, **both)
    >>> print(nearer_words(one).replace(". ", ".\n"))
    Against your own guess: nearer on 31 of 45 boards; 7 hours off on average, not 9.
    Chance that this is luck: 1 time in 10.
    """
    on = f"Against {label(rival.name)}: nearer on {rival.closer} of {say_count(rival.of, 'board')}"
    ours, theirs = say_middle(rival.our_off), say_middle(rival.off)
    if _even(rival) or ours == theirs:
        return f"{on}, and on average just as far off."
    luck = 1 - rival.off_chance if rival.off > rival.our_off else rival.off_chance
    off = f"{say_hours(rival.our_off)} off on average, not {theirs}"
    return f"{on}; {off}. Chance that this is luck: {say_chance(luck)}."


def scores_of(rivals: Sequence[Rival]) -> Table:
    """How whole ranges scored, each other way's and ours, on the boards that both can be judged on."""
    rows = tuple(
        (
            capital(label(rival.name)),
            str(rival.of),
            say_value(round(rival.crps, 1)),
            say_value(round(rival.ours, 1)),
        )
        for rival in rivals
    )
    return Table(("Score", "boards", "it", "these ranges"), rows, right=(1, 2, 3))


def _even(rival: Rival) -> bool:
    """Whether neither is nearer by as much as is shown."""
    return round_hours(rival.off - rival.our_off) == 0


def guess_parts(own: Calibration) -> list[Part]:
    """How the restorer's own guesses went, kindly and exactly."""
    parts: list[Part] = [Heading("Your own guesses"), *_guesses(own)]
    if own.from_memory:
        parts.append(f"Left out: {say_count(own.from_memory, 'guess')} that you remembered afterwards.")
    if own.undated:
        parts.append(
            f"Left out: {say_count(own.undated, 'guess')} without a quote date, so nobody knows from when."
        )
    return parts


def _guesses(own: Calibration) -> Iterable[str]:
    """What past guesses come to; not judged where they look filled in afterwards."""
    if own.suspicious:
        yield (
            f"{own.copied} of {say_count(own.of, 'guess')} equal what the board took: they look filled in "
            "afterwards, so they are not judged."
        )
        return
    if own.of == 0:
        yield "No finished board has a guess that you wrote before."
        return
    if own.of < ENOUGH or own.usual is None:
        yield f"Guesses that you wrote before: only {say_count(own.of, 'finished board')} so far."
        return
    runs = "" if abs(own.usual - 1) < NOTHING else f": your guesses run {'low' if own.usual > 1 else 'high'}"
    yield f"Boards usually take {say_times(own.usual)} you guess{runs}."
    yield f"{own.within} of {own.of} boards came within a quarter of what you guessed."
    if own.copied >= FEWEST:
        yield f"{own.copied} guesses equal what the board took, to the half hour. Were they written before?"
    if own.ranges:
        yield f"Where you guessed a low and a high, {own.held} of {own.ranges} landed between."
        yield from _own_ranges(own)


def _own_ranges(own: Calibration) -> Iterable[str]:
    """What luck says of guessed lows and highs, and how much wider they would have to be."""
    if own.band is not None:
        yield f"If those are to hold {say_odds(GUESS_ODDS)}, luck alone gives {own.band[0]} to {own.band[1]}."
    if own.too_narrow is not None and own.too_narrow > 1.05:
        times = say_value(float(f"{own.too_narrow:.2g}"))
        said, least, most = COMMON_FINDING
        yield f"They'd have to be {times} times as wide."
        yield (
            f"You are not alone: experts' ranges that are to hold {say_odds(said)} commonly hold "
            f"{10 * least:.0f} or {10 * most:.0f} times in 10."
        )


def _all(names: Sequence[str]) -> str:
    """Names in a row, with "or" before the last."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


HOURS = "Means over boards, in hours, the less the better; bias: mean of log(actual / median forecast)."
BANDS = "“Luck alone” is the exact binomial band, 19 in 20; boards in hand together are not independent."
GAIN = "gain = their CRPS − ours, with its 80 % t-interval over boards; P: one-sided, that it is above 0."
SOURCE = "Jørgensen, Teigen & Moløkken (2004), Journal of Systems and Software 70:79-93."


def number_parts(record: TrackRecord) -> list[Part]:
    """Everything that is left off the restorer's page."""
    shown, raw = record.shown, record.raw
    scores = (
        ("interval score, 0.8", _figure(shown.interval_score), _figure(raw.interval_score)),
        ("CRPS", _figure(shown.crps), _figure(raw.crps)),
        ("bias", _figure(shown.bias, 3), _figure(raw.bias, 3)),
        *(
            (f"coverage at {count.odds:g}", _share(count), _share(before))
            for count, before in zip(shown.held, raw.held, strict=True)
        ),
    )
    return [
        Heading("For a statistician"),
        Table(("", "stretched", "raw"), scores, right=(1, 2)),
        HOURS,
        BANDS,
        *_rivals(record.rivals),
        f"Stretch of log distances from the median: {_stretch(record.stretch, record.learned_from)}.",
        *(
            [f"The same of days: {_stretch(record.stretch_of_dates, record.dates_from)}."]
            if record.dates_from
            else []
        ),
        *_own(record.calibration),
    ]


def _stretch(factors: tuple[float, float], boards: int) -> str:
    """Both factors, and from how many boards they are learned."""
    low, high = factors
    return f"{low:.3f} below, {high:.3f} above; n = {boards}"


def _rivals(rivals: Sequence[Rival]) -> list[Part]:
    """Every rival's scores beside ours on the same boards."""
    if not rivals:
        return []
    points = tuple(
        (
            rival.name,
            str(rival.of),
            str(rival.nearer),
            _figure(rival.crps),
            _figure(rival.ours),
            _figure(rival.gain),
            f"{_figure(rival.gain_low)} to {_figure(rival.gain_high)}",
            f"{rival.chance:.3f}" if rival.chance < 0.9995 else "> .999",
        )
        for rival in rivals
    )
    ranges = tuple(
        (
            rival.name,
            _figure(rival.interval_score),
            _figure(rival.our_interval_score),
            *map(_share, rival.held),
        )
        for rival in rivals
        if rival.held
    )
    odds = next((tuple(f"coverage at {c.odds:g}" for c in r.held) for r in rivals if r.held), ())
    parts: list[Part] = [
        Table(
            ("against", "boards", "nearer", "CRPS", "ours", "gain", "80 %", "P"),
            points,
            right=tuple(range(1, 8)),
        ),
        GAIN,
    ]
    if ranges:
        head = ("against", "interval score, 0.8", "ours", *odds)
        parts.append(Table(head, ranges, right=tuple(range(1, len(head)))))
    return parts


def _own(own: Calibration) -> list[Part]:
    """The restorer's own guesses, in figures."""
    if own.suspicious or own.usual is None:
        return []
    said, least, most = COMMON_FINDING
    spread = "" if own.low is None or own.high is None else f" (10 and 90 %: {own.low:.2f} to {own.high:.2f})"
    ranges = ""
    if own.ranges:
        ranges = f"; own ranges held {own.held} of {own.ranges}"
    if own.truly is not None:
        ranges += f" (95 %: {own.truly[0]:.2f} to {own.truly[1]:.2f})"
    if own.too_narrow is not None:
        ranges += f", log-width × {own.too_narrow:.2f} would hold 0.8"
    return [
        f"Own guesses, {own.of}: median of actual / guess {own.usual:.3f}{spread}{ranges}.",
        f"Experts' {said:.0%} ranges hold {least:.0%} to {most:.0%} in software work (shares from memory): {SOURCE}",
    ]


def _figure(number: float | None, digits: int = 2) -> str:
    """A number to so many places; nothing where there is none."""
    return "" if number is None else f"{number:.{digits}f}"


def _share(count: Count) -> str:
    """The share that held, and of how many."""
    return f"{count.held / count.of:.3f} ({count.of})" if count.of else ""
