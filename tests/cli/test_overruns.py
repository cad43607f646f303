import json
import math
import shutil

import pytest

from estimator import Shop
from estimator.log.starter import write_starter

PNG = b"\x89PNG\r\n\x1a\n"  # the signature of a PNG file: ISO/IEC 15948, clause 5.2


@pytest.fixture(scope="module")
def demo(demo_folder, tmp_path_factory):
    folder = tmp_path_factory.mktemp("over") / "demo"
    shutil.copytree(demo_folder, folder)
    return folder


@pytest.fixture(scope="module")
def found(demo):
    """What made its boards go over, worked out once."""
    return Shop.open(demo).overruns()


@pytest.fixture(autouse=True)
def worked_out_once(request, monkeypatch):
    """Every run on the invented workshop says what was worked out once."""
    if "found" in request.fixturenames:
        once = request.getfixturevalue("found")
        monkeypatch.setattr(Shop, "overruns", lambda _: once)


def test_the_invented_workshop(demo, found, run, tmp_path):
    told = run("overruns", "--shop", demo, "--figure", tmp_path / "batten.png").stdout

    assert told.startswith(
        "What made boards go over\n114 boards took 4,936 hours; you said 4,173. 763 hours over: "
    )
    assert told.endswith(f"\nSaved as {tmp_path / 'batten.png'}.\n")
    assert (tmp_path / "batten.png").read_bytes().startswith(PNG)
    for heading in ("Board by board", "By stage, in hours", "What goes with it", "Not enough boards to say"):
        assert f"\n\n{heading}\n" in told


def test_one_board(demo, found, run, tmp_path):
    told = run("overruns", "slate eight-oh", "--shop", demo, "--figure", tmp_path / "egg.svg").stdout
    kept = json.loads(run("overruns", "slate eight-oh", "--shop", demo, "--json").stdout)

    assert told.splitlines()[1].startswith(
        "The slate eight-oh took 122 hours; you said 75. 47 hours over: a low guess added 49"
    )
    assert "<title>You said 75 hours; it came to 122." in (tmp_path / "egg.svg").read_text("utf-8")
    (board,) = kept["boards"]
    assert board["called"] == "slate eight-oh"
    assert math.fsum(board["hours"].values()) == pytest.approx(board["took"] - board["guessed"])
    assert kept["shares"]


def test_boards_that_cannot_be_told(demo, found, run):
    assert "No board is called" in run("overruns", "nobody", "--shop", demo, exit_code=2).stderr
    declined = run("overruns", "22-006", "--shop", demo, exit_code=1).stderr
    assert declined.startswith("Nothing can be said of ochre six-nine yet: it is not finished.")


def test_a_workshop_without_a_log(run, tmp_path):
    write_starter(tmp_path / "mine")
    told = run("overruns", "--shop", tmp_path / "mine").stdout
    kept = json.loads(run("overruns", "--shop", tmp_path / "mine", "--json").stdout)
    drawn = run("overruns", "--shop", tmp_path / "mine", "--figure", tmp_path / "a.png", exit_code=2)

    assert "No finished board can be judged yet" in told
    assert (kept["boards"], kept["shares"], kept["effects"]) == ([], [], [])
    assert drawn.stderr.startswith("There is no finished board with a guess to draw.")
