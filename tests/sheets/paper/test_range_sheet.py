from dataclasses import replace

import pytest
from making.promises import TODAY
from making.read_pdf import read
from making.sheets import ANSWER, BARE, BOARD, GUESSED, SETTINGS, of_range, stage

from estimator.forecast.ranges import Cost
from estimator.sheets.paper.range_sheet import LAST, TEXTS, cautions_for
from estimator.sheets.paper.typesetting import pdf
from estimator.words.records import Board


@pytest.fixture
def undrawn(monkeypatch):
    """No figure is drawn where only words are looked at."""
    monkeypatch.setattr("estimator.sheets.paper.range_sheet.save_range", lambda *_, **__: None)


ORDER = (  # of the sheet
    "red nine-four",
    "Between 55 and 80 hours, 8 times in 10",
    "Of ten boards like this, eight take 55 to 80 hours",
    "If it is otherwise",
    "Hours by stage",
    "Materials and price",
    "Told",
    "Take care",
)


def test_everything_stands_on_the_sheet_in_its_order():
    data = of_range()
    words = read(pdf("range", data, TODAY)).words
    places = [words.index(part) for part in ORDER]

    assert places == sorted(places)
    for part in (
        "From 31 of your boards and 4 rules of thumb (2 lent, not yet yours).",
        "Boards like it: the plum egg (71) and 25-007 (58).",
        "Widened by a tenth at the slow end",
        "Ready between the week of Mon 26 October and the week of Mon 16 November, 8 times in 10; tell the owner: ready by Fri 20 November, 9 times in 10.",
        "You said 52.",
        "Can't see yet:",
        "310 to 430 mk.",
        "3,130 mk pays you 42 an hour, 8 times in 10.",
        "Colours to spray: 3, not 2: 13 hours more",
        "Brittle glass: brittle: 4½ hours more",
        "On Wed 1 July (quote): 2,600 mk, fixed price",
        "Thu 1 October 2026",
    ):
        assert part.replace("'", "’") in words.replace("'", "’"), part
    assert "Owner 007" not in words
    assert "yellow house" not in words


def test_what_ifs_are_said_in_hours(undrawn):
    assert [(one["what"], one["hours"]) for one in of_range()["what_ifs"]] == [
        ("Colours to spray: 3, not 2", "13 hours more"),
        ("Brittle glass: brittle", "4½ hours more"),
        ("Stains and base coat", "2½ hours more"),
        ("Foam pieces to let in: 4, not 3", "1½ hours more"),
    ]


def test_stages_have_their_hours_and_what_is_booked(undrawn):
    stages = (
        stage("strip", so_far=6.2, done=True),
        stage("infill", 2.0, 4.0, 6.2, so_far=1.0),
        stage("sand", 0.0, 0.1, 0.2),
        stage("gloss", 1.1, 1.2, 1.2),
        stage("polish", 0.1, 1.0, 2.2),
        stage("stain", 0.0, 0.0, 0.0),
    )
    data = of_range(answer=replace(ANSWER, stages=stages, view="now"))

    assert data["stages"] == [
        {"stage": "Strip old glass", "hours": "done, 6", "so_far": ""},
        {"stage": "Let in foam", "hours": "2 to 6", "so_far": "1 so far"},
        {"stage": "Sand", "hours": "under ½", "so_far": ""},
        {"stage": "Gloss coat", "hours": "about 1", "so_far": ""},
        {"stage": "Rub down and polish", "hours": "0 to 2", "so_far": ""},
    ]
    assert data["seldom"] == "Seldom needed, but counted in the whole: stains and base coat."


@pytest.mark.parametrize(
    ("name", "two_pack"), [*((name, False) for name in SETTINGS.stages), ("spray", True), ("redo", True)]
)
def test_cautions_are_those_of_the_stages_still_to_come_and_no_others(undrawn, name, two_pack):
    settings = replace(SETTINGS, workshop=replace(SETTINGS.workshop, two_pack=two_pack))
    done = stage("strip", so_far=3.0, done=True)
    data = of_range(answer=replace(ANSWER, stages=(done, stage(name))), settings=settings)

    assert data["cautions"] == list(cautions_for([name], two_pack))


def test_a_board_that_meets_nothing_has_no_cautions():
    data = of_range(answer=replace(ANSWER, stages=(stage("assess"), stage("handover"))))

    assert data["cautions"] == []
    words = read(pdf("range", data, TODAY)).words
    assert "Take care" not in words


def test_cautions_end_by_deferring_and_each_says_first_what_it_is_about(undrawn):
    cautions = of_range()["cautions"]

    assert cautions[-1] == LAST
    assert all(": " in text for text in TEXTS.values())


def test_a_guess_is_pencil_and_says_so(undrawn):
    data = of_range(BARE, GUESSED, what_ifs=(), told=())

    assert data["pencil"]
    assert data["hours"] == "Guessed: between 55 and 80 hours, 8 times in 10"
    assert "This is guessed" in data["figure"]["says"]
    assert data["rests"][0] == "From your own guess alone."
    assert of_range()["pencil"] is False


def test_a_board_that_is_done_says_what_was_booked(undrawn):
    done = replace(ANSWER, low=66.2, likely=66.2, high=66.2, view="now", stages=(stage("strip", done=True),))

    assert of_range(answer=done)["hours"] == "66 hours, all booked"


@pytest.mark.parametrize(
    ("board", "answer", "said"),
    [
        (BOARD, ANSWER, ["310 to 430 mk.", "3,130 mk pays you 42 an hour, 8 times in 10."]),
        (replace(BOARD, materials=321.5), replace(ANSWER, price=None), ["321.5 mk, as written in your log."]),
        (BOARD, replace(ANSWER, materials=Cost(318, 320, 321), price=None), ["about 320 mk."]),
        (
            BOARD,
            replace(ANSWER, materials=Cost(100, 120, 180, lent=True), price=None),
            ["100 to 180 mk (lent, no board of yours tells yet)."],
        ),
        (Board("b"), GUESSED, []),
    ],
)
def test_materials_and_price(undrawn, board, answer, said):
    assert of_range(board, answer)["materials"] == said
