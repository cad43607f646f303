"""Verdicts on rules of thumb in a few words: what became of one, on which side it is wrong, what all share."""

from __future__ import annotations

import math

from estimator.record.verdicts import Shared, Verdict
from estimator.words.labels import label
from estimator.words.odds import say_odds
from estimator.words.plain import say_value

LENT_LOOKS = {
    "low": "your boards take longer",
    "high": "your boards take less",
    "narrow": "your boards spread more",
}


def verdict_words(verdict: Verdict) -> str:
    """The verdict in a few words; of a lent rule what sets this shop apart, if anything does."""
    if verdict.lent and verdict.looks:
        if verdict.share is not None:
            return "it happens more here" if verdict.looks == "low" else "it happens less here"
        return LENT_LOOKS[verdict.looks]
    said = verdict.verdict if verdict.verdict == "not enough boards" else label(verdict.verdict)
    return f"{said}, {label(f'looks {verdict.looks}')}" if verdict.looks else said


def side_words(verdict: Verdict) -> str:
    """How many past boards missed a rule that is wrong, and which way; of a chance how often it happened."""
    if verdict.share is not None:
        return f"It happened on {verdict.inside} of {verdict.of} boards."
    side = {
        "too low": f"{verdict.above} of {verdict.of} took longer",
        "too high": f"{verdict.below} of {verdict.of} took less",
        "too sure": f"{verdict.below} of {verdict.of} took less, and {verdict.above} took longer",
    }[verdict.verdict]
    return f"{side}."


def suggested_words(verdict: Verdict) -> str:
    """The range that the log suggests instead, at the same odds; empty where it has none."""
    if verdict.suggested is None or verdict.odds is None:
        return ""
    return f"By your log it is {verdict.said(*verdict.suggested)}, {say_odds(verdict.odds)}."


def shared_words(shared: Shared | None) -> str:
    """What error the restorer's rules share, as far as that is sure; else empty.

    >>> shared_words(Shared(lean=0.182, scale=1.6, runs_low=0.95, too_sure=0.97))
    'Your rules of thumb run 20 % low and are 1.6 times too sure.'
    >>> shared_words(Shared(lean=0.02, scale=1.3, runs_low=0.6, too_sure=0.8))
    ''
    """
    said = []
    if shared and shared.leans:
        off = abs(math.expm1(shared.lean)) * 100
        said.append(f"run {off:.0f} % {'low' if shared.lean > 0 else 'high'}")
    if shared and shared.overdone:
        times = shared.scale if shared.scale > 1 else 1 / shared.scale
        said.append(
            f"are {say_value(float(f'{times:.2g}'))} times too {'sure' if shared.scale > 1 else 'careful'}"
        )
    return f"Your rules of thumb {' and '.join(said)}." if said else ""
