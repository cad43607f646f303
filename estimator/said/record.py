"""How past ranges went, of hours and of dates, as a restorer reads it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from estimator.record.backtest.scores import luck_band, tail_chance
from estimator.record.backtest.track_record import ENOUGH, Count, JudgedBoard, Scores, TrackRecord
from estimator.said.parts import Heading, Part, Table
from estimator.said.record_scores import guess_parts, nearer_parts
from estimator.words.labels import label
from estimator.words.odds import say_odds, short_odds
from estimator.words.phrases import (
    NOTHING,
    OF_DATES,
    capital,
    round_hours,
    round_middle,
    say_count,
    say_middle,
    say_one_in,
    say_small,
    say_stretch,
)
from estimator.words.settings.schema import Settings

DATES_HEAD = ("", "ready in them", "luck alone", "sooner", "later")
BEFORE = "“Before” counts the same ranges as they were before they were widened or narrowed for how earlier ones went."
ANEW = "Dates were worked out anew too, from who was on the bench and in line when you took each board on."


def date_parts(record: TrackRecord) -> list[Part]:
    """Ranges of dates of the newest boards at each of the odds, then the dates told; nothing where none counts."""
    parts: list[Part] = []
    dates, raw, promises = record.dates, record.raw_dates, record.promises
    of = max((count.of for count in dates), default=0)
    if of:
        parts += [ANEW, *_dates_counted(dates, raw)]
        if of < ENOUGH:
            parts.append(f"With {say_count(of, 'board')} that says little yet.")
        elif all(count.within for count in dates):
            parts.append("All of this is within what luck allows.")
        else:
            parts.append(_beyond(dates))
        parts += _dates_left_out(len(record.dates_asked_later))
    if record.dates_from:
        parts += _dates_from_now_on(record)
    if promises is not None and promises.of:
        parts.append(
            f"{promises.held} of {say_count(promises.of, 'board')} {'was' if promises.held == 1 else 'were'} ready by "
            "the last date you first told."
        )
    return [Heading("Ready in time?"), *parts] if parts else []


def _dates_counted(dates: Sequence[Count], raw: Sequence[Count]) -> list[Part]:
    """The counts, and beside them those of the same ranges before their ends were moved, where these differ."""
    before = {count.odds: f"{count.held} of {count.of}" for count in raw}
    moved = any(before.get(c.odds, "") not in {"", f"{c.held} of {c.of}"} for c in dates)
    rows = tuple(
        (
            say_odds(c.odds),
            f"{c.held} of {c.of}",
            f"{c.band[0]} to {c.band[1]}",
            str(c.below),
            str(c.above),
            *((before.get(c.odds, ""),) if moved else ()),
        )
        for c in dates
        if c.of
    )
    head = (*DATES_HEAD, "before") if moved else DATES_HEAD
    table = Table(head, rows, right=tuple(range(1, len(head))))
    return [table, BEFORE] if moved else [table]


def _beyond(dates: Sequence[Count]) -> str:
    """Which way ranges of dates go beyond luck."""
    worst = next(count for count in dates if not count.within)
    if worst.held > worst.band[1]:
        return "That is more than luck: these ranges of dates were wider than they needed to be."
    side = "later" if worst.above > worst.below else "sooner"
    return f"That is more than luck: these ranges of dates were too tight, and boards came {side}."


def _dates_left_out(boards: int) -> list[str]:
    """Boards whose dates do not count."""
    if not boards:
        return []
    counts, owner, it = ("does", "its owner", "it") if boards == 1 else ("do", "their owners", "them")
    return [
        f"{say_count(boards, 'board')} {counts} not count here: {owner} asked for more once you had taken {it} on."
    ]


def _dates_from_now_on(record: TrackRecord) -> list[str]:
    """What ranges of dates get from now on, and from how many boards that is learned."""
    said = say_stretch(*record.stretch_of_dates, OF_DATES)
    learned = f"Learned from {say_count(record.dates_from, 'board')}"
    if not said:
        return [f"Ranges of dates stay as they are. {learned}."]
    return [
        f"{said} So it is from now on for boards in line.",
        f"{learned}; the fewer they are, the less the ends move.",
    ]


LAST = 20  # boards that come first
ODDS = 0.8  # of the ranges that are looked at board by board
BEYOND_LUCK = 0.025  # on one side, as in luck's span
NAMED = 3  # boards of a sort that could not be judged
HOURS_HEAD = ("held", "luck alone", "quicker", "slower")
AS_TODAY = "Quantities and guesses are as they stand in the files today; a change made since can't be seen."


def record_parts(record: TrackRecord, settings: Settings, statistician: bool = False) -> list[Part]:
    """Everything that `record` says, in the order in which a restorer wants it.

    statistician: add the scores, in the words of the trade that made them
    """
    parts: list[Part] = [Heading(label("record"), level=1)]
    if record.boards:
        parts.append(
            "For each past board hours were worked out anew, from what was known the day before you quoted it."
        )
    parts += [*_taught(record), *_missing(record)]
    parts += [*(_last(record) if record.judged else []), *long_record(record, settings)]
    if statistician:
        from estimator.said.record_scores import number_parts

        parts += number_parts(record)
    return parts


def long_record(record: TrackRecord, settings: Settings, *, scores: bool = True) -> list[Part]:
    """All boards and dates, who was nearer, the restorer's own guesses, what follows: all but the last twenty.

    scores: how whole ranges scored, too
    """
    parts: list[Part] = []
    if record.judged:
        parts += [*_long(record), *_groups(record.groups, settings), *_told(record.told)]
        parts += nearer_parts(record.rivals, scores=scores)
    parts += date_parts(record)
    return [*parts, *guess_parts(record.calibration), *_from_now_on(record), *_left_out(record)]


def _taught(record: TrackRecord) -> Iterable[str]:
    """From how many boards hours are learned by now, the same as a range says it rests on."""
    if record.taught:
        yield f"By now ranges come from {record.taught:,} of your boards."
    elif record.taught == 0:
        yield "Ranges come from rules of thumb alone so far: no board in your log teaches hours yet."


def _missing(record: TrackRecord) -> Iterable[str]:
    """How many more boards it takes, where there are too few."""
    if record.missing:
        more = say_count(record.missing, "more finished board")
        yield f"There are too few boards yet to tell. {more} with a quote date would do."


def _last(record: TrackRecord) -> list[Part]:
    """The last twenty by quote date: how many held, the others by name, and whether luck explains them."""
    last = record.judged[-LAST:]
    missed = [board for board in last if board.side]
    few, most = luck_band(len(last), ODDS)
    held = len(last) - len(missed)
    parts: list[Part] = [
        Heading(f"Your last {say_count(len(last), 'board')}"),
        f"{held} of {len(last)} landed inside their range, which should hold {say_odds(ODDS)}.",
        f"With honest ranges luck alone gives {_span(few, most)}.",
    ]
    if missed:
        rows = tuple((b.name, *_miss(b), label(f"cost {b.cost_time}".strip())) for b in missed)
        head = ("Missed", "range", "took", "", "what cost the time")
        parts.append(Table(head, rows, right=(1, 2), boards=tuple(board.board for board in missed)))
    return [*parts, *(luck_words(len(missed), len(last), record.stretch) if len(last) >= ENOUGH else [])]


def luck_words(missed: int, of: int, stretch: tuple[float, float] = (1.0, 1.0)) -> list[str]:
    """What luck has to do with so many misses of ranges that are to hold 8 times in 10; nothing where it is no news.

    stretch: how far the two ends of ranges are moved out from now on

    >>> luck_words(4, 10)[0]
    'Four of the last ten missed. With honest 8-in-10 ranges that many or more happens one time in eight.'
    >>> luck_words(0, 10)[0]
    'None of the last ten missed. That proves nothing either: with honest 8-in-10 ranges it happens one time in nine.'
    """
    said = f"{say_small(missed).capitalize()} of the last {say_small(of)} missed."
    many = tail_chance(missed, of, ODDS)
    few = 1 - tail_chance(missed + 1, of, ODDS)
    if missed > round((1 - ODDS) * of, 9):
        words = [f"{said} With honest 8-in-10 ranges that many or more happens {say_one_in(many)}."]
        if many < BEYOND_LUCK:
            words.append(f"That is more than luck. {_widened(stretch)}")
        return [*words, "Boards on the go together share their luck, so misses come in runs."]
    if few < BEYOND_LUCK:
        return [
            f"{said} With honest 8-in-10 ranges that few or fewer happens {say_one_in(few)}.",
            "That is more than luck: they were wider than they needed to be.",
        ]
    if missed == 0:
        return [
            f"{said} That proves nothing either: with honest 8-in-10 ranges it happens {say_one_in(few)}."
        ]
    return []


def _widened(stretch: tuple[float, float]) -> str:
    """Whether ranges are wider from now on."""
    if max(stretch) < 1 + NOTHING:
        return "Over all your boards together ranges need not be wider yet."
    return "So ranges are wider from now on."


def _long(record: TrackRecord) -> list[Part]:
    """All boards, at each of the odds."""
    shown, raw = record.shown.held, record.raw.held
    moved = [(c.held, c.of) for c in shown] != [(c.held, c.of) for c in raw]
    pending = any(count.pending for count in shown)
    head = ("", *HOURS_HEAD, *(("still open",) if pending else ()), *(("before",) if moved else ()))
    rows = tuple(
        (
            _short(count.odds),
            *_counted(count),
            *((str(count.pending),) if pending else ()),
            *((_held(before),) if moved else ()),
        )
        for count, before in zip(shown, raw, strict=True)
    )
    return [
        Heading(f"All {say_count(record.count(ODDS).of, 'board')}"),
        Table(head, rows, right=tuple(range(1, len(head)))),
        *([BEFORE] if moved else []),
        *_pending(record.count(ODDS)),
        *_beyond_luck(record.shown),
        *_one_sided(record.count(ODDS)),
    ]


def _pending(count: Count) -> Iterable[str]:
    """What boards on the go may still add to a count."""
    if count.pending:
        most, of = count.held + count.pending, count.of + count.pending
        yield (
            f"And {count.pending} still open: with {'it' if count.pending == 1 else 'them'}, "
            f"{count.held} to {most} of {of} will have held at {_short(count.odds)}."
        )


def _beyond_luck(scores: Scores) -> Iterable[str]:
    """At which odds luck does not explain how many held."""
    if all(count.within for count in scores.held):
        yield "All of this is within what luck allows."
    for count in scores.held:
        if not count.within:
            more = count.held > count.band[1]
            yield (
                f"At {_short(count.odds)}, {'more' if more else 'fewer'} held than luck allows: "
                f"those ranges were {'wider than they needed to be' if more else 'too tight'}."
            )


def _one_sided(count: Count) -> Iterable[str]:
    """Whether misses fall on one side more than luck allows."""
    missed, most = count.below + count.above, max(count.below, count.above)
    if missed and tail_chance(most, missed, 0.5) < BEYOND_LUCK:
        side = "slower" if count.above > count.below else "quicker"
        yield f"Of {missed} misses {most} were {side} than said: more on one side than luck allows."


def _groups(groups: Mapping[str, Count], settings: Settings) -> list[Part]:
    """By sort of job, and apart by how wet boards looked."""
    seen = {name: count for name, count in groups.items() if count.of}
    if len(seen) < 2:
        return []
    rows = tuple(
        (_sort(name, settings), *_counted(count))
        if count.of >= ENOUGH
        else (_sort(name, settings), f"only {say_count(count.of, 'board')}", "", "", "")
        for name, count in seen.items()
    )
    enough = [name for name, count in seen.items() if count.of >= ENOUGH]
    beyond = [_sort(name, settings) for name in enough if not seen[name].within]
    parts: list[Part] = [
        Heading(f"By sort of work, {say_odds(ODDS)}"),
        Table(("", *HOURS_HEAD), rows, right=(1, 2, 3, 4)),
    ]
    if beyond:
        parts.append(f"Outside what luck allows: {', '.join(beyond)}.")
        if len(enough) > 1:
            parts.append(
                f"Where {say_small(len(enough))} counts are looked at, one may be so by luck all the same."
            )
    return parts


def _sort(name: str, settings: Settings) -> str:
    """What a sort of board is called."""
    return settings.label(name.removeprefix("kind ")) if name.startswith("kind ") else f"Looked {name}"


def _told(told: Sequence[Count]) -> list[Part]:
    """What was said to owners, as far as it can be counted."""
    if not any(count.of for count in told):
        return []
    return [
        Heading("What you told owners, the first time"),
        *(
            f"Hours to hold {say_odds(count.odds)}: {_held(count)} boards landed inside. "
            f"Luck alone gives {_span(*count.band)}."
            for count in told
            if count.of
        ),
    ]


def _from_now_on(record: TrackRecord) -> list[Part]:
    """What ranges get from now on, and from how many boards that is learned."""
    if not record.learned_from:
        return []
    said = (
        say_stretch(*record.stretch)
        or "Ranges stay as they are: past ones were about as wide as they should be."
    )
    return [
        Heading("Ranges from now on"),
        said,
        f"Learned from {say_count(record.learned_from, 'board')}; the fewer they are, the less the ends move.",
    ]


def _left_out(record: TrackRecord) -> list[Part]:
    """What could not be judged, and what no file can tell."""
    lines = [
        f"{capital(reason)}: {say_count(len(names), 'board')} ({_some(names)})."
        for reason, names in record.left_out.items()
        if names
    ]
    if struck := record.told_struck_out:
        one = struck == 1
        lines.append(
            f"{capital(say_count(struck, 'telling'))} {'was' if one else 'were'} struck out afterwards, and "
            f"{'does' if one else 'do'} not count."
        )
    return [Heading("What could not be judged"), *lines, AS_TODAY] if lines or record.boards else []


def _some(names: Sequence[str]) -> str:
    """The first names, and that there are more."""
    return ", ".join(names[:NAMED]) + (" …" if len(names) > NAMED else "")


def _counted(count: Count) -> tuple[str, str, str, str]:
    """A count as cells under `HEAD`."""
    return _held(count), _span(*count.band), str(count.below), str(count.above)


def _held(count: Count) -> str:
    """How many of how many held."""
    return f"{count.held} of {count.of}"


def _short(odds: float) -> str:
    """Odds as they stand in a table.

    >>> [_short(odds) for odds in (0.5, 0.8, 0.95)]
    ['5 in 10', '8 in 10', '19 in 20']
    """
    return short_odds(odds)


def _span(few: int, most: int) -> str:
    """From so many to so many."""
    return str(few) if few == most else f"{few} to {most}"


def _miss(board: JudgedBoard) -> tuple[str, str, str]:
    """The range as it is shown, what the board took or has taken so far, and a word where that looks inside.

    The end that was passed is shown to the whole hour where its usual step would hide that it was.
    """
    took = board.so_far if board.hours is None else board.hours
    low, high = round_hours(board.low), round_hours(board.high)
    notes = ["so far"] if board.hours is None else []
    if board.side == 1:
        high = high if high < round_middle(took) else round_middle(board.high)
        notes += ["just over"] if high >= round_middle(took) else []
    else:
        low = low if low > round_middle(took) else round_middle(board.low)
        notes += ["just under"] if low <= round_middle(took) else []
    ends = f"{say_middle(low)} to {say_middle(high)}" if low != high else f"about {say_middle(low)}"
    return ends, say_middle(took), ", ".join(notes)
