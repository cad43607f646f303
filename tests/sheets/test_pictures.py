import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from making.mornings import EMPTY, MORNING, day
from making.promises import AWAY, DANGER, TODAY
from making.records import NONE_YET, RECORD
from making.verdicts import verdict

from estimator.decide.overruns.overruns import Overruns
from estimator.decide.overruns.parts import BoardOverrun
from estimator.record.rules.verdicts import Verdicts
from estimator.sheets.figures import overruns, reasons, stages
from estimator.sheets.figures import range as ranges
from estimator.sheets.layouts.promises import promises_caption, ten_caption
from estimator.sheets.layouts.record import record_caption
from estimator.sheets.pictures import (
    save_bench_picture,
    save_dates_picture,
    save_overrun_picture,
    save_picture,
    save_pictures,
    save_record_picture,
    save_rule_picture,
)
from estimator.words.errors import UsageError

PNG = b"\x89PNG\r\n\x1a\n"  # the signature of a PNG file: ISO/IEC 15948, clause 5.2


def test_a_range_is_saved_as_png(tmp_path, answer):
    save_picture(tmp_path / "range.PNG", answer, "red nine-four")

    assert (tmp_path / "range.PNG").read_bytes().startswith(PNG)


def test_a_range_is_saved_as_svg_that_says_what_it_shows(tmp_path, answer):
    save_picture(tmp_path / "range.svg", answer, "red nine-four")

    title = ET.parse(tmp_path / "range.svg").getroot().find("{http://www.w3.org/2000/svg}title")
    assert title.text.startswith("Of ten boards like this, eight take 55 to 80 hours, one less, one more;")


@pytest.mark.parametrize("name", ["range.pdf", "range", "range.svgz"])
def test_other_endings_are_refused(tmp_path, answer, name):
    with pytest.raises(UsageError, match=r"neither \.png nor \.svg\. Name a file that ends in one of them\."):
        save_picture(tmp_path / name, answer, "a board")

    assert list(tmp_path.iterdir()) == []


def test_a_file_that_cannot_be_written_is_told_in_words(tmp_path, answer):
    with pytest.raises(UsageError, match="cannot be written"):
        save_picture(tmp_path / "nowhere" / "range.svg", answer, "a board")


def test_range_stages_and_reasons_go_into_a_folder_that_is_made(tmp_path, answer, settings):
    files = save_pictures(tmp_path / "a" / "reports", answer, settings, "red nine-four")

    assert [path.name for path in files] == ["range.png", "stages.png", "reasons.png"]
    assert all(path.read_bytes().startswith(PNG) for path in files)


def test_a_folder_that_cannot_be_made_is_told_in_words(tmp_path, answer, settings):
    (tmp_path / "reports").write_text("in the way")

    with pytest.raises(UsageError, match="cannot be written"):
        save_pictures(tmp_path / "reports", answer, settings, "a board")


@pytest.mark.parametrize("record", [RECORD, NONE_YET])
def test_a_record_is_saved_and_says_what_it_shows(tmp_path, record):
    save_record_picture(tmp_path / "record.png", record)
    save_record_picture(tmp_path / "record.svg", record)

    assert (tmp_path / "record.png").read_bytes().startswith(PNG)
    title = ET.parse(tmp_path / "record.svg").getroot().find("{http://www.w3.org/2000/svg}title")
    assert title.text == record_caption(record)


def test_a_record_that_cannot_be_saved_is_told_in_words(tmp_path):
    with pytest.raises(UsageError, match=r"neither \.png nor \.svg"):
        save_record_picture(tmp_path / "record.pdf", RECORD)
    with pytest.raises(UsageError, match="cannot be written"):
        save_record_picture(tmp_path / "nowhere" / "record.png", RECORD)


@pytest.mark.parametrize("morning", [MORNING, EMPTY])
def test_a_morning_is_saved_and_says_what_it_shows(tmp_path, morning):
    away = [(day("06-22"), day("06-28"))]
    save_bench_picture(tmp_path / "bench.png", morning)
    save_bench_picture(tmp_path / "bench.svg", morning, away)

    assert (tmp_path / "bench.png").read_bytes().startswith(PNG)
    title = ET.parse(tmp_path / "bench.svg").getroot().find("{http://www.w3.org/2000/svg}title")
    assert title.text == promises_caption(morning, away)
    assert ("Away Mon 22 June to Sun 28 June." in title.text) == bool(morning.promises)


def test_a_morning_that_cannot_be_saved_is_told_in_words(tmp_path):
    with pytest.raises(UsageError, match=r"neither \.png nor \.svg"):
        save_bench_picture(tmp_path / "bench.pdf", MORNING)
    with pytest.raises(UsageError, match="cannot be written"):
        save_bench_picture(tmp_path / "nowhere" / "bench.png", MORNING)


def title_of(path):
    return ET.parse(path).getroot().find("{http://www.w3.org/2000/svg}title").text


@pytest.mark.parametrize(("boards", "pencil"), [(11, True), (12, False)])
def test_each_picture_has_its_title_and_reasons_are_guessed_where_the_range_is(
    tmp_path, monkeypatch, answer, settings, boards, pencil
):
    seen = []
    for module, name in ((ranges, "range"), (stages, "stages"), (reasons, "reasons")):
        monkeypatch.setattr(
            module,
            f"save_{name}",
            lambda path, *_, title, pencil=None: seen.append((path.name, title, pencil)),
        )
    save_pictures(tmp_path, replace(answer, boards=boards), settings, "red nine-four")

    assert seen == [
        ("range.png", "red nine-four: between 55 and 80 hours, 8 times in 10", None),
        ("stages.png", "red nine-four: hours by stage, each 8 times in 10", None),
        ("reasons.png", "red nine-four: what makes 66 hours", pencil),
    ]


def test_days_are_saved_beside_the_picture_of_the_hours(tmp_path):
    beside = save_dates_picture(tmp_path / "red.svg", DANGER, TODAY, AWAY)

    assert [path.name for path in tmp_path.iterdir()] == [beside.name] == ["red-dates.svg"]
    assert title_of(beside) == ten_caption(DANGER, TODAY, AWAY)


def test_own_rules_are_drawn_and_without_one_that_is_said(tmp_path):
    save_rule_picture(tmp_path / "rules.svg", Verdicts((verdict(), verdict(lent=True)), None))

    assert title_of(tmp_path / "rules.svg").count("you say") == 1
    with pytest.raises(UsageError, match="None of the rules of thumb is your own yet"):
        save_rule_picture(tmp_path / "none.svg", Verdicts((verdict(lent=True),), None))


def overrun(guessed, took):
    """A board that took longer, or less, by hidden work alone."""
    return BoardOverrun("26-001", "red nine-four", "", "", guessed, took, 1.0, took / guessed, took / guessed)


@pytest.mark.parametrize(
    ("found", "said", "took", "boards", "title"),
    [
        (overrun(20.0, 30.0), 20.0, 30.0, False, "red nine-four: 10 hours more than you said"),
        (overrun(30.0, 20.0), 30.0, 20.0, False, "red nine-four: 10 hours less than you said"),
        (Overruns(boards=(overrun(20.0, 30.0), overrun(10.0, 12.0))), 30.0, 42.0, True, "What made boards go over"),
    ],
)  # fmt: skip
def test_what_came_on_top_of_one_board_and_of_all(tmp_path, monkeypatch, found, said, took, boards, title):
    seen = []
    monkeypatch.setattr(overruns, "save_overrun", lambda _, batten, *, title: seen.append((batten, title)))
    save_overrun_picture(tmp_path / "a.png", found)
    [(batten, name)] = seen

    assert (batten.said, batten.took, batten.boards, name) == (said, took, boards, title)
    assert sum(batten.hours.values()) == pytest.approx(took - said)


def test_without_a_board_to_judge_nothing_is_drawn(tmp_path):
    with pytest.raises(UsageError, match="no finished board with a guess"):
        save_overrun_picture(tmp_path / "a.png", Overruns())
