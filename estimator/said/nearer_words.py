"""Who has been nearer, in words: our ranges against simple ways of saying hours; and how own guesses went."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from estimator.record.own_guesses import COMMON_FINDING, FEWEST, ODDS
from estimator.record.track_record import ENOUGH, REGRESSION, Calibration, Rival
from estimator.said.parts import Heading, Part
from estimator.words.labels import label
from estimator.words.odds import say_chance, say_odds
from estimator.words.plain import round_hours, say_count, say_hours, say_value
from estimator.words.shares import NOTHING, say_times


def nearer_parts(rivals: Sequence[Rival]) -> list[Part]:
    """Each other way of saying hours against ours; that ours is no better comes first."""
    judged = [rival for rival in rivals if rival.of >= ENOUGH]
    few = [rival for rival in rivals if rival.of < ENOUGH]
    if not rivals:
        return []
    parts: list[Part] = [Heading("Who has been nearer?")]
    no_better = [rival for rival in judged if _even(rival) or rival.gain < 0]
    if no_better:
        parts.append(f"These ranges have been no nearer than {_all([label(r.name) for r in no_better])}.")
    elif judged:
        parts.append("These ranges have been nearer, on average, than every other way here.")
    parts += [nearer_words(rival) for rival in judged]
    if judged:
        parts.append("Nearer counts the whole range: a narrow one that holds is nearer than a wide one.")
    if any(rival.name == REGRESSION for rival in judged):
        parts.append("Plain regression is the textbook formula from what there was to do.")
    parts += [f"Against {label(r.name)}: only {say_count(r.of, 'board')}." for r in few]
    return parts


def nearer_words(rival: Rival) -> str:
    """One other way against ours: on how many boards ours was nearer, by how much, and how sure that is.

    >>> nearer_words(Rival("own guess", 45, 31, crps=9, ours=7, gain=2, gain_low=1, gain_high=3, chance=0.9))
    'Against your own guess: nearer on 31 of 45 boards, by 2 hours on average. Chance that this is luck: 1 time in 10.'
    """
    on = f"Against {label(rival.name)}: nearer on {rival.nearer} of {say_count(rival.of, 'board')}"
    if _even(rival):
        return f"{on}, and on average just as far off."
    way, luck = ("", 1 - rival.chance) if rival.gain > 0 else ("but further off ", rival.chance)
    return f"{on}, {way}by {say_hours(abs(rival.gain))} on average. Chance that this is luck: {say_chance(luck)}."


def _even(rival: Rival) -> bool:
    """Whether neither is nearer by as much as is shown."""
    return round_hours(rival.gain) == 0


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
        yield f"If those are to hold {say_odds(ODDS)}, luck alone gives {own.band[0]} to {own.band[1]}."
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
