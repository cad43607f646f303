"""Whom to ring and what to say: nobody twice, the worst news first, then the nearest day."""

from dataclasses import replace

from making.mornings import CLUB, EGG, MORNING, RED, day
from making.mornings import told as told_by

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


def test_a_day_to_say_is_never_over_and_one_that_nobody_can_tell_is_not_said():
    past = Ring("26-009", "red nine-four", IN_DANGER, day("06-01"), day("06-05"))
    [one] = listed(ring=(past,), worse=())
    assert (one.tell, one.says[-1]) == (MORNING.today, "Say: ready by Tue 9 June. That holds 9 times in 10.")
    [none] = listed(ring=(replace(past, tell=None),))
    assert (none.tell, none.says) == (None, ("You told them by Fri 5 June, and that day is over.",))
    [later] = listed(ring=(), worse=(replace(WORSE, tell=day("06-01")),))
    assert (later.tell, later.says[-1]) == (
        MORNING.today,
        "Say: ready by Tue 9 June. That holds 9 times in 10.",
    )
    assert later.why == ""


def test_the_day_told_is_over_only_from_the_day_after():
    told = replace(CLUB, told=told_by("06-09"))
    [one] = listed(
        ring=(Ring(CLUB.board, "club board", IN_DANGER, day("06-26"), day("06-09")),),
        promises=(told,),
        swap=None,
    )

    assert one.says[0] == "You told them by Tue 9 June. Chance I'm in time: 4 times in 10."


def test_only_the_board_of_the_change_of_order_that_helps_is_said_to_gain_by_it():
    said = {one.name: one.says for one in listed()}
    assert [
        name for name, says in said.items() if any("Done before all others" in line for line in says)
    ] == ["club board"]
    assert not any("Done before" in line for one in listed(swap=None) for line in one.says)


def test_one_more_in_danger_is_said_with_its_day():
    more = [Ring(f"26-1{n}", f"gun {n}", IN_DANGER, day("08-01"), day(f"07-0{n}")) for n in (7, 8)]
    late = replace(MORNING, ring_later=tuple(more))
    rings = whom_to_ring(late, SETTINGS)

    assert rings_later(late, rings) == "One more is in danger, due on Wed 8 July."
    assert nobody_to_ring(replace(MORNING, rung_already=(more[0],))) == "Nobody else needs ringing today."


def test_who_waits_is_said_with_since_when_where_that_is_known():
    bare = (
        Ring("a", "gun", "ready"),
        Ring("b", "egg", "waiting for the owner"),
        Ring("c", "log", "the deposit has not come"),
    )
    assert [one.says for one in listed(ring=bare)] == [
        ("It is ready. Say so, and ask when they will fetch it.",), ("It waits for its owner's answer. Ask for it.",), ("The deposit has not come.",),
    ]  # fmt: skip
    assert listed()[2].says == (
        "It has been ready since Mon 8 June. Say so, and ask when they will fetch it.",
    )
    settled = whom_to_ring(MORNING, SETTINGS, {"26-009", "26-004"})
    assert [one.board for one in settled] == [
        "26-009",
        "26-011",
        "26-004",
        "26-021",
    ]  # a day in danger stays until it is answered


def test_the_nearest_of_two_days_told_counts_and_one_without_a_day_comes_last():
    near = Ring(CLUB.board, "club board", IN_DANGER, day("06-26"), day("06-20"))
    bare = Ring(EGG.board, "plum egg", IN_DANGER, day("07-01"))
    [first] = listed(worse=(WORSE,), ring=(replace(near, about=day("08-01")), near))
    assert first.about == day("06-20")

    rings = listed(ring=(bare, near), swap=None)
    assert [one.name for one in rings] == ["club board", "plum egg"]
    assert rings[1].says == ("Say: ready by Wed 1 July. That holds 9 times in 10.",)


def test_weeks_are_the_nearest_a_cause_stands_by_itself_and_a_chance_of_none_is_seldom():
    later = replace(WORSE, days=39, found={}, why="the foam is drying")
    told = replace(CLUB, told=told_by("06-20"), chance_kept=0.0)
    ring = Ring(CLUB.board, "club board", IN_DANGER, day("06-26"), day("06-20"))
    [one] = listed(worse=(later,), ring=(ring,), promises=(told,), swap=None)

    assert one.says[:2] == (
        "It is 6 weeks later than when you last looked: the foam is drying.",
        "You told them by Sat 20 June. Chance I'm in time: fewer than 1 in 20.",
    )


def test_of_what_became_later_three_are_said_but_for_those_that_are_settled():
    worse = tuple(replace(WORSE, board=f"b{n}", name=f"gun {n}") for n in range(5))
    quiet = replace(MORNING, worse=worse, ring=())

    assert [one.board for one in whom_to_ring(quiet, SETTINGS)] == ["b0", "b1", "b2"]
    assert [one.board for one in whom_to_ring(quiet, SETTINGS, {"b0", "b2"})] == ["b1", "b3", "b4"]


def test_what_became_later_and_is_in_danger_has_its_day_to_tell_and_another_board_first_is_no_gain_of_it():
    egg = replace(EGG, told=told_by("06-30"), chance_kept=0.3)
    rings = tuple(
        Ring(one.board, one.name, IN_DANGER, day("07-02"), about)
        for one, about in ((CLUB, day("06-20")), (egg, day("06-30")))
    )
    first, second = listed(worse=(WORSE,), ring=rings, promises=(CLUB, egg))

    assert (first.board, first.tell) == (CLUB.board, day("06-26"))
    assert any(line.startswith("Done before all others: 7 times in 10.") for line in first.says)
    assert second.says == (
        "You told them by Tue 30 June. Chance I'm in time: 3 times in 10.",
        "Say: ready by Thu 2 July. That holds 9 times in 10.",
    )
