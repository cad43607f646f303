"""The step that a form says, field by field: every step once, with all of its fields, and once with none."""

import pytest

from estimator.counter.sent_steps import length_of, step_from
from estimator.log.steps.enquiry import NewBoard, OwnerAnswered, OwnGuess, QuestionsAnswered
from estimator.log.steps.hours import Found, HoursNow, StageDone
from estimator.log.steps.leaving import BoardReady, CollectedAndPaid, DepositCame, GaveItBack
from estimator.log.steps.ringing import RingAnswered
from estimator.log.steps.standing import BackIn, GoingAgain, Noted, NotIn, Stopped, WeighedIn
from estimator.log.steps.telling import AskedSince, DecisionMade, StruckOut, ToldOwner


class Sent(dict):
    """What was sent with a form, each field once."""

    def getlist(self, name):
        return [self[name]] if name in self else []


def sent(*names, **more):
    """Fields that each say their own name."""
    return Sent({**dict(zip(names, names, strict=True)), **more})


STEPS = [
    ("enquiry", sent("owner", "reach", "called", "kind", "aim", "wanted_by", "note", feet="9"),
     NewBoard("owner", "reach", "called", "kind", length="9'0", aim="aim", wanted_by="wanted_by", note="note", photos=("p.jpg",), only_asked=False)),
    ("answers", sent("kind", "length", "width", "outline", "judged_with", "called", "guess", "seen"),
     QuestionsAnswered("b", {}, {name: name for name in ("kind", "length", "width", "outline", "judged_with", "called")}, "guess", True)),
    ("answers", Sent({"width": "  ", "looked.logos": " 2 "}), QuestionsAnswered("b", {"logos": "2"}, {}, "", False)),
    ("guess", sent("guess", "seen"), OwnGuess("b", "guess", seen=True)), ("guess", sent("guess"), OwnGuess("b", "guess", seen=False)),
    ("answered", sent("on", "why", answer="yes"), OwnerAnswered("b", yes=True, mine=False, why="why", on="on")),
    ("answered", sent(answer="owner"), OwnerAnswered("b", yes=False, mine=False)),
    ("answered", sent(answer="me"), OwnerAnswered("b", yes=False, mine=True)),
    ("hours", sent("stage", "hours", "again", "on", "note", "done"), HoursNow("b", "stage", "hours", done=True, again="again", on="on", note="note")),
    ("again", Sent({"stage": "a", "stage.other": "c", "hours": "1"}), HoursNow("b", "c", "1", done=False)),
    ("done", sent("stage", "on"), StageDone("b", "stage", needed=True, on="on")), ("done", sent("stage", "not_needed"), StageDone("b", "stage", needed=False)),
    ("found", Sent({"found.logos": "1", "looked.logos": "9"}), Found("b", {"logos": "1"}, as_thought=False)),
    ("asked since", Sent({"more.logos": "1", "more.logos.other": " 4 ", "price": "90", "on": "d"}), AskedSince("b", {"logos": "4"}, price="90", on="d")),
    ("note", sent("text", "on"), Noted("b", "text", ("p.jpg",), "on")),
    ("weight", sent("weight", "on"), WeighedIn("b", "weight", "on")),
    ("told", sent("hours", "price", "terms", "first", "last", "because", "paid_by", "on", "said_yes"),
     ToldOwner("b", hours="hours", price="price", terms="terms", first="first", last="last", because="because", paid_by="paid_by", on="on", said_yes=True)),
    ("told", Sent(), ToldOwner("b")),
    ("struck", sent("why", "on"), StruckOut("b", why="why", on="on")),
    ("stopped", sent("cause", "note", "on"), Stopped("b", cause="cause", note="note", on="on")),
    ("going", sent("cause", "on"), GoingAgain("b", cause="cause", on="on")),
    ("deposit", sent("amount", "on"), DepositCame("b", amount="amount", on="on")),
    ("ready", sent("cost_time", "materials", "on", "as_thought"), BoardReady("b", cost_time="cost_time", materials="materials", on="on", found_as_thought=True)),
    ("ready", Sent(), BoardReady("b", found_as_thought=False)),
    ("collected", sent("amount", "on", what="both"), CollectedAndPaid("b", "amount", on="on")), ("collected", Sent(), CollectedAndPaid("b")),
    ("collected", sent(what="paid"), CollectedAndPaid("b", collected=False)), ("collected", sent(what="collected"), CollectedAndPaid("b", paid=False)),
    ("gave back", sent("kept", "returned", "why", "on"), GaveItBack("b", kept="kept", returned="returned", why="why", on="on")),
    ("weigh up", sent("answer", "why", "for_love"), DecisionMade("b", answer="answer", why="why", for_love=True)),
    ("weigh up", sent("answer"), DecisionMade("b", answer="answer", why="", for_love=False)),
    ("rung", sent("why", "answer", "about"), RingAnswered("b", why="why", answer="answer", about="about")),
    ("away", sent("until"), NotIn("until")), ("back", Sent(), BackIn()),
]  # fmt: skip


@pytest.mark.parametrize(("verb", "given", "step"), STEPS)
def test_each_field_goes_where_it_belongs(verb, given, step):
    assert step_from(verb, "b", given, ["p.jpg"]) == step


def test_a_step_without_a_form_is_none():
    with pytest.raises(KeyError):
        step_from("dance", "b", Sent())


@pytest.mark.parametrize(
    ("given", "length"),
    [
        ({"feet": "9"}, "9'0"),
        ({"inches": "6"}, ""),
        ({"feet": "9", "inches": ""}, "9'0"),
        ({"feet.other": " ", "feet": "6", "inches": "11"}, "6'11"),
    ],
)
def test_a_length_by_its_feet(given, length):
    assert length_of(Sent(given)) == length
