"""The atoms of a line in items: as a rule one board, one stage and one time each, in any order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from estimator.log.notebook.amounts import FoundTime
from estimator.log.notebook.atom import (
    BOARD,
    COLON,
    COMMA,
    COUNT,
    DAY,
    END_OF_LINE,
    LITTLE,
    OF_AGAIN,
    OF_AWAY,
    OF_DITTO,
    OF_DONE,
    OF_SHOP,
    OF_STAGE,
    OF_TO_COME,
    PART,
    QUERY,
    SEPARATORS,
    SPAN_OF_TIME,
    STOP,
    TIME,
    UNKNOWN,
    Atom,
)
from estimator.log.notebook.page import Span
from estimator.log.notebook.tokens import NOT, listed

TIMES = frozenset({TIME, SPAN_OF_TIME})
OF_EACH = "each"  # kind of a word by which the hours are those of every day that is named
EACH = listed("each apiece daily") | {"a day", "per day"}
_EACH_THING = listed("each apiece")  # the hours are those of every board or thing, and not of every day
_SUMS = listed("total altogether makes sum all")
_VERB = ("ed", "ing")
_DASHES = frozenset("-–—")
_HOURS = listed("h hr hrs min mins")
_WORKS = frozenset({BOARD, OF_STAGE, OF_SHOP, OF_DITTO})


@dataclass(frozen=True, slots=True)
class ItemGroup:
    """Atoms of one line up to a full stop or another day. day: that stands in it or behind it; headed: it goes on"""

    atoms: tuple[Atom, ...]
    day: Atom | None = None
    headed: bool = False


@dataclass(frozen=True, slots=True)
class Item:
    """Atoms that belong together. clear: whether that is sure; alone: whether its group has no other"""

    atoms: tuple[Atom, ...]
    clear: bool = True
    alone: bool = True

    @property
    def span(self) -> Span:
        """From its first to its last atom."""
        return self.atoms[0].span[0], self.atoms[-1].span[1]

    def of(self, *kinds: str) -> list[Atom]:
        """Its atoms of some kinds."""
        return [atom for atom in self.atoms if atom.kind in kinds]


def only_time(item: Item, *more: str) -> bool:
    """Whether an item says nothing but a time, a part of the board, and done; and what else may be in it."""
    kinds = {atom.kind for atom in item.atoms if atom.kind not in SEPARATORS | {LITTLE}}
    return kinds <= {PART, OF_DONE, *TIMES, *more}


def without_plans(item: Item) -> Item | None:
    """An item whose last clause, behind its time, is a plan in so many words: then that is a remark on it.

    None where the time may belong to the plan: red strip 4 to do tomorrow.
    """
    time = next((at for at, atom in enumerate(item.atoms) if atom.kind in TIMES), len(item.atoms))
    mark = next((at for at, atom in enumerate(item.atoms) if at > time and atom.kind == COMMA), 0)
    plan = Item(item.atoms[mark:])
    if not mark or not is_plan(plan) or any(atom.kind == OF_TO_COME for atom in item.atoms[:mark]):
        return None
    marks = SEPARATORS | {LITTLE}
    as_words = (atom if atom.kind in marks else atom.as_remark() for atom in plan.atoms)
    return replace(item, atoms=(*item.atoms[:mark], *as_words))


def is_plan(item: Item) -> bool:
    """Whether an item without a time says what is to come, and of what: bottom tomorrow."""
    kinds = {atom.kind for atom in item.atoms} - SEPARATORS - {LITTLE}
    says = [atom for atom in item.atoms if atom.kind != LITTLE]
    if any(work.kind == OF_STAGE and word.text.casefold() == "next" for work, word in pairwise(says)):
        return not kinds & (TIMES | {QUERY, OF_AWAY})  # drying next
    return OF_TO_COME in kinds and bool(kinds - {OF_TO_COME}) and not kinds & (TIMES | {QUERY, OF_AWAY})


def is_total(item: Item) -> bool:
    """Whether an item is a sum of what stands before it: total 6."""
    says = [atom for atom in item.atoms if atom.kind not in SEPARATORS | {LITTLE}]
    words = {atom.text.casefold() for atom in says if atom.kind != TIME}
    return sum(atom.kind == TIME for atom in says) == 1 and bool(words) and words <= _SUMS


def boards_each(item: Item) -> list[Item]:
    """An item for every board, where each has the same work and hours: kelp and plank hot coat, 1 h each."""
    boards, stages, queries = item.of(BOARD), item.of(OF_STAGE), item.of(QUERY)
    alike = len(boards) > 1 and len(stages) == 1 and sum(atom.kind in TIMES for atom in item.atoms) == 1
    if not alike or not queries or any(atom.text.casefold() not in _EACH_THING for atom in queries):
        return []
    each = tuple(replace(a, kind=OF_EACH) if a in queries else a for a in item.atoms)
    return [Item(tuple(a for a in each if a.kind != BOARD or a is board), alone=False) for board in boards]


def counted_each(item: Item) -> Item:
    """An item with the hours of all things that are counted, where each has the same: 3 logos, 40 min each."""
    queries, times, counts = item.of(QUERY), item.of(TIME), [a for a in item.of(COUNT) if a.number > 1]
    alike = [atom.text.casefold() for atom in queries] in (["each"], ["apiece"])
    if not alike or len(times) != 1 or len(counts) != 1 or len(item.of(BOARD)) > 1:
        return item
    many, one = counts[0].number, times[0].time
    if one is None or one.time.grain or many % 1 or many > _MOST_EACH:
        return item
    all_ = FoundTime(
        replace(one.time, hours=many * one.time.hours), f"{many * one.time.hours:g} h", False, one.end
    )
    other = {times[0]: replace(times[0], time=all_), queries[0]: replace(queries[0], kind=OF_EACH)}
    return replace(item, atoms=tuple(other.get(atom, atom) for atom in item.atoms))


_MOST_EACH = 12  # things that are counted on one board


def denied(item: Item) -> bool:
    """Whether work is said not to have been done: no sanding on club, red still not stripped."""
    says = [atom for atom in item.atoms if atom.kind != LITTLE]
    return any(
        word.text.casefold() in NOT and work.kind in {BOARD, OF_STAGE} for word, work in pairwise(says)
    )


def stage_above_all(atoms: Sequence[Atom]) -> Atom | None:
    """A stage with a colon or a dash behind it, of which several boards follow: sanding: club 2, fish 1."""
    head = [atom for atom in atoms[:4] if atom.kind != LITTLE][:2]
    stages = sum(atom.kind == OF_STAGE for atom in atoms)
    dash = [atom.kind for atom in head] == [OF_STAGE, COMMA] and head[1].text in _DASHES
    if (dash or [atom.kind for atom in head] == [OF_STAGE, COLON]) and stages == 1:
        return head[0] if sum(atom.kind == BOARD for atom in atoms) > 1 else None
    return None


def leading_stage(atoms: Sequence[Atom]) -> Atom | None:
    """The stage at the head of an item, as a verb in front of its board: sanded club 2."""
    says = [atom for atom in atoms if atom.kind not in {LITTLE, PART}]
    if [atom.kind for atom in says[:2]] == [OF_STAGE, BOARD] and says[0].text.casefold().endswith(_VERB):
        return says[0]
    return None


def lines_of(atoms: Sequence[Atom]) -> Iterator[tuple[Atom, ...]]:
    """The atoms line by line, without the ends of lines; an empty line is an empty tuple."""
    line: list[Atom] = []
    for atom in atoms:
        if atom.kind == END_OF_LINE:
            yield tuple(line)
            line = []
        else:
            line.append(atom)
    yield tuple(line)


def groups_of(line: Sequence[Atom]) -> Iterator[ItemGroup]:
    """A line's groups: a full stop ends one, and so does a day behind a time."""
    now: list[Atom] = []
    day: Atom | None = None
    headed = False
    for at, one in enumerate(line):
        atom = replace(one, kind=STOP) if _ends_hours(line, at, now) else one
        if atom.kind == STOP and _runs_on(now, line[at + 1 :]):
            now.append(replace(atom, kind=COMMA))
            continue
        if atom.kind == STOP:
            if now or headed:
                yield ItemGroup(trimmed(now), day, headed)
            now, day, headed = [], None, False
            continue
        if atom.kind != DAY:
            now.append(atom)
            continue
        behind = next((one.kind for one in line[at + 1 :] if one.kind not in {LITTLE, QUERY}), STOP)
        over = any(one.kind in TIMES for one in now)
        whole = atom.day is not None and atom.day.whole_week
        before, clause = _last_clause(now)
        if (
            whole
            and over
            and not headed
            and day is None
            and not before
            and _work_follows(now, line[at + 1 :])
        ):
            day = atom
            continue
        if over and (behind in {COMMA, STOP} or whole) and (before or not headed):
            if before:
                yield ItemGroup(trimmed(before), day or atom, headed)
            yield ItemGroup(trimmed(clause), atom)
            now, day, headed = [], None, False
        elif over or day is not None:
            led = _leads(now) if over and behind in TIMES else len(now)
            yield ItemGroup(trimmed(now[:led]), day, headed)
            now, day, headed = now[led:], atom, True
        else:
            day, headed = atom, True
    if now or headed:
        yield ItemGroup(trimmed(now), day, headed)


def _ends_hours(line: Sequence[Atom], at: int, now: Sequence[Atom]) -> bool:
    """Whether the point of a short form ends a sentence too: gun strip 3 hrs. Foam not bad."""
    if (
        line[at].text != "."
        or at == 0
        or not any(line[at - 1].text.casefold().endswith(one) for one in _HOURS)
    ):
        return False
    then = line[at + 1 : next((to for to in range(at + 1, len(line)) if line[to].kind == STOP), len(line))]
    works = any(atom.kind in {OF_STAGE, OF_SHOP} for atom in now)
    more = any(atom.kind in TIMES | {UNKNOWN} for atom in then)
    return (
        line[at - 1].kind in TIMES and bool(then) and (works or (more and any(a.kind == BOARD for a in now)))
    )


def _work_follows(now: Sequence[Atom], rest: Sequence[Atom]) -> bool:
    """Whether the work of the hours before a week stands behind it: plank about 9 this week reshaping."""
    clause = trimmed(
        rest[: next((at for at, atom in enumerate(rest) if atom.kind in {COMMA, STOP, DAY}), len(rest))]
    )
    works = any(atom.kind == OF_STAGE for atom in clause) and not any(atom.kind == OF_STAGE for atom in now)
    return works and not any(atom.kind in TIMES | {BOARD, OF_SHOP} for atom in clause)


def _runs_on(now: Sequence[Atom], rest: Sequence[Atom]) -> bool:
    """Whether a full stop ends nothing: Club board. Sanded 3 h; strip 2. Done. Red; strip; 3."""
    until = next((at for at, atom in enumerate(rest) if atom.kind in {STOP, DAY}), len(rest))
    before = [atom for atom in now if atom.kind not in SEPARATORS | {LITTLE}]
    then = [atom for atom in rest[:until] if atom.kind not in SEPARATORS | {LITTLE}]
    if not before or not then:
        return bool(before) and not then and until < len(rest) and rest[until].kind == STOP
    timed = any(atom.kind in TIMES for atom in before)
    kinds = {atom.kind for atom in then}
    if kinds <= TIMES | {OF_DONE, OF_AGAIN}:
        works = any(atom.kind in _WORKS for atom in before)
        return works and not (timed and kinds & TIMES)
    if {atom.kind for atom in before} == {BOARD, OF_AGAIN}:
        return bool(kinds & TIMES) and BOARD not in kinds  # fish sand through again! filler ½
    done = any(atom.kind in {OF_DONE, OF_AGAIN} for atom in before)
    works = {atom.kind for atom in before} <= _WORKS | {PART}
    return works and not timed and not done and bool(kinds & (_WORKS | TIMES)) and _together(before, then)


def _leads(now: Sequence[Atom]) -> int:
    """Where the last clause begins, if it names the work of the day behind it: tues 1h, gloss weds 2; else the end."""
    at = next((at for at in range(len(now) - 1, -1, -1) if now[at].kind == COMMA), -1) + 1
    clause = now[at:]
    leads = any(atom.kind in _WORKS for atom in clause) and not any(atom.kind in TIMES for atom in clause)
    return at if leads and at else len(now)


def _last_clause(now: Sequence[Atom]) -> tuple[list[Atom], list[Atom]]:
    """What stands before the last comma behind a time, and what stands after it."""
    for at in range(len(now) - 1, 0, -1):
        has = any(atom.kind in TIMES for atom in now[at:])
        if now[at].kind == COMMA and has and any(atom.kind in TIMES for atom in now[:at]):
            return list(now[:at]), list(now[at + 1 :])
    return [], list(now)


def trimmed(atoms: Sequence[Atom]) -> tuple[Atom, ...]:
    """Atoms without the marks at both ends."""
    kept = list(atoms)
    while kept and kept[0].kind in SEPARATORS:
        kept.pop(0)
    while kept and kept[-1].kind in SEPARATORS:
        kept.pop()
    return tuple(kept)


def items_of(group: ItemGroup) -> list[Item]:
    """The items of a group: at its commas where each part has one time, else by what comes first in each."""
    atoms = group.atoms
    if not atoms:
        return []
    times = sum(atom.kind in TIMES for atom in atoms)
    if times <= 1:
        return [Item(atoms)]
    parts = _merged(_clauses(atoms))
    items: list[Item] = []
    for part in parts:
        many = sum(atom.kind in TIMES for atom in part)
        if many <= 1:
            items.append(Item(part))
            continue
        cut = _cut(part)
        items += [Item(one) for one in cut] if cut else [Item(part, clear=False)]
    if any(all(atom.kind in TIMES | {LITTLE} for atom in item.atoms) for item in items):
        return [Item(atoms, clear=False)]
    return [replace(item, alone=len(items) == 1) for item in items]


def _clauses(atoms: Sequence[Atom]) -> list[tuple[Atom, ...]]:
    """Atoms between commas."""
    parts: list[list[Atom]] = [[]]
    for atom in atoms:
        if atom.kind == COMMA:
            parts.append([])
        else:
            parts[-1].append(atom)
    return [clause for part in parts if (clause := trimmed(part))]


def _merged(parts: list[tuple[Atom, ...]]) -> list[tuple[Atom, ...]]:
    """Clauses without a time put to those that they belong to: a board or stage to the next, the rest to the last."""
    merged: list[tuple[Atom, ...]] = []
    waiting: tuple[Atom, ...] = ()
    for part in parts:
        kinds = {atom.kind for atom in part}
        timed = kinds & TIMES
        if timed:
            if waiting and not _together(waiting, part):
                merged.append(waiting)
                waiting = ()
            merged.append(waiting + part)
            waiting = ()
        elif kinds & _WORKS:
            if waiting and not _together(waiting, part):
                merged.append(waiting)
                waiting = ()
            waiting += part
        elif waiting or not merged:
            waiting += part
        elif (
            kinds & {OF_TO_COME}
            or any(a.kind == COUNT and not a.sure for a in part)
            or (merged[-1] and not any(a.kind in TIMES for a in merged[-1]))
        ):
            merged.append(part)
        else:
            merged[-1] += part
    if waiting:
        merged.append(waiting)
    return merged


def _together(first: Sequence[Atom], then: Sequence[Atom]) -> bool:
    """Whether two clauses have not both a board, nor both a stage."""
    for kinds in ({BOARD, OF_SHOP}, {OF_STAGE}):
        if any(a.kind in kinds for a in first) and any(a.kind in kinds for a in then):
            return False
    return True


def _cut(part: Sequence[Atom]) -> list[tuple[Atom, ...]]:
    """A clause of several times as one item each; nothing where it can be cut in more ways than one."""
    times = sum(atom.kind in TIMES for atom in part)
    boards = sum(atom.kind in {BOARD, OF_SHOP} for atom in part)
    if by_part := _by_part(part):
        return by_part
    head = 0
    if boards and boards < times:
        head = next(at for at, atom in enumerate(part) if atom.kind in {BOARD, OF_SHOP}) + 1
        if boards > 1 or any(atom.kind in TIMES | {OF_STAGE} for atom in part[:head]):
            return []
    rest = part[head:]
    lead = next((atom.kind for atom in rest if atom.kind in TIMES | {BOARD, OF_SHOP, OF_STAGE}), "")
    same = TIMES if lead in TIMES else {BOARD, OF_SHOP} if lead in {BOARD, OF_SHOP} else {lead}
    starts = [at for at, atom in enumerate(rest) if atom.kind in same]
    if len(starts) != times:
        return []
    starts = [_with_lead(rest, at) for at in starts]
    starts[0] = 0
    cut = [tuple(rest[a:b]) for a, b in zip(starts, [*starts[1:], len(rest)], strict=True)]
    if any(sum(atom.kind in TIMES for atom in one) != 1 for one in cut):
        return []
    return [tuple(part[:head]) + cut[0], *cut[1:]] if head else cut


def _by_part(part: Sequence[Atom]) -> list[tuple[Atom, ...]]:
    """A piece of work with a time for each part of the board: fish lam deck 1½ bottom 1½; nothing for another form."""
    says = [at for at, atom in enumerate(part) if atom.kind not in SEPARATORS | {LITTLE}]
    head = next((n for n, at in enumerate(says) if part[at].kind == PART), 0)
    rest = says[head:]
    works = {part[at].kind for at in says[:head]}
    turns = [part[at].kind for at in rest]
    if works != {BOARD, OF_STAGE} or turns != [PART, TIME] * (len(turns) // 2):
        return []
    starts = [rest[n] for n in range(0, len(rest), 2)]
    return [tuple(part[0 if n == 0 else a : b]) for n, (a, b) in enumerate(pairwise([*starts, len(part)]))]


def _with_lead(rest: Sequence[Atom], at: int) -> int:
    """Where an item begins whose first board or stage stands at a place: with the 2nd before col."""
    while at > 0 and rest[at - 1].kind in {PART, LITTLE}:
        at -= 1
    return at
