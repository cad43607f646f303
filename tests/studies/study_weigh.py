"""What decisions by `weigh` bring in a year, against taking all boards, refusing full restorations, and a rule of thumb.

Run from the top of the project: python tests/studies/study_weigh.py [SHOPS [BOARDS [FIRST_SEED]]]

Invented workshops of other seeds are learned from; then so many boards ask, one after the other, the same for every way
of deciding, with as much work as there are hours, or more. Offers lie about the recipe's own prices by a log-sd of
.2. Boards are worked one after the other, as they were taken; what is not worked by the end brings nothing. A day
is promised so that the forecast keeps it 9 times in 10; each that is missed costs 100. Money is in the invented
currency, for a year of bench hours: prices less materials, less what missed days cost. It is told twice: with an hour
without a board worth nothing, and worth the least that the workshop takes, to `weigh` as to the sum. Both oracles know
hours and materials: one takes what pays more than the ordinary work, the other what pays more than that pay at which,
looking back, most came in. `weigh` counts an hour by the enquiries so far and the work in hand, as the program does;
beside it stands what it would do by the ordinary work, in hand or not, an idle hour at the least that is taken, as it
did before; and if an hour always counted as better work. Keeps it all in results/weigh.md.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from studies.results import keeping

from estimator.decide.quarter.pay import hours_of, made_ready
from estimator.decide.weigh.advice import chosen, least_worth
from estimator.decide.weigh.open_first import Finds, Offer, Opening, draws_of, opening_first
from estimator.decide.weigh.terms import FIXED, OPEN_FIRST
from estimator.decide.weigh.worth import ASKS, FEW_ASKS, elsewhere, filling, usual_pay
from estimator.demo.notebook import board_of
from estimator.demo.recipe import LAST_DAY, Dice
from estimator.demo.stories import Story, draw_story, usual_materials
from estimator.demo.workshop import make_shop
from estimator.model.fit import fit
from estimator.model.saved_fit import KnownBoard, SavedFit
from estimator.words.settings.schema import Settings

FIRST_SEED = 301
WEEK = 29.0  # hours at the bench
YEAR = 46 * WEEK
BARGAIN = 0.2  # log-sd of offers about the recipe's prices
MISSED = 100.0  # money for each day promised and missed
LOADS = (0.7, 0.9, 1.3, 2.0)  # work that asks, in times the hours
ORACLE, BEST = "oracle, same pay", "oracle, best pay"
TAKE_ALL, NO_MAJORS, OWN = "take all", "no full restorations", "own guess x rate"
WEIGH, BEFORE, FULL_LINE = "weigh", "weigh by ordinary work", "weigh, line taken as full"
WAYS = (TAKE_ALL, NO_MAJORS, OWN, WEIGH, BEFORE, FULL_LINE, ORACLE, BEST)
TRIED = tuple(np.linspace(0.0, 60.0, 31))  # pay an hour from which the best oracle takes boards


@dataclass(frozen=True)
class Asked:
    """A board that asks: what is known, what was drawn of it, and the truth.

    mean, var: of its hours as drawn; charge: what it brings if it is done; found: which find is the true one
    """

    kind: str
    price: float
    guess: float
    materials_guess: float
    mean: float
    var: float
    materials_mean: float
    finds: Finds | None
    found: int
    error: float
    hours: float
    opening: float
    materials: float
    charge: float
    luck: float


def asked(story: Story, told: SavedFit, settings: Settings, times: float, luck: float, seed: int) -> Asked:
    """A board as it asks, at so many times the recipe's price."""
    job, shop = story.job, settings.workshop
    row = board_of(Dice(seed, "row", story.board), story, settings)
    known = KnownBoard(
        "asks",
        kind=row.kind,
        state="asked",
        length_m=row.length_m,
        width_m=row.width_m,
        outline=row.outline,
        assessed=row.assessed,
        worked_out=tuple(sorted(row.worked_out)),
    )
    draws = draws_of(told, known, settings, seed=seed)
    finds, made, price = draws.finds, draws.made, story.money.price * times
    found, error = 0, 0.0
    if finds is not None and made is not None:
        shown = [np.broadcast_to(made.values[q], len(made.means()[0])) for q in draws.shows]
        far = np.sum([np.abs(v - job.found[q]) for q, v in zip(draws.shows, shown, strict=True)], axis=0)
        nearest = int(np.argmin(np.broadcast_to(far, len(made.means()[0])))) if draws.shows else 0
        found = int(finds.of[np.flatnonzero(made.of == nearest)[0]])
        error = draws.error(offer_of(price, finds, shop.target_pay, settings))
    hours = job.hours
    return Asked(
        kind=job.kind,
        price=price,
        guess=story.money.guess,
        materials_guess=usual_materials(job.assessed),
        mean=float(draws.hours.mean()),
        var=float(draws.hours.var()),
        materials_mean=float(draws.materials.mean()),
        finds=finds,
        found=found,
        error=error,
        hours=sum(hours.values()),
        opening=sum(h for stage, h in hours.items() if stage in {"assess", "clean", "strip"}),
        materials=story.money.materials,
        charge=price + story.money.extra,
        luck=luck,
    )


def offer_of(price: float, finds: Finds, usual: float, settings: Settings) -> Offer:
    """Opening up first for its hours at what is wanted."""
    shop = settings.workshop
    return Offer(price, shop.target_pay * finds.opening, True, usual, shop.target_pay, shop.requote)


def decided(
    way: str,
    one: Asked,
    usual: float,
    weeks: float,
    settings: Settings,
    idle: float,
    full: float | None = None,
) -> tuple[str, Opening | None]:
    """yes, no or open-first; and what opening first comes to.

    weeks: of work in hand; idle: what an hour without a board is worth; full: the pay at which the better-paying of past enquiries fill the hours
    """
    target = settings.workshop.target_pay
    if way == TAKE_ALL:
        return "yes", None
    if way == NO_MAJORS:
        return "no" if one.kind == "major" else "yes", None
    if way == OWN:
        return "yes" if one.price - one.materials_guess >= target * one.guess else "no", None
    if way in {ORACLE, BEST}:
        return "yes" if one.charge - one.materials > usual * one.hours else "no", None
    if way == BEFORE:
        usual = elsewhere(usual, min(settings.workshop.floor_pay, usual), weeks).pay
    else:
        usual = elsewhere(usual if full is None else full, idle, weeks if way == WEIGH else None).pay
    worth, first = {FIXED: one.price - one.materials_mean - usual * one.mean}, None
    if one.finds is not None and target * one.finds.opening < one.price:
        first = opening_first(one.finds, offer_of(one.price, one.finds, usual, settings))
        worth[OPEN_FIRST] = first.first
    answer = chosen(worth, first.seeing if first else 0.0, least_worth(one.error, one.price))
    return {FIXED: "yes", OPEN_FIRST: "open-first"}.get(answer, "no"), first


def year(
    way: str, boards: list[Asked], gap: float, usual: float, settings: Settings, worth: float
) -> list[float]:
    """Money a year of bench hours, an idle one worth so much; share of the hours idle; missed days a year; boards taken; opened first."""
    end = gap * len(boards)
    free = money = idle = 0.0
    missed = taken = opened = 0
    backlog: list[
        tuple[float, float, float]
    ] = []  # free at, and mean and variance of the forecast of what is before
    for n, one in enumerate(boards):
        now = n * gap
        ahead = [b for b in backlog if b[0] > now]
        weeks = sum(b[1] for b in ahead) / WEEK
        past = [((b.price - b.materials_mean) / b.mean, b.mean) for b in boards[max(n - ASKS, 0) : n]]
        full = filling(past, len(past) * gap) if way == WEIGH and len(past) >= FEW_ASKS else None
        say, first = decided(way, one, usual, weeks, settings, worth, full)
        if say == "no":
            continue
        taken += 1
        mean = sum(b[1] for b in ahead) + one.mean
        var = sum(b[2] for b in ahead) + one.var
        promise = now + mean + 1.2816 * var**0.5
        hours, charge, materials = one.hours, one.charge, one.materials
        if say == "open-first" and first is not None and one.finds is not None:
            opened += 1
            if one.luck < first.chance[one.found]:
                charge = max(one.charge, float(first.times[one.found]) * one.price)
            else:
                fee = settings.workshop.target_pay * one.finds.opening
                hours, charge, materials = one.opening, fee, 0.0
        start = max(free, now)
        idle += max(min(start, end) - min(max(free, 0.0), end), 0.0)
        free = start + hours
        backlog.append((free, one.mean, one.var))
        worked = min(max(end - start, 0.0) / hours, 1.0)
        money += worked * (charge - materials)
        if free <= end and free > promise:
            missed += 1
    idle += max(end - free, 0.0)
    years = end / YEAR
    return [
        (money + worth * idle - MISSED * missed) / years,
        idle / end,
        missed / years,
        taken / len(boards),
        opened / len(boards),
    ]


def shop(seed: int, count: int, bargain: float) -> list[list[list[list[float]]]]:
    """For each worth of an idle hour, load and way of deciding, what it comes to in one workshop."""
    made = make_shop(seed)
    settings = made.settings
    told = fit(made.log, settings, seed=seed)
    wanted = settings.workshop.target_pay
    pays = usual_pay(made_ready(made.log, settings, hours_of(made.log, settings)), wanted, LAST_DAY).pay
    rng = np.random.default_rng(seed)
    stories = [
        replace(draw_story(Dice(seed, "coming", n), LAST_DAY), board=f"coming-{n:03d}") for n in range(count)
    ]
    offers, luck = np.exp(bargain * rng.standard_normal(count)), rng.random(count)
    boards = [
        asked(story, told, settings, t, u, seed) for story, t, u in zip(stories, offers, luck, strict=True)
    ]
    least = settings.workshop.floor_pay
    worths = (0.0, min(least, pays))
    return [[_came(boards, load, pays, settings, worth) for load in LOADS] for worth in worths]


def _came(
    boards: list[Asked], load: float, pays: float, settings: Settings, worth: float
) -> list[list[float]]:
    """For each way of deciding, what it comes to."""
    gap = sum(one.hours for one in boards) / len(boards) / load
    of = {way: year(way, boards, gap, pays, settings, worth) for way in WAYS[:-1]}
    of[BEST] = max((year(BEST, boards, gap, pay, settings, worth) for pay in TRIED), key=lambda came: came[0])
    return [of[way] for way in WAYS]


def main(shops: int = 8, count: int = 72, first: int = FIRST_SEED) -> None:
    """Print money a year by way of deciding, with its standard error, and what is lost to not knowing."""
    done = np.array([shop(first + n, count, BARGAIN) for n in range(shops)])
    print(f"{shops} shops, {count} boards each, offers apart by {BARGAIN:g}; +- is one standard error")
    head = (
        f"{'money':>8}{'over take all':>17}{'over ordinary':>17}{'short of best':>17}"
        f"{'idle':>7}{'missed':>8}{'taken':>7}{'opened':>8}"
    )
    for i, idle in enumerate(("nothing", "the least that is taken")):
        for at, load in enumerate(LOADS):
            print(f"an idle hour worth {idle}, work {load:g} times the hours")
            print(f"{'':25}{head}")
            money = done[:, i, at, :, 0]
            for w, way in enumerate(WAYS):
                mine = money[:, w]
                apart = mine - money[:, 0], mine - money[:, WAYS.index(BEFORE)], money[:, -1] - mine
                cells = [f"{d.mean():.0f} +- {d.std(ddof=1) / shops**0.5:.0f}" for d in apart]
                rest = done[:, i, at, w, 1:].mean(axis=0)
                last = f"{rest[0]:7.2f}{rest[1]:8.1f}{rest[2]:7.2f}{rest[3]:8.2f}"
                print(f"{way:25}{mine.mean():8.0f}{''.join(f'{c:>17}' for c in cells)}{last}")


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    with keeping("weigh", f"{given[2] if len(given) > 2 else FIRST_SEED} up"):
        main(*given)
