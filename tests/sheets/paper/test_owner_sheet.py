import datetime as dt
import re
from dataclasses import replace

import pytest
from making.promises import TODAY, promise
from making.read_pdf import read
from making.sheets import ANSWER, BARE, BOARD, SETTINGS, TOLD, of_owner

from estimator.bench.promises import Dates
from estimator.sheets.paper.owner_sheet import _money, _parts, plain_text
from estimator.sheets.paper.range_sheet import TEXTS
from estimator.sheets.paper.typesetting import pdf
from estimator.words.records import AgreedPrice, Board, Told

ORDER = (
    "red nine-four",
    "1 Your board",
    "2 What is to be done",
    "3 The price",
    "4 Expected ready by",
    "5 What could change it",
    "6 Money, and when",
    "7 Looking after it, and what it is worth",
    "8 Signed",
)
PROMISED = (  # what an owner's paper has to carry
    "For Owner 007",
    'Full restoration, 9\'4" (2.84 m) long, 22⅝" (57.5 cm) wide, to be ridden.',
    "To be done: 2 sides to strip; 3 foam pieces to let in; 3 colours to spray; 1 logo to redraw;",
    "Not asked for: stringers to mend, nose and tail blocks, pinlines. If it turns out to need some of that, we ask",
    "Can't be seen yet:",
    "☒ fixed price ☐ a price with a range ☐ open it up first",
    "2,600 mk. It changes only if we ask you, and you say yes.",
    "whether there is wet foam",
    "In plain words: to strip is to take off the old skin of glass cloth and resin;",
    "nothing laid on it until Fri 11 December, if it is ready on Fri 20 November",
    "Fri 20 November, 9 times in 10; not before the week of Mon 26 October.",
    "On Tue 8 September we told you by Mon 26 October.",
    "Of ten boards like",
    "What lies under the glass shows only when it is off",
    "Work stops then, and we ask you first",
    "Deposit: 860 mk, before work begins.",
    "The rest, 1,740 mk, when you collect the board.",
    "It goes on hardening for three weeks after it is ready",
    "Old damage may show faintly through",
    "Restoring can lower what a collectable board is worth",
    "If a logo is to be redrawn: I have the right to ask for it",
    "differs from place to place: local law decides.",
    "This stands until Tue 20 October 2026.",
    "Workshop, date",
    "Owner, date",
)
FORBIDDEN = re.compile(  # hours, pay an hour, limits, and words of those who made the program
    r"\bhours?\b|\ban hour\b|\bpay\b|\bppm\b|mg/m|exposure|estimat|forecast|model|quantile|median|percent|%|"
    r"probab|confiden|\brate\b|\blog\b|rule of thumb|the plum egg|25-007|yellow house",
    re.IGNORECASE,
)


@pytest.fixture
def undrawn(monkeypatch):
    """No figure is drawn where only words are looked at."""
    monkeypatch.setattr("estimator.sheets.paper.owner_sheet.save_ten_on_calendar", lambda *_, **__: None)


def words_of(data):
    return read(pdf("owner", data, TODAY)).words.replace("’", "'")


def test_every_promised_part_stands_there_in_its_order():
    words = words_of(of_owner())
    places = [words.index(part) for part in ORDER]

    assert places == sorted(places)
    for part in PROMISED:
        assert part in words, part


def test_nothing_that_is_not_the_owner_s_stands_there():
    words = words_of(of_owner())

    assert FORBIDDEN.findall(words) == []
    for caution in TEXTS.values():
        assert caution.split(":")[0] not in words
    assert "3,130" not in words  # the price that pays what the restorer wants


def test_hours_stand_there_only_when_they_are_asked_for():
    assert "Hours of work: Between 55 and 80 hours, 8 times in 10." in words_of(of_owner(hours=ANSWER))


def test_the_day_is_the_one_of_every_answer(undrawn):
    ready = Dates(*(TODAY + dt.timedelta(n) for n in (30, 40, 50, 55)))
    data = of_owner(promise=replace(promise(1, 30, 50), ready=ready), told=())

    assert (data["ready"]["day"], data["ready"]["by"]) == ("2026-11-25", "Wed 25 November")


def test_a_day_told_that_is_as_sure_stands_and_says_so(undrawn):
    sure = promise(1, 4, 9, 18, 0.97)
    sure = replace(sure, ready=replace(sure.ready, tell=TODAY + dt.timedelta(18)))
    data = of_owner(promise=sure, told=(Told("b", dt.date(2026, 9, 1), last=TODAY + dt.timedelta(18)),))

    assert data["ready"]["by"] == "Mon 19 October"
    assert data["ready"]["told"] == "So we told you on Tue 1 September"


def test_a_day_told_that_is_over_never_stands(undrawn):
    over = Told("b", dt.date(2026, 9, 1), last=TODAY - dt.timedelta(1))
    data = of_owner(promise=promise(1, -9, -3), told=(over,))

    assert (data["ready"]["day"], data["ready"]["stands"]) == ("2026-10-01", False)
    assert data["ready"]["not_before"] == ""


def test_the_ten_boards_show_no_day_told():
    told = promise(1, 4, 9, 18, 0.97)

    assert (
        of_owner(promise=told)["ready"]["figure"]
        == of_owner(promise=replace(told, told=None))["ready"]["figure"]
    )


def test_a_board_not_taken_on_says_by_when_to_say_yes():
    words = words_of(of_owner(told=(), say_yes_by=TODAY + dt.timedelta(7)))

    assert "Fri 20 November, 9 times in 10, if you say yes by Thu 8 October; not before the week of" in words


def test_without_a_forecast_the_day_told_stands_and_without_both_a_line(undrawn):
    assert of_owner(promise=None)["ready"]["by"] == "Mon 26 October"
    assert of_owner(promise=None, told=())["ready"]["by"] == ""


@pytest.mark.parametrize(
    ("terms", "ticks"),
    [
        ("fixed", "☒ fixed price ☐ a price with a range ☐ open it up first"),
        ("ceiling", "☐ fixed price ☒ a price with a range ☐ open it up first"),
        ("open-first", "☐ fixed price ☐ a price with a range ☒ open it up first"),
        ("", "☐ fixed price ☐ a price with a range ☐ open it up first"),
        ("by the hour", "☐ fixed price ☐ a price with a range ☐ open it up first ☒ by the hour"),
    ],
)
def test_the_sort_of_price_that_was_told_last_is_ticked(terms, ticks):
    told = (Told("b", dt.date(2026, 9, 1), price=900.0, terms=terms), Told("b", dt.date(2026, 9, 9)))

    assert ticks in words_of(of_owner(promise=None, told=told))


def test_of_two_sorts_of_price_the_one_told_last_is_ticked():
    told = tuple(
        Told("b", dt.date(2026, 9, n), price=900.0, terms=of) for n, of in ((1, "fixed"), (9, "open-first"))
    )
    ticks = "☐ fixed price ☐ a price with a range ☒ open it up first"

    assert ticks in words_of(of_owner(promise=None, told=told))


def test_the_price_told_last_goes_before_the_one_first_quoted(undrawn):
    told = (*TOLD, replace(TOLD[0], date=dt.date(2026, 9, 20), price=2900.0))

    assert of_owner(told=told)["price"] == "2,900 mk"
    assert of_owner(told=())["price"] == "2,600 mk"
    assert of_owner(BARE, told=())["price"] == ""


@pytest.mark.parametrize(
    ("money", "lines"),
    [
        ({"deposit": None, "paid": None}, []),
        ({"deposit": 500.0, "paid": None}, ["Deposit: 500 mk", "The rest, 2,100 mk"]),
        ({"deposit": None, "paid": 2600.0}, ["Paid by Thu 1 October: 2,600 mk", "All is paid."]),
        ({"deposit": 860.0, "paid": 900.0}, ["Deposit: 860 mk", "Paid by", "The rest, 1,700 mk"]),
    ],
)
def test_money_that_is_written_adds_up(undrawn, money, lines):
    said = of_owner(replace(BOARD, **money))["money"]

    assert len(said) == len(lines)
    assert all(one.startswith(start) for one, start in zip(said, lines, strict=True))


def test_a_day_up_to_which_a_place_was_held_that_is_over_is_a_line_to_fill(undrawn):
    assert of_owner(replace(BOARD, hold_until=TODAY))["until"] == "Thu 1 October 2026"
    assert of_owner(replace(BOARD, hold_until=TODAY - dt.timedelta(1)))["until"] == ""


def test_what_is_not_written_is_a_line_to_fill():
    words = words_of(of_owner(BARE, promise=None, told=()))

    assert [words.index(part) for part in ORDER[1:]] == sorted(words.index(part) for part in ORDER[1:])
    assert "Deposit mk before work begins" in re.sub(r" +", " ", words)
    assert SETTINGS.workshop.name in words


def test_the_plain_text_has_every_word_of_the_paper():
    data = of_owner(hours=ANSWER, say_yes_by=TODAY + dt.timedelta(7))
    text = plain_text(data)
    paper = read(pdf("owner", data, TODAY)).words.replace("’", "'")

    def words(said):
        return sorted(re.findall(r"[\w'½⅝,.:;]+", re.sub(r"[☐☒_]|\[[ x]\]", " ", said)))

    missing = set(words(paper)) - set(words(text))
    assert missing == set()
    assert set(words(text)) - set(words(paper)) <= {":", "date:", "."}  # where a line to write on stands
    assert "[x] fixed price" in text
    assert text.endswith("Workshop, date: ____\nOwner, date: ____\n")


def test_a_bare_board_s_plain_text_has_lines_to_fill():
    text = plain_text(of_owner(BARE, promise=None, told=()))

    assert "\n1 Your board\n____.\n" in text
    assert "\n4 Expected ready by\n____.\n" in text
    assert "Price: ____ mk. If it is a price with a range: we stop and ask before going past ____ mk." in text


def test_no_raw_label_and_no_promise_of_what_is_not_found():
    assessed = {**BOARD.assessed, "glass_stripped": 0.05, "brittle_glass": 0.0, "sides_coated": 0.3}
    board = replace(BOARD, assessed=assessed, worked_out=frozenset())
    text = plain_text(of_owner(board))
    section = text.partition("2 What is to be done")[2].partition("3 The price")[0]

    assert (
        re.findall(r"\w+: (?:\d|sound|none|bands|curves)|m²|won't", section.replace("To be done: ", "")) == []
    )
    assert "old glass to take off; 3 foam pieces" in section
    assert "part of a side to fill and sand" in section
    assert "brittle" not in section  # sound: nothing to see


def test_a_price_with_a_range_has_both_its_ends_and_only_it_an_end_to_stop_at():
    told = (Told("26-040", dt.date(2026, 9, 1), price=2600.0, terms="ceiling"),)
    text = plain_text(of_owner(told=told, ceiling=3110.0))

    assert (
        "Between 2,600 mk and 3,110 mk, by the work that it takes. We stop and ask before going past 3,110 mk."
        in text
    )
    assert "Between 2,600 mk and ____ mk" in plain_text(of_owner(told=told))
    fixed = (Told("26-040", dt.date(2026, 9, 1), price=2600.0, terms="fixed"),)
    assert "going past" not in plain_text(of_owner(told=fixed))


def telling(day, price=None, **more):
    return Told("26-040", dt.date(2026, 9, day), price=price, **more)


FIRST = telling(1, 2600.0, terms="fixed", because="quote")
MORE, LESS = telling(9, 2750.0, because="asked later"), telling(9, 2500.0, because="asked later")
HIDDEN = telling(12, 3000.0, because="hidden work")


@pytest.mark.parametrize(
    ("told", "price", "rest"),
    [
        ((FIRST,), "2,600 mk.", "The rest, 1,740 mk, when you collect the board."),
        (
            (FIRST, MORE),
            "2,750 mk: 2,600 mk, and 150 mk more for what you asked for since.",
            "The rest, 1,890 mk of 2,750 mk: 2,600 mk, and 150 mk more for what you asked for since, when you collect the board.",
        ),
        (
            (FIRST, LESS),
            "2,500 mk: 2,600 mk, and 100 mk less for what you no longer want.",
            "The rest, 1,640 mk of 2,500 mk: 2,600 mk, and 100 mk less for what you no longer want, when you collect the board.",
        ),
        (
            (FIRST, MORE, HIDDEN),  # hidden work is no wish: it is in the price before
            "3,000 mk: 2,850 mk, and 150 mk more for what you asked for since.",
            "The rest, 2,140 mk of 3,000 mk: 2,850 mk, and 150 mk more for what you asked for since, when you collect the board.",
        ),
        ((FIRST, telling(9, 3000.0, because="hidden work")), "3,000 mk.", "The rest, 2,140 mk, when you collect the board."),
    ],
)  # fmt: skip
def test_a_price_that_wishes_moved_is_said_in_its_parts(undrawn, told, price, rest):
    """860 mk were paid as a deposit."""
    data = of_owner(told=told)

    assert data["sections"][2]["paragraphs"][1]["lead"] == price
    assert data["money"][-1] == rest


@pytest.mark.parametrize(
    ("money", "lines"),
    [
        ({"deposit": 0.0}, ["Deposit: 0 mk, before work begins.", "The rest, 900 mk, when you collect the board."]),
        ({"deposit": 300.0, "paid": 300.0, "returned": 20.0}, ["Deposit: 300 mk, before work begins.", "Paid by Thu 1 October: 300 mk.", "Given back: 20 mk.", "The rest, 600 mk, when you collect the board."]),
        ({"paid": 950.0}, ["Paid by Thu 1 October: 950 mk.", "All is paid."]),  # too much, which is no rest
        ({"paid": 0.0}, []),  # nothing is paid: lines to fill
        ({"price_quoted": None, "deposit": 300.0}, ["Deposit: 300 mk, before work begins."]),
        ({"price_quoted": None, "paid": 300.0}, ["Paid by Thu 1 October: 300 mk."]),
    ],
)  # fmt: skip
def test_what_is_paid_and_what_is_left_to_pay(undrawn, money, lines):
    assert of_owner(Board("b1", **{"price_quoted": 900.0, **money}), told=())["money"] == lines


def days(low, tell, told=(), **more):
    """What the sheet says of a board ready between two days from today."""
    ready = Dates(*(TODAY + dt.timedelta(n) for n in (low, (low + tell) // 2, tell)))
    return of_owner(promise=replace(promise(1, 4, 9), ready=ready), told=told, **more)["ready"]


@pytest.mark.parametrize(
    ("low", "tell", "not_before", "by"),
    [
        (1, 5, "Fri 2 October", "Tue 6 October"),
        (0, 5, "", "Tue 6 October"),
        (-4, 0, "", "Thu 1 October"),
        (-4, -2, "", "Thu 1 October"),
    ],
)
def test_it_is_not_before_a_day_only_where_that_is_to_come(undrawn, low, tell, not_before, by):
    ready = days(low, tell)

    assert (ready["not_before"], ready["by"]) == (not_before, by)


def test_what_was_told_last_stands_where_it_is_the_very_day(undrawn):
    told = [telling(1, last=TODAY + dt.timedelta(n)) for n in (4, 5, 6)]
    said = [days(1, 5, (telling(1, last=dt.date(2026, 12, 1)), one, telling(20, 900.0))) for one in told]

    assert [one["stands"] for one in said] == [False, True, False]
    assert [one["told"] for one in said] == [
        "On Tue 1 September we told you by Mon 5 October",
        "So we told you on Tue 1 September",
        "On Tue 1 September we told you by Wed 7 October",
    ]
    assert days(1, 5)["told"] == ""


def test_a_day_of_its_own_and_one_told_before_are_said_apart(undrawn):
    """Without a forecast the day told stands, and is not said to be one that is kept nine times in ten."""
    told = (telling(1, last=dt.date(2026, 12, 1)), telling(9, last=dt.date(2026, 10, 26)), telling(20, 900.0))
    data = of_owner(promise=None, told=told)
    own = of_owner(promise=promise(1, 30, 50), told=())["sections"][3]["paragraphs"][0]

    assert data["sections"][3]["paragraphs"][0]["lead"] == "Mon 26 October"
    assert data["sections"][3]["paragraphs"][0]["words"] == "."
    assert (data["ready"]["day"], data["ready"]["stands"]) == ("2026-10-26", True)
    assert "until Mon 16 November, if it is ready on Mon 26 October" in str(data["sections"][6])
    assert own["lead"] == "Fri 20 November"
    assert own["words"] == (
        ", 9 times in 10; not before the week of Mon 26 October. Of ten days that we name so, we keep nine."
    )


@pytest.mark.parametrize(
    ("more", "line"),
    [
        ({}, "____. Number b1 in the workshop."),
        ({"aim": "show"}, "To be shown. Number b1 in the workshop."),
        ({"aim": "sell", "called": ""}, "To be sold."),
        (
            {"aim": "ride", "length_m": 9 * 0.3048},
            "9'0\" (2.74 m) long, to be ridden. Number b1 in the workshop.",
        ),
    ],
)
def test_the_board_is_named_by_its_size_its_aim_and_its_number(undrawn, more, line):
    board = Board("b1", **{"called": "red nine-four", **more})

    assert of_owner(board, told=())["sections"][0]["paragraphs"][0]["words"] == line


def test_boxes_that_are_ticked_have_a_cross_in_plain_text(undrawn):
    lines = plain_text(of_owner(told=(FIRST,))).splitlines()

    assert [line for line in lines if line.startswith("[")][:3] == [
        "[x] fixed price",
        "[ ] a price with a range",
        "[ ] open it up first",
    ]


def test_a_message_to_nobody_named_names_nobody(undrawn):
    assert "For Owner 007" in plain_text(of_owner()).splitlines()
    nobody = plain_text(of_owner(replace(BOARD, owner="")))
    assert not [line for line in nobody.splitlines() if line.startswith("For")]


@pytest.mark.parametrize(
    ("price", "parts", "rest"),
    [
        (990.5, ": 900 mk, and 90.5 mk more for what you asked for since", "990.5 mk of 990.5 mk: 900 mk, and 90.5 mk more for what you asked for since"),
        (950.0, "", "950 mk"),
    ],
)  # fmt: skip
def test_a_price_is_said_in_its_parts_where_it_is_the_one_that_was_agreed(price, parts, rest):
    agreed = AgreedPrice(900.0, 90.5, 990.5)

    assert _parts(agreed, price, "mk") == parts
    assert _money(Board("b1", deposit=0.0), price, "mk", TODAY, agreed)[-1] == (
        f"The rest, {rest}, when you collect the board."
    )
