"""At most three things to change, each with the figure that carries it and how sure it is; nothing that is not sure."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import betainc

from estimator.decide.quarter.accounts import Owing
from estimator.decide.quarter.outcomes import Kept
from estimator.decide.quarter.pay import (
    SPREAD,
    SPREAD_WORTH,
    USUAL_LEVEL,
    Change,
    LogPay,
    Made,
    Pay,
    Short,
    below,
    shrunk,
)
from estimator.record.rules.verdicts import Verdict
from estimator.words.dates import A_DAY
from estimator.words.json_form import JsonForm
from estimator.words.money import say_money, say_pay
from estimator.words.odds import say_odds
from estimator.words.phrases import say_count, say_middle, say_share, say_times
from estimator.words.settings.schema import Settings

PRICE, GUESS, DATES, RULE, OWED = "price", "guess", "dates", "rule", "owed"
MOST = 3
SURE = 0.9  # chance below which nothing is suggested
WORTH_SAYING = 0.03  # a change by less is none worth a word
FEWEST = 5  # boards from which on guesses, and dates told, are said to run one way
LENT = 10.0  # boards that keep to their odds, lent to the count of dates kept [invented]
OVERDUE = 30 * A_DAY  # after a board was ready, before its money is asked for here


@dataclass(frozen=True, slots=True)
class Suggestion(JsonForm):
    """A change, the figure that carries it, and the chance that it is right.

    sort: price, guess, dates, rule or owed
    """

    sort: str
    change: str
    because: str
    how_sure: float


def suggested(candidates: Iterable[Suggestion | None]) -> tuple[Suggestion, ...]:
    """The first three of which one can be sure."""
    return tuple(one for one in candidates if one is not None and one.how_sure >= SURE)[:MOST]


def ask_more(
    pays: Mapping[str, Pay], logs: Mapping[str, LogPay], settings: Settings, short: Short | None
) -> Suggestion | None:
    """To ask more for the sorts of job whose pay surely lies below what is wanted.

    pays, logs: by sort, over twelve months. Not where pay is short for hours above the guesses: then it is the guesses
    that want mending.
    """
    wanted, sign = settings.workshop.target_pay, settings.workshop.currency
    if short is not None and short.from_hours > max(short.from_price, 0.0):
        return None
    changes: list[tuple[str, float, Change]] = []
    for kind, pay in pays.items():
        change = below(logs.get(kind), wanted)
        if change is None or change.raw >= 0 or change.how_sure < SURE or not pay.counted_income:
            continue
        raise_by = _rise(pay, wanted, change.shrunk)
        if raise_by >= WORTH_SAYING:
            changes.append((kind, raise_by, change))
    if not changes:
        return None
    changes.sort(key=lambda one: -one[1] * pays[one[0]].counted_income)
    asked = " and ".join(f"{say_more(more)} for {_sort(kind, settings)}" for kind, more, _ in changes)
    paid = "; ".join(
        f"{_sort(kind, settings)}, {say_count(pays[kind].counted, 'board')}: "
        f"{say_pay(pays[kind].all or 0.0, sign)} an hour{_in_full(more, _rise(pays[kind], wanted, change.raw))}"
        for kind, more, change in changes
    )
    return Suggestion(
        PRICE,
        f"Ask {asked}.",
        f"In twelve months they paid less than the {say_pay(wanted, sign)} you want: {paid}.",
        min(change.how_sure for *_, change in changes),
    )


def _rise(pay: Pay, wanted: float, below: float) -> float:
    """By what part of their prices boards would have to cost more; below: what is wanted, on the log scale."""
    return -math.expm1(below) * wanted * pay.counted_hours / pay.counted_income


def _in_full(careful: float, full: float) -> str:
    """The rise that would have paid what is wanted, where it is said otherwise than the careful one."""
    said = say_more(full)
    return "" if said == say_more(careful) else f" ({said} would have paid it in full)"


def say_more(share: float) -> str:
    """A rise as it stands before "for".

    >>> say_more(0.24), say_more(0.5), say_more(1.0)
    ('a quarter more', 'half as much again', 'twice as much')
    """
    return say_times(1 + share).removesuffix(" than").removesuffix(" as")


def _sort(kind: str, settings: Settings) -> str:
    """What a sort of job is called within a sentence."""
    label = settings.label(kind) if kind else "boards of no sort"
    return f"“{label}”" if kind else label


def guess_more(made: Sequence[Made]) -> Suggestion | None:
    """To quote more hours than guessed, where boards of twelve months surely took more than their guesses."""
    known = [one for one in made if one.guess and one.whole and one.hours > 0]
    if len(known) < FEWEST:
        return None
    over = np.log([one.hours / (one.guess or 1.0) for one in known])
    n, mean = len(over), float(over.mean())
    squares = SPREAD_WORTH * SPREAD**2 + float(((over - mean) ** 2).sum())
    change = shrunk(mean, math.sqrt(squares / (SPREAD_WORTH + n - 1) / n), USUAL_LEVEL)
    more = math.expm1(change.shrunk)
    took, guessed = math.fsum(one.hours for one in known), math.fsum(one.guess or 0.0 for one in known)
    if more < WORTH_SAYING or took <= guessed:
        return None
    usual, whole = say_more(math.expm1(mean)), took / guessed
    more_on_some = whole > math.exp(mean) and say_more(whole - 1) != usual
    far = ", and some took far more" if more_on_some else ""
    return Suggestion(
        GUESS,
        f"Quote {_more_hours(min(more, 0.75))} you would guess.",
        f"In twelve months {say_count(n, 'board')} took {say_middle(took)} hours, and you had guessed "
        f"{say_middle(guessed)}. Usually a board took {say_times(math.exp(mean))} your guess{far}.",
        change.how_sure,
    )


def _more_hours(share: float) -> str:
    """Such a share more hours, as it stands before "you would guess"."""
    said = say_share(share)
    return "half as many hours again as" if said == "half" else f"{said} more hours than"


def tell_later(kept: Kept) -> Suggestion | None:
    """To tell owners later dates, where surely fewer were kept in twelve months than were to be.

    Ten boards that keep to the odds are lent: without them two misses in ten, which honest dates have in a quarter of
    all logs, would be called sure.
    """
    if kept.of < FEWEST or kept.odds is None or kept.held / kept.of >= kept.odds:
        return None
    held, missed = LENT * kept.odds + kept.held, LENT * (1 - kept.odds) + kept.of - kept.held
    sure = float(betainc(held, missed, kept.odds))
    return Suggestion(
        DATES,
        "Tell owners the ready-by date that the bench works out, not an earlier one.",
        f"In twelve months {kept.held} of {say_count(kept.of, 'board')} were ready by the last day you first told; "
        f"such a day is to hold {say_odds(kept.odds)}.",
        sure,
    )


def mend_rule(verdicts: Sequence[Verdict]) -> Suggestion | None:
    """To change the rule of thumb that past boards speak most against; one whose new range is accepted is let be."""
    wrong = [one for one in verdicts if one.accused and one.suggested and one.accepted is None]
    if not wrong:
        return None
    rule = max(wrong, key=lambda one: one.evidence)
    assert rule.suggested is not None
    assert rule.odds is not None
    return Suggestion(
        RULE,
        f"Change your rule of thumb “{rule.text or rule.name}” to {rule.said(*rule.suggested)}.",
        f"{_outside(rule)}; it was to hold {say_odds(rule.odds)}.",
        float(betainc(1 + rule.inside, 1 + rule.of - rule.inside, rule.odds)),
    )


def _outside(rule: Verdict) -> str:
    """How many of its cases a rule missed, and to which side."""
    missed = [f"{many} {way}" for many, way in ((rule.below, "lower"), (rule.above, "higher")) if many]
    return f"Of its {say_count(rule.of, 'case')} {rule.inside or 'none'} fell inside, {' and '.join(missed)}"


def ask_for_money(owing: Sequence[Owing], day: dt.date, currency: str) -> Suggestion | None:
    """To ask for what has been owed for more than a month."""
    late = [one for one in owing if one.owed and day - one.ready > OVERDUE]
    if not late:
        return None
    owed = math.fsum(one.owed or 0.0 for one in late)
    names = ", ".join(one.name for one in late[:MOST]) + (" …" if len(late) > MOST else "")
    return Suggestion(
        OWED,
        f"Ask for the {say_money(owed, currency)} that is owed: {names}.",
        f"{say_count(len(late), 'board')} ready for more than a month {'is' if len(late) == 1 else 'are'} "
        "not paid in full, by what is written.",
        1.0,
    )
