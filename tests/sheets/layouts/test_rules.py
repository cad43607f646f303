"""A rule of thumb on its tape: its brackets, its words, which boards are drawn, and to which side."""

from dataclasses import replace

import pytest
from making.verdicts import verdict

from estimator.forecast.ranges import Spread
from estimator.record.rules.verdicts import Verdicts
from estimator.sheets.layouts.rules import RuleBracket, RuleLayout, RuleRow, RulesLayout, legend, rule_rows


def row_of(**more):
    """The row of one rule."""
    [row] = rule_rows(Verdicts((verdict(**more),), None))
    return row


OWN = RuleBracket("you say 3 to 4½ h", 3.0, 4.5, True)
ROW = RuleRow("“Sanding”: holds", (OWN,), (), "hours")


@pytest.mark.parametrize(
    ("more", "log"),
    [
        ({}, RuleBracket("your log 5½ to 8½ hours", 5.3, 8.6, False)),
        ({"suggested": None}, RuleBracket("your log 5 to 9 hours", 5.0, 9.0, False)),
        ({"of": 12}, RuleBracket("your log 5½ to 8½ hours", 5.3, 8.6, False)),
        ({"of": 11}, RuleBracket("your log 5½ to 8½ hours, guessed", 5.3, 8.6, True)),
        ({"log": Spread(1.0, 2.0, 3.0)}, RuleBracket("your log 5½ to 8½ hours", 5.3, 8.6, False)),
    ],
)
def test_his_own_bracket_comes_first_then_what_the_log_suggests(more, log):
    assert row_of(**more).brackets == (OWN, log)
    assert row_of(log=None).brackets == (OWN,)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({}, "“Sanding takes 3 to 4½ hours”: too low, 1 of 15 within"),
        ({"text": "", "verdict": "holds", "inside": 9}, "“sanding”: holds, 9 of 15 within"),
        ({"verdict": "not enough boards", "of": 0, "cases": ()}, "“Sanding takes 3 to 4½ hours”: not enough boards, no case yet"),
    ],
)  # fmt: skip
def test_a_row_says_what_the_rule_is_called_and_how_many_cases_were_within(more, words):
    assert row_of(**more).words == words


def test_the_ends_of_a_rule_are_within_it():
    assert [ROW.side(amount) for amount in (2.9, 3.0, 4.0, 4.5, 4.6)] == [-1, 0, 0, 0, 1]
    both = replace(ROW, brackets=(OWN, RuleBracket("your log", 1.0, 9.0, False)))
    assert [both.side(amount) for amount in (2.0, 8.0)] == [-1, 1]


def test_of_more_than_twenty_cases_the_latest_are_drawn():
    """Twenty-one cases: the first, at 100 hours, would make the tape as long."""
    layout = RuleLayout(replace(ROW, cases=(100.0, *[4.0] * 19, 9.0)), 616.0)

    assert [side for side, *_ in layout.boards] == [0] * 19 + [1]
    assert layout.right == pytest.approx(1.04 * 9)


@pytest.mark.parametrize(("count", "more"), [(20, ""), (21, " Of more than 20 the latest are drawn.")])
def test_that_not_all_are_drawn_is_said_from_twenty_one_cases_on(count, more):
    assert legend([ROW, replace(ROW, cases=(4.0,) * count)]).partition("missed.")[2] == more


@pytest.mark.parametrize(("unit", "said"), [("times", "times as long"), ("hours", "hours"), ("days", "days")])
def test_the_tape_counts_in_the_unit_of_the_rule(unit, said):
    assert RuleLayout(replace(ROW, unit=unit), 616.0).unit == said


def test_what_missed_lies_to_its_side_and_what_landed_stands_on_its_place():
    layout = RuleLayout(replace(ROW, cases=(9.0, 4.0, 1.5)), 616.0)

    assert [side for side, *_ in layout.boards] == [-1, 0, 1]
    assert [at for _, at, _ in layout.boards][:2] == pytest.approx([layout.px(1.5), layout.px(4.0)])
    assert layout.boards[2][1] == pytest.approx(layout.px(9.0))
    narrow = RuleLayout(replace(ROW, cases=(9.0,)), 320.0)
    assert narrow.boards[0][1] == 320.0 - 16.0  # as far right as it can lie: a board is 15 long


def test_each_rule_stands_in_the_column_that_is_shorter_so_far():
    tall = replace(ROW, words=f"“{'a long rule of thumb ' * 12}”")
    wide = [left for _, left, _ in RulesLayout([tall, ROW, ROW, ROW], 616.0).places]
    narrow = [left for _, left, _ in RulesLayout([tall, ROW, ROW, ROW], 559.0).places]

    assert wide == [0.0, *[pytest.approx((616 - 26) / 2 + 26)] * 2, 0.0]
    assert narrow == [0.0] * 4
    assert RulesLayout([ROW], 616.0).wide == 616.0


def test_a_lent_rule_has_no_tape_and_a_case_that_counts_as_within_stands_at_the_end_it_comes_to():
    assert [
        row.words[:4] for row in rule_rows(Verdicts((verdict(lent=True, text="Lent"), verdict()), None))
    ] == ["“San"]
    cases = (("a", 2.0), ("b", 9.0), ("c", 4.0), ("d", 6.0))
    assert row_of(cases=cases, sides=(0, 1, 0, 0)).cases == (3.0, 9.0, 4.0, 4.5)


def test_cases_of_which_no_side_is_known_stand_where_they_fell():
    assert row_of(cases=(("a", 2.0), ("b", 9.0), ("c", 4.0)), sides=()).cases == (2.0, 9.0, 4.0)


def test_from_560_pixels_on_rules_stand_in_two_columns_and_the_longer_one_says_how_high_they_are():
    tall = replace(ROW, words=f"“{'a long rule of thumb ' * 12}”")
    both = RulesLayout([ROW, tall], 560.0)
    (_, left, _), (layout, right, _) = both.places

    assert (left, right) == (0.0, pytest.approx(267 + 26))
    assert both.high == pytest.approx(layout.above + layout.below)
    first = RulesLayout([tall, ROW], 560.0)
    assert first.high == pytest.approx(both.high)


def test_what_both_say_stands_side_by_side_where_there_is_room():
    both = row_of(of=11)

    assert [len(line) for line in RuleLayout(both, 616.0).say] == [2]
    assert [len(line) for line in RuleLayout(both, 320.0).say] == [1, 1]


def test_boards_on_one_place_stand_one_above_the_other():
    """A board is 15 high, with 1½ below it and above it."""
    layout = RuleLayout(replace(ROW, cases=(4.0, 4.0, 4.0)), 616.0)

    assert [foot for *_, foot in layout.boards] == [1.5, 18.0, 34.5]
    assert layout.zone == 34.5 + 15 + 1.5
