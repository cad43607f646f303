"""Lines that stand in a text twice, by hand."""

import pytest
from making.notebooks import READER, TODAY, WEEK


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("red strip 2 again\nred strip 2", []),
        ("club sand 2\nclub sand 2 again", []),
        ("sweeping ½, sweeping ½", ["sweeping ½"]),
        ("club sand 2, sand club 2", []),  # in other words on one line
        ("club sand 2\nsand club 2", ["sand club 2"]),
        ("off\noff", []),
        ("club sand 2\nfish lam 2\nclub sand 2", ["club sand 2"]),
    ],
)
def test_the_same_line_again_is_asked_unless_it_says_something_else(text, asked):
    assert [doubt.typed for doubt in READER.read(text, day=WEEK["Tue"]).doubts] == asked


def test_days_of_which_one_is_within_the_other_are_two_lines():
    page = READER.read("Mon-Tue red sand 3\nMon red sand 3", week=TODAY)
    assert [(line.date.day, line.until and line.until.day) for line in page.lines] == [(8, 9), (8, None)]
