import re
from dataclasses import replace
from itertools import pairwise

import pytest
from making.mornings import CLUB, EGG, EMPTY, FISH, MORNING, RED, TODAY, dates, day, told

from estimator.bench.promises import Leave, Ring, Touch, WeighIn, Worse
from estimator.cli.printing import plain_lines
from estimator.forecast.calibration import DATES, Stretch
from estimator.said.bench import SWAP, bench_parts, causes_of, day_parts, ready_days, worse_words
from estimator.words.phrases import capital
from estimator.words.settings.schema import Away, Bench, Driver, Modifier, Settings, Stage

SETTINGS = Settings(
    stages={
        "strip": Stage("strip", label="Strip old glass", drivers=("once",)),
        "sand": Stage("sand", label="Sand", drivers=("once",)),
    },
    bench=Bench(away=(Away(day("06-04"), day("06-04")),)),
)
STATISTICS = """quantile percentile median mean bias variance coverage confidence draw forecast sample simulat
    posterior prior stretch distribution deviation significant interval queue promise likelihood probab"""

PRINTED = """\
Tue 9 June 2026
Your log tells up to Mon 8 June.

Ring
The day that you told is in danger, or over. Say the new one: ready by then, 9 times in 10.
               you told them  chance I'm in time  say: ready by
red nine-four  Fri 5 June     that day is over    Tue 14 July
club board     Sat 20 June    4 in 10             Fri 26 June
Before you ring, see “A change of order that helps” below.
straw gun is ready: say so, and ask when they will fetch it.
plum egg waits for its owner's answer: ask for it.

Touch today
club board  Sand             its date is in danger
green fish  Strip old glass  the day you told comes next

Leave
red nine-four  until about Sat 13 June  gloss coat has to set

All boards in hand
9 times in 10 a board comes after the first day, and 9 times in 10 by the second, the day to tell.
               not before     expected ready by  what I told them  chance I'm in time
On the go:
club board     Fri 12 Jun     Fri 26 Jun         Sat 20 Jun        4 in 10
green fish     Mon 15 Jun     Mon 22 Jun         Fri 3 Jul         19 in 20
On the rack:
red nine-four  Thu 11 Jun     Tue 14 Jul         Fri 5 Jun         that day is over
In line:
plum egg       week of 6 Jul  Mon 10 Aug         -                 -
26-020         week of 3 Aug  Fri 8 Jan          Fri 15 Jan        19 in 20
Told anew since; you are judged on the first day told: club board by Sat 6 June.

Next free start
Between the week of Mon 27 July and late September, 8 times in 10; by the week of Mon 10 August, about even (5 in 10).
Tell the next who asks: begun by Fri 25 September, 9 times in 10, if they say yes by Tue 16 June.
Hours to come are taken from 31 weeks as they came.

A change of order that helps
Put club board before all others. Chance I'm in time:
            as it is  club board first
club board  4 in 10   7 in 10
green fish  19 in 20  8 in 10
26-020      19 in 20  9 in 10

No date can be given
ink seven-two: it needs Pinlines, and neither a rule of thumb nor a past board says how long that takes."""


def lines(morning=MORNING, **more):
    return plain_lines(bench_parts(replace(morning, **more), SETTINGS))


def row(name, **more):
    """The row of a board among all boards in hand."""
    said = lines(**more)
    at = said.index("All boards in hand")
    return re.split(r"\s{2,}", next(line for line in said[at:] if line.startswith(name)))


def test_a_morning_in_the_order_in_which_it_is_wanted():
    assert lines() == PRINTED.splitlines()


def test_no_board_in_hand_is_said_and_when_the_next_could_begin():
    assert lines(EMPTY) == [
        "Tue 9 June 2026",
        "No hours are written down yet: work is taken to begin today.",
        "Nobody needs ringing today.",
        "No board is in hand.",
        "",
        "Next free start",
        "A place is free now.",
        "Tell the next who asks: begun as soon as they say yes, 9 times in 10.",
        "Hours to come are taken from the week in your settings.",
    ]


def test_an_empty_bench_still_rings_about_what_stands_ready():
    said = lines(EMPTY, ring=MORNING.ring[2:3])

    assert "straw gun is ready: say so, and ask when they will fetch it." in said
    assert "No board is in hand." in said
    assert not [line for line in said if "Nobody needs ringing" in line]


def test_a_bench_of_which_nothing_can_be_dated_is_not_called_empty():
    said = lines(EMPTY, left_out={"26-030": "26-030: its stages wait for one another."})

    assert "No board is in hand." not in said
    assert said[-2:] == ["No date can be given", "26-030: its stages wait for one another."]


@pytest.mark.parametrize(
    ("up_to", "said"),
    [
        ("06-09", "Your log tells up to Tue 9 June."),
        # Friday's entries, looked at before Tuesday's work: Monday is missing, the week's end is not
        (
            "06-05",
            "Your log tells up to Fri 5 June. 1 working day since has no entry, and is taken as worked.",
        ),
        # of Wed 3 to Mon 8 June, Thursday was a day away
        (
            "06-02",
            "Your log tells up to Tue 2 June. 3 working days since have no entry, and are taken as worked.",
        ),
    ],
)
def test_up_to_which_day_the_log_tells_and_how_many_working_days_are_missing(up_to, said):
    assert lines(log_up_to=day(up_to), last_entry=day(up_to))[1] == said


def test_a_log_long_without_entries_is_said_to_stand_still():
    assert lines(log_up_to=day("06-08"), last_entry=day("05-11"))[1] == (
        "Nothing is written down since Mon 11 May: boards are taken to stand today as they stood then."
    )


def test_a_new_day_to_tell_is_exact_however_far_off():
    far = (Ring("26-011", "club board", MORNING.ring[1].why, day("2027-02-03")),)

    said = lines(ring=far, swap=None)
    assert said[said.index("Ring") + 3].split()[-4:] == ["Wed", "3", "February", "2027"]
    assert not [line for line in said if "Before you ring" in line]


def test_a_reason_to_ring_that_has_no_words_here_is_said_as_it_is():
    said = lines(ring=(Ring("26-012", "green fish", "the deposit has not come", day("07-01")),))

    assert "green fish: the deposit has not come. Say: ready by Wed 1 July." in said


def test_what_was_said_on_an_earlier_day_is_no_news_and_stands_apart():
    on = day("06-08")
    before = tuple(replace(ring, said=on) for ring in MORNING.ring)
    said = lines(ring=(), rung_already=before)

    at = said.index("Nobody else needs ringing today.")
    assert said[at + 2 : at + 10] == [
        "Still open from an earlier day",
        "red nine-four  on Mon 8 June  Fri 5 June is over; say: ready by Tue 14 July",
        "club board     on Mon 8 June  Sat 20 June is in danger; say: ready by Fri 26 June",
        "straw gun      on Mon 8 June  it has been ready since Mon 8 June",
        "plum egg       on Mon 8 June  it has been waiting for its owner's answer since Mon 1 June",
        "Once you have told a new day, write it down:",
        "estimator told 26-009 --last 2026-07-14 --because late",
        "estimator told 26-011 --last 2026-06-26 --because late",
    ]
    assert not {"Ring", f"Before you ring, see “{SWAP}” below."} & set(said)
    ready = lines(ring=(), rung_already=before[2:3])
    assert not [line for line in ready if "estimator told" in line]


def test_drying_boards_are_named_with_the_day_on_which_to_weigh_them():
    days = (WeighIn("26-009", "red nine-four", TODAY), WeighIn("26-021", "plum egg", day("06-12")))
    said = lines(scales=days)

    at = said.index("On the scales")
    assert said[at + 1 : at + 3] == ["red nine-four  weigh it today", "plum egg       on Fri 12 June"]
    assert "On the scales" not in lines()


def test_on_a_day_without_hours_nothing_is_touched():
    free = replace(SETTINGS, bench=Bench(away=(Away(TODAY, TODAY),)))
    said = plain_lines(bench_parts(replace(MORNING, touch=()), free))

    assert said[said.index("Touch today") + 1] == (
        "There are no hours at the bench today. The next working day is Wed 10 June."
    )
    shut = replace(SETTINGS, bench=Bench(hours_by_weekday=(0.0,) * 7))
    never = plain_lines(bench_parts(replace(MORNING, touch=()), shut))
    assert never[never.index("Touch today") + 1] == "There are no hours at the bench today."
    assert not [line for line in said if "can be worked on" in line]


def test_a_reason_that_begins_with_the_board_s_name_does_not_say_it_twice():
    said = lines(
        left_out={"26-022": "ink seven-two can never be finished: logos, gloss wait for one another."}
    )

    assert said[-1] == "ink seven-two can never be finished: logos, gloss wait for one another."


@pytest.mark.parametrize("chance", [0.0, 0.03, 1.0])
def test_no_chance_is_ever_none_or_certain(chance):
    said = row("green fish", promises=(replace(FISH, chance_kept=chance),))

    assert said[-1] in {"fewer than 1 in 20", "19 in 20"}


def test_a_day_told_that_is_over_has_no_chance_any_more_but_today_has():
    over, not_yet = (
        row("green fish", promises=(replace(FISH, told=told(when), chance_kept=0.0),))
        for when in ("06-08", "06-09")
    )

    assert over[-1] == "that day is over"
    assert not_yet[-1] == "fewer than 1 in 20"


def test_nothing_to_come_is_said_to_be_ready_before_today():
    # the log is behind: by what it tells, work went on from Thursday
    late = replace(FISH, ready=dates("06-05", "06-07", "06-08"))

    assert row("green fish", promises=(late,))[1:3] == ["Tue 9 Jun", "Tue 9 Jun"]
    start = lines(next_start=dates("06-05", "06-12", "07-20"))
    assert start[start.index("Next free start") + 1] == (
        "Between Tue 9 June and the week of Mon 20 July, 8 times in 10; by Fri 12 June, about even (5 in 10)."
    )


def test_what_should_be_over_by_now_is_looked_at():
    said = lines(leave=(Leave("26-009", "red nine-four", TODAY, "gloss coat has to set"),))

    assert "red nine-four  have a look today  gloss coat has to set" in said


def test_nothing_to_work_on_is_said():
    assert "Nothing can be worked on today." in lines(touch=())
    assert not {"Touch today", "Nothing can be worked on today."} & set(lines(EMPTY))


def test_only_places_with_boards_are_named():
    said = lines(promises=(EGG,), swap=None)

    assert "In line:" in said
    assert not {"On the go:", "On the rack:"} & set(said)


def test_told_anew_is_said_only_where_it_was():
    assert not [line for line in lines(promises=(FISH, RED)) if "Told anew" in line]
    two = (CLUB, replace(FISH, told=told("07-03", first="2025-12-19")))
    assert (
        "Told anew since; you are judged on the first day told: club board by Sat 6 June, green fish by Fri 19 "
        "December 2025." in lines(promises=two)
    )


def test_a_start_at_one_time_is_said_once():
    said = lines(next_start=dates("08-11", "08-12", "08-14"))

    assert said[said.index("Next free start") + 1] == "The week of Mon 10 August, 8 times in 10."


def test_a_change_of_order_counts_those_that_stay_as_they_are():
    still = replace(MORNING.swap, after={**MORNING.swap.before, "26-011": 0.72})
    said = lines(swap=still)

    at = said.index(SWAP)
    assert said[at + 3 : at + 5] == [
        "club board  4 in 10   7 in 10",
        "2 other days that you told stay as likely as before.",
    ]
    without = lines(swap=None)
    assert not {SWAP, f"Before you ring, see “{SWAP}” below."} & set(without)


def test_what_the_record_of_dates_moved_is_said_where_a_board_is_in_line():
    moved = Stretch(1.0, 1.22, "2026-05-31", DATES)
    words = (
        "Widened by a fifth at the late end: there your last ranges of dates were too tight. "
        "So says the record of Sun 31 May 2026, for boards in line."
    )

    assert words in lines(stretch=moved)
    assert not any("ranges of dates" in line for line in lines())
    assert words not in lines(stretch=moved, promises=(CLUB, FISH, RED))
    assert replace(MORNING, stretch=moved).as_dict()["stretch_of_dates"] == {
        "low": 1.0,
        "high": 1.22,
        "day": "2026-05-31",
    }


def test_a_week_in_the_settings_that_is_not_the_week_as_it_came_is_said():
    apart = "the week in your settings has 29 hours, but you worked 22 a week on boards"

    assert f"{capital(apart)}." in lines(weeks_apart=apart)
    assert not any("week in your settings has" in line for line in lines())


@pytest.mark.parametrize(
    "morning", [MORNING, EMPTY, replace(MORNING, stretch=Stretch(1.3, 1.3, "2026-05-31", DATES))]
)
def test_no_statistics_words_and_one_blank_line_before_each_heading(morning):
    said = lines(morning)

    text = "\n".join(said).lower()
    assert [word for word in STATISTICS.split() if word in text] == []
    assert not [pair for pair in pairwise(said) if pair == ("", "")]
    assert all(said[-1:])


def test_the_check_of_statistics_words_can_fail():
    text = "\n".join(lines(capacity="the median week")).lower()

    assert [word for word in STATISTICS.split() if word in text] == ["median"]


def test_hours_of_the_day_are_said_and_why_it_is_in_that_order():
    touch = (
        Touch("26-012", "green fish", "strip", "it can be worked on", 3.5),
        Touch("26-011", "club board", "gloss", "its date is in danger", 1.0),
    )
    stages = {
        **SETTINGS.stages,
        "strip": replace(SETTINGS.stages["strip"], air="dusty"),
        "gloss": Stage("gloss", label="Gloss coat", air="wet", wait_days=(3.0, 10.0)),
    }
    said = plain_lines(bench_parts(replace(MORNING, touch=touch), replace(SETTINGS, stages=stages)))

    at = said.index("Touch today")
    assert [line.split("  ")[0] for line in said[at + 1 : at + 3]] == ["green fish", "club board"]
    assert "3½ hours" in said[at + 1]
    assert said[at + 3] == "In this order: what makes dust comes before what has to stay clean while it sets."
    assert not any(line.startswith("In this order") for line in lines())


def test_what_became_much_later_stands_at_the_top_of_ring_in_one_sentence_with_one_date():
    worse = Worse("26-012", "green fish", 37, day("08-21"), {"wetness": 3.0})
    wet = Modifier("wetness", label="Wet foam", grades=("dry", "damp", "wet", "soaked"))
    said = plain_lines(
        bench_parts(replace(MORNING, worse=(worse,)), replace(SETTINGS, modifiers={"wetness": wet}))
    )

    assert said[said.index("Ring") + 1] == (
        "green fish, found soaked, is 5 weeks later than when you last looked: say, ready by Fri 21 August."
    )


@pytest.mark.parametrize(
    ("more", "cause"),
    [
        ({"later": {"infills": 2.0}}, ", with 2 foam pieces to let in asked for since,"),
        ({"why": "waiting for artwork"}, ", waiting for artwork,"),
        ({"why": "the foam is drying"}, ", as the foam is drying,"),
        ({"before": ("red egg",)}, ", with red egg put before it,"),
        ({"before": ("red egg", "blue gun", "tan egg")}, ", with red egg and 2 more put before it,"),
        ({"idle": True}, ", not worked on since,"),
        ({"why": "waiting for artwork", "idle": True}, ", waiting for artwork,"),
        ({}, ""),
    ],
)
def test_the_cause_of_what_became_later_is_whatever_is_known(more, cause):
    worse = Worse("26-012", "green fish", 37, day("08-21"), {}, **more)

    shop = replace(SETTINGS, drivers={"infills": Driver("infills", label="Foam pieces to let in")})
    assert worse_words(worse, day("06-09"), shop) == (
        f"green fish{cause} is 5 weeks later than when you last looked: say, ready by Fri 21 August."
    )


def test_those_in_danger_beyond_three_are_one_line():
    said = lines(ring_later=(Ring("1", "red egg", "date in danger"), Ring("2", "blue gun", "date in danger")))

    assert "In danger too, for another day: red egg, blue gun." in said


DANGER = MORNING.ring[1]  # the club board, told 20 June, to be told 26 June


def test_those_to_ring_on_another_day_alone_are_no_quiet_morning():
    later = (Ring("1", "red egg", "date in danger"),)
    said = lines(ring=(), swap=None, ring_later=later)
    assert "In danger too, for another day: red egg." in said
    assert not [line for line in said if line.startswith("Nobody")]


@pytest.mark.parametrize(("last", "over"), [("06-08", True), ("06-09", False), ("06-10", False)])
def test_a_day_told_is_over_from_the_day_after_on(last, over):
    club = replace(CLUB, told=told(last))
    said = lines(ring=(replace(DANGER, about=day(last)),), promises=(club,), swap=None)
    assert any(line.startswith("The day that you told is in danger, or over.") for line in said) == over
    still = lines(ring=(), rung_already=(replace(DANGER, about=day(last), said=day("06-08")),), swap=None)
    assert any(" is over; say:" in line for line in still) == over


def test_no_day_to_say_lies_before_today():
    past = replace(DANGER, tell=day("06-05"))
    rung = lines(ring=(past,), swap=None)
    assert rung[rung.index("Ring") + 3].endswith("Tue 9 June")
    still = lines(ring=(), rung_already=(replace(past, said=day("06-08")),), swap=None)
    assert any(line.endswith("say: ready by Tue 9 June") for line in still)
    assert "estimator told 26-011 --last 2026-06-09 --because late" in still
    other = lines(ring=(replace(past, board="x", name="gun"),), swap=None)
    assert "gun: date in danger. Say: ready by Tue 9 June." in other
    worse = Worse("26-012", "green fish", 37, day("06-01"), {})
    assert worse_words(worse, TODAY, SETTINGS).endswith("say, ready by Tue 9 June.")


def test_two_causes_are_said_the_surest_first():
    worse = Worse(
        "26-012",
        "green fish",
        37,
        day("08-21"),
        {"odd": 1.0},
        {"odd": 2.0},
        "waiting for artwork",
        ("red egg",),
        idle=True,
    )

    assert causes_of(worse, SETTINGS) == ["found odd", "with odd asked for since"]
    assert causes_of(replace(worse, found={}), SETTINGS) == [
        "with odd asked for since",
        "waiting for artwork",
    ]
    assert causes_of(replace(worse, found={}, later={}, why=""), SETTINGS) == ["with red egg put before it"]
    assert causes_of(replace(worse, found={}, later={}, why="", before=()), SETTINGS) == [
        "not worked on since"
    ]


@pytest.mark.parametrize(
    ("airs", "said"),
    [
        (("dusty", "wet"), True),
        (("dusty", "spray"), True),
        (("dusty", "quiet"), False),
        (("quiet", "wet"), False),
    ],
)
def test_why_it_is_in_that_order_is_said_where_dust_meets_what_must_stay_clean(airs, said):
    stages = {name: Stage(name, air=air) for name, air in zip(("sand", "strip"), airs, strict=True)}
    told_ = plain_lines(bench_parts(MORNING, replace(SETTINGS, stages=stages)))

    assert any(line.startswith("In this order") for line in told_) == said


@pytest.mark.parametrize(
    ("when", "leave", "weigh"),
    [
        ("06-08", "have a look today", "weigh it today"),
        ("06-09", "have a look today", "weigh it today"),
        ("06-10", "until about Wed 10 June", "on Wed 10 June"),
    ],
)
def test_what_is_of_today_is_said_so(when, leave, weigh):
    said = lines(leave=(Leave("1", "gun", day(when), "why"),), scales=(WeighIn("1", "gun", day(when)),))

    assert f"gun  {leave}  why" in said
    assert f"gun  {weigh}" in said


def test_a_day_told_anew_is_said_whether_it_is_later_or_sooner():
    sooner = replace(FISH, told=told("07-03", first="07-10"))

    assert "Told anew since; you are judged on the first day told: green fish by Fri 10 July." in lines(
        promises=(sooner,), swap=None
    )


@pytest.mark.parametrize(
    ("high", "said"),
    [
        ("06-15", "as soon as they say yes, 9 times in 10."),
        ("06-16", "as soon as they say yes, 9 times in 10."),
        ("06-17", "by Wed 17 June, 9 times in 10, if they say yes by Tue 16 June."),
    ],
)
def test_when_one_more_could_be_begun(high, said):
    assert f"Tell the next who asks: begun {said}" in lines(next_start=dates("06-10", "06-12", high))


@pytest.mark.parametrize(("high", "free"), [("06-08", True), ("06-09", True), ("06-10", False)])
def test_a_place_is_free_once_it_is_so_nine_times_in_ten(high, free):
    assert ("A place is free now." in lines(next_start=dates("06-01", "06-02", high))) == free


def test_a_day_that_is_over_is_not_at_stake_in_a_change_of_order():
    """The red one's day is over: neither it nor the others that stay are counted with it."""
    swap = replace(MORNING.swap, after={**MORNING.swap.before, "26-011": 0.72, "26-009": 0.9})
    said = lines(swap=swap)
    at = said.index(SWAP)

    assert said[at + 3].startswith("club board  4 in 10")
    assert said[at + 4] == "2 other days that you told stay as likely as before."
    first = lines(
        swap=replace(
            MORNING.swap, board="26-020", name="26-020", after={**MORNING.swap.after, "26-020": 0.99}
        )
    )
    rows = first[first.index(SWAP) + 3 :]
    assert [line.split("  ")[0] for line in rows[:3]] == ["26-020", "club board", "green fish"]


def test_a_calendar_has_the_day_to_tell_and_what_was_told_last():
    late = replace(RED, ready=dates("06-01", "06-02", "06-03"))
    events = list(ready_days(replace(MORNING, promises=(CLUB, EGG, late))))

    assert [(one.key, one.first, one.last) for one in events] == [
        ("26-011", day("06-26"), day("06-26")), ("26-021", day("08-10"), day("08-10")), ("26-009", TODAY, TODAY),
    ]  # fmt: skip
    assert [one.description for one in events] == [
        "You told the owner by Sat 20 June 2026.",
        "",
        "You told the owner by Fri 5 June 2026.",
    ]
    assert events[0].summary == "club board: ready by, 9 times in 10"


def test_weeks_later_are_the_nearest_and_a_condition_without_grades_is_named():
    worse = Worse("26-012", "green fish", 39, day("08-21"), {"rush": 1.0})
    shop = replace(SETTINGS, modifiers={"rush": Modifier("rush", label="In a rush")})
    assert worse_words(worse, TODAY, shop).startswith("green fish, found in a rush, is 6 weeks later than")


def test_hours_of_some_of_what_to_touch_stand_in_a_column():
    touch = (Touch("1", "gun", "sand", "why", 3.5), Touch("2", "egg", "strip", "why"))
    said = lines(touch=touch)
    assert "3½ hours" in said[said.index("Touch today") + 1]


def test_one_in_danger_of_which_no_day_can_be_told_is_only_named():
    said = lines(ring=(replace(DANGER, tell=None),), swap=None)
    assert said[said.index("Ring") + 1] == "club board: date in danger."
    still = lines(ring=(), rung_already=(replace(DANGER, tell=None),), swap=None)
    assert still[still.index("Still open from an earlier day") + 1].split("  ")[0] == "club board"


def test_a_day_told_for_today_is_at_stake_in_a_change_of_order():
    today = replace(CLUB, told=told("06-09"))
    said = lines(promises=(today, FISH), swap=replace(MORNING.swap, after={"26-011": 0.72, "26-012": 0.98}))
    assert said[said.index(SWAP) + 3].split("  ")[0] == "club board"


def test_a_start_whose_middle_is_near_its_beginning_is_still_between_two_days():
    said = lines(next_start=dates("08-11", "08-12", "09-25"))
    assert said[said.index("Next free start") + 1].startswith(
        "Between the week of Mon 10 August and late September"
    )


def test_a_page_that_lists_whom_to_ring_by_itself_has_who_is_to_be_told_below_all_boards():
    before = (replace(DANGER, said=day("06-08")),)
    said = plain_lines(day_parts(replace(MORNING, rung_already=before), SETTINGS))
    heads = ("Touch today", "Leave", "All boards in hand", "Still open from an earlier day", "Next free start", SWAP, "No date can be given")  # fmt: skip
    assert "Ring" not in said
    assert [line for line in said if line in heads] == list(heads)


def test_what_became_later_alone_is_no_quiet_morning():
    worse = Worse("26-012", "green fish", 37, day("08-21"), {}, before=("red egg", "blue gun"))
    said = lines(ring=(), swap=None, worse=(worse,))

    assert said[said.index("Ring") + 1] == (
        "green fish, with red egg and 1 more put before it, is 5 weeks later than when you last looked: say, ready "
        "by Fri 21 August."
    )
    assert not [line for line in said if line.startswith("Nobody")]


def test_each_board_stands_with_the_day_to_tell_which_may_be_later_than_the_sure_one():
    later = replace(FISH, ready=replace(FISH.ready, tell=day("06-30")))

    assert row("green fish", promises=(later,))[2] == "Tue 30 Jun"
    [event] = ready_days(replace(MORNING, promises=(later,)))
    assert (event.first, event.last) == (day("06-30"), day("06-30"))


def test_a_new_day_is_written_down_only_for_a_date_in_danger():
    ready = replace(MORNING.ring[2], tell=day("07-01"), said=day("06-08"))

    assert not [line for line in lines(ring=(), rung_already=(ready,)) if "estimator told" in line]
