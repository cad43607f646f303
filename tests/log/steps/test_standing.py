"""Scales, waits, notes and days away: what each writes, on which day, and what it refuses."""

import pytest
from making.plans import MAY, planned, written

from estimator.log.steps.standing import BackIn, GoingAgain, Noted, NotIn, Stopped, WeighedIn, waits_for
from estimator.words.errors import UsageError
from estimator.words.settings.reader import parse_settings

HEAD = "board,called,accepted,started,ready,state\n"
BOARDS = {
    "bench": "a,red,2026-05-01,2026-05-01,,\n",
    "stopped": "a,red,2026-05-01,2026-05-01,,stopped\n",
    "ready": "a,red,2026-04-01,2026-04-02,2026-05-02,\n",
}
WAITS = "board,from,until,for,note\n"


def shop(board="bench", waits=""):
    return written(boards=HEAD + BOARDS[board] + "b,tan,2026-05-01,,,\n", waits=WAITS + waits)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("6.4", "6.4 kg"),
        (" 6,4 ", "6,4 kg"),
        ("7", "7 kg"),
        ("14 lb", "14 lb"),
        ("14.1lb", "14.1lb"),
        ("6400 g", "6400 g"),
    ],
)
def test_a_bare_weight_is_kilograms(typed, kept):
    plan = planned(WeighedIn("red", typed, on="2026-05-02"), shop())
    assert plan.rows == [("weights", {"board": "a", "date": "2026-05-02", "weight": kept})]
    assert plan.label == f"red weighs {kept}"


@pytest.mark.parametrize(
    ("cause", "words"),
    [
        ("owner", "waiting for the owner"),
        ("weather", "waiting for the weather"),
        ("queue", "waiting its turn"),
        ("drying", "the foam is drying"),
        ("curing", "it has to set"),
        ("away", "nobody is there"),
        ("parts", "waiting for parts"),
        ("artwork", "waiting for artwork"),
    ],
)
def test_what_a_board_waits_for(cause, words):
    assert waits_for(cause) == words


@pytest.mark.parametrize(
    ("board", "cause", "fills"),
    [
        ("bench", "owner", {"boards 2": {"state": "stopped"}}),
        ("bench", "parts", {}),
        ("ready", "owner", {}),
    ],
)
def test_only_a_wait_for_the_owner_stops_a_board_and_none_that_is_ready(board, cause, fills):
    plan = planned(Stopped("red", cause, " which blue ", on="2026-05-03"), shop(board))
    row = {"board": "a", "from": "2026-05-03", "for": cause, "note": "which blue"}
    assert (plan.rows, plan.fills) == ([("waits", row)], fills)


def test_a_board_stands_once_for_each_cause():
    waits = "a,2026-05-01,,parts,\na,2026-04-20,2026-04-22,drying,\nb,2026-05-01,,curing,\n"
    with pytest.raises(UsageError, match="Red stands already, since Fri 1 May 2026: waiting for parts"):
        Stopped("a", "parts").plan(shop(waits=waits), MAY)
    for cause in ("drying", "curing"):  # one that is over, one of another board
        assert planned(Stopped("a", cause), shop(waits=waits)).rows[0][1]["for"] == cause


OPEN = "a,2026-05-02,,parts,\na,2026-05-01,,owner,\na,2026-04-02,2026-04-09,drying,\nb,2026-05-01,,parts,\n"


@pytest.mark.parametrize(
    ("board", "cause", "fills"),
    [
        ("stopped", "", {"waits 2": {"until": "2026-05-03"}, "waits 3": {"until": "2026-05-03"}, "boards 2": {"state": ""}}),
        ("stopped", "parts", {"waits 2": {"until": "2026-05-03"}}),
        ("stopped", "owner", {"waits 3": {"until": "2026-05-03"}, "boards 2": {"state": ""}}),
        ("bench", "owner", {"waits 3": {"until": "2026-05-03"}}),
    ],
)  # fmt: skip
def test_its_own_open_waits_end_that_are_meant(board, cause, fills):
    plan = planned(GoingAgain("red", cause, on="2026-05-03"), shop(board, OPEN))
    assert (plan.fills, plan.label) == (fills, "red going again")


def test_a_wait_ends_on_its_own_first_day_and_not_before():
    assert planned(GoingAgain("a", "parts", on="2026-05-02"), shop("bench", OPEN)).fills
    with pytest.raises(UsageError, match="It has stood only since Sat 2 May 2026"):
        GoingAgain("a", "parts", on="2026-05-01").plan(shop("bench", OPEN), MAY)
    later = "a,2026-05-01,,owner,\n" + OPEN.replace("a,2026-05-01,,owner,\n", "")
    with pytest.raises(UsageError, match="It has stood only since Sat 2 May 2026"):  # the other of the two
        GoingAgain("a", on="2026-05-01").plan(shop("bench", later), MAY)
    with pytest.raises(UsageError, match="Red isn't stopped"):
        GoingAgain("a").plan(shop(), MAY)
    assert planned(GoingAgain("a"), shop("stopped")).fills == {"boards 2": {"state": ""}}


@pytest.mark.parametrize(
    ("step", "rows", "label"),
    [
        (Noted("red", " two  parts\nwhite "), [("a", "two parts white", "")], "a note on red"),
        (Noted("", "sweep"), [("shop", "sweep", "")], "a note on no board"),
        (Noted("red", "", ("p.jpg",)), [("a", "", "p.jpg")], "a photo on red"),
        (Noted("red", "", ("p.jpg", "q.jpg")), [("a", "", "p.jpg"), ("a", "", "q.jpg")], "2 photos on red"),
        (Noted("red", "nose", ("p.jpg", "q.jpg")), [("a", "nose", "p.jpg"), ("a", "", "q.jpg")], "a note on red"),
    ],
)  # fmt: skip
def test_a_note_stands_with_its_first_photo(step, rows, label):
    plan = planned(step, shop())
    assert plan.label == label
    assert [(c["board"], c.get("note", ""), c.get("photo", "")) for _, c in plan.rows] == rows
    assert {(sheet, c["date"]) for sheet, c in plan.rows} == {("notes", "2026-05-04")}
    assert plan.board == ("a" if rows[0][0] == "a" else "")


def away(text):
    """A shop whose settings say so."""
    return written(parse_settings(text)[0], text, boards="board\na\n")


def days(text):
    return [
        (one.first.isoformat()[5:], one.last.isoformat()[5:]) for one in parse_settings(text)[0].bench.away
    ]


HOLIDAY = "[bench]\naway = [{first = 2026-05-02, last = 2026-05-06}]\n"


@pytest.mark.parametrize(
    ("before", "until", "after", "label"),
    [
        ("", "", [("05-04", "05-04")], "not in today"),
        ("", "2026-05-04", [("05-04", "05-04")], "not in today"),
        ("", "2026-05-05", [("05-04", "05-05")], "not in till Tue 5 May 2026"),
        ("", "?", [("05-04", "05-10")], "not in till Sun 10 May 2026"),
        (HOLIDAY, "2026-05-20", [("05-02", "05-03"), ("05-04", "05-20")], "not in till Wed 20 May 2026"),
        (HOLIDAY.replace("05-02", "05-05"), "", [("05-04", "05-04"), ("05-05", "05-06")], "not in today"),
        (HOLIDAY.replace("05-06", "05-03"), "", [("05-02", "05-03"), ("05-04", "05-04")], "not in today"),
    ],
)
def test_nobody_is_in_from_today_to_the_last_day_that_is_named(before, until, after, label):
    plan = planned(NotIn(until), away(before))
    assert (days(plan.settings), plan.label) == (after, label)
    note = "Counted as away until Sun 10 May 2026; say again when you know better."
    assert plan.notes == ((note,) if until == "?" else ())


@pytest.mark.parametrize("until", ["2026-05-03", "2025-05-04"])
def test_who_is_away_till_a_day_that_is_over_is_not(until):
    with pytest.raises(UsageError, match="is over") as caught:
        NotIn(until).plan(away(""), MAY)
    assert caught.value.field == "until"


@pytest.mark.parametrize("edge", [("05-04", "05-06"), ("05-02", "05-04"), ("05-04", "05-04")])
def test_the_first_and_the_last_day_away_are_days_away(edge):
    text = f"[bench]\naway = [{{first = 2026-{edge[0]}, last = 2026-{edge[1]}}}]\n"
    with pytest.raises(UsageError, match="Today is a day away already"):
        NotIn().plan(away(text), MAY)
    back = days(planned(BackIn(), away(text)).settings)
    assert back == ([] if edge[0] == "05-04" else [("05-02", "05-03")])


@pytest.mark.parametrize("edge", [("05-05", "05-06"), ("05-01", "05-03")])
def test_who_is_not_away_is_not_back(edge):
    text = f"[bench]\naway = [{{first = 2026-{edge[0]}, last = 2026-{edge[1]}}}]\n"
    with pytest.raises(UsageError, match="Today isn't a day away"):
        BackIn().plan(away(text), MAY)
