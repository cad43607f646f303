"""The record in a statistician's words: scores, bias, and what others came to."""

from __future__ import annotations

from collections.abc import Sequence

from estimator.record.own_guesses import COMMON_FINDING
from estimator.record.track_record import Calibration, Count, Rival, TrackRecord
from estimator.said.parts import Heading, Part, Table

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
