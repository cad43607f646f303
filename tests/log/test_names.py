import pytest

from estimator.log.names import board_named
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
