"""How past boards turned out that looked like this one: plain counts, by what was judged and with what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol

from estimator.words.json_form import JsonForm
from estimator.words.settings.schema import Settings

ENOUGH = 8  # boards that looked so, from which a look is spoken of
WORTH_SAYING = (
    0.25  # of them that turned out otherwise in one way, from which it is worth a line beside a range
)
MEASURED = 0.1  # share by which a measured amount may differ and still be as it looked
NONE_SEEN, SOME_SEEN = 0.0, 1.0  # how a measured amount looked


class Judgeable(Protocol):
    """A board, as the log or a saved fit holds it."""

    @property
    def kind(self) -> str: ...
    @property
    def assessed(self) -> Mapping[str, float]: ...
    @property
    def found(self) -> Mapping[str, float]: ...
    @property
    def later(self) -> Mapping[str, float]: ...
    @property
    def worked_out(self) -> Collection[str]: ...
    @property
    def judged_with(self) -> str: ...


@dataclass(frozen=True, slots=True)
class LookedSo(JsonForm):
    """Boards that looked so, and how they turned out.

    thing: a quantity or a condition; looked: its value as judged, of a measured amount 1 for some; None: any
    judged_with: with what it was judged; empty: with whatever
    boards: how many; of them as_looked as they looked, `more` with more of it, `less` with less
    values: what those turned out to have that were otherwise, and how many, the commonest first; none of measured ones
    """

    thing: str
    looked: float | None
    judged_with: str
    boards: int
    as_looked: int
    more: int
    less: int
    values: tuple[tuple[float, int], ...] = ()


def by_eye(settings: Settings) -> tuple[str, ...]:
    """What is judged by eye and sure only later: all but what is known when asked, or follows from the outline."""
    sure = {d.name for d in settings.drivers.values() if d.known == "asked" or d.source}
    sure |= {m.name for m in settings.modifiers.values() if m.known == "asked"}
    return tuple(name for name in settings.quantities if name not in sure)


def looked_so(boards: Iterable[Judgeable], settings: Settings) -> tuple[LookedSo, ...]:
    """Every way in which things looked, in order of the settings: first with whatever judged, then by what with.

    Boards count on which both are written: how it looked and how it turned out, less what was asked for since.
    """
    boards = list(boards)
    groups = []
    for thing in by_eye(settings):
        seen = list(_seen(thing, boards, settings))
        for looked in sorted({at for at, _, _ in seen}):
            alike = [(out, how) for at, out, how in seen if at == looked]
            groups.append(_counted(thing, looked, "", [out for out, _ in alike], settings))
            for tool in sorted({how for _, how in alike if how}):
                outcomes = [out for out, how in alike if how == tool]
                groups.append(_counted(thing, looked, tool, outcomes, settings))
    return tuple(groups)


def by_tool(groups: Iterable[LookedSo]) -> tuple[LookedSo, ...]:
    """What was judged with each tool, however it looked, where that is written."""
    kept: dict[tuple[str, str], list[LookedSo]] = {}
    for group in groups:
        if group.judged_with:
            kept.setdefault((group.thing, group.judged_with), []).append(group)
    return tuple(
        LookedSo(
            thing,
            None,
            tool,
            sum(one.boards for one in some),
            sum(one.as_looked for one in some),
            sum(one.more for one in some),
            sum(one.less for one in some),
        )
        for (thing, tool), some in kept.items()
    )


def worth_saying(
    board: Judgeable, boards: Iterable[Judgeable], settings: Settings, unsaid: Collection[str] = ()
) -> LookedSo | None:
    """How boards turned out that looked like this one, of the thing that most often turns out otherwise.

    unsaid: quantities that were counted as none because nobody spoke of them

    None where fewer than `ENOUGH` boards looked so, or hardly any turned out otherwise, or it is known by now. Boards
    judged with the same tool count alone where they are enough.
    """
    open_things = [
        thing
        for thing in by_eye(settings)
        if thing in board.assessed
        and thing not in board.found
        and thing not in unsaid
        and _is_asked(thing, board, settings)
    ]
    if not open_things:
        return None
    groups = {(one.thing, one.looked, one.judged_with): one for one in looked_so(boards, settings)}
    telling = []
    for thing in open_things:
        looked = _looked(thing, board.assessed[thing], settings)
        tools = (board.judged_with, "") if board.judged_with else ("",)
        group = next(
            (
                one
                for tool in tools
                if (one := groups.get((thing, looked, tool))) is not None and one.boards >= ENOUGH
            ),
            None,
        )
        if group is not None:
            telling.append((max(group.more, group.less) / group.boards, group))
    share, best = max(telling, key=lambda one: one[0], default=(0.0, None))
    return best if share >= WORTH_SAYING else None


def _seen(
    thing: str, boards: Iterable[Judgeable], settings: Settings
) -> Iterator[tuple[float, tuple[float, float], str]]:
    """Of each board that tells: how the thing looked, its amount as judged and as it turned out, and with what."""
    for board in boards:
        if (
            thing in board.assessed
            and thing in board.found
            and thing not in board.worked_out
            and _is_asked(thing, board, settings)
        ):
            judged, found = board.assessed[thing], board.found[thing] - board.later.get(thing, 0.0)
            yield _looked(thing, judged, settings), (judged, found), board.judged_with


def _is_asked(thing: str, board: Judgeable, settings: Settings) -> bool:
    """Whether a board's sort of job asks about the thing, so that somebody looked."""
    asks = settings.kinds[board.kind].asks if board.kind in settings.kinds else None
    return thing not in settings.drivers or asks is None or thing in asks


def _measured(thing: str, settings: Settings) -> bool:
    """Whether it is measured, not counted or graded."""
    return thing in settings.drivers and bool(settings.drivers[thing].unit)


def _looked(thing: str, judged: float, settings: Settings) -> float:
    """How a thing looked: its count or grade; of a measured one whether there was any."""
    return (SOME_SEEN if judged > 0 else NONE_SEEN) if _measured(thing, settings) else judged


def _counted(
    thing: str, looked: float, tool: str, outcomes: list[tuple[float, float]], settings: Settings
) -> LookedSo:
    """The outcomes of boards that looked alike, counted."""
    measured = _measured(thing, settings)
    ways: Counter[int] = Counter()
    values: Counter[float] = Counter()
    for judged, found in outcomes:
        near = MEASURED * max(judged, found) if measured else 0.0
        way = 0 if abs(found - judged) <= near + 1e-9 else 1 if found > judged else -1
        ways[way] += 1
        if way and not measured:
            values[found] += 1
    commonest = tuple(sorted(values.items(), key=lambda one: (-one[1], one[0])))
    return LookedSo(thing, looked, tool, len(outcomes), ways[0], ways[1], ways[-1], commonest)
