"""Numbers in words as figures, and how many words each takes; words, numbers and marks with their places."""

import pytest

from estimator.log.notebook.tokens import (
    LINE_END,
    MARK,
    NUMBER,
    ORDINAL,
    WORD,
    figures,
    joined,
    tokens_of,
)


@pytest.mark.parametrize(
    ("words", "number", "taken"),
    [
        ("twenty", "20", 1),
        ("twenty one", "21", 2),
        ("ninety nine col", "99", 2),
        ("twenty ten", "20", 1),  # ten is no unit
        ("twenty nineteen", "20", 1),
        ("thirty strip", "30", 1),
        ("eleven", "11", 1),
        ("nineteen", "19", 1),
        ("twenty nine and a half", "29 1/2", 5),
        ("twenty and a half", "20 1/2", 4),
        ("one and a half", "1 1/2", 4),
        ("two and quarter", "2 1/4", 3),
        ("two and three quarters", "2 3/4", 4),
        ("two and one quarter", "2 1/4", 4),
        ("two and", "2", 1),
        ("two and red", "2", 1),
        ("two a half", "2", 1),
        ("thirty five point five", "35.5", 4),
        ("five point oh five", "5.05", 4),
        ("twenty point nought five", "20.05", 4),
        ("two point zero", "2.0", 3),
        ("two point", "2", 1),
        ("two point red", "2", 1),
        ("two point ten", "2", 1),
        ("point five", "", 0),
        ("one quarter", "1/4", 2),
        ("three quarter", "3/4", 2),
        ("three quarters of", "3/4", 2),
        ("half", "1/2", 1),
        ("a half", "1/2", 2),
        ("a quarter", "1/4", 2),
        ("a red", "", 0),
        ("zero", "", 0),
        ("", "", 0),
    ],
)
def test_a_number_in_words_and_how_many_of_them_it_takes(words, number, taken):
    assert figures(words.split()) == (number, taken)


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("2nd col", [(ORDINAL, "2nd"), (WORD, "col")]),
        ("2nds", [(NUMBER, "2"), (WORD, "nds")]),
        ("9'6 red", [(NUMBER, "9'6"), (WORD, "red")]),
        ("9’6", [(NUMBER, "9'6")]),
        ("1½ h", [(NUMBER, "1"), (NUMBER, "1/2"), (WORD, "h")]),
        (".5 h", [(NUMBER, ".5"), (WORD, "h")]),
        ("h.5", [(WORD, "h"), (MARK, "."), (NUMBER, "5")]),
        ("1,450 7/4 10:30", [(NUMBER, "1,450"), (NUMBER, "7/4"), (NUMBER, "10:30")]),
        ("Hal's boards' don't", [(WORD, "hal"), (WORD, "boards"), (MARK, "'"), (WORD, "don't")]),
        ("a\r\nb", [(WORD, "a"), (LINE_END, "\r\n"), (WORD, "b")]),
    ],
)
def test_a_text_in_words_numbers_and_marks(text, kinds):
    assert [(token.kind, token.plain) for token in tokens_of(text) if token.kind != LINE_END] == [
        kind for kind in kinds if kind[0] != LINE_END
    ]
    assert [token.kind for token in tokens_of(text)] == [kind for kind, _ in kinds]


def test_where_a_word_stands_and_whether_a_blank_stands_before_it():
    red, dash, six, strip = tokens_of("red-6  strip")
    assert [(t.start, t.end, t.apart, t.joins) for t in (red, dash, six, strip)] == [
        (0, 3, False, False), (3, 4, False, True), (4, 5, False, False), (7, 12, True, False),
    ]  # fmt: skip
    assert joined((red, dash, six, strip)) == "red-6 strip"
