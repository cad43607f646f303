"""Forms of steps: every step that is offered has one, and what is tapped on it is the step."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from making.working_day import MAY, opened

from estimator.counter import step_forms
from estimator.counter.sent_steps import step_from
from estimator.counter.step_forms import amount_field, enquiry_form, form_of, questions_of
from estimator.log.steps.enquiry import NewBoard, OwnerAnswered, QuestionsAnswered
from estimator.log.steps.hours import Found, HoursNow, StageDone
from estimator.log.steps.leaving import CollectedAndPaid
from estimator.log.steps.standing import NotIn, Stopped
from estimator.log.steps.telling import AskedSince, ToldOwner
from estimator.words.records import Board
from estimator.words.settings.schema import Driver, Kind, Modifier, Settings, Stage
from estimator.working_day import as_written, next_steps_of

RED, FISH = "26-001", "26-002"


class Sent(dict):
    """What was sent with a form, each field once."""

    def getlist(self, name):
        return [self[name]] if name in self else []


@pytest.fixture
def day(tmp_path):
    return opened("files", tmp_path)


def offered(day, board):
    steps = next_steps_of(day.now(9), board)
    return [*steps.likely, *steps.others]


def test_every_step_that_is_offered_has_a_form(day):
    seen = set()
    for step in (
        QuestionsAnswered(FISH, {"infills": "1", "wetness": "damp"}),
        ToldOwner(FISH, hours="10-15", price="640", last="2026-06-12", said_yes=True),
        HoursNow(FISH, "strip", "2"),
        StageDone(FISH, "strip"),
        Stopped(FISH, "owner"),
    ):
        for action in offered(day, FISH):
            if action.verb != "weigh up" or action.board:
                form = form_of(
                    action.verb, as_written(day.now(9)), day.board(FISH), str(action.fields.get("stage", ""))
                )
                assert form.name
                assert len({field.name for field in form.fields}) == len(form.fields)
                seen.add(action.verb)
        day.do(step)
    assert seen >= {
        "answers",
        "guess",
        "told",
        "answered",
        "deposit",
        "hours",
        "done",
        "found",
        "stopped",
        "note",
    }


def test_the_stage_in_hand_is_chosen_already(day):
    day.do(HoursNow(RED, "strip", "2"))
    form = form_of("hours", as_written(day.now(1)), day.board(RED))
    stage = form.fields[0]
    assert (stage.value, stage.choices[0]) == ("strip", ("strip", "Strip old glass"))


def test_what_it_looked_like_stands_beside_what_turned_out(day):
    day.do(QuestionsAnswered(RED, {"infills": "2", "wetness": "damp", "brittle_glass": "?"}))
    day.do(HoursNow(RED, "strip", "2", done=True))
    hints = {
        field.name: field.hint for field in form_of("found", as_written(day.now(1)), day.board(RED)).fields
    }
    assert hints["found.infills"] == "looked like: 2"
    assert hints["found.wetness"] == "looked like: damp"
    assert hints["found.brittle_glass"] == "looked like: can't see yet"


def test_questions_come_best_first_and_areas_are_not_asked(day):
    names = questions_of(day.board(RED), day.shop.settings, ["wetness", "infills"])
    assert names[:2] == ["wetness", "infills"]
    assert len(names) == len(set(names))
    assert not {"face_area", "glass_stripped", "coated_area", "gloss_area"} & set(names)
    small = questions_of(day.board(FISH), day.shop.settings)
    assert "sides_stripped" not in small
    assert "glass_stripped" in small  # else its patches could not be said


def test_an_amount_is_none_a_few_more_or_not_seen_yet(day):
    field = amount_field("looked.", "infills", day.shop.settings)
    assert [value for value, _ in field.choices] == ["0", "1", "2", "3", "?"]
    assert field.other
    wet = amount_field("looked.", "wetness", day.shop.settings)
    assert [value for value, _ in wet.choices] == ["dry", "damp", "wet", "soaked", "?"]


@pytest.mark.parametrize(
    ("verb", "sent", "step"),
    [
        ("enquiry", {"owner": "Tam", "feet": "9", "inches": "6", "kind": "major"}, NewBoard("Tam", kind="major", length="9'6")),
        ("enquiry", {"owner": "Tam", "feet.other": "290 cm", "feet": "9", "only_asked": "yes"},
         NewBoard("Tam", length="290 cm", only_asked=True)),
        ("hours", {"stage": "strip", "hours": "2", "hours.other": " 2,25 ", "done": "yes"}, HoursNow(RED, "strip", "2,25", done=True)),
        ("again", {"stage": "sand", "hours": "1", "again": "paint"}, HoursNow(RED, "sand", "1", again="paint")),
        ("done", {"stage": "strip", "stage.other": "sand", "not_needed": "yes"}, StageDone(RED, "sand", needed=False)),
        ("answers", {"looked.infills": "?", "looked.logos": "1", "looked.logos.other": "5", "looked.pinlines": "", "width": "20 in"},
         QuestionsAnswered(RED, {"infills": "?", "logos": "5"}, {"width": "20 in"})),
        ("found", {"as_thought": "yes", "found.infills": "4"}, Found(RED, {"infills": "4"}, as_thought=True)),
        ("asked since", {"more.spray_colours": "1", "more.logos": "", "price": "300"},
         AskedSince(RED, {"spray_colours": "1"}, price="300")),
        ("answered", {"answer": "me", "why": "full"}, OwnerAnswered(RED, yes=False, mine=True, why="full")),
        ("collected", {"what": "both"}, CollectedAndPaid(RED)),
        ("collected", {"what": "paid", "amount": "20"}, CollectedAndPaid(RED, "20", collected=False)),
        ("stopped", {"cause": "parts", "on": "2026-05-01"}, Stopped(RED, "parts", on="2026-05-01")),
        ("away", {"until": "?"}, NotIn("?")),
    ],
)  # fmt: skip
def test_what_is_tapped_is_the_step(verb, sent, step):
    assert step_from(verb, "" if verb == "enquiry" else RED, Sent(sent)) == step


def test_what_is_owed_stands_in_the_form_of_a_board_that_is_fetched(day):
    day.do(QuestionsAnswered(FISH, {"infills": "1", "wetness": "damp"}))
    assert form_of("collected", as_written(day.now(9)), day.board(FISH)).fields[0].value == ""
    day.do(ToldOwner(FISH, hours="10-15", price="640", last="2026-06-12", said_yes=True))
    board = replace(day.board(FISH), paid=100.0)
    amount = form_of("collected", as_written(day.now(9)), board).fields[0]
    assert (amount.name, amount.value) == ("amount", "540")


def test_what_was_typed_stays_in_the_form(day):
    form = enquiry_form(day.shop.settings).with_given(Sent(owner="Tam", kind="major"))
    assert [field.value for field in form.fields[:3]] == ["Tam", "", "major"]
    assert MAY.year == 2026


def values(fields):
    return {field.name: field.value for field in fields}


def form_on(day, verb, board=RED, stage="", n=9):
    return form_of(verb, as_written(day.now(n)), day.board(board), stage)


def test_hours_offer_what_is_begun_the_last_first_and_all_else_in_a_list(day):
    for stage, done in (("clean", True), ("strip", True), ("infill", False)):
        day.do(HoursNow(RED, stage, "1", done=done))
    stage, other, hours, done = form_on(day, "hours").fields
    assert stage.choices[0][0] == "infill"
    assert not {"clean", "strip"} & {value for value, _ in stage.choices}  # they are done
    assert (stage.value, hours.other, [value for value, _ in hours.choices]) == (
        "infill",
        True,
        ["0.5", "1", "1.5", "2", "3", "4"],
    )
    assert [value for value, _ in stage.choices] == ["infill", "stringer"]
    assert not {value for value, _ in stage.choices} & {value for value, _ in other.choices}
    assert form_on(day, "hours", stage="sand").fields[0].value == "sand"
    begun = form_on(day, "done")
    assert ([value for value, _ in begun.fields[0].choices], begun.fields[0].value) == (["infill"], "infill")
    assert "clean" in [value for value, _ in begun.fields[1].choices]
    again = form_on(day, "again").fields[0]
    assert ([value for value, _ in again.choices], again.value) == (["clean", "strip", "infill"], "infill")


def test_of_two_stages_that_are_begun_the_later_one_is_offered_first(day):
    for stage in ("infill", "stringer"):
        day.do(HoursNow(RED, stage, "1"))
    begun = form_on(day, "done").fields[0]
    assert ([value for value, _ in begun.choices], begun.value) == (["stringer", "infill"], "stringer")


def test_what_stands_is_not_stopped_again_and_of_several_one_may_go(day):
    assert form_on(day, "going").fields == ()
    for cause in ("parts", "owner"):
        day.do(Stopped(RED, cause))
        left = [value for value, _ in form_on(day, "stopped").fields[0].choices]
        assert cause not in left
        assert "drying" in left
        assert (form_on(day, "going").fields == ()) == (cause == "parts")
    [which] = form_on(day, "going").fields
    assert [value for value, _ in which.choices] == ["", "parts", "owner"]


def test_why_it_is_told_anew_is_asked_only_where_it_was_told_before_and_a_yes_of_who_asks(day):
    first = [field.name for field in form_on(day, "told", FISH).fields]
    assert first == ["hours", "price", "last", "said_yes"]
    day.do(ToldOwner(FISH, hours="10-15", price="640", last="2026-06-12", said_yes=True))
    again = form_on(day, "told", FISH)
    assert [field.name for field in again.fields] == ["hours", "price", "last", "because", "paid_by"]
    assert [value for value, _ in again.fields[3].choices] == ["hidden work", "asked later", "late"]
    assert "because" not in [field.name for field in form_on(day, "told", RED).fields]  # the other was told


def test_the_newest_telling_is_offered_to_be_struck_out(day):
    assert form_on(day, "struck").fields[0].choices == ()
    day.do(ToldOwner(RED, hours="10-15", price="640", last="2026-06-12"))
    day.do(ToldOwner(RED, hours="10-15", price="700", last="2026-06-12", because="late"), 2)
    day.do(ToldOwner(FISH, hours="10-15", price="700", last="2026-06-12"), 3)
    field = form_on(day, "struck").fields[0]
    assert [value for value, _ in field.choices] == ["2026-05-06", "2026-05-04"]
    assert field.value == "2026-05-06"


def test_what_is_owed_is_never_less_than_nothing_and_a_fetched_board_is_only_paid(day):
    day.do(ToldOwner(FISH, hours="10-15", price="640", last="2026-06-12", said_yes=True))
    now = as_written(day.now(9))
    over = form_of("collected", now, replace(day.board(FISH), paid=700.0))
    assert over.fields[0].value == "0"
    assert [value for _, value, _ in over.buttons] == ["both", "collected", "paid"]
    fetched = form_of("collected", now, replace(day.board(FISH), collected=MAY))
    assert [value for _, value, _ in fetched.buttons] == ["paid"]


@pytest.mark.parametrize(
    ("paid", "deposit", "hint"),
    [(None, None, "0"), (None, 300.0, "300"), (500.0, 300.0, "500"), (200.0, 300.0, "300")],
)
def test_what_was_paid_so_far_stands_beside_what_is_kept(day, paid, deposit, hint):
    board = replace(day.board(RED), paid=paid, deposit=deposit)

    assert form_of("gave back", as_written(day.now(9)), board).fields[0].hint == f"paid so far: {hint}"


def test_as_i_thought_is_offered_where_something_was_looked_at_and_not_found_yet(day):
    assert "as_thought" not in values(form_on(day, "ready").fields)
    day.do(QuestionsAnswered(RED, {"infills": "2"}))
    assert values(form_on(day, "ready").fields)["as_thought"] == "yes"


def test_what_is_asked_for_since_goes_in_steps_and_no_condition_is_asked_for(day):
    form = form_on(day, "asked since")
    assert {field.name for field in form.fields} & {"more.wetness", "more.brittle_glass"} == set()
    logos = next(field for field in form.fields if field.name == "more.logos")
    assert [value for value, _ in logos.choices] == ["", "-1", "1", "2"]
    assert logos.other


def test_questions_hold_what_is_written_and_the_width_comes_first(day):
    day.do(
        QuestionsAnswered(
            RED,
            {"infills": "2", "wetness": "damp", "logos": "?"},
            {"judged_with": "photos", "outline": "gun"},
        )
    )
    form = form_on(day, "answers", stage="wetness logos")
    assert [field.name for field in form.fields[:5]] == [
        "width",
        "outline",
        "judged_with",
        "looked.wetness",
        "looked.logos",
    ]
    found = values(form.fields)
    assert [found[name] for name in ("width", "outline", "judged_with", "looked.infills", "looked.wetness", "looked.logos")] == [
        "22 1/2 in", "gun", "photos", "2", "damp", "?",
    ]  # fmt: skip
    assert values(form_on(day, "answers", FISH).fields)["judged_with"] == "in hand"


def test_an_amount_has_the_buttons_of_its_sort():
    shop = Settings(
        drivers={"tape": Driver("tape", label="Rail tape", unit="m")},
        modifiers={"rush": Modifier("rush")},
        stages={"stain": Stage("stain", happens="sometimes")},
    )
    tape, rush, stain = (
        amount_field("looked.", name, shop, hint="looked like: 2 m") for name in ("tape", "rush", "stain")
    )
    assert ([value for value, _ in tape.choices], tape.other, tape.hint) == (
        ["0", "?"],
        True,
        "looked like: 2 m; in m, or with its own unit",
    )
    assert amount_field("looked.", "tape", shop).hint == "in m, or with its own unit"
    assert [[value for value, _ in one.choices] for one in (rush, stain)] == [["no", "yes", "?"]] * 2
    assert not rush.other


def test_what_is_retired_or_follows_from_faces_is_not_asked():
    drivers = {
        "faces": Driver("faces"), "area": Driver("area", source="outline", times="faces"), "face": Driver("face", source="outline"),
        "old": Driver("old", retired=True), "logos": Driver("logos"),
    }  # fmt: skip
    kinds = {"minor": Kind("minor", asks=("area", "logos", "wet", "face")), "major": Kind("major")}
    modifiers = {"wet": Modifier("wet"), "gone": Modifier("gone", retired=True)}
    shop = Settings(
        drivers=drivers,
        modifiers=modifiers,
        kinds=kinds,
        stages={"stain": Stage("stain", happens="sometimes")},
    )
    assert questions_of(Board("a", kind="major"), shop) == ["faces", "logos", "wet"]
    assert questions_of(Board("a", kind="minor"), shop) == [
        "area",
        "logos",
        "wet",
    ]  # faces are not asked, so the area is
    assert questions_of(Board("a"), shop, ["wet", "old", "logos"]) == ["wet", "logos", "faces"]


def test_what_is_offered_fills_fields_and_what_was_typed_beside_the_buttons_comes_first(day):
    form = enquiry_form(day.shop.settings)
    offered = form.offered({"owner": "Tam", "feet": "", "note": "by post"})
    assert (
        values(offered.fields)["owner"],
        values(offered.fields)["feet"],
        values(offered.rarely)["note"],
    ) == ("Tam", "", "by post")
    typed = form.with_given(Sent({"feet": "9", "feet.other": "290 cm", "owner.other": "x", "note": "n"}))
    assert (values(typed.fields)["feet"], values(typed.fields)["owner"], values(typed.rarely)["note"]) == (
        "290 cm",
        "",
        "n",
    )
    assert [value for value, _ in values_of(form, "feet")] == [str(n) for n in range(5, 12)]
    assert len(values_of(form, "inches")) == 12


def values_of(form, name):
    return next(field.choices for field in form.fields if field.name == name)


def test_the_line_of_the_eye_stands_at_the_choice_that_looked_so_from_eight_boards_on(monkeypatch):
    """Not what was judged with one tool alone, nor what has no button: a measured amount."""
    shop = Settings(
        drivers={"logos": Driver("logos"), "tape": Driver("tape", unit="m")},
        modifiers={"wet": Modifier("wet", grades=("dry", "damp", "wet")), "rush": Modifier("rush")},
        stages={"stain": Stage("stain", happens="sometimes")},
    )
    looked = [
        *(("wet", 1.0, 8, ""), ("wet", 2.0, 7, ""), ("wet", 0.0, 9, "photos"), ("wet", None, 9, "")), *(("rush", 0.0, 9, ""), ("rush", 1.0, 12, "")),
        *(("logos", 3.0, 8, ""), ("tape", 0.0, 8, ""), ("tape", 1.0, 9, "")), *(("stain", 0.0, 8, ""), ("stain", 1.0, 9, "")),
    ]  # fmt: skip
    seen = [SimpleNamespace(thing=t, looked=v, boards=n, judged_with=how) for t, v, n, how in looked]
    monkeypatch.setattr(step_forms, "looked_so", lambda *_: seen)
    monkeypatch.setattr(step_forms, "looked_words", lambda so, _: f"of {so.boards}")

    assert step_forms.eye_lines([], shop) == {
        "wet": {"damp": "of 8"}, "rush": {"no": "of 9", "yes": "of 12"}, "logos": {"3": "of 8"}, "tape": {"0": "of 8"},
        "stain": {"no": "of 8", "yes": "of 9"},
    }  # fmt: skip


WRITE = (("", "", "Write it"),)
ASKED = [
    ("deposit", "Deposit came", "amount:money", "on", WRITE),
    ("answered", "The owner said yes or no", "", "why on",
     (("answer", "yes", "The owner said yes"), ("answer", "owner", "The owner dropped it"), ("answer", "me", "I said no"))),
    ("weigh up", "Take it on?", "answer:one-of why:text for_love:tick", "", WRITE), ("weight", "Weigh-in", "weight:text", "on", WRITE),
    ("note", "Note or photo", "text:long photos:photos", "on", WRITE), ("guess", "My own guess", "guess:text", "", WRITE),
    ("hours", "Write hours", "stage:one-of stage.other:pick hours:one-of done:tick", "on note", WRITE),
    ("again", "Doing it again", "stage:one-of again:one-of hours:one-of", "on note", WRITE),
    ("done", "Stage done", "stage:one-of stage.other:pick not_needed:tick", "on", WRITE),
    ("found", "What did you find?", None, "", (("as_thought", "yes", "Just as I thought"), ("", "", "Write it; the rest is not known yet"))),
    ("asked since", "Asked for since", None, "", (("", "", "Work it out"),)),
    ("told", "I told the owner", "hours:text price:money last:day because:one-of paid_by:one-of", "terms first on", WRITE),
    ("struck", "Strike out what was told", "on:one-of why:text", "", WRITE), ("stopped", "Stopped", "cause:one-of", "note on", WRITE),
    ("going", "Going again", "", "on", WRITE), ("ready", "It is ready", "cost_time:one-of materials:money as_thought:tick", "on", WRITE),
    ("collected", "Collected and paid", "amount:money", "on",
     (("what", "both", "Collected and paid"), ("what", "collected", "Collected, not paid yet"), ("what", "paid", "Paid, not collected yet"))),
    ("gave back", "Given back half done", "kept:money returned:money", "why on", WRITE),
]  # fmt: skip


def test_each_step_asks_its_own_and_its_buttons_say_what_they_send(day):
    for step in (QuestionsAnswered(RED, {"infills": "2"}), ToldOwner(RED, hours="10-15", price="640", last="2026-06-12"), HoursNow(RED, "strip", "2")):  # fmt: skip
        day.do(step)
    now, board, kinds = as_written(day.now(9)), day.board(RED), day.shop.settings.kinds
    for verb, name, fields, rarely, buttons in ASKED:
        form = form_of(verb, now, board)
        asked = " ".join(f"{one.name}:{one.kind}" for one in form.fields)
        assert (form.verb, form.name, form.buttons) == (verb, name, buttons)
        assert (verb, asked) == (verb, asked if fields is None else fields)
        assert (verb, " ".join(one.name for one in form.rarely)) == (verb, rarely)
    asks = enquiry_form(day.shop.settings)
    assert " ".join(f"{one.name}:{one.kind}" for one in (*asks.fields, *asks.rarely)) == (
        "owner:text reach:text kind:one-of feet:one-of inches:one-of aim:one-of called:text wanted_by:day photos:photos note:long"
    )
    assert asks.buttons == (("", "", "What would it be?"), ("only_asked", "yes", "Only asked: count it"))
    assert [value for value, _ in asks.fields[2].choices] == list(kinds)
    assert asks.fields[3].choices[0] == ("5", "5 ft")
