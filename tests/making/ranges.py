"""A workshop and an answer, by hand."""

from types import MappingProxyType

from estimator.forecast.ranges import Alike, Range, Reason, StageRange
from estimator.words.settings.schema import Driver, Modifier, Settings, Stage

SETTINGS = Settings(
    drivers={
        "face_area": Driver("face_area", label="Area of one face", unit="m2"),
        "infills": Driver("infills", label="Foam pieces to let in"),
    },
    modifiers={"brittle_glass": Modifier("brittle_glass", label="Brittle glass", stages=("strip",))},
    stages={
        "strip": Stage("strip", label="Strip old glass", drivers=("once", "face_area")),
        "infill": Stage("infill", label="Let in foam", drivers=("once", "infills")),
        "owner_change": Stage("owner_change", label="Owner's change of mind", happens="sometimes"),
    },
)

ANSWER = Range(
    board="26-014",
    odds=0.8,
    view="before",
    low=53.2,
    likely=66.4,
    high=81.0,
    quantiles=MappingProxyType({f"{p / 100:.2f}": 40 + p * 0.53 for p in range(5, 100, 5)}),
    stages=(
        StageRange("strip", 20.3, 26.6, 33.0),
        StageRange("infill", 0.2, 4.4, 9.8),
        StageRange("owner_change", 0.0, 0.0, 0.0),
    ),
    reasons=(
        Reason("strip", "once", 3.4),
        Reason("strip", "face_area", 24.6),
        Reason("strip", "brittle_glass", 9.3),
        Reason("infill", "once", 2.0),
        Reason("infill", "infills", 27.0),
        Reason("owner_change", "once", 0.1),
    ),
    boards=31,
    rules=4,
    alike=(
        Alike("24-003", "red nine-four", 71.25, "Foam pieces to let in: 2"),
        Alike("25-007", "", 8.75),
    ),
    guess=52.0,
    chance_beyond_guess=0.89,
)
