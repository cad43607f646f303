"""Whom to ring and what to say: nobody twice, the worst news first, then the nearest day."""

from dataclasses import replace

from making.mornings import CLUB, EGG, MORNING, RED, day

from estimator.bench.promises import IN_DANGER, Ring, Worse
from estimator.said.rings import nobody_to_ring, rings_later, whom_to_ring
from estimator.words.settings.schema import Driver, Settings

SETTINGS = Settings(drivers={"infills": Driver("infills", label="Let-in pieces", known="strip")})
WORSE = Worse(CLUB.board, "club board", 21, day("06-26"), {"infills": 5.0})


def listed(**more):
    return whom_to_ring(replace(MORNING, **more), SETTINGS)


def test_each_board_stands_once_with_what_to_say():
    rings = listed()

    assert [one.name for one in rings] == ["red nine-four", "club board", "straw gun", "plum egg"]
    said = {one.name: one.says for one in rings}
    assert said["red nine-four"] == (
        "You told them by Fri 5 June, and that day is over.",
        "Say: ready by Tue 14 July. That holds 9 times in 10.",
    )
    assert said["club board"] == (
        "You told them by Sat 20 June. Chance I'm in time: 4 times in 10.",
        "Done before all others: 7 times in 10. See “A change of order that helps” below.",
        "Say: ready by Fri 26 June. That holds 9 times in 10.",
    )
    assert said["straw gun"][0].startswith("It has been ready since ")
    assert said["plum egg"][0].startswith("It has been waiting for its owner's answer since ")
    assert [one.why for one in rings[:2]] == [IN_DANGER, IN_DANGER]


def test_what_became_later_comes_first_and_is_one_with_its_day_in_danger():
    rings = listed(worse=(WORSE,))

    assert [one.name for one in rings] == ["club board", "red nine-four", "straw gun", "plum egg"]
    assert rings[0].says[0] == ("It is 3 weeks later than when you last looked: found 5 let-in pieces.")
    assert rings[0].says[1].startswith("You told them by Sat 20 June.")
    assert rings[0].why == IN_DANGER
    assert rings[0].about == day("06-20")


def test_what_was_settled_today_is_no_news_any_more():
    other = replace(WORSE, board=EGG.board, name="plum egg")
    [first, *_] = whom_to_ring(replace(MORNING, worse=(other,), ring=()), SETTINGS)
    assert (first.name, first.why, first.tell) == ("plum egg", "", day("06-26"))

    assert whom_to_ring(replace(MORNING, worse=(other,), ring=()), SETTINGS, {EGG.board}) == ()


def test_three_are_in_danger_at_most_the_nearest_day_first_and_the_others_are_counted():
    more = [Ring(f"26-1{n}", f"gun {n}", IN_DANGER, day("08-01"), day(f"07-0{n}")) for n in (9, 7, 8)]
    late = replace(MORNING, ring=(*MORNING.ring, more[0]), ring_later=tuple(more[1:]))
    rings = whom_to_ring(late, SETTINGS)

    assert [one.name for one in rings] == ["red nine-four", "club board", "gun 7", "straw gun", "plum egg"]
    assert rings_later(late, rings) == "2 more are in danger, none due before Wed 8 July."
    assert rings_later(MORNING, listed()) == ""
    with_news = replace(late, worse=(replace(WORSE, board=RED.board), WORSE, replace(WORSE, board=EGG.board)))
    assert len([one for one in whom_to_ring(with_news, SETTINGS) if one.why != "ready"]) == 3


def test_nobody_to_ring_is_said():
    assert nobody_to_ring(replace(MORNING, rung_already=())) == "Nobody needs ringing today."
