import xml.etree.ElementTree as ET

import pytest
from making.mornings import EMPTY, MORNING, day
from making.records import NONE_YET, RECORD

from estimator.sheets.layouts.promises import promises_caption
from estimator.sheets.layouts.record import record_caption
from estimator.sheets.pictures import save_bench_picture, save_picture, save_pictures, save_record_picture
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
