"""The colours of the page: reading text at 7:1 or more on its paper, by day and in the evening."""

import re
from pathlib import Path

import pytest

import estimator.counter

STATIC = Path(estimator.counter.__file__).with_name("static")
SHEET = (STATIC / "counter.css").read_text("utf-8")


def luminance(colour):
    """Relative luminance (W3C, Web Content Accessibility Guidelines 2.2, definition of relative luminance)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    """Contrast ratio of two colours, as the same guidelines define it."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_ratio_is_the_published_one():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(
        4.54, abs=0.01
    )  # WCAG's well known least grey for 4.5:1


@pytest.mark.parametrize("block", [":root", ".evening"])
@pytest.mark.parametrize("name", ["ink", "pencil", "oxide"])
def test_all_words_can_be_read(block, name):
    rules = re.search(rf"^{re.escape(block)} {{(.*?)}}", SHEET, re.DOTALL | re.MULTILINE)[1]
    colours = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", rules))

    assert contrast(colours[name], colours["paper"]) >= 7.0


def test_what_a_page_loads_is_small():
    assert sum((STATIC / name).stat().st_size for name in ("counter.css", "counter.js")) < 20_000
    assert len(list(STATIC.glob("*.woff2"))) == 2


def test_nothing_is_fetched_from_elsewhere():
    for file in STATIC.glob("counter.*"):
        assert not re.search(r"https?://", file.read_text("utf-8"))
