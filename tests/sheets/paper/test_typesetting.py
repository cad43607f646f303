"""Sheets as another program reads them: whole, tagged, the same each time, and on the page whatever is written."""

import datetime as dt
import io

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from making.read_pdf import inks, looks, read
from making.sheets import LONG, ODD, SHEETS, data_of
from PIL import Image

from estimator.sheets.paper.typesetting import letters, pdf, pictures, printable

DAY = dt.date(2026, 10, 1)
A4 = (595.28, 841.89)  # points: ISO 216, 210 by 297 mm


@pytest.fixture(scope="module")
def printed():
    """Each sheet once, as bytes and as it is read."""
    made = {name: pdf(kind, data_of(name), DAY) for name, (kind, *_) in SHEETS.items()}
    return {name: (bytes_, read(bytes_)) for name, bytes_ in made.items()}


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_can_be_read_aloud(printed, name):
    made, sheet = printed[name]

    assert b"<pdfuaid:part>1</pdfuaid:part>" in made  # it says that it keeps to ISO 14289-1 (PDF/UA-1)
    assert sheet.tagged
    assert sheet.title == printable(data_of(name)["title"])
    assert sheet.language == "en-GB"
    assert sheet.roles.count("H1") == 1
    figures = sheet.roles.count("Figure")
    assert figures == len(sheet.alts)
    for alt in sheet.alts:  # the words for a picture stand under it too
        assert " ".join(alt.split()) in sheet.words.replace("- ", "-")


@pytest.mark.parametrize("name", SHEETS)
def test_nothing_leaves_the_page(printed, name):
    _, sheet = printed[name]

    assert sheet.off == ()
    assert len(sheet.pages) <= SHEETS[name][2]
    for size in sheet.sizes:
        assert sorted(size) == pytest.approx(A4, abs=0.1)


@pytest.mark.parametrize("name", ["range", "owner, odd", "week", "rules"])
def test_the_same_sheet_gives_the_same_bytes_and_carries_the_day_of_the_log(printed, name):
    kind, data = SHEETS[name][0], data_of(name)

    assert pdf(kind, data, DAY) == printed[name][0]
    assert b"D:20261001000000" in printed[name][0]
    assert pdf(kind, data, dt.date(2026, 10, 2)) != printed[name][0]


@pytest.mark.parametrize("name", SHEETS)
def test_no_page_is_dark_and_none_is_empty(printed, name):
    for page in looks(printed[name][0], dots_per_inch=18):
        assert 0.005 < (255 - page).mean() / 255 < 0.2
        assert page.max() == 255
        edges = [page[0, 10:], page[-1, 10:], page[:, -1]]
        assert all(edge.min() == 255 for edge in edges)


@pytest.mark.parametrize("name", ["range", "owner", "rules", "record", "week"])
def test_all_letters_are_black(printed, name):
    """On white that is the highest contrast there is, 21 to 1 (WCAG 2.2, definition of contrast ratio)."""
    assert inks(printed[name][0]) == {(0, 0, 0, 255)}


def test_what_is_written_is_never_read_as_markup(printed):
    for name in ("range, odd", "owner, odd", "rules, odd"):
        words = printed[name][1].words
        for piece in ("# $x$ * _b_ [c] ] \\", "<e> `f` @g // ~ --", "□□"):
            assert piece in words, (name, piece)
    assert "# $x$ * _b_ [c] ] \\" in printed["week, many and odd"][1].words
    assert "שלום" in printed["owner, odd"][1].words or "םולש" in printed["owner, odd"][1].words


def test_letters_that_no_font_has_become_boxes_and_controls_vanish():
    assert printable("日本 ok\x07\x00\u202e") == "□□ ok"
    assert printable(ODD).count("□") == 2
    assert ord("☒") in letters()
    assert ord("ש") in letters()


def test_a_word_longer_than_a_line_may_be_breaks_and_no_other_does():
    assert printable("9" * 31) == "\u200b".join(("9" * 15, "9" * 15, "9"))
    assert printable("9" * 30) == "9" * 30


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.text(min_size=1, max_size=40))
def test_any_name_is_printed(name):
    data = data_of("owner")
    sheet = read(pdf("owner", {**data, "name": name, "owner": name, "title": f"{name}: owner's copy"}, DAY))

    assert sheet.off == ()
    assert len(sheet.pages) == 1


def test_pictures_are_the_pages():
    first, *more = pictures("range", data_of("range"), DAY, dots_per_inch=48)

    assert not more
    with Image.open(io.BytesIO(first)) as page:
        assert page.size == (397, 561)  # A4 at 48 dots to the inch


def test_letters_are_twelve_points_where_all_fits_and_thirteen_for_the_owner(printed):
    assert LONG not in printed["range, nothing known"][1].words
    for name, points in {"range, nothing known": 12, "owner, nothing known": 13, "rules": 12}.items():
        assert body_size(printed[name][0]) == pytest.approx(points, abs=0.1), name


def body_size(made):
    """The size of most letters of a PDF, in points."""
    import pypdfium2 as pdfium
    from pypdfium2 import raw

    document = pdfium.PdfDocument(made)
    words = document[0].get_textpage()
    sizes = [round(raw.FPDFText_GetFontSize(words, i), 1) for i in range(words.count_chars())]
    document.close()
    return max(set(sizes), key=sizes.count)
