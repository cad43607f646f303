"""Forms of steps: every step that is offered has one, and what is tapped on it is the step."""

from dataclasses import replace

import pytest
from making.working_day import MAY, opened

from estimator.counter.sent_steps import step_from
from estimator.counter.step_forms import amount_field, enquiry_form, form_of, questions_of
from estimator.log.steps.enquiry import NewBoard, OwnerAnswered, QuestionsAnswered
from estimator.log.steps.hours import Found, HoursNow, StageDone
from estimator.log.steps.leaving import CollectedAndPaid
from estimator.log.steps.standing import NotIn, Stopped
from estimator.log.steps.telling import AskedSince, ToldOwner
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
