import datetime as dt
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.cli.printing import plain_lines
from estimator.forecast.looks import LookedSo
from estimator.forecast.ranges import Cost, LookNext, Outside, Price, Ready, Reason, StageRange
from estimator.record.backtest.track_record import ENOUGH
from estimator.said.parts import Heading, Table
from estimator.said.range import (
    INK_FROM,
    NAMED,
    all_done,
    by_rules,
    guessed,
    headline,
    name_of,
    range_parts,
    rests_on,
    shown_to_add_up,
)
from estimator.words.phrases import round_hours
from estimator.words.settings.schema import Driver

PRINTED = """\
red nine-four, before opening
Between 55 and 80 hours, 8 times in 10; half take more than 66.
From 31 of your boards and 4 rules of thumb.
You said 52 hours. Chance that it takes more: 9 times in 10.

Hours by stage, each 8 times in 10
Stage                low  even chance  high
Strip old glass       20           27    33
Let in foam      under ½           4½    10
Seldom needed, but counted in the whole: owner's change of mind.
Neither the lows nor the highs add up to the whole: no board is quick, or slow, at everything.

Why 66 hours
Foam pieces to let in            27
Area of one face                 24
Brittle glass                    9½
Setting up, all stages together  5½
                                 --
Even chance                      66

Boards like it
Board          hours  what differed
red nine-four     71  Foam pieces to let in: 2
25-007             9
Did past ranges hold? See for yourself:
estimator record"""


def lines(answer, settings, name="red nine-four"):
    return plain_lines(range_parts(answer, settings, name))


def why(answer, settings):
    parts = range_parts(answer, settings, "a board")
    at = next(i for i, part in enumerate(parts) if isinstance(part, Heading) and part.text.startswith("Why"))
    return parts[at].text, parts[at + 1].rows


def test_everything_in_the_order_in_which_it_is_wanted(answer, settings):
    assert lines(answer, settings) == PRINTED.splitlines()


def test_what_rests_on_fewer_than_a_dozen_boards_is_said_to_be_guessed(answer):
    few = replace(answer, boards=INK_FROM - 1)

    assert headline(few) == "Guessed: between 55 and 80 hours, 8 times in 10; half take more than 66."
    assert guessed(few)
    assert not guessed(answer)


def test_by_what_it_was_widened_is_said_and_of_which_day_that_is(answer, settings):
    wider = replace(answer, stretch=(1.1, 1.12), stretch_day="2026-09-30")

    said = lines(wider, settings)

    assert said[3] == (
        "Widened by a tenth: your last ranges were too tight. So says the record of Wed 30 September 2026."
    )
    assert "Did past ranges hold? See for yourself:" not in said
    assert (
        lines(replace(answer, stretch=(1.02, 0.98), stretch_day="2026-09-30"), settings)
        == (PRINTED.splitlines()[:-2])
    )


def test_the_record_is_pointed_to_only_where_it_has_something_to_say(answer, settings):
    hint = PRINTED.splitlines()[-1]

    assert hint in lines(replace(answer, boards=ENOUGH), settings)
    assert hint not in lines(replace(answer, boards=ENOUGH - 1), settings)


def test_the_dozen_is_that_of_the_drawings():
    from estimator.sheets.layouts import ranges as range_drawing

    assert range_drawing.INK_FROM == INK_FROM


def test_lent_rules_are_told_apart(answer):
    assert rests_on(replace(answer, boards=0, rules=43, lent=43)) == (
        "All from rules of thumb (43 lent, not yet yours), none from your log."
    )


def test_an_answer_from_the_guess_alone_says_so(answer, settings):
    alone = replace(answer, stages=(), reasons=(Reason("", "guess", 66.4),), boards=14, rules=0, alike=())

    said = lines(alone, settings)

    assert said[2] == "From your own guess alone, and how 14 of your guesses turned out."
    assert not any(line.startswith(("Why", "Hours by stage", "Did past ranges")) for line in said)
    assert rests_on(replace(alone, boards=0)) == "From your own guess alone."


def test_the_chance_to_pass_so_many_hours_is_said_for_each(answer, settings):
    said = lines(replace(answer, over={"40": 0.97, "72.5": 0.31, "100": 0.004}), settings)

    assert said[4:7] == [
        "Chance that it takes more than 40 hours: 19 in 20.",
        "Chance that it takes more than 72½ hours: 3 times in 10.",
        "Chance that it takes more than 100 hours: fewer than 1 in 20.",
    ]


def test_hours_that_are_booked_already_are_no_matter_of_chance(answer, settings):
    so_far = replace(answer, stages=(replace(answer.stages[0], so_far=60.0), *answer.stages[1:]))

    said = lines(replace(so_far, over={"40": 1.0, "72.5": 0.31}), settings)

    assert said[4:6] == [
        "It has taken more than 40 hours: 60 are booked already.",
        "Chance that it takes more than 72½ hours: 3 times in 10.",
    ]


def test_a_board_bigger_than_any_before_is_warned_of_by_name(answer, settings):
    beyond = (
        Outside("length", 126 * 0.0254, 60 * 0.0254, 122 * 0.0254, "beyond"),
        Outside("infills", 14.0, 1.0, 9.0, "beyond"),
        Outside("face_area", 0.4, 0.72, 1.41, "beyond"),
    )

    said = lines(replace(answer, outside=beyond), settings)

    assert said[4:7] == [
        "Bigger than any you've written down: length 10'6\" (3.20 m) (longest so far 10'2\" (3.10 m)).",
        "Bigger than any you've written down: foam pieces to let in 14 (most so far 9).",
        "Smaller than any you've written down: area of one face 0.4 m² (least so far 0.72 m²).",
    ]


def test_what_no_board_had_so_far_is_said(answer, settings):
    said = lines(replace(answer, outside=(Outside("infills", 2.0, 0.0, 0.0, "beyond"),)), settings)

    assert said[4] == "New to your log: foam pieces to let in 2 (none so far)."


def test_an_unusual_mix_is_one_warning(answer, settings):
    mixed = (
        Outside("infills", 0.0, 0.0, 9.0, "together"),
        Outside("face_area", 1.4, 0.7, 1.5, "together"),
    )

    said = lines(replace(answer, outside=mixed), settings)

    assert said[4] == (
        "Each seen before, but never together: foam pieces to let in none, area of one face 1.4 m²."
    )


def test_what_is_not_known_and_what_was_worked_out_are_named(answer, settings):
    asked = replace(answer, unknown=("brittle_glass", "infills"), worked_out=("face_area",))
    telling = replace(asked, look_next=(LookNext("infills", 9.2), LookNext("brittle_glass", 1.3)))

    assert lines(telling, settings)[5] == (
        "Worth finding out first, by how much narrower the range would be: foam pieces to let in, 9 hours; brittle glass, 1½ hours."
    )
    assert lines(asked, settings)[4:7] == [
        "Not known yet, so counted as such boards usually have it: brittle glass, foam pieces to let in.",
        "None of these, once known, would make the range an hour narrower.",
        "Worked out from length and width: area of one face.",
    ]


def test_a_board_on_the_go_shows_what_is_booked_and_what_is_done(answer, settings):
    stages = (StageRange("strip", 24.0, 24.0, 24.0, 24.0, True), StageRange("infill", 3.0, 4.4, 9.8, 2.5))

    said = lines(replace(answer, view="now", stages=stages), settings)

    assert said[0] == "red nine-four, as it stands now"
    assert "Booked so far, and among these hours: 27." in said
    assert [" ".join(line.split()) for line in said if line.startswith(("Stage", "Strip", "Let"))] == [
        "Stage so far low even chance high",
        "Strip old glass, done 24",
        "Let in foam 2½ 3 4½ 10",
    ]


def test_a_finished_board_has_hours_and_no_range(answer, settings):
    stages = (StageRange("strip", 8.75, 8.75, 8.75, 8.75, True),)
    done = replace(
        answer, view="now", low=8.75, likely=8.75, high=8.75, stages=stages, over={"8": 1.0, "9": 0.0}
    )

    said = lines(done, settings)

    assert said[:5] == [
        "red nine-four, as it stands now",
        "9 hours are booked, and nothing is left to do.",
        "You said 52 hours.",
        "That is more than 8 hours.",
        "That is no more than 9 hours.",
    ]
    assert not any("times in 10" in line for line in said)


def test_other_odds_are_counted_on_twenty_boards(answer):
    wide = replace(answer, odds=0.95, low=45.0, high=97.0)

    assert headline(wide) == "Between 45 and 95 hours, 19 in 20; half take more than 66."


def test_reasons_over_all_stages_with_the_rest_in_one_line(answer, settings):
    reasons = tuple(Reason("strip", f"part_{n}", float(20 - n)) for n in range(14))
    total = math.fsum(reason.hours for reason in reasons)

    heading, rows = why(replace(answer, likely=total, reasons=reasons), settings)

    assert heading == f"Why {total:.0f} hours"
    assert len(rows) == NAMED + 2
    assert rows[0] == ("Part 0", "20")
    assert rows[-2][0] == f"{14 - NAMED} smaller reasons together"
    assert rows[-1] == ("Even chance", f"{total:.0f}")
    assert sum(float(figure) for _, figure in rows[:-1]) == total


def test_a_single_reason_too_many_is_named_rather_than_called_the_rest(answer, settings):
    reasons = tuple(Reason("strip", f"part_{n}", 5.0) for n in range(NAMED + 1))

    _, rows = why(replace(answer, likely=45.0, reasons=reasons), settings)

    assert len(rows) == NAMED + 2
    assert not any("smaller" in text for text, _ in rows)


def test_hours_of_no_quantity_are_named_in_words(answer, settings):
    reasons = (
        Reason("strip", "booked", 24.0),
        Reason("infill", "unplanned", 2.0),
        Reason("infill", "once", 1.0),
    )

    _, rows = why(replace(answer, likely=27.0, reasons=reasons), settings)

    assert [text for text, _ in rows] == [
        "Finished stages, as booked",
        "Work that nobody had planned",
        "Setting up, all stages together",
        "Even chance",
    ]


@pytest.mark.parametrize(
    ("hours", "total", "shown"),
    [
        ([13.4, 9.3, 3.4], 26.0, [13.0, 9.5, 3.5]),
        ([27.0, 24.6, 9.3, 5.5], 66.0, [27.0, 24.0, 9.5, 5.5]),
        ([10.2, -0.7], 9.5, [10.0, -0.5]),
        ([0.1, 0.1, 0.1], 0.5, [0.5, 0.0, 0.0]),
        ([0.0, 1.5, 10.5], 12.0, [0.0, 1.0, 11.0]),
        ([47.2, 54.6], 102.0, [47.0, 55.0]),
    ],
)
def test_shown_parts_by_hand(hours, total, shown):
    assert shown_to_add_up(hours, total) == shown


@given(st.lists(st.floats(0.0, 90.0), min_size=1, max_size=12))
def test_shown_parts_add_up_to_the_shown_whole(hours):
    whole = math.fsum(hours)
    total = round_hours(whole) if whole < 10 else math.floor(whole + 0.5)

    shown = shown_to_add_up(hours, total)

    assert math.fsum(shown) == pytest.approx(total)
    assert all(figure >= 0 and figure % (0.5 if figure < 10 else 1) == 0 for figure in shown)
    assert all(abs(figure - true) <= 1.5 for figure, true in zip(shown, hours, strict=True))


def test_the_table_of_stages_is_slanted_where_it_is_guessed(answer, settings):
    tables = [
        part for part in range_parts(replace(answer, boards=0), settings, "x") if isinstance(part, Table)
    ]

    assert [table.guessed for table in tables] == [True, True, False]


READY = Ready(dt.date(2026, 7, 6), dt.date(2026, 7, 20), dt.date(2027, 1, 22), dt.date(2026, 6, 16))


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (
            {},
            (
                "Ready between the week of Mon 6 July and late January 2027, 8 times in 10, if the owner says yes by "
                "Tue 16 June; tell the owner: ready by Fri 22 January 2027, 9 times in 10."
            ),
        ),
        (
            {"say_yes_by": None, "high": dt.date(2026, 8, 14), "tell": dt.date(2026, 8, 14)},
            (
                "Ready between the week of Mon 6 July and the week of Mon 10 August, 8 times in 10; tell the owner: "
                "ready by Fri 14 August, 9 times in 10."
            ),
        ),
        (
            {"say_yes_by": None, "high": dt.date(2026, 7, 10), "tell": dt.date(2026, 7, 10)},
            "Ready about the week of Mon 6 July, 8 times in 10; tell the owner: ready by Fri 10 July, 9 times in 10.",
        ),
        # a log that is behind: nothing is said to be ready before today
        (
            {
                "say_yes_by": None,
                "low": dt.date(2026, 6, 5),
                "high": dt.date(2026, 6, 8),
                "tell": dt.date(2026, 6, 8),
            },
            "Ready about Tue 9 June, 8 times in 10; tell the owner: ready by Tue 9 June, 9 times in 10.",
        ),
    ],
)
def test_when_it_will_be_ready_and_the_one_day_to_tell(answer, settings, more, said):
    known = replace(answer, ready=replace(READY, **more))

    printed = plain_lines(range_parts(known, settings, "red nine-four", dt.date(2026, 6, 9)))
    assert printed[3] == said


def test_a_board_with_nothing_left_to_do_may_still_have_to_harden(answer, settings):
    done = tuple(replace(stage, done=True) for stage in answer.stages)
    hard = replace(answer, view="now", stages=done, ready=replace(READY, say_yes_by=None))

    assert lines(hard, settings)[2].startswith("Ready between Mon 6 July and ")
    assert not [line for line in lines(answer, settings) if line.startswith("Ready")]


@pytest.mark.parametrize(
    ("times", "said"), [(1.04, None), (1.05, "5 %"), (1.06, "5 %"), (1.43, "45 %"), (2.0, "100 %")]
)
def test_by_how_much_it_is_wider_for_what_lies_beyond_the_log(answer, settings, times, said):
    told = [line for line in lines(replace(answer, widened=times), settings) if "beyond your log" in line]

    assert told == ([f"What lies beyond your log makes this range {said} wider."] if said else [])


def test_stages_that_rest_on_rules_of_thumb_are_named(answer, settings):
    one = lines(replace(answer, by_rules=("infill",)), settings)
    whole = lines(replace(answer, by_rules=tuple(settings.stages)), settings)

    assert "Your log says little about let in foam: those hours come from rules of thumb." in one
    assert (
        "How the hours divide among the stages comes from rules of thumb: your log says little about it."
        in whole
    )


def test_a_range_whose_chains_have_not_met_says_so(answer, settings):
    assert [
        s
        for s in lines(replace(answer, settled=False), settings)
        if s.startswith("This range is not settled")
    ]
    assert not [s for s in lines(answer, settings) if "settled" in s]


def test_stages_without_hours_that_were_passed_by_are_named(answer, settings):
    named = lines(replace(answer, passed_by=("strip", "infill")), settings)

    assert (
        "No hours are written for strip old glass, let in foam, and later work is begun: counted as over, with no "
        "hours. Write them if there were any."
    ) in named
    assert not [line for line in lines(answer, settings) if line.startswith("No hours")]


@pytest.mark.parametrize(
    ("stages", "said"),
    [
        ((), []), (("strip",), ["Your log says little about strip old glass: those hours come from rules of thumb."]),
        (("strip", "infill"), ["Your log says little about strip old glass, let in foam: those hours come from rules of thumb."]),
        (("strip", "infill", "owner_change"), ["How the hours divide among the stages comes from rules of thumb: your log says little about it."]),
    ],
)  # fmt: skip
def test_of_some_stages_it_is_said_which_and_of_all_that_it_is_all(settings, stages, said):
    assert list(by_rules(stages, settings)) == said


def test_the_three_best_questions_are_named_and_no_more(answer, settings):
    best = tuple(
        LookNext(name, 9.0 - n)
        for n, name in enumerate(("infills", "brittle_glass", "face_area", "owner_change"))
    )
    asked = lines(replace(answer, unknown=("infills",), look_next=best), settings)

    assert asked[5].endswith(
        ": foam pieces to let in, 9 hours; brittle glass, 8 hours; area of one face, 7 hours."
    )


@pytest.mark.parametrize(
    ("unused", "said"),
    [
        (0, None), (1, "1 finished board waits unused: nobody wrote what was done on it. The cells to fill:"),
        (2, "2 finished boards wait unused: nobody wrote what was done on them. The cells to fill:"),
    ],
)  # fmt: skip
def test_finished_boards_that_teach_nothing_are_counted(answer, settings, unused, said):
    told = [line for line in lines(replace(answer, unused=unused), settings) if "unused" in line]

    assert told == ([said] if said else [])


@pytest.mark.parametrize(("asked", "passed"), [("59.5", True), ("60", False), ("60.5", False)])
def test_hours_are_passed_once_more_than_so_many_are_booked(answer, settings, asked, passed):
    so_far = replace(
        answer, stages=(replace(answer.stages[0], so_far=60.0), *answer.stages[1:]), over={asked: 0.9}
    )

    assert any(line.startswith("It has taken") for line in lines(so_far, settings)) == passed


@pytest.mark.parametrize(
    ("low", "high", "value", "said"),
    [
        (0.0, 0.0, 2.0, "New to your log: foam pieces to let in 2 (none so far)."), (0.0, 9.0, 14.0, "Bigger than any you've written down: foam pieces to let in 14 (most so far 9)."),
        (3.0, 9.0, 2.0, "Smaller than any you've written down: foam pieces to let in 2 (least so far 3)."),
        (3.0, 9.0, 9.0, "Smaller than any you've written down: foam pieces to let in 9 (least so far 3)."),
    ],
)  # fmt: skip
def test_what_lies_beyond_is_bigger_smaller_or_new(answer, settings, low, high, value, said):
    assert (
        lines(replace(answer, outside=(Outside("infills", value, low, high, "beyond"),)), settings)[4] == said
    )


def test_a_stage_that_may_take_hours_stands_in_the_table_and_one_that_never_does_below_it(answer, settings):
    stages = (
        StageRange("strip", 0.0, 0.0, 3.0),
        StageRange("infill", 0.0, 0.0, 0.0, 0.0, True),
        StageRange("owner_change", 0.0, 0.0, 0.0),
    )
    said = lines(replace(answer, stages=stages), settings)

    assert [line.split("  ")[0] for line in said if line.startswith(("Strip", "Let in foam"))] == [
        "Strip old glass",
        "Let in foam, done",
    ]
    assert "Seldom needed, but counted in the whole: owner's change of mind." in said


def test_what_was_not_said_is_counted_as_none_and_how_to_say_that_it_is_not_known(answer, settings):
    said = lines(replace(answer, taken_as_none=("infills", "brittle_glass")), settings)

    assert (
        "Not said, and so counted as none: foam pieces to let in, brittle glass. Say infills=? where you can't tell."
        in said
    )


def test_reasons_stand_by_their_size_whichever_way_they_go_and_one_alone_says_nothing(answer, settings):
    reasons = (
        Reason("strip", "face_area", 30.0),
        Reason("strip", "infills", 4.0),
        Reason("infill", "infills", -14.0),
    )
    _, rows = why(replace(answer, likely=20.0, reasons=reasons), settings)
    assert [text for text, _ in rows] == ["Area of one face", "Foam pieces to let in", "Even chance"]
    more = (*reasons, Reason("strip", "brittle_glass", 2.0))
    assert [text for text, _ in why(replace(answer, likely=22.0, reasons=more), settings)[1]][:3] == [
        "Area of one face",
        "Foam pieces to let in",
        "Brittle glass",
    ]
    assert not [
        line for line in lines(replace(answer, reasons=reasons[1:]), settings) if line.startswith("Why")
    ]


def test_money_is_said_only_where_both_are_known(answer, settings):
    half = replace(answer, materials=Cost(178.0, 214.0, 262.0))
    assert not [line for line in lines(half, settings) if line.startswith("Materials")]


@pytest.mark.parametrize(
    ("called", "changed", "said"),
    [
        ("red", {}, "red"), (None, {}, "A board as you describe it"), ("red", {"infills": "3", "brittle_glass": "?"}, "red with foam pieces to let in 3, brittle glass not known"),
    ],
)  # fmt: skip
def test_what_a_board_is_called_with_what_was_set_on_it(settings, called, changed, said):
    assert name_of(called, changed, settings) == said


def test_a_board_that_is_done_in_part_is_not_over(answer, settings):
    one = (replace(answer.stages[0], done=True), *answer.stages[1:])
    assert not all_done(replace(answer, view="now", stages=one))
    done = tuple(replace(stage, done=True) for stage in answer.stages)
    assert (all_done(replace(answer, view="now", stages=done)), all_done(replace(answer, stages=done))) == (
        True,
        False,
    )


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        (0.5, "½ hour is booked"),
        (1.0, "1 hour is booked"),
        (1.5, "1½ hours are booked"),
        (12.0, "12 hours are booked"),
    ],
)
def test_hours_that_are_booked_are_counted(answer, settings, hours, words):
    done = replace(
        answer, view="now", likely=hours, stages=(StageRange("strip", hours, hours, hours, hours, True),)
    )

    assert lines(done, settings)[1] == f"{words}, and nothing is left to do."


def test_of_a_board_that_is_done_its_money_its_guess_and_boards_like_it_are_said(answer, settings):
    done = replace(
        answer, view="now", low=39.0, likely=39.0, high=39.0, stages=(StageRange("strip", 39.0, 39.0, 39.0, 39.0, True),),
        over={"40": 0.0}, materials=Cost(240.0, 240.0, 240.0), price=Price(1800.0, 0.8, 40.0), ready=replace(READY, say_yes_by=None),
    )  # fmt: skip

    said = lines(done, settings)
    assert said[1:3] == [
        "39 hours are booked, and nothing is left to do.",
        "Materials 240. 1,800 pays you 40 an hour.",
    ]
    assert said[3].startswith("Ready between Mon 6 July and ")
    assert said[4:9] == ["You said 52 hours.", "That is no more than 40 hours.", "", "Boards like it", "Board          hours  what differed"]  # fmt: skip


def test_a_reason_too_small_to_be_shown_is_under_half_an_hour(answer, settings):
    reasons = (Reason("strip", "face_area", 12.1), Reason("strip", "infills", 0.1))

    assert why(replace(answer, likely=12.2, reasons=reasons), settings)[1] == (
        ("Area of one face", "12"),
        ("Foam pieces to let in", "under ½"),
        ("Even chance", "12"),
    )


def test_a_board_shorter_than_any_before_is_said_to_be_so(answer, settings):
    short = (Outside("length", 60 * 0.0254, 72 * 0.0254, 122 * 0.0254, "beyond"),)
    assert lines(replace(answer, outside=short), settings)[4] == (
        "Smaller than any you've written down: length 5'0\" (1.52 m) (shortest so far 6'0\" (1.83 m))."
    )


def test_a_chance_of_none_to_pass_his_guess_is_said_as_seldom_and_one_not_known_not_at_all(answer, settings):
    assert lines(replace(answer, chance_beyond_guess=0.0), settings)[3] == (
        "You said 52 hours. Chance that it takes more: fewer than 1 in 20."
    )
    assert lines(replace(answer, chance_beyond_guess=None), settings)[3] == "You said 52 hours."


def test_how_boards_turned_out_that_looked_so_is_said(answer, settings):
    so = LookedSo("infills", 0.0, "", 9, 8, 1, 0, ((1.0, 1),))
    assert "Foam pieces to let in: of your 9 boards that looked like none, 1 turned out to have 1." in lines(
        replace(answer, looked_so=so), settings
    )


def test_beside_a_stage_that_is_begun_one_that_is_not_has_a_dash_and_what_is_booked_is_said(answer, settings):
    stages = (replace(answer.stages[0], so_far=4.0), replace(answer.stages[1], high=9.8))
    said = lines(replace(answer, stages=stages, over={"40": 0.9}), settings)

    assert ["Let", "in", "foam", "-", "under", "½", "4½", "10"] in [line.split() for line in said]
    assert said[4:6] == ["Chance that it takes more than 40 hours: 9 times in 10.", "Booked so far, and among these hours: 4."]  # fmt: skip


def test_a_length_that_the_workshop_asks_after_itself_is_said_in_its_unit(answer, settings):
    asked = replace(settings, drivers={**settings.drivers, "length": Driver("length", label="Length of tape", unit="m")})  # fmt: skip
    long = (Outside("length", 3.2, 1.5, 3.0, "beyond"),)
    assert "length of tape 3.2 m (longest so far 3 m)" in lines(replace(answer, outside=long), asked)[4]
