"""A workshop by hand, an answer by hand, and the invented workshop written once."""

import csv
from types import MappingProxyType

import pytest
from click.testing import CliRunner

from estimator.cli.commands import cli
from estimator.forecast.ranges import Alike, Range, Reason, StageRange
from estimator.log.demo import write_demo
from estimator.words.settings import Driver, Modifier, Settings, Stage

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


@pytest.fixture
def settings():
    return SETTINGS


@pytest.fixture
def answer():
    return ANSWER


IN_LINE = {
    "board": "26-900",
    "called": "tan nine-one",
    "kind": "major",
    "asked": "2026-09-20",
    "quoted": "2026-09-24",
    "accepted": "2026-09-28",
    "length": "9'1",
    "width": "22 3/4",
    "guess": "55",
    "assessed_sides_stripped": "2",
    "assessed_infills": "2",
    "assessed_brittle_glass": "crisp",
    "assessed_wetness": "damp",
    "assessed_sides_coated": "2",
    "assessed_gloss": "2",
}


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory):
    """The invented workshop with one more board in line, in a folder with a blank in its name."""
    folder = tmp_path_factory.mktemp("invented") / "my demo"
    write_demo(folder)
    boards = folder / "boards.csv"
    columns = boards.read_text("utf-8").partition("\n")[0].split(",")
    with boards.open("a", encoding="utf-8", newline="") as file:
        csv.DictWriter(file, columns, lineterminator="\n").writerow(IN_LINE)
    return folder


@pytest.fixture
def run(monkeypatch):
    """Runs a command and returns what click's runner saw; a mistake of ours shows its traceback."""
    monkeypatch.delenv("ESTIMATOR_SHOP", raising=False)

    def invoke(*words, exit_code=0):
        result = CliRunner().invoke(cli, [str(word) for word in words])
        if result.exception and not isinstance(result.exception, SystemExit):
            raise result.exception
        assert result.exit_code == exit_code, result.output
        return result

    return invoke
