"""What is asked of a line, and which answers come first."""

from dataclasses import replace

from making.notebooks import BOARDS, ENTRIES, READER, SETTINGS, TODAY, WEEK

from estimator.log.notebook.reader import NotebookReader
from estimator.words.records import SHOP, Entry

MON, TUE = WEEK["Mon"], WEEK["Tue"]


def knowing(*entries):
    return READER.knowing(entries)


def test_all_hours_that_the_log_has_on_these_days_are_said_from_the_first_of_them():
    reader = knowing(Entry("26-104", MON, "sand", 1.25), Entry("26-104", TUE, "sand", 2.25))
    (doubt,) = reader.read("Mon-Wed club sand 6½", week=TODAY).doubts
    assert doubt.question == (
        "club board has 3½ h of “Sand” on Mon 8 June 2026 already. Is this more, or the same?"
    )
    assert doubt.known == {"day": "Mon 8 June 2026", "board": "club board", "stage": "Sand", "hours": "6½"}
    (later,) = reader.read("Tue-Wed club sand 6½", week=TODAY).doubts
    assert "2¼ h of “Sand” on Tue 9 June 2026" in later.question


def test_so_is_work_on_no_board():
    reader = knowing(Entry(SHOP, TUE, "sweeping", 1.5), Entry(SHOP, MON, "", 2.0))
    (doubt,) = reader.read("sweeping 1", day=TUE).doubts
    assert doubt.question.startswith("The shop has 1½ h of “sweeping” on Tue 9 June 2026 already.")
    assert (doubt.known["board"], doubt.known["stage"]) == ("the shop", "sweeping")
    (plain,) = reader.read("shop 1", day=MON).doubts
    assert plain.question.startswith("The shop has 2 h on Mon 8 June 2026 already.")


def test_boards_in_hand_are_offered_the_last_one_first_and_nine_of_them_are_looked_at():
    boards = READER.questions.in_hand(TUE)
    assert boards == ("26-108", "26-107", "26-105", "26-104", "26-103", "26-102", "26-101")
    more = [replace(BOARDS["C"], board=f"26-12{n}", called=f"n{n}", started=MON) for n in range(4)]
    reader = NotebookReader(SETTINGS, [*BOARDS.values(), *more], ENTRIES, TODAY)
    assert reader.questions.in_hand(TUE) == (
        "26-123", "26-122", "26-121", "26-120", "26-108", "26-107", "26-105", "26-104", "26-103",
    )  # fmt: skip


def test_boards_of_one_name_are_told_apart_by_their_ids():
    twin = replace(BOARDS["C"], board="26-130")
    reader = NotebookReader(SETTINGS, [*BOARDS.values(), twin], ENTRIES, TODAY)
    choices = reader.questions.boards(["26-104", "26-101", "26-130"])
    assert [choice.says for choice in choices] == ["club board (26-104)", "red", "club board (26-130)"]


def test_all_stages_are_offered_once_those_in_hand_first_and_work_done_again_is_none():
    stages = [choice.value for choice in READER.questions.stages("26-104", TUE)]
    assert stages[:4] == ["sand", "pinlines", "gloss", "assess"]
    assert len(stages) == len(set(stages)) == len(SETTINGS.stages) - ("redo" in SETTINGS.stages)
    assert "redo" not in stages
    assert READER.questions.stages("", TUE)[0].value == "assess"


def test_a_board_without_a_name_is_called_by_its_id_and_what_is_no_board_the_shop():
    bare = replace(BOARDS["C"], called="")
    questions = NotebookReader(SETTINGS, [bare], [], TODAY).questions
    assert (questions.name("26-104"), questions.name("shop")) == ("26-104", "the shop")
