import datetime as dt
from dataclasses import replace

import pytest
from making.promises import TODAY
from making.read_pdf import read
from making.sheets import ANSWER, BARE, BOARD, GUESSED, SETTINGS, of_range, stage

from estimator.forecast.described import WhatIf
from estimator.forecast.ranges import Cost, Price, Ready
from estimator.sheets.paper.range_sheet import LAST, TEXTS, cautions_for
from estimator.sheets.paper.typesetting import pdf
from estimator.words.records import Board, Note
from estimator.words.settings.schema import Modifier


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


def noted(*days, text="laps wide"):
    return [Note("26-040", dt.date(2026, 9, day), text) for day in days]


def rests(board=BOARD, answer=ANSWER, **more):
    """What the range rests on, without the first sentence."""
    return of_range(board, answer, **more)["rests"][1:]


def ready(low, high, tell=0, **more):
    """The sentence on when it will be ready, between two days from today."""
    days = Ready(*(TODAY + dt.timedelta(n) for n in (low, high, high)), tell=TODAY + dt.timedelta(tell))
    answer = replace(ANSWER, ready=replace(days, **more), alike=(), stretch=(1.0, 1.0))
    return rests(answer=answer)


def test_four_notes_are_shown_the_newest_and_long_ones_cut(undrawn):
    assert of_range(noted=noted(1, 2))["noted"] == [
        "Tue 1 September 2026: laps wide",
        "Wed 2 September 2026: laps wide",
    ]
    assert of_range(noted=noted(1, 2, 3, 4))["noted"][0] == "Tue 1 September 2026: laps wide"
    assert of_range(noted=noted(1, 2, 3, 4, 7))["noted"] == [
        "The newest 4 of 5 notes.",
        "Wed 2 September 2026: laps wide",
        "Thu 3 September 2026: laps wide",
        "Fri 4 September 2026: laps wide",
        "Mon 7 September 2026: laps wide",
    ]
    [cut] = of_range(noted=noted(1, text="word " * 60))["noted"]
    assert cut == f"Tue 1 September 2026: {'word ' * 31}…"


@pytest.mark.parametrize(
    ("days", "said"),
    [
        ((5, 9), "Ready between Tue 6 October and Sat 10 October, 8 times in 10; tell the owner: ready by Sat 10 October, 9 times in 10."),
        ((5, 9, 12), "Ready between Tue 6 October and Sat 10 October, 8 times in 10; tell the owner: ready by Tue 13 October, 9 times in 10."),
        ((-3, 9), "Ready between Thu 1 October and Sat 10 October, 8 times in 10; tell the owner: ready by Sat 10 October, 9 times in 10."),
        ((-3, -1), "Ready about Thu 1 October, 8 times in 10; tell the owner: ready by Thu 1 October, 9 times in 10."),
    ],
)  # fmt: skip
def test_when_it_will_be_ready_and_what_to_tell_its_owner(undrawn, days, said):
    assert ready(*days) == [said]


def test_a_board_not_taken_on_is_ready_if_its_owner_says_yes_in_time(undrawn):
    [said] = ready(5, 9, say_yes_by=TODAY + dt.timedelta(4))

    assert ", 8 times in 10, if the owner says yes by Mon 5 October; tell" in said


def test_that_weeks_are_apart_is_said_beside_the_day_and_only_there(undrawn):
    answer = replace(ANSWER, alike=(), stretch=(1.0, 1.0))

    assert rests(answer=answer, weeks_apart="your week is shorter")[1:] == ["Your week is shorter."]
    assert rests(answer=answer)[1:] == []
    assert rests(answer=replace(answer, ready=None), weeks_apart="your week is shorter") == []


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (1.2, 1.0, ["Widened by a fifth at the quick end: there your last ranges were too tight."]),
        (1.0, 1.2, ["Widened by a fifth at the slow end: there your last ranges were too tight."]),
        (1.0, 1.0, []),
    ],
)
def test_at_which_end_it_was_moved(undrawn, low, high, said):
    answer = replace(ANSWER, stretch=(low, high), alike=(), ready=None)

    assert rests(answer=answer) == said


def test_what_was_looked_at_is_said_with_what_nobody_saw(undrawn):
    assert of_range()["looked"][1:] == [
        "Makes it slower: brittle glass: brittle; masking: curves.",
        "Can't see yet: small glass patches, fin boxes to fit, fins to make, wet foam.",
    ]
    nothing = Board("b", assessed=dict.fromkeys(SETTINGS.quantities, 0.0))
    assert of_range(nothing)["looked"] == ["Makes it slower: wet foam: dry."]


@pytest.mark.parametrize(
    ("boards", "pencil", "hours"),
    [
        (11, True, "Guessed: between 55 and 80 hours, 8 times in 10"),
        (12, False, "Between 55 and 80 hours, 8 times in 10"),
    ],
)
def test_a_range_of_twelve_boards_is_guessed_no_more(undrawn, boards, pencil, hours):
    data = of_range(answer=replace(ANSWER, boards=boards))

    assert (data["pencil"], data["hours"]) == (pencil, hours)


def test_what_if_says_what_is_taken_where_that_is_known(undrawn):
    asked = [
        WhatIf("wetness", 0.0, 2.0, 5.0),
        WhatIf("wetness", None, 3.0, 5.0),
        WhatIf("logos", 0.0, 1.0, 5.0),
        WhatIf("face_area", 1.2, 1.5, 5.0),
    ]

    assert [one["what"] for one in of_range(what_ifs=asked)["what_ifs"]] == [
        "Wet foam: wet, not dry",
        "Wet foam: soaked",
        "Logos to redraw: 1, not none",
        "Area of one face: 1½ m², not 1.2 m²",
    ]


def test_of_yes_or_no_the_name_says_it(undrawn):
    settings = replace(SETTINGS, modifiers={"rush": Modifier("rush", label="Rush job", stages=("spray",))})
    board = Board("b", assessed={"rush": 1.0, "spray_colours": 1.0})
    data = of_range(board, settings=settings, what_ifs=[WhatIf("rush", None, 1.0, 5.0)])

    assert data["what_ifs"] == [{"what": "Rush job", "hours": "5 hours more"}]
    assert "Makes it slower: rush job: yes." in data["looked"]


def test_materials_that_cost_nothing_are_written_too_and_no_pay_is_no_price(undrawn):
    free = replace(BOARD, materials=0.0)

    assert of_range(free)["materials"][0] == "0 mk, as written in your log."
    assert of_range(answer=replace(ANSWER, price=Price(900.0, 0.8, 0.0)))["materials"] == ["310 to 430 mk."]


def test_a_stage_that_is_done_without_hours_is_shown_as_done(undrawn):
    done = replace(ANSWER, stages=(stage("strip", 0.0, 0.0, 0.0, done=True), stage("sand", 2.0, 3.0, 4.0)))
    data = of_range(answer=done)

    assert [one["hours"] for one in data["stages"]] == ["done, 0", "2 to 4"]
    assert data["seldom"] == ""
    assert (data["number"], of_range(BARE)["number"]) == ("Board 26-040", "")
