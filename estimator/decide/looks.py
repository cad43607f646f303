"""What the eye misses: how often boards turn out otherwise than they looked, and which looks to mend first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from estimator.forecast.looks import ENOUGH, Judgeable, LookedSo, by_tool, looked_so
from estimator.words.json_form import JsonForm
from estimator.words.settings.schema import Settings

SURE = 0.05  # chance by luck alone, over all looks together, below which a look is one to mend
RIGHT = 0.8  # of boards; an eye that is right so often, as a range is, needs no mending
MENDED_AT_ONCE = 2  # more new habits than that nobody takes up
MORE, LESS = "more", "less"


@dataclass(frozen=True, slots=True)
class Way(JsonForm):
    """One way in which boards that looked so can turn out otherwise.

    way: more or less; share: of those boards; low, high: of what luck allows the true share to be, 19 in 20
    p_adjusted: how often luck alone shows any such thing, over all looks, if each is right 8 times in 10
    """

    way: str
    boards: int
    share: float
    low: float
    high: float
    p_adjusted: float


@dataclass(frozen=True, slots=True)
class Look(JsonForm):
    """Boards that looked so, and both ways in which they turned out otherwise; no ways where there are too few."""

    so: LookedSo
    ways: tuple[Way, ...] = ()

    @property
    def surest(self) -> Way | None:
        """The way of which one can be surest."""
        return min(self.ways, key=lambda way: way.p_adjusted, default=None)


@dataclass(frozen=True, slots=True)
class Looks(JsonForm):
    """All looks of a log.

    looks: in order of the settings; by_tool: the same by what was judged with, where that is written
    differently: those to look at differently, at most two things, the surest first
    tests: how many ways were looked at, over all looks with enough boards
    enough: boards that it takes
    """

    looks: tuple[Look, ...] = ()
    by_tool: tuple[Look, ...] = ()
    differently: tuple[Look, ...] = ()
    tests: int = 0
    enough: int = ENOUGH


def looks_of(boards: Iterable[Judgeable], settings: Settings) -> Looks:
    """How boards turned out that looked so, of all that is judged by eye before and known after.

    A look is one to mend where boards turn out otherwise in one way more often than 2 times in 10, beyond luck: exact
    binomial tails, with Holm's adjustment over every look and both ways. Source: S. Holm (1979), Scandinavian Journal
    of Statistics 6:65-70; spans are those of Clopper and Pearson.
    """
    from estimator.record.backtest.scores import tail_chance  # a range names looks without so much to load

    groups = looked_so(boards, settings)
    whole = [one for one in groups if not one.judged_with]
    enough = [one for one in whole if one.boards >= ENOUGH]
    tried = [(one, way) for one in enough for way in _possible(one, settings)]
    adjusted = holm([tail_chance(_otherwise(one, way), one.boards, RIGHT) for one, way in tried])
    ways: dict[tuple[str, float | None], list[Way]] = {}
    for (one, way), p in zip(tried, adjusted, strict=True):
        ways.setdefault((one.thing, one.looked), []).append(_way(one, way, p))
    looks = tuple(Look(one, tuple(ways.get((one.thing, one.looked), ()))) for one in whole)
    tools = by_tool(groups)
    return Looks(looks, tuple(_by_tool(tools)), _differently(looks), len(tried))


def holm(chances: list[float]) -> list[float]:
    """Holm's adjusted chances, in the order given.

    >>> [round(p, 3) for p in holm([0.01, 0.04, 0.03])]
    [0.03, 0.06, 0.06]
    """
    order = sorted(range(len(chances)), key=chances.__getitem__)
    adjusted, so_far = [0.0] * len(chances), 0.0
    for rank, i in enumerate(order):
        so_far = max(so_far, min(1.0, (len(chances) - rank) * chances[i]))
        adjusted[i] = so_far
    return adjusted


def _possible(one: LookedSo, settings: Settings) -> Iterator[str]:
    """The ways in which it can turn out otherwise: never more than the highest grade, nor less than none."""
    modifier = settings.modifiers.get(one.thing)
    highest = modifier.highest if modifier else 1 if one.thing in settings.sometimes else None
    if highest is None or one.looked is None or one.looked < highest:
        yield MORE
    if one.looked is None or one.looked > 0:
        yield LESS


def _otherwise(one: LookedSo, way: str) -> int:
    """How many turned out otherwise in a way."""
    return one.more if way == MORE else one.less


def _way(one: LookedSo, way: str, p: float) -> Way:
    """A way with its share and what luck allows."""
    from estimator.record.backtest.scores import clopper_pearson

    hits = _otherwise(one, way)
    low, high = clopper_pearson(hits, one.boards)
    return Way(way, hits, hits / one.boards, low, high, p)


def _by_tool(tools: Iterable[LookedSo]) -> Iterator[Look]:
    """What was judged with each tool, with spans and no verdict: tools are chosen by the board, not by lot."""
    for one in tools:
        few = one.boards < ENOUGH
        yield Look(one, () if few else tuple(_way(one, way, 1.0) for way in (MORE, LESS)))


def _differently(looks: Iterable[Look]) -> tuple[Look, ...]:
    """The looks to mend, one a thing, the surest first."""
    best: dict[str, tuple[float, Look]] = {}
    for look in looks:
        surest = look.surest
        if surest is not None and surest.p_adjusted < SURE:
            thing = look.so.thing
            if thing not in best or surest.p_adjusted < best[thing][0]:
                best[thing] = (surest.p_adjusted, look)
    ordered = sorted(best.values(), key=lambda one: one[0])
    return tuple(look for _, look in ordered[:MENDED_AT_ONCE])
