"""What made one board, or all of them, go over the guess: in a sentence or two, of figures that add up."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from estimator.decide.overruns.parts import PARTS, BoardOverrun
from estimator.words.labels import label
from estimator.words.phrases import inside, round_middle, say_middle, say_shown, shown_to_add_up
from estimator.words.settings.schema import Settings

NAMED = 3  # stages named of a part, at most
WORTH_NAMING = 0.2  # of a part's hours
AN_HOUR = 1.0  # of a part, below which no stage is named

NO_STAGES: Mapping[str, Sequence[str]] = {}


def board_story(board: BoardOverrun, settings: Settings) -> str:
    r"""How one board went against its guess, never whose fault it was; the figures add up as they are shown.

    >>> went = BoardOverrun("26-014", "red nine-four", "major", "", 52.0, 71.0, 60.5, 66.0, 66.0)
    >>> print(board_story(went, Settings()).replace(". ", ".\n"))
    The red nine-four took 71 hours; you said 52.
    19 hours over: a low guess added 9, hidden work 5½, slower going 4½.
    """
    name = f"The {board.called}" if board.called else f"Board {board.board}"
    unit = "hour" if round_middle(board.took) <= 1 else "hours"
    stages = {part: named_stages(board, part, settings) for part in PARTS[1:]}
    head = f"{name} took {say_middle(board.took)} {unit}; you said {say_middle(board.guessed)}."
    return f"{head} {parts_story(board.hours, shown_over(board.took, board.guessed), stages)}"


def shown_over(took: float, guessed: float) -> float:
    """The hours more or less than guessed, as they are shown: from those two as they are shown.

    >>> shown_over(70.6, 52.4), shown_over(0.5, 71.0)
    (19.0, -71.0)
    """
    over = round_middle(took) - round_middle(guessed)
    return math.copysign(round_middle(abs(over)), over) + 0.0


def say_over(took: float, guessed: float) -> str:
    """Hours more or less than was said, in words.

    >>> say_over(71, 52), say_over(48.3, 49), say_over(20, 20)
    ('19 hours more than you said', '1 hour less than you said', 'just as you said')
    """
    over = shown_over(took, guessed)
    unit = "hour" if abs(over) <= 1 else "hours"
    side = "more" if over > 0 else "less"
    return f"{say_middle(abs(over))} {unit} {side} than you said" if over else "just as you said"


def parts_story(
    hours: Mapping[str, float],
    over: float,
    stages: Mapping[str, Sequence[str]] = NO_STAGES,
    *,
    boards: bool = False,
) -> str:
    """Hours over or under, and what saved and what added to them: the way that won is said first.

    hours: by part; over: their sum as it is shown; stages: by part what to name of it; boards: of several together

    >>> parts_story({"guess": -4.9, "hidden": 1.6, "asked_later": 0.0, "pace": 1.7}, -2.0)
    '2 hours under: a high guess saved 5; hidden work added 1½, slower going 1½.'
    >>> parts_story({"guess": 11.0, "hidden": 0.0, "asked_later": 0.0, "pace": -12.0}, -1.0, boards=True)
    '1 hour under: quicker boards saved 12; guesses too low added 11.'
    """
    shown = dict(zip(PARTS, shown_to_add_up([hours[part] for part in PARTS], over), strict=True))
    named = {part: (f" ({', '.join(stages[part])})" if stages.get(part) else "") for part in PARTS}
    ways = []
    for verb, way in (("added", 1), ("saved", -1)):
        did = [
            (f"{part_words(part, at, boards=boards)}{named[part]}", say_shown(at))
            for part, at in shown.items()
            if at * way > 0
        ]
        ways.append(
            ", ".join(f"{what} {f'{verb} ' if not n else ''}{much}" for n, (what, much) in enumerate(did))
        )
    made_of = "; ".join(way for way in (ways if over >= 0 else reversed(ways)) if way)
    if over == 0:
        return f"As you said, all in all: {made_of}." if made_of else "Just as you said."
    unit = "hour" if abs(over) <= 1 else "hours"
    head = f"{say_middle(abs(over))} {unit} {'over' if over > 0 else 'under'}"
    return f"{head}: {made_of}." if made_of else f"{head}."


PART_WORDS = {  # what adds hours, and what saves them; of one board, and of several
    "guess": (("a low guess", "guesses too low"), ("a high guess", "guesses too high")),
    "hidden": ((label("hidden"),), ("less to do than it looked",)),
    "asked_later": (("what was asked for since",), ("what was no longer wanted",)),
    "pace": (("slower going", "slower boards"), ("quicker going", "quicker boards")),
}


def part_words(part: str, hours: float, *, boards: bool = False) -> str:
    """What added hours, or saved them where they are less than none.

    >>> part_words("hidden", 6), part_words("pace", -1), part_words("pace", -1, boards=True)
    ('hidden work', 'quicker going', 'quicker boards')
    """
    words = PART_WORDS[part][0 if hours > 0 else 1]
    return words[-1] if boards else words[0]


def named_stages(board: BoardOverrun, part: str, settings: Settings) -> list[str]:
    """The stages on which most of a part's hours lay, by what the restorer calls them, largest first."""
    whole = board.hours[part]
    if abs(whole) < AN_HOUR:
        return []
    by_stage = {stage: parts[part] for stage, parts in board.stage_hours.items()}
    large = [
        stage for stage, hours in by_stage.items() if hours * whole > 0 and hours / whole >= WORTH_NAMING
    ]
    return [inside(settings.label(stage)) for stage in sorted(large, key=lambda s: -abs(by_stage[s]))[:NAMED]]
