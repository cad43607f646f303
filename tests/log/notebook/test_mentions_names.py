"""Boards by their names, a part of them, their length or whose they are, and by a word with a slip of the pen."""

import pytest
from making.notebooks import SETTINGS

from estimator.log.notebook.mentions import BoardNames
from estimator.log.notebook.tokens import tokens_of
from estimator.log.notebook.vocabulary import vocabulary_of
from estimator.words.records import Board

A, B, C, D, E = (f"26-0{number}" for number in range(1, 6))


@pytest.fixture(scope="module")
def names():
    return BoardNames(
        [
            Board(A, called="kelp nine-four", owner="Mrs Winnow", length_m=2.845),  # 9'4
            Board(B, called="plank", owner="Odo Pask", length_m=2.743),  # 9'0
            Board(C, owner="Pask"),
            Board(D, called="sand dab", owner="Kelp", length_m=1.93),  # 6'4
            Board(E, called="old plank", owner="Al Red"),
        ],
        vocabulary_of(SETTINGS, []),
    )


@pytest.mark.parametrize(
    ("text", "boards", "exact", "end"),
    [
        ("26-01 strip", (A,), True, 3),
        ("26-03", (C,), True, 3),
        ("kelp nine-four", (A,), True, 4),
        ("kelp 9'4", (A,), True, 2),
        ("kelp 2", (A,), False, 1),  # and never the board of one who is called so
        ("old plank 2", (E,), True, 2),
        ("plank", (B,), True, 1),
        ("sand dab", (D,), True, 2),
        ("dab", (D,), False, 1),
        ("9'0", (B,), False, 1),
        ("6'4", (D,), False, 1),
        ("six-four", (D,), False, 3),
        ("Winnow 2", (A,), False, 1),
        ("Mrs Winnow", (A,), False, 2),
        ("Pask", (B, C), False, 1),
        ("Odo Pask", (B,), False, 2),
        ("odo", (B,), False, 1),
        ("al red", (E,), False, 2),
        ("klep nine-four", (A,), False, 4),
        ("old plnk", (E,), False, 2),
    ],
)
def test_words_that_name_a_board(names, text, boards, exact, end):
    found = names.at(tokens_of(text), 0)
    assert (found.boards, found.exact, found.end) == (boards, exact, end)


@pytest.mark.parametrize("text", ["sand", "mrs", "al", "9 0", "6 4", "26-3", "2"])
def test_words_that_name_none(names, text):
    assert names.at(tokens_of(text), 0) is None


def test_a_number_is_never_a_slip_for_another(names):
    assert names.at(tokens_of("kelp ten-four"), 0).end == 1
    assert names.at(tokens_of("kelp nine-five"), 0).end == 1


@pytest.mark.parametrize(
    ("word", "slip", "near"),
    [
        ("plnak", (B,), (B,)),
        ("plan", (B, E), (B,)),  # cut short
        ("pla", (), (B,)),
        ("winno", (A,), (A,)),
        ("psak", (B, C), (B, C)),
        ("da", (), ()),
        ("plank", (), (B,)),
    ],
)
def test_a_word_with_a_slip_of_the_pen_or_cut_short(names, word, slip, near):
    assert (names.slip(word), names.near(word)) == (slip, near)


def test_names_that_go_on_behind_some_words(names):
    assert names.begun_with(("kelp",)) == names.begun_with(("kelp", "nine")) == (A,)
    assert names.begun_with(("plank",)) == ()
    assert names.begun_with(("old",)) == (E,)


def test_boards_stand_with_the_one_that_is_written_most_alike_first_and_else_as_they_were(names):
    assert names.nearest_first("dub", [A, B, D, E]) == (D, A, B, E)
    assert names.nearest_first("PLANCK", [A, E, B]) == (E, B, A)
    assert names.nearest_first("zzz", [E, A]) == (E, A)
