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
    19 hours more: 9 in the guess, 5½ hidden work, 4½ this board going slower.
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
    going: str = "this board going",
) -> str:
    """Hours more or less, and what they were made of; where parts go both ways, each way in a sentence of its own.

    hours: by part; over: their sum as it is shown; stages: by part what to name of it; going: slower or quicker

    >>> parts_story({"guess": -4.9, "hidden": 1.6, "asked_later": 0.0, "pace": 1.7}, -2.0)
    '2 hours less. Less: 5 in the guess. More: 1½ hidden work, 1½ this board going slower.'
    """
    shown = dict(zip(PARTS, shown_to_add_up([hours[part] for part in PARTS], over), strict=True))
    named = {part: (f" ({', '.join(stages[part])})" if stages.get(part) else "") for part in PARTS}
    said = {part: f"{say_shown(at)} {part_words(part, at, going)}{named[part]}" for part, at in shown.items()}
    more = [said[part] for part, at in shown.items() if at > 0]
    less = [said[part] for part, at in shown.items() if at < 0]
    if over == 0:
        head = "Just as you said" if not more else "As you said, all in all"
    else:
        unit = "hour" if abs(over) <= 1 else "hours"
        head = f"{say_middle(abs(over))} {unit} {'more' if over > 0 else 'less'}"
    if not (more and less):
        made_of = ", ".join(more or less)
        return f"{head}: {made_of}." if made_of else f"{head}."
    ways = [f"More: {', '.join(more)}.", f"Less: {', '.join(less)}."]
    return " ".join([f"{head}.", *(ways if over >= 0 else reversed(ways))])


def part_words(part: str, hours: float, going: str = "this board going") -> str:
    """What a part is, more or less, as it stands after its hours.

    >>> part_words("hidden", 6), part_words("pace", -1), part_words("asked_later", 3)
    ('hidden work', 'this board going quicker', 'asked for since')
    """
    if part == "guess":
        return "in the guess"
    if part == "hidden":
        return label("hidden") if hours > 0 else "less to do than it looked"
    if part == "asked_later":
        return label("asked later")
    return f"{going} {'slower' if hours > 0 else 'quicker'}"


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
