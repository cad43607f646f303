import json
import shutil

import pytest
from making.folders import folder
from making.weighings import BOARD, ROW, SHOP, moved, standing, weighed

from estimator.cli.printing import plain_lines
from estimator.decide.weigh.worth import Overhead
from estimator.log.edits import Decision, KeptDecision
from estimator.said.weigh import kept_parts, weigh_parts
from estimator.shop import Shop

ORDER = (
    "Take it on? red nine-four",
    "What it pays",
    "Whose dates move",
    "Your ordinary work in the same weeks",
    "Open it up first?",
    "What would change the answer",
    "Your answer",
)
NOT_SAID = ("%", "quantile", "draw", "mean ", "probab", "expected value", "percent")


def lines(said):
    return plain_lines(weigh_parts(said, SHOP))


def row_of(said, name):
    return next(line for line in said if line.startswith(name))


def test_the_answer_comes_first_then_what_carries_it_and_all_else_in_order():
    said = weighed(1300.0, how=standing(moved=moved(0.4)))
    page = lines(said)

    assert page[:2] == ["Take it on? red nine-four, at 1,300 mk", said.recommendation]
    assert page[2:4] == list(said.because[:2])
    at = [next(i for i, line in enumerate(page) if line.startswith(head)) for head in ORDER]
    assert at == sorted(at)


def test_no_word_of_statistics_reaches_the_page():
    page = "\n".join(lines(weighed(1300.0, how=standing(moved=moved(0.4))))).casefold()

    assert not [word for word in NOT_SAID if word in page]


def test_terms_stand_side_by_side():
    page = lines(weighed(1150.0))
    head = next(line for line in page if line.strip().startswith("fixed price"))

    assert head.split("  ")[-1] == "open it up first"
    assert "a price with a range" in head
    for row in ("not over", "fee", "pay an hour, before rent", "less than the least (30)"):
        assert row_of(page, row)
    assert not any(line.startswith("loses money after rent") for line in page)


@pytest.mark.parametrize(("price", "said"), [(1300.0, False), (260.0, True)])
def test_from_when_on_nothing_is_left_is_said_only_where_that_may_happen(price, said):
    rent = standing(overhead=Overhead(4.0, 1400.0, True))
    weighing = weighed(price, how=rent, terms="fixed")

    assert (weighing.best.chance_of_loss >= 0.05) == said
    assert (" on there is nothing left." in "\n".join(lines(weighing))) == said


def test_rent_is_taken_off_where_it_is_known():
    page = lines(weighed(700.0, how=standing(overhead=Overhead(9.0, 1400.0, True))))

    assert row_of(page, "loses money after rent")
    assert any(
        line.startswith("Rent, power and insurance take 9 mk of each hour at the bench.") for line in page
    )


def test_whose_dates_move_is_said_by_name():
    page = lines(weighed(1300.0, how=standing(moved=moved(0.4))))

    assert " ".join(row_of(page, "green gun").split()) == (
        "green gun Tue 10 Nov Fri 20 Nov Thu 5 Nov 7 in 10 3 in 10"
    )
    assert "1 other board is hardly moved." in page
    assert (
        "This one would be ready by mid December if its owner says yes by Thu 8 October, 9 times in 10."
        not in page
    )


def test_no_dates_is_said_with_the_reason():
    page = lines(weighed(1300.0, how=standing(moved=None, no_dates="Your calendar has no hours.")))

    assert "Whose dates move" not in page
    assert any("left out: Your calendar has no hours." in line for line in page)


def test_the_cautions_stand_on_it():
    page = " ".join(lines(weighed()))

    assert "Restoring can lower what a collectable board is worth" in page
    assert "differs from place to place: local law decides" in page


def test_love_is_an_answer_that_is_taken():
    page = lines(weighed(600.0))

    at = page.index("Worth doing anyway?")
    assert "for love: it is counted apart" in page[at + 1]
    assert page[at + 2].endswith(" --decide yes --why '…' --for-love")
    assert not any("--for-love" in line for line in lines(weighed(1300.0)))


def test_a_decision_that_changes_says_what_stood():
    kept = KeptDecision(
        "26-040", "red nine-four", Decision("yes", "that shape", True), None, Decision("no", "too far")
    )

    assert plain_lines(kept_parts(kept)) == [
        "Not written: red nine-four, yes, for love: “that shape”.",
        "Before, it said no: “too far”.",
    ]


@pytest.fixture
def made(monkeypatch):
    """The board by hand in place of the workshop's own."""
    asked = []

    def weigh(_shop, board, **named):
        asked.append((board, named))
        return weighed(1300.0)

    monkeypatch.setattr(Shop, "weigh", weigh)
    return asked


def test_options_are_read_as_money(demo_folder, run, made):
    run(
        "weigh", "red", "--price", "3,400 mk", "--ceiling", "4000", "--strip-fee", "300", "--terms", "ceiling",
        "--shop", demo_folder,
    )  # fmt: skip

    assert made == [("red", {"price": 3400.0, "terms": "ceiling", "ceiling": 4000.0, "strip_fee": 300.0})]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--price", "-5"], "less than nothing"),
        (["--price", "3 h"], "not an amount of money"),
        (["--terms", "hourly"], '"hourly" are no terms'),
        (["--why", "x"], "A reason, or --for-love, belongs to a decision, and none is named."),
        (["--for-love"], "A reason, or --for-love, belongs to a decision, and none is named."),
        (["--decide", "perhaps"], '"perhaps" is not offered'),
        (["--decide", "yes"], "A decision without its reason teaches nothing."),
    ],
)
def test_wrong_use_is_told_in_words(demo_folder, run, made, words, told):
    assert told in run("weigh", "26-900", *words, "--shop", demo_folder, exit_code=2).stderr


def test_json_has_it_in_full(demo_folder, run, made):
    told = json.loads(run("weigh", "26-900", "--json", "--shop", demo_folder).stdout)

    assert told == {**weighed(1300.0).as_dict(), "kept": None}


def test_a_picture_is_saved(demo_folder, run, made, tmp_path):
    file = tmp_path / "pay.png"
    said = run("weigh", "26-900", "--figure", file, "--shop", demo_folder).stdout

    assert file.read_bytes()[:4] == b"\x89PNG"
    assert said.endswith(f"\nSaved as {file}.\n")


def test_a_picture_is_saved_with_a_decision_too_which_is_all_that_is_said(run, made, tmp_path):
    shop, file = folder(tmp_path / "shop"), tmp_path / "pay.svg"
    words = ("--decide", "no", "--why", "too far", "--figure", file, "--today", "2026-06-01", "--shop", shop)
    said = run("weigh", "green fish", *words).stdout

    assert "</svg>" in file.read_text("utf-8")
    assert said == f"Kept in {shop / 'boards.csv'}: green fish, no: “too far”.\n\nSaved as {file}.\n"


def test_a_decision_is_kept_in_the_board_s_row(demo_folder, run, made, tmp_path):
    shop = tmp_path / "shop"
    shutil.copytree(demo_folder, shop)
    before = (shop / "boards.csv").read_text("utf-8").splitlines()
    words = ("weigh", "26-900", "--decide", "yes", "--why", "that shape", "--for-love", "--shop", shop)
    said = run(*words).stdout

    assert said == f"Kept in {shop / 'boards.csv'}: tan nine-one, yes, for love: “that shape”.\n"
    after = (shop / "boards.csv").read_text("utf-8").splitlines()
    assert [a == b for a, b in zip(before, after, strict=True)].count(False) == 1
    again = run("weigh", "26-900", "--decide", "no", "--why", "no room", "--json", "--shop", shop).stdout
    assert json.loads(again)["kept"]["before"] == {
        "decided": "yes",
        "decided_why": "that shape",
        "for_love": True,
    }


@pytest.mark.parametrize(
    ("board", "told"),
    [
        ("22-001", "Rose seven-six is ready, and there is nothing left to decide."),
        ("nobody", 'No board is called "nobody".'),
        ("26-900", "No price is named for tan nine-one, and none is in the log."),
    ],
)
def test_a_board_that_cannot_be_weighed(demo_folder, run, board, told):
    assert told in run("weigh", board, "--shop", demo_folder, exit_code=2).stderr


def test_the_board_made_by_hand_is_not_in_hand():
    assert BOARD.board == ROW.board
    assert not weighed().in_hand
