import pytest

from estimator.log.names import board_named, parts_of
from estimator.words.errors import UsageError
from estimator.words.records import Board

BOARDS = [
    Board("26-001", called="red", state="finished"),
    Board("26-002", called="red", state="waiting"),
    Board("red-2", state="on bench"),
    Board("26-003", called="26-001", state="asked"),
]


def test_an_id_comes_before_a_short_name_and_the_latest_of_a_name_before_the_others():
    assert [board_named(name, BOARDS, "").board for name in ("26-001", "red", "red-2")] == [
        "26-001",
        "26-002",
        "red-2",
    ]


FISH = [
    Board("26-011", called="green fish", state="finished"),
    Board("26-012", called="green gun", state="asked"),
    Board("26-013", called="red nine-four", state="waiting"),
    Board("26-014", called="red egg", state="on bench"),
]


@pytest.mark.parametrize(
    ("name", "board"),
    [
        ("green", "26-012"),  # the fish is ready
        ("fish", "26-011"),
        ("Red Egg", "26-014"),
        ("nine-four", "26-013"),
        ("red 9'4", "26-013"),
        ("9'4", "26-013"),
        ("red egg", "26-014"),
    ],
)
def test_a_part_of_a_name_will_do_where_one_board_can_be_meant(name, board):
    assert board_named(name, FISH, "").board == board


def test_a_part_that_can_mean_several_is_asked_about():
    with pytest.raises(UsageError) as caught:
        board_named("red", FISH, "")
    assert str(caught.value) == '"red" can be red nine-four or red egg. Write more of its name, or its id.'


def test_what_stands_behind_a_number_is_a_part_of_a_name_and_half_a_number_is_none():
    boards = [Board("1", called="nine four tan egg"), Board("2", called="puce twenty", state="waiting")]
    assert board_named("tan egg", boards, "").board == "1"
    for name in ("four tan", "nine", "twenty"):
        with pytest.raises(UsageError, match="No board is called"):
            board_named(name, boards, "")


def test_boards_of_one_name_are_told_apart_by_their_numbers():
    twice = [
        Board("26-1", called="red egg"),
        Board("26-2", called="red egg"),
        Board("26-3", called="tan egg"),
    ]
    with pytest.raises(UsageError, match='"egg" can be 26-1, 26-2 or tan egg'):
        board_named("egg", twice, "")


@pytest.mark.parametrize("name", ["nine", "red nine", "the", "26", "", "?"])
def test_a_word_that_says_nothing_means_no_board(name):
    with pytest.raises(UsageError, match="No board is called"):
        board_named(name, FISH[:3], "")


def test_where_boards_are_only_asked_for_they_are_named():
    with pytest.raises(UsageError, match="Known here: green gun"):
        board_named("puce egg", FISH[:2])


@pytest.mark.parametrize(
    ("name", "boards", "cure"),
    [
        ("26-0003", BOARDS, "The nearest name known here is 26-003."),
        ("green", BOARDS, "Known here: red, red-2."),
        ("green", BOARDS[:1], "Describe it."),
        ("green", [], "Describe it."),
    ],
)
def test_what_to_do_where_there_is_none(name, boards, cure):
    with pytest.raises(UsageError) as caught:
        board_named(name, boards, "Describe it.")
    assert str(caught.value) == f'No board is called "{name}". {cure}'


def test_of_a_name_that_was_given_twice_and_is_not_typed_to_the_letter_the_newer_board_is_meant():
    twice = [
        Board("24-014", called="red egg", state="finished"),
        Board("26-024", called="red egg", state="waiting"),
    ]

    assert board_named("Red Egg", twice, "").board == "26-024"


def test_a_word_that_says_a_stage_is_no_part_alone_and_is_one_beside_others():
    assert set(parts_of(("sand", "egg", "tail"), {"sand"})) == {
        ("sand", "egg"),
        ("egg", "tail"),
        ("egg",),
        ("tail",),
    }
    assert ("sand",) in set(parts_of(("sand", "egg")))


@pytest.mark.parametrize(
    "word",
    [
        "mr",
        "mrs",
        "ms",
        "miss",
        "dr",
        "board",
        "boards",
        "long",
        "short",
        "the",
        "old",
        "new",
        "big",
        "little",
    ],
)
def test_a_word_that_many_boards_have_is_no_name_of_one(word):
    with pytest.raises(UsageError, match="No board is called"):
        board_named(word, [Board("1", called=f"{word} egg")], "")
