"""What holds of every text that is typed: nothing is lost, what is printed reads back, what is asked can be answered."""

import datetime as dt
import re
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from making.notebooks import BOARDS, ENTRIES, READER, SETTINGS, TODAY, WEEK, read_cases

from estimator.log.notebook.page import LEAVE, MORE, SAME, HoursLine
from estimator.log.notebook.reader import NotebookReader
from estimator.log.notebook.typed import typed
from estimator.log.notebook.vocabulary import SMALL
from estimator.words.dates import A_DAY
from estimator.words.records import AGAIN, SHOP, Entry

MEANT = frozenset({"board", "stage", "hours", "done", "again"})  # what is kept in a column of its own
WORDS = [word for case in read_cases() for word in re.findall(r"\S+", case.text)]
MARKS = [",", ".", ";", "/", "\n", ":", "(", ")", "-", "+", "?", "½", "9'4", "£5", "…", "ü", "\u202e", "4"]


def covered(page):
    """By character, whether it is kept: by a line, in its note or otherwise, in a doubt, in a day, or left out."""
    kept = [False] * len(page.text)
    for line in page.lines:
        for piece in line.pieces:
            text = page.text[slice(*piece.span)]
            if piece.role == "note":
                said = " ".join(text.strip("()[] ").split())
                assert said in f"{line.note} {line.stage}" or line.away, (text, line.note)
            elif piece.role == "small":
                assert text.casefold() in SMALL | {"one"} or not any(c.isalnum() for c in text), text
            else:
                assert piece.role in MEANT | {"day"}, piece
            for at in range(*piece.span):
                kept[at] = True
    for note in page.notes:
        assert note.note == " ".join(page.text[slice(*note.span)].split())
    spans = (one.span for one in (*page.doubts, *page.notes))
    for span in (*page.days, *page.left_out, *spans):
        for at in range(*span):
            kept[at] = True
    return kept


def lost(text, **where):
    page = READER.read(text, **where)
    kept = covered(page)
    for word in re.finditer(r"\b(?:and|then)\b", text, re.IGNORECASE):  # no more than a comma
        kept[slice(*word.span())] = [True] * len(word[0])
    return "".join(c for c, is_kept in zip(text, kept, strict=True) if not is_kept and c.isalnum())


@settings(deadline=None, max_examples=300)
@given(
    st.lists(st.one_of(st.sampled_from(WORDS), st.sampled_from(MARKS), st.text(max_size=6)), max_size=25),
    st.booleans(),
)
def test_nothing_typed_is_lost(words, box):
    assert lost(" ".join(words), day=WEEK["Tue"] if box else None) == ""


def test_a_word_that_no_part_keeps_is_seen_to_be_lost():
    page = READER.read("Mon red strip 4 brittle")
    assert all(kept for c, kept in zip(page.text, covered(page), strict=True) if c.isalnum())
    with pytest.raises(AssertionError):
        covered(
            page.__class__(page.text, (page.lines[0].__class__(**{**fields(page.lines[0]), "note": ""}),))
        )


def fields(line):
    return {name: getattr(line, name) for name in line.__dataclass_fields__}


PLAIN = [code for code in BOARDS if code not in {"T", "O", "M", "X"}]  # begun, and not yet over
NOTES = st.sampled_from(
    ["", "second side", "rail was bad", "2nd col", "soaked at the tail", "3 pcs", "not easy; slow"]
)
LINES = st.builds(
    lambda code, stage, at, quarters, done, again, note, days: HoursLine(
        BOARDS[code].board,
        WEEK["Mon"] + at * A_DAY,
        stage,
        quarters / 4,
        until=WEEK["Mon"] + (at + days) * A_DAY if days else None,
        done=done,
        again=again,
        note=note,
    ),
    st.sampled_from(PLAIN),
    st.sampled_from([stage for stage in SETTINGS.stages if stage != "redo"]),
    st.integers(0, 2),
    st.integers(0, 40),
    st.sampled_from([None, True, False]),
    st.sampled_from(["", *AGAIN]),
    NOTES,
    st.integers(0, 2),
)


def said(line):
    return {name: value for name, value in fields(line).items() if name not in {"span", "pieces", "amounts"}}


@settings(deadline=None, max_examples=300)
@given(st.lists(LINES, min_size=1, max_size=8, unique_by=lambda line: (line.board, line.date, line.stage)))
def test_lines_printed_as_a_notebook_has_them_read_back_as_they_are(lines):
    names = {board.board: board.called for board in BOARDS.values()}
    text = "\n".join(typed(line, names.__getitem__, SETTINGS.label) for line in lines)
    page = READER.read(text)
    assert page.doubts == ()
    assert [said(line) for line in page.lines] == [said(line) for line in lines]


@pytest.mark.parametrize(
    "line",
    [
        HoursLine(SHOP, WEEK["Mon"], "sweeping", 1.0),
        HoursLine(SHOP, WEEK["Mon"], "", 1.5),
        HoursLine(SHOP, WEEK["Wed"], "", 0.0, note="away"),
        HoursLine(SHOP, WEEK["Wed"], "", 0.0, note="did not work"),
        HoursLine("26-101", WEEK["Wed"], "strip", 3.25, written="0.5 days"),
        HoursLine("26-101", WEEK["Wed"], "strip", 9.0, written="about 9"),
    ],
)
def test_time_on_the_shop_days_off_and_coarse_times_read_back(line):
    text = typed(line, lambda board: {b.board: b.called for b in BOARDS.values()}[board], SETTINGS.label)
    (back,) = READER.read(text).lines
    assert said(back) == said(line)


@pytest.mark.parametrize("case", read_cases(), ids=lambda case: case.text)
def test_every_doubt_can_be_answered_and_then_nothing_is_asked(case):
    answers = {}
    for _ in range(40):
        page = READER.read(case.text, day=case.box, week=TODAY, answers=answers)
        if not page.doubts:
            return
        for doubt in page.doubts:
            assert doubt.question
            assert len({choice.value for choice in doubt.choices}) == len(doubt.choices)
            assert doubt.choices
            answers[doubt.key] = doubt.choices[0].value
    pytest.fail(f"{case.text}: {page.doubts}")


def test_an_answer_fills_the_line_that_it_was_asked_of():
    text = "Mon red 4, ochre strip 2"
    first = READER.read(text)
    assert [(doubt.what, doubt.typed) for doubt in first.doubts] == [("stage", "red 4"), ("board", "ochre")]
    stage, board = first.doubts
    page = READER.read(text, answers={stage.key: "fins", board.key: "26-109"})
    assert [(line.board, line.stage, line.hours) for line in page.lines] == [
        ("26-101", "fins", 4.0),
        ("26-109", "strip", 2.0),
    ]
    assert READER.read(text, answers={stage.key: LEAVE, board.key: "26-109"}).left_out == (stage.span,)


def test_what_the_log_has_already_is_asked_more_or_the_same():
    booked = Entry("26-101", WEEK["Mon"], "strip", 4.0)
    reader = NotebookReader(SETTINGS, BOARDS.values(), [*ENTRIES, booked], TODAY)
    (doubt,) = reader.read("Mon red strip 4").doubts
    assert (
        doubt.question
        == "red has 4 h of “Strip old glass” on Mon 8 June 2026 already. Is this more, or the same?"
    )
    assert reader.read("Mon red strip 4", answers={doubt.key: MORE}).lines[0].hours == 4.0
    same = reader.read("Mon red strip 4", answers={doubt.key: SAME})
    assert (same.lines, same.doubts, same.left_out) == ((), (), (doubt.span,))
    assert reader.read("Mon red let in 4 h").doubts == ()


def test_the_same_line_twice_is_asked():
    page = READER.read("Mon red strip 4⏎Mon red strip 4".replace("⏎", "\n"))
    assert [doubt.what for doubt in page.doubts] == ["more"]


def test_an_empty_day_is_asked_unless_the_log_has_hours_of_it():
    text = "Mon red strip 4\nTue\nWed blue col 2"
    (doubt,) = READER.read(text).doubts
    assert [choice.says for choice in doubt.choices] == ["I was away", "I didn't work", "not written down"]
    away = READER.read(text, answers={doubt.key: "away"}).lines[1]
    assert (away.board, away.hours, away.note) == (SHOP, 0.0, "away")
    full = NotebookReader(
        SETTINGS, BOARDS.values(), [*ENTRIES, Entry("26-104", WEEK["Tue"], "sand", 1.0)], TODAY
    )
    assert full.read(text).doubts == ()


def test_words_that_the_log_has_with_one_stage_only_are_learned():
    taught = [
        Entry("26-102", dt.date(2026, 5, 4) + n * A_DAY, "spray", 1.0, note="lay the bands") for n in range(3)
    ]
    reader = NotebookReader(SETTINGS, BOARDS.values(), [*ENTRIES, *taught], TODAY)
    (line,) = reader.read("Mon blue lay the bands 2").lines
    assert (line.stage, line.note) == ("spray", "lay the bands")
    assert READER.read("Mon blue lay the bands 2").doubts
    spread = [*taught, Entry("26-104", dt.date(2026, 5, 4), "sand", 1.0, note="lay the bands")]
    assert (
        NotebookReader(SETTINGS, BOARDS.values(), [*ENTRIES, *spread], TODAY)
        .read("Mon blue lay the bands 2")
        .doubts
    )


def test_what_is_counted_is_offered_as_an_amount():
    (line,) = READER.read("Mon red let in 3 pcs 4½").lines
    assert (line.amounts, line.note) == ((("infills", 3.0),), "3 pcs")


@given(st.text(alphabet=string.printable, max_size=60))
@settings(deadline=None, max_examples=200)
def test_no_text_breaks_it(text):
    READER.read(text)


def test_words_for_the_shop_are_learned_and_words_with_two_stages_or_too_few_times_are_not():
    def taught(*entries):
        return NotebookReader(SETTINGS, BOARDS.values(), [*ENTRIES, *entries], TODAY)

    shop = Entry(SHOP, dt.date(2026, 5, 4), "rat catching", 1.0)
    (line,) = taught(shop).read("Mon rat catching 2").lines
    assert (line.board, line.stage, line.hours) == (SHOP, "rat catching", 2.0)
    assert READER.read("Mon rat catching 2").doubts
    days = [dt.date(2026, 5, day) for day in (4, 5, 6)]
    bands = [Entry("26-102", day, "spray", 1.0, note="lay the bands") for day in days]
    assert taught(*bands[:2]).read("Mon blue lay the bands 2").doubts  # twice is not enough
    long = [Entry("26-102", day, "spray", 1.0, note="lay the red bands on thickly") for day in days]
    assert taught(*long).read("Mon blue lay the red bands on thickly 2").doubts


@pytest.mark.parametrize(
    ("line", "text"),
    [
        (HoursLine("26-101", WEEK["Mon"], "strip", 2.0, done=False), "2026-06-08 red: Strip old glass 2 h not done"),
        (HoursLine("26-101", WEEK["Mon"], "strip", 2.0, done=True, again="yes"), "2026-06-08 red: Strip old glass 2 h again done"),
        (HoursLine("26-101", WEEK["Mon"], "strip", 2.0, again="resin", note="slow"),
         "2026-06-08 red: Strip old glass 2 h again, resin trouble (slow)"),
        (HoursLine("26-101", WEEK["Mon"], "strip", 13.0, until=WEEK["Tue"], written="2 days"),
         "2026-06-08 to 2026-06-09 red: Strip old glass 2 days"),
        (HoursLine(SHOP, WEEK["Mon"], "", 1.0, note="cold"), "2026-06-08 shop 1 h (cold)"),
        (HoursLine(SHOP, WEEK["Mon"], "", 0.0, until=WEEK["Tue"], note="away, surf"), "2026-06-08 to 2026-06-09 away, surf"),
    ],
)  # fmt: skip
def test_a_line_as_a_notebook_would_have_it(line, text):
    assert typed(line, {"26-101": "red"}.get, SETTINGS.label) == text


def test_of_two_lines_alike_in_all_but_their_hours_or_notes_none_is_asked_about():
    for other in ("Mon red strip 3", "Mon red strip 2, deck", "Tue red strip 2", "Mon club sand 2"):
        assert READER.read(f"Mon red strip 2\n{other}").doubts == ()
    (doubt,) = READER.read("Mon red strip 2\nMon red strip 2").doubts
    assert doubt.question == "“red strip 2” stands here twice. Is this more, or the same?"
    text = "Mon red strip 2\nMon red strip 2"
    assert len(READER.read(text, answers={doubt.key: "more"}).lines) == 2
    same = READER.read(text, answers={doubt.key: "same"})
    assert (len(same.lines), same.left_out) == (1, (doubt.span,))
    assert len(READER.read("Mon off\nTue off").lines) == 2
