"""What is worked out for forms, from ranges and mornings by hand: what is offered to tell, texts to copy, whom to ring."""

import datetime as dt
import json
from dataclasses import replace
from types import SimpleNamespace

import pytest
from making.mornings import CLUB, MORNING, TODAY
from making.mornings import day as june
from making.ranges import ANSWER
from making.ranges import SETTINGS as SHOP

from estimator.bench.promises import IN_DANGER
from estimator.counter import step_answers
from estimator.counter.step_answers import _to_tell, enquiry_parts, rings_parts, since_parts, telling_parts
from estimator.decide.weigh.promise_impact import Moved
from estimator.forecast.ranges import Cost, LookNext, Price, Ready
from estimator.said.parts import Action, Heading
from estimator.words.errors import NoAnswerError
from estimator.words.records import Board, Log, Note, Told
from estimator.words.settings.schema import Away, Kind, Workshop


def day(n):
    return dt.date(2026, 6, n)


@pytest.mark.parametrize(
    ("price", "ready", "told"),
    [
        (Price(1994.0, 0.8, 42.0), None, {"price": "1990"}),
        (Price(1994.0, 0.8, 0.0), None, {}),  # nothing is wanted an hour
        (None, Ready(day(12), day(19), day(26), tell=day(28)), {"first": "2026-06-12", "last": "2026-06-28"}),
    ],
)
def test_hours_the_price_to_the_ten_and_the_day_to_tell_are_offered(price, ready, told):
    said = SimpleNamespace(low=31.256, high=47.0, price=price, ready=ready)

    assert _to_tell(said) == {"hours": "31-45", **told}


MONEY = {"materials": Cost(178.0, 214.0, 262.0), "price": Price(3396.0, 0.8, 42.0)}
READY = Ready(day(12), day(19), day(26), day(16), tell=day(28))
ROUGH = replace(ANSWER, low=41.0, high=70.0, ready=READY, **MONEY)
OWN = replace(
    ANSWER,
    ready=replace(READY, say_yes_by=None),
    look_next=(LookNext("infills", 9.0), LookNext("brittle_glass", 2.0)),
    **MONEY,
)


class AskedFor:
    """A workshop at which somebody asks for a board; its ranges, or why there are none, are by hand."""

    def __init__(self, rough, own, **row):
        self.settings = replace(SHOP, workshop=Workshop(currency="mk"), kinds={"major": Kind("major")})
        self.whole_log = Log(boards=(Board("26-009", "other"), Board("26-014", "tan gun", **row)))
        self.ranges, self.asked = (rough, own), []

    def looking_from(self):
        return TODAY

    def range(self, about, *, dates):
        self.asked.append((about, dates))
        found = self.ranges[about == "26-014"]
        if isinstance(found, str):
            raise NoAnswerError(found)
        return found


def test_of_somebody_who_asks_it_is_said_roughly_and_as_the_board_looks():
    shop = AskedFor(ROUGH, OWN, kind="major", length_m=2.8956)
    parts = enquiry_parts(shop, "26-014")
    texts = (
        "Thank you for asking. Bring it in, and I'll tell you more once I've seen it. Boards like that come to about 3,400 mk here.",
        "Thank you for asking. It would be a while: I'd expect to have it ready by Sun 28 June. Boards like that come to about 3,400 mk here. Shall I put you down?",
        "Thank you for asking. I'm sorry, that one is not for me.",
    )  # fmt: skip

    assert shop.asked == [
        (
            {
                **dict.fromkeys(("face_area", "infills", "brittle_glass"), "?"),
                "kind": "major",
                "length": "2.896 m",
            },
            True,
        ),
        ("26-014", True),
    ]
    assert parts["rough"] == (
        "Between 40 and 70 hours, 8 times in 10; half take more than 66.",
        "Nothing is known of this one yet.",
        "Materials 180 to 260 mk. 3,400 mk pays you 42 an hour 8 times in 10.",
        "Ready by Sun 28 June, 9 times in 10, if its owner says yes by Tue 16 June.",
    )
    assert parts["texts"] == texts
    assert parts["range"][0].startswith("Between 55 and 80 hours")  # without its name
    assert not [part for part in parts["range"] if isinstance(part, Action)]
    assert dict(map(json.loads, parts["told"])) == {
        "hours": "55-80",
        "price": "3400",
        "last": "2026-06-28",
        "first": "2026-06-12",
    }
    assert parts["best"] == ("infills", "brittle_glass")


def test_without_a_price_or_a_day_neither_is_promised_to_somebody_who_asks():
    bare = replace(ANSWER, ready=None)
    parts = enquiry_parts(AskedFor(bare, bare), "26-014")

    assert parts["texts"] == (
        "Thank you for asking. Bring it in, and I'll tell you more once I've seen it.",
        "Thank you for asking. I'm sorry, that one is not for me.",
    )
    assert len(parts["rough"]) == 2
    assert dict(map(json.loads, parts["told"])) == {"hours": "55-80"}
    plain = enquiry_parts(AskedFor(replace(ROUGH, ready=replace(READY, say_yes_by=None)), bare), "26-014")
    assert plain["rough"][-1] == "Ready by Sun 28 June, 9 times in 10."


def test_where_one_has_no_answer_the_other_is_said_all_the_same():
    assert enquiry_parts(AskedFor("No rule speaks.", OWN), "26-014").keys() == {
        "rough",
        "range",
        "told",
        "best",
    }
    assert enquiry_parts(AskedFor("No rule speaks.", OWN), "26-014")["rough"] == ("No rule speaks.",)
    none = enquiry_parts(AskedFor(ROUGH, "Nothing to go by."), "26-014")
    assert none.keys() == {"rough", "texts", "range"}
    assert none["range"] == ("Nothing to go by.",)


@pytest.mark.parametrize(
    ("high", "price", "less", "extra"),
    [
        (4.0, Price(296.0, 0.8, 42.0), False, 300.0),
        (-1.0, Price(-126.0, 0.8, 42.0), True, -130.0),
        (0.0, Price(0.0, 0.8, 0.0), False, None),
    ],
)
def test_what_an_owner_asks_for_since_is_shown_without_what_one_types_on_a_command_line(
    monkeypatch, high, price, less, extra
):
    """Its heading, its actions and the sentence that leads to keeping it are of the page's own form."""
    said = SimpleNamespace(hours=SimpleNamespace(high=high), price=price)
    given = []
    shop = SimpleNamespace(
        whole_log=Log(boards=(Board("26-014", "tan gun"),)), settings=SHOP, looking_from=lambda: TODAY
    )
    monkeypatch.setattr(
        step_answers,
        "DayAnswers",
        lambda _: SimpleNamespace(
            agreement=lambda board, more: given.append((board, more)) or SimpleNamespace(said=said)
        ),
    )
    monkeypatch.setattr(step_answers, "figures_of", lambda _, **how: given.append(how) or {"hours_low": "3"})
    words = [
        Heading("tan gun", 1),
        "Between 3 and 4 hours more.",
        "Once the owner agrees, keep it:",
        Action("ask", "26-014"),
    ]
    monkeypatch.setattr(step_answers, "added_parts", lambda *about: given.append(about[2:]) or words)

    parts = since_parts(shop, json.dumps(["26-014", {"logos": "1"}]))
    assert parts == {"said": ("Between 3 and 4 hours more.",), "figures": (json.dumps(["hours_low", "3"]),)}
    assert given == [("26-014", {"logos": "1"}), {"less": less, "extra": extra}, ("26-014", "tan gun", TODAY)]


@pytest.mark.parametrize(
    ("hours", "days", "said"),
    [
        ((31.0, 45.0), (day(12), day(28)), {"wishes": [3.5, 2.0], "hours": [31.0, 45.0], "days": ["2026-06-12", "2026-06-28"]}),
        (NoAnswerError("No rule speaks."), None, {"wishes": [3.5, 2.0], "hours": "No rule speaks.", "days": None}),
    ],
)  # fmt: skip
def test_what_is_left_out_of_a_telling_is_left_for_it(monkeypatch, hours, days, said):
    def ends(board, odds):
        assert (board, odds) == ("26-014", 0.8)
        if isinstance(hours, NoAnswerError):
            raise hours
        return hours

    found = SimpleNamespace(wishes_of=lambda _: (3.5, 2.0), hours_of=ends, days_of=lambda _: days)
    monkeypatch.setattr(step_answers, "DayAnswers", lambda _: found)
    parts = telling_parts(SimpleNamespace(), "26-014")

    assert dict(map(json.loads, parts["figures"])) == said


def a_morning(monkeypatch, *, notes=(), told=(), moved=((), ()), absence=None, **more):
    monkeypatch.setattr(step_answers, "moved_by_firsts", lambda _: moved)
    monkeypatch.setattr(step_answers, "moved_by_absence", lambda _: absence)
    log = Log(notes=notes, told=told)
    shop = SimpleNamespace(
        whole_log=log,
        known=(log, ()),
        settings=SHOP,
        bench=lambda: replace(MORNING, **more),
        looking_from=lambda: TODAY,
    )
    return rings_parts(shop)


def rung(parts):
    return [json.loads(one)[:5] for one in parts["rings"]]


def test_whom_to_ring_is_left_with_its_matter_and_the_day_to_tell(monkeypatch):
    assert rung(a_morning(monkeypatch)) == [
        ["26-009", "red nine-four", IN_DANGER, "2026-06-05", "2026-07-14"],
        ["26-011", "club board", IN_DANGER, "2026-06-20", "2026-06-26"],
        ["26-004", "straw gun", "ready", "2026-06-08", ""],
        ["26-021", "plum egg", "waiting for the owner", "2026-06-01", ""],
    ]
    assert a_morning(monkeypatch)["after"] == ()


def test_what_was_answered_is_not_rung_again_and_nobody_left_is_said(monkeypatch):
    notes = tuple(
        Note(board, TODAY, f"ring: {why}, {about}: left it")
        for board, why, about in (
            ("26-009", IN_DANGER, "2026-06-05"), ("26-011", IN_DANGER, "2026-06-20"),
            ("26-004", "ready", "2026-06-08"), ("26-021", "waiting for the owner", "2026-06-01"),
        )
    )  # fmt: skip
    some = a_morning(monkeypatch, notes=notes[:3])
    assert [one[0] for one in rung(some)] == ["26-021"]
    none = a_morning(monkeypatch, notes=notes)
    assert none["rings"] == ()
    assert none["after"] == ("Nobody else needs ringing today.",)
    assert a_morning(monkeypatch, ring=())["after"] == ("Nobody needs ringing today.",)


@pytest.mark.parametrize(("when", "listed"), [(TODAY, False), (june("06-08"), True)])
def test_what_became_later_is_no_news_once_its_owner_was_told_today(monkeypatch, when, listed):
    from estimator.bench.promises import Worse

    worse = (Worse("26-021", "plum egg", 37, june("08-21"), {}),)
    told = (Told("26-021", when, last=june("08-21")),)
    parts = a_morning(monkeypatch, worse=worse, ring=(), told=told)

    assert [one[0] for one in rung(parts)] == (["26-021"] if listed else [])


def test_what_goes_first_is_said_with_its_matter_and_what_it_costs(monkeypatch):
    about, costs = "2026-06-20", (Moved("26-012", "green fish", CLUB.ready, CLUB.ready),)
    moved = (("26-011",), (Moved("26-011", "club board", CLUB.ready, CLUB.ready), *costs))
    notes = (Note("26-011", june("06-08"), f"ring: {IN_DANGER}, {about}: do that one first"),)
    parts = a_morning(monkeypatch, notes=notes, moved=moved, absence=(Away(TODAY, TODAY), ()))

    assert list(map(json.loads, parts["firsts"])) == [["26-011", "club board", IN_DANGER, about]]
    assert parts["costs"] == ("Club board goes first: ready by Fri 26 June.", "It costs the others no day.")
    assert parts["away"] == ("Not in today.", "Nobody's date moves by a day.")
    bare = a_morning(monkeypatch)
    assert not {"firsts", "costs", "away"} & bare.keys()


@pytest.mark.parametrize(("on", "listed"), [(TODAY, []), (june("06-08"), ["26-021"])])
def test_what_became_later_is_news_again_the_day_after_its_owner_was_rung(monkeypatch, on, listed):
    from estimator.bench.promises import Worse

    worse = (Worse("26-021", "plum egg", 37, june("08-21"), {}),)
    notes = (Note("26-021", on, "ring: ready, 2026-06-08: left it"),)
    parts = a_morning(monkeypatch, worse=worse, ring=(), notes=notes)

    assert [one[0] for one in rung(parts)] == listed
