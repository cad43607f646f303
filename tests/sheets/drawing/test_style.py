import re
import threading
import xml.etree.ElementTree as ET

import matplotlib as mpl
import pytest
from matplotlib.image import imread

from estimator.sheets.drawing.style import (
    IN_PRINT,
    ON_PAPER,
    figure,
    house_settings,
    save,
    save_titled,
    size_px,
    stacked,
    write,
)
from estimator.sheets.layouts.letters import FONTS, in_parts, lettering, width_px, wrapped


def luminance(colour):
    """Relative luminance of an sRGB colour (WCAG 2.2, definition of relative luminance)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one, other):
    """Contrast ratio (WCAG 2.2, definition of contrast ratio)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def drawn(wide=320, high=200):
    sheet = figure(wide, high)
    axes = sheet.add_axes((0, 0, 1, 1))
    write(axes, (0.5, 0.5), "you said 52", 16, colour=ON_PAPER.ink)
    return sheet


@pytest.mark.parametrize("palette", [ON_PAPER, IN_PRINT])
def test_words_are_in_ink_that_can_be_read(palette):
    assert contrast(palette.ink, palette.paper) >= 7  # WCAG 2.2, 1.4.6: enhanced contrast
    assert contrast(palette.oxide, palette.paper) >= 7
    assert contrast(palette.pencil, palette.paper) >= 4.5  # lines and large words only


def test_the_contrast_formula_gives_the_published_extremes():
    assert contrast("#FFFFFF", "#000000") == pytest.approx(21)  # WCAG 2.2: ratios range from 1 to 21
    assert contrast("#7A2E1D", "#7A2E1D") == pytest.approx(1)


def test_the_four_cuts_are_ours_with_their_licence_and_small():
    files = {lettering(16, slanted=s, bold=b).get_file() for s in (True, False) for b in (True, False)}
    assert len(files) == 4
    assert all((FONTS / name).is_file() for name in files)
    assert "SIL Open Font License, Version 1.1" in " ".join((FONTS / "OFL.txt").read_text("utf-8").split())
    assert sum(path.stat().st_size for path in FONTS.iterdir()) < 1_000_000


def test_our_letters_have_what_the_trade_writes():
    from matplotlib.ft2font import FT2Font

    for cut in FONTS.glob("*.ttf"):
        letters = FT2Font(str(cut)).get_charmap()
        assert not [sign for sign in "½¼¾⅛⅜⅝⅞′″×÷–—−‘’“”£€…²éñøß" if ord(sign) not in letters], cut


def test_lines_fit_the_room_and_lose_nothing():
    words = "half take longer than sixty-six hours all in all"
    lines = wrapped(words, 120, 16)
    assert " ".join(lines) == words
    assert len(lines) > 2
    assert all(width_px(line, 16) <= 120 for line in lines)
    cut = wrapped("unbreakable" * 5, 60, 16)
    assert "".join(cut) == "unbreakable" * 5
    assert all(width_px(line, 16) <= 60 for line in cut)


def test_parts_have_lines_of_their_own_where_one_line_is_too_narrow():
    words = "your guess, times how it went: 7 hours off; these ranges 6"
    assert in_parts(words, 600, 16) == (words,)
    assert in_parts(words, 330, 16) == ("your guess, times how it went: 7 hours off;", "these ranges 6")
    assert in_parts(words, 260, 16) == ("your guess, times how it went:", "7 hours off;", "these ranges 6")
    assert " ".join(in_parts(words, 60, 16)) == words


def test_stacked_axes_hang_one_below_the_other():
    sheet = figure(400, 300)
    whole = sheet.add_axes((0.1, 0.1, 0.8, 0.8))
    upper, lower = stacked(whole, [100, 60], 20)
    assert size_px(upper) == pytest.approx((320, 100))
    assert size_px(lower) == pytest.approx((320, 60))
    assert upper.get_position().y1 * 300 == pytest.approx(270)
    assert (upper.get_position().y0 - lower.get_position().y1) * 300 == pytest.approx(20)
    assert not whole.axison


def test_money_signs_are_no_formula():
    sheet = drawn()
    text = write(sheet.axes[0], (0.5, 0.2), "$40 to $50", 16, colour=ON_PAPER.ink)
    assert not text.get_parse_math()
    assert text.get_window_extent().width == pytest.approx(width_px("$40 to $50", 16), abs=3)


def test_axes_know_their_size():
    sheet = figure(400, 300)
    assert size_px(sheet.add_axes((0.1, 0.1, 0.5, 0.5))) == pytest.approx((200, 150))


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_the_same_figure_gives_the_same_bytes_whatever_the_user_has_set(tmp_path, ending):
    save(drawn(), tmp_path / f"a.{ending}", says="one")
    with mpl.rc_context({"svg.hashsalt": "other", "svg.fonttype": "none", "savefig.dpi": 50}):
        save(drawn(), tmp_path / f"b.{ending}", says="one")
    first = (tmp_path / f"a.{ending}").read_bytes()
    assert first == (tmp_path / f"b.{ending}").read_bytes()
    assert b"atplotlib" not in first.split(b"<defs>")[0][:2000]
    assert not re.search(rb"20\d\d-\d\d-\d\d", first)
    assert str(FONTS).encode() not in first


def test_an_svg_says_what_it_shows_and_is_well_formed(tmp_path):
    save(drawn(), tmp_path / "a.svg", says="Eight < ten & more")
    root = ET.parse(tmp_path / "a.svg").getroot()
    assert root.get("role") == "img"
    assert root[0].tag.endswith("title")
    assert root[0].text == "Eight < ten & more"
    assert (root.get("width"), root.get("height")) == ("240pt", "150pt")


def test_a_png_has_two_dots_for_a_pixel(tmp_path):
    save(drawn(), tmp_path / "a.png", says="")
    assert imread(tmp_path / "a.png").shape[:2] == (400, 640)


def test_other_endings_are_refused_in_words(tmp_path):
    with pytest.raises(ValueError, match=r"a\.gif: a figure is written as \.svg or \.png\."):
        save(drawn(), tmp_path / "a.gif", says="")


def test_a_title_stands_above_the_drawing_at_the_left(tmp_path, collisions):
    seen = []

    def draw(axes):
        write(axes, (0.5, 1.0), "at the very top", 14, colour=ON_PAPER.ink, down="top")
        axes.set_axis_off()
        seen.append(axes.get_figure())

    says = "A title so long that it must be broken into several lines to fit the paper"
    save_titled(tmp_path / "a.svg", draw, title=says, says=says, wide_px=320, body_px=100)
    assert " ".join(text.get_text() for text in seen[0].texts) == says
    assert len({text.get_position()[0] for text in seen[0].texts}) == 1
    assert collisions(seen[0]) == []


def test_house_settings_end_with_the_block_even_after_an_error():
    with pytest.raises(ZeroDivisionError), house_settings():
        _ = len(mpl.rcParams["svg.hashsalt"]) / 0
    assert mpl.rcParams["svg.hashsalt"] != "estimator"


def test_two_threads_do_not_leave_our_settings_behind(tmp_path):
    def work(name):
        for n in range(3):
            save(drawn(), tmp_path / f"{name}{n}.svg", says="x")

    threads = [threading.Thread(target=work, args=(name,)) for name in "ab"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len({path.read_bytes() for path in tmp_path.iterdir()}) == 1


def test_collisions_are_seen(collisions):
    sheet = drawn()
    (axes,) = sheet.axes
    axes.set(xlim=(0, 1), ylim=(0, 1))
    axes.set_axis_off()
    assert collisions(sheet) == []
    write(axes, (0.55, 0.52), "me too", 16, colour=ON_PAPER.ink)
    write(axes, (0.99, 0.2), "too far out", 16, colour=ON_PAPER.ink)
    axes.plot([0, 1], [0.85, 0.85])
    write(axes, (0.5, 0.83), "struck", 16, colour=ON_PAPER.ink)
    assert set(collisions(sheet)) == {
        ("you said 52", "me too"),
        ("too far out", "off the paper"),
        ("struck", "struck through"),
    }


@pytest.mark.parametrize("name", ["a.png", "a.svg"])
def test_a_figure_that_cannot_be_written_leaves_the_earlier_one_whole(tmp_path, monkeypatch, name):
    def full_disk(*_):
        raise OSError("no space left")

    save(figure(40, 30), tmp_path / name, says="one")
    before = (tmp_path / name).read_bytes()
    monkeypatch.setattr("os.fsync", full_disk)
    with pytest.raises(OSError, match="no space"):
        save(figure(80, 60), tmp_path / name, says="another")

    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [(name, before)]
