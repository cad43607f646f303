"""What made boards go over, as a restorer reads it: in one sentence, by part, by stage, and what goes with it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from statistics import median

from estimator.decide.overruns.overruns import Overruns
from estimator.decide.overruns.parts import PARTS, BoardOverrun, board_story, parts_story, shown_over
from estimator.decide.overruns.variance_shares import FEW, OVERRUN, UNEXPLAINED, Effect, Share
from estimator.said.parts import Heading, Part, Table
from estimator.words.labels import label
from estimator.words.odds import say_odds
from estimator.words.phrases import (
    capital,
    inside,
    round_middle,
    say_count,
    say_middle,
    say_share,
    say_shown,
    say_small,
    shown_to_add_up,
    unit_sign,
)
from estimator.words.settings.schema import Settings

ODDS = 0.8  # of all ranges here
SURE = 0.05  # chance that luck alone shows any of what is named
NAMED_BOARDS, NAMED_STAGES, NAMED_LEFT_OUT = 5, 8, 3
AN_HOUR = 1.0
WORTH_A_LINE = 0.025  # of what differs
NOT_THE_CAUSE = "That one goes with another doesn't prove that it is its cause."
NONE_YET = "No finished board can be judged yet: it takes a guess made before, all its hours, and what there was to do."
PART_WORDS = {
    "guess": "the guess itself",
    "hidden": label("hidden"),
    "surprise": f"{label('hidden')}, and what was {label('asked later')}",
    "asked_later": label("asked later"),
    "pace": "boards' own going",
}


def overruns_parts(found: Overruns, settings: Settings) -> list[Part]:
    """Everything that `overruns` says of all boards, in the order in which a restorer wants it."""
    head = Heading("What made boards go over", level=1)
    if not found.boards:
        return [head, NONE_YET, *_left_out(found)]
    return [
        head,
        *in_one_sentence(found),
        *_parts(found),
        *_most(found),
        *_stages(found, settings),
        *_goes_with(found, settings),
        *_too_few(found, settings),
        *_left_out(found),
    ]


def board_parts(board: BoardOverrun, settings: Settings) -> list[Part]:
    """What made one board go over: its story, and its stages."""
    rows = [
        (
            settings.label(s.stage),
            say_middle(s.usual),
            say_middle(s.took),
            *(_signed(board.stage_hours[s.stage][part]) for part in PARTS[1:]),
        )
        for s in board.stages
    ]
    head = ("Stage", "usual", "took", label("hidden"), label("asked later"), "going")
    table: list[Part] = [
        "Usual is what your log says such a board's stage takes; more is +, less is −.",
        Table(head, tuple(rows), right=(1, 2, 3, 4, 5)),
    ]
    none = ["Its hours are not booked to stages, so they can't be told apart."]
    return [Heading(board.name, level=1), board_story(board, settings), *(table if rows else none)]


def in_one_sentence(found: Overruns) -> list[str]:
    """How all boards went against their guesses, and what that was made of."""
    boards = say_count(len(found.boards), "board")
    over = sum(board.took > board.guessed for board in found.boards)
    story = parts_story(found.hours, shown_over(found.took, found.guessed), boards=True)
    return [
        f"{boards} took {say_middle(found.took)} hours; you said {say_middle(found.guessed)}. {story}",
        f"{say_small(over).capitalize()} of them went over.",
    ]


def _parts(found: Overruns) -> list[Part]:
    """The parts in hours, and how much of what differs between boards goes with each."""
    total = shown_over(found.took, found.guessed)
    hours = dict(zip(PARTS, shown_to_add_up([found.hours[p] for p in PARTS], total), strict=True))
    # what evens out the others goes with none of what differs
    shares = {share.part: share for share in found.goes_with.parts if share.share > 0}
    rows = [(PART_WORDS[part], _as_shown(hours[part])) for part in PARTS]
    parts: list[Part] = [
        Table(("", "hours"), (*rows, ("more than you said", _signed(total))), (1,), total=True)
    ]
    if shares:
        whole = math.fsum(share.share for share in shares.values())
        shown = to_ten([share.share / whole for share in shares.values()])
        lines = tuple(
            (PART_WORDS[part], tenths, _tenths(share)[1])
            for tenths, (part, share) in zip(shown, shares.items(), strict=True)
        )
        parts += [
            "Some boards go over more than others. Of ten parts of that difference, so many go with:",
            Table(("", "parts", say_odds(ODDS)), lines, right=(1, 2)),
        ]
    elif len(found.boards) < FEW:
        parts.append(f"How much of what differs between boards goes with each takes {FEW} of them.")
    return parts


def _most(found: Overruns) -> list[Part]:
    """The boards that went over most, by name."""
    over = [board for board in found.boards if round_middle(board.took) > round_middle(board.guessed)]
    most = sorted(over, key=lambda board: board.guessed - board.took)[:NAMED_BOARDS]
    if not most:
        return []
    rows = []
    for board in most:
        total = shown_over(board.took, board.guessed)
        hours = shown_to_add_up([board.hours[part] for part in PARTS], total)
        rows.append((board.name, say_middle(board.guessed), say_middle(board.took), *map(_as_shown, hours)))
    head = ("Went over most", "you said", "took", "guess", label("hidden"), label("asked later"), "going")
    boards = tuple(board.board for board in most)
    return [Heading("Board by board"), Table(head, tuple(rows), right=(1, 2, 3, 4, 5, 6), boards=boards)]


def _stages(found: Overruns, settings: Settings) -> list[Part]:
    """Stages with their hours more or less, the largest first."""
    sums = {
        stage: hours
        for stage, hours in found.by_stage.items()
        if any(abs(h) >= AN_HOUR for h in hours.values())
    }
    largest = sorted(sums, key=lambda stage: -sum(abs(hours) for hours in sums[stage].values()))[
        :NAMED_STAGES
    ]
    if not largest:
        return []
    boards = say_count(sum(bool(board.stages) for board in found.boards), "board")
    rows = tuple(
        (settings.label(stage), *(_signed(sums[stage][part]) for part in PARTS[1:])) for stage in largest
    )
    head = ("Stage", label("hidden"), label("asked later"), "going slower +, quicker −")
    return [
        Heading("By stage, in hours"),
        f"From {boards} with hours by stage. A guess is of the whole board and can't be told by stage.",
        Table(head, rows, right=(1, 2, 3)),
    ]


def _goes_with(found: Overruns, settings: Settings) -> list[Part]:
    """What goes with going over by more than luck explains, and what of the differences is left."""
    with_ = found.goes_with
    if not with_.effects:
        return []
    sure = [effect for effect in with_.effects if effect.p_adjusted < SURE]
    things = len({effect.driver for effect in with_.effects})
    typical = median(board.guessed for board in found.boards)
    if not sure:
        nothing = f"{_looked_at(things)}, nothing goes with it by more than luck explains."
        return [Heading("What goes with it"), nothing, *_could_find(found)]
    lines = [_effect(effect, typical, settings) for effect in _told_once(sure)]
    shown = [s for s in with_.drivers if s.driver != UNEXPLAINED and s.share >= WORTH_A_LINE]
    rows = [(settings.quantity_label(s.driver), *_tenths(s)) for s in sorted(shown, key=lambda s: -s.share)]
    rest = [("nothing that was looked at", *_tenths(s)) for s in with_.drivers if s.driver == UNEXPLAINED]
    return [
        Heading("What goes with it"),
        *lines,
        f"{_looked_at(things)}, luck alone would show one like this in fewer than 1 log in 20. {NOT_THE_CAUSE}",
        *_could_find(found),
        "Of ten parts of the difference between boards, so many go with:",
        Table(("", "parts", say_odds(ODDS)), (*rows, *rest), right=(1, 2)),
    ]


def _could_find(found: Overruns) -> Iterable[str]:
    """What so many boards could have shown, and what they would most likely miss."""
    share = found.goes_with.could_find
    if share is not None:
        boards = say_count(len(found.boards), "board")
        yield (
            f"From {boards} a thing that makes {say_share(share)} of the difference is found 8 times in 10; "
            "one that makes less may be there and not show."
        )


def _looked_at(things: int) -> str:
    """How much was looked at."""
    return f"Of {say_count(things, 'thing')} that you write down about boards"


def _told_once(sure: Sequence[Effect]) -> list[Effect]:
    """Each driver's effects on single parts; on the whole where no part shows it; the surest driver first."""
    parts = {effect.driver for effect in sure if effect.part != OVERRUN}
    told = [effect for effect in sure if effect.part != OVERRUN or effect.driver not in parts]
    return sorted(told, key=lambda effect: effect.p_adjusted)


def _effect(effect: Effect, typical: float, settings: Settings) -> str:
    """What one more of a driver goes with, in hours on a board of typical size."""
    ends = sorted(typical * abs(math.expm1(at)) for at in (effect.low, effect.high))
    hours = typical * abs(math.expm1(effect.effect))
    side = "more" if effect.effect > 0 else "less"
    where = "" if effect.part == OVERRUN else f"; it lies in {PART_WORDS[effect.part]}"
    about = (
        ""
        if round_middle(ends[0]) == round_middle(ends[1])
        else f" ({_figure(ends[0])} to {_figure(ends[1])})"
    )
    return (
        f"{settings.quantity_label(effect.driver)}: {_one_more(effect.driver, settings)} {label('effect')} "
        f"{_figure(hours)} {'hour' if hours <= 1 else 'hours'} {side}{about} on a board that you'd call "
        f"{say_middle(typical)}{where}."
    )


def _one_more(driver: str, settings: Settings) -> str:
    """One more of a driver, as the subject of a sentence."""
    if driver in settings.modifiers:
        return "each step" if settings.modifiers[driver].grades else "yes"
    unit = settings.drivers[driver].unit
    return f"each {unit_sign(unit)} more" if unit else "each one more"


def _too_few(found: Overruns, settings: Settings) -> list[Part]:
    """What too few boards tell of, with how many would do, and what can't be told from something else."""
    with_, n = found.goes_with, len(found.boards)
    lines: list[Part] = []
    if with_.too_few:
        named: dict[int, list[str]] = {}
        for few in with_.too_few:
            named.setdefault(few.would_do, []).append(inside(settings.quantity_label(few.driver)))
        each = "; ".join(
            f"{', '.join(names)}: {would_do} would do" for would_do, names in sorted(named.items())
        )
        lines.append(f"You have {n}. {capital(each)}.")
    for driver, other in with_.alike.items():
        name, like = settings.quantity_label(driver), inside(settings.quantity_label(other))
        lines.append(f"{name} can't be told from {like}: on your boards the two go together.")
    title = label("not enough boards") if with_.too_few else "What can't be told apart"
    return [Heading(f"{capital(title)}"), *lines] if lines else []


def _left_out(found: Overruns) -> list[Part]:
    """Boards that could not be judged, counted and named, and those of which nobody wrote how they turned out."""
    lines: list[Part] = [f"{capital(reason)}: {_some(names)}." for reason, names in found.left_out.items()]
    if found.not_recorded:
        lines.append(
            f"How it turned out is not written, so no {label('hidden')} can show: {_some(found.not_recorded)}."
        )
    return [Heading("What could not be judged"), *lines] if lines else []


def _some(names: Sequence[str]) -> str:
    """How many, and the first of them by name."""
    more = " …" if len(names) > NAMED_LEFT_OUT else ""
    return f"{say_count(len(names), 'board')} ({', '.join(names[:NAMED_LEFT_OUT])}{more})"


def _tenths(share: Share) -> tuple[str, str]:
    """A share and its range as cells, in tenths to the half."""
    low, high = (_half(10 * at) for at in (share.low, share.high))
    return _half(10 * share.share), low if low == high else f"{low} to {high}"


def to_ten(shares: Sequence[float]) -> list[str]:
    """Shares that sum to 1 as tenths to the half that sum to ten, the largest remainders rounded up.

    >>> to_ten([0.60, 0.13, 0.27]), to_ten([0.98, 0.05, -0.03])
    (['6', '1½', '2½'], ['10', '½', '−½'])
    """
    halves = [math.floor(20 * share + 1e-9) for share in shares]
    by_rest = sorted(range(len(shares)), key=lambda i: halves[i] - 20 * shares[i])
    for i in by_rest[: max(20 - sum(halves), 0)]:
        halves[i] += 1
    return [_half(at / 2) for at in halves]


def _half(number: float) -> str:
    """A number to the half, with a minus of its own."""
    shown = math.floor(2 * abs(number) + 0.5) / 2
    return f"{'−' if number < 0 and shown else ''}{say_middle(shown)}"


def _signed(hours: float) -> str:
    """Hours more or less, as they stand in a table; a dot where there are none."""
    return _as_shown(round_middle(hours))


def _as_shown(hours: float) -> str:
    """The same of hours that add up as they are shown."""
    return "·" if not hours else f"{'+' if hours > 0 else '−'}{say_shown(hours)}"


def _figure(hours: float) -> str:
    """Hours in a sentence."""
    return say_middle(hours) if round_middle(hours) else "less than ½"
