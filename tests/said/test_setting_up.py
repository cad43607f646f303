"""What is said while a workshop is set up."""

from dataclasses import replace

import pytest
from making.diaries import begun

from estimator.record.more_boards import HowNear
from estimator.said.setting_up import first_start_parts, how_near_parts
from estimator.words.settings.schema import Kind, Settings

SHOP = Settings(kinds={"major": Kind("major", label="Full restoration")})
NEAR = HowNear(20, 0, "major", 31.2, 20, 26.8)


@pytest.mark.parametrize(
    ("near", "said"),
    [
        (
            NEAR,
            [
                (
                    "20 boards in. A full restoration that you have looked at is now told to within 31 hours either way, "
                    "8 times in 10."
                ),
                "Twenty more would bring that to about 27.",
            ],
        ),
        (replace(NEAR, then=30.9), ["Twenty more would hardly bring that nearer: stop when you like."]),
        (replace(NEAR, then=33.0), ["Twenty more would hardly bring that nearer: stop when you like."]),
        (HowNear(0, 0), ["From 5 boards on it says here how near a job is told."]),
        (HowNear(1, 0), ["1 board in. From 5 boards on it says here how near a job is told."]),
        (
            replace(NEAR, untaught=2),
            ["Of 2 boards more nothing is learned: the hours are missing, or what was done."],
        ),
    ],
)
def test_how_near_a_job_is_told(near, said):
    parts = list(how_near_parts(near, SHOP))
    assert parts[-len(said) :] == said


def test_the_first_answer_of_a_new_workshop(tmp_path):
    shop = begun(tmp_path / "new").shop
    day = shop.morning()
    said = [str(getattr(part, "text", part)) for part in first_start_parts(day, {}, shop.settings)]
    assert said[:2] == ["Next free start", "A place is free now."]


def test_what_boards_of_each_sort_take_rests_on_the_answer_with_most_rules():
    from making.mornings import EMPTY
    from making.ranges import ANSWER

    few, many = replace(ANSWER, boards=3, rules=2, low=5.0, high=9.0), replace(ANSWER, boards=3, rules=8)
    parts = list(first_start_parts(EMPTY, {"minor": few, "major": many}, SHOP))
    assert parts[0].level == 1
    assert "From 3 of your boards and 8 rules of thumb." in parts
    table = next(part for part in parts if hasattr(part, "rows"))
    assert table.rows == (("Minor", "5 to 9"), ("Full restoration", "55 to 80"))
    assert table.guessed


@pytest.mark.parametrize(
    ("within", "then", "end"),
    [
        (31.2, 29.7, "hardly bring that nearer: stop when you like."), (40.0, 37.9, "bring that to about 38."),
        (40.0, 38.0, "hardly bring that nearer: stop when you like."), (2.1, 1.9, "hardly bring that nearer: stop when you like."),
    ],
)  # fmt: skip
def test_twenty_more_are_worth_it_where_they_bring_it_nearer_as_it_is_shown(within, then, end):
    near = HowNear(20, 0, "major", within, 20, then)

    assert list(how_near_parts(near, SHOP))[1] == f"Twenty more would {end}"
