"""Boards at the height of their scores, their running mean, and where luck ends."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from making.drawn import boards_of, words_in
from making.quarters import known_of, reviewed, write
from matplotlib.backends.backend_agg import FigureCanvasAgg

from estimator.decide.quarter.control_chart import Landed, chart_of
from estimator.sheets.drawing.style import BROKEN, IN_PRINT, ON_PAPER, figure, house_settings
from estimator.sheets.figures.quarter import (
    HALF,
    MOST,
    body_px,
    draw_chart,
    drawn_boards,
    height_of,
    quarter_caption,
    quarter_title,
    save_quarter,
)

SCORES = np.random.default_rng(5).standard_normal(40).round(3).tolist()


def charted(scores, quarter=8):
    landed = [
        Landed(f"b{n:02d}", "", f"2026-06-{1 + n % 28:02d}", s) for n, s in enumerate(scores[:-quarter])
    ]
    landed = [
        replace(one, finished=f"{2024 + n // 24}-{1 + n // 2 % 12:02d}-01") for n, one in enumerate(landed)
    ]
    landed += [
        Landed(f"q{n:02d}", "", f"2026-08-{1 + n:02d}", s)
        for n, s in enumerate(scores[-quarter:] if quarter else [])
    ]
    return chart_of(landed, "2026-07-01", "2026-09-30")


@pytest.fixture(scope="module")
def review(tmp_path_factory):
    made = reviewed(known_of(write(tmp_path_factory.mktemp("figures") / "shop")))
    return replace(made, chart=charted(SCORES))


def on_paper(review, wide=616, palette=ON_PAPER, **more):
    high = body_px(review, wide, **more)
    sheet = figure(wide, high, palette)
    axes = sheet.add_axes((0, 0, 1, 1))
    with house_settings():
        draw_chart(axes, review, palette, **more)
        FigureCanvasAgg(sheet).draw()
    return axes


def lines_of(axes):
    """The middle, the two ends of luck, the running mean, the bracket: all but the stringers of the boards."""
    return [line for line in axes.lines if len(set(line.get_xdata())) > 1]


def test_every_board_stands_at_the_height_of_its_score(review):
    axes = on_paper(review)
    drawn = drawn_boards(review.chart, 616)
    boxes = [patch.get_path().get_extents() for patch in boards_of(axes)]
    middle = lines_of(axes)[0].get_ydata()[0]

    assert len(boxes) == len(drawn) == MOST
    assert [one.board for one in drawn] == [one.board for one in review.chart.boards[-MOST:]]
    assert [box.x0 for box in boxes] == sorted(box.x0 for box in boxes)
    for box, one in zip(boxes, drawn, strict=True):
        assert box.height > box.width
        assert (box.y0 + box.y1) / 2 - middle == pytest.approx(height_of(one.score))
    gaps = [right.x0 - left.x1 for left, right in pairwise(boxes)]
    assert min(gaps) > 0


def test_the_line_runs_through_the_means_and_luck_ends_at_the_limits(review):
    axes = on_paper(review)
    middle, above, below, mean, bracket = lines_of(axes)
    foot = middle.get_ydata()[0]

    assert [y - foot for y in mean.get_ydata()] == pytest.approx(
        [height_of(one.line) for one in drawn_boards(review.chart, 616)]
    )
    assert (
        above.get_ydata()[0] - foot
        == pytest.approx(height_of(review.chart.limit))
        == pytest.approx(foot - below.get_ydata()[0])
    )
    for line in (above, below):
        assert line.get_linestyle() == "--"
        assert line._unscaled_dash_pattern == BROKEN
    assert mean.get_linestyle() == middle.get_linestyle() == bracket.get_linestyle() == "-"


def test_the_bracket_holds_the_boards_of_the_quarter_and_no_other(review):
    axes = on_paper(review)
    bracket = lines_of(axes)[-1]
    left, right = min(bracket.get_xdata()), max(bracket.get_xdata())
    inside = [
        one.board
        for one, patch in zip(drawn_boards(review.chart, 616), boards_of(axes), strict=True)
        if left < patch.get_path().get_extents().intervalx.mean() < right
    ]

    assert inside == [one.board for one in review.chart.looked_at]
    assert "July to September 2026" in words_in(axes)


@pytest.mark.parametrize("wide", [296, 616, 1176])
def test_words_do_not_collide_and_stay_on_the_paper(review, wide):
    axes = on_paper(review, wide)
    render = axes.get_figure().canvas.get_renderer()
    with house_settings():
        boxes = [text.get_window_extent(render) for text in axes.texts]
    page = axes.get_window_extent(render)

    for n, box in enumerate(boxes):
        assert page.x0 - 1 <= box.x0 < box.x1 <= page.x1 + 1
        assert page.y0 - 1 <= box.y0 < box.y1 <= page.y1 + 1
        assert not any(box.overlaps(other) for other in boxes[n + 1 :])


def test_far_scores_stand_at_the_edge_and_few_boards_are_not_spread_wide():
    assert height_of(9.0) == height_of(3.0) == HALF
    assert height_of(-9.0) == -HALF


@pytest.mark.parametrize(
    ("scores", "title"),
    [
        ([0.3, -0.3] * 8, "Hours have stayed as near to what ranges said as luck lets them"),
        ([0.0] * 8 + [1.8] * 8, "Lately boards have taken longer than ranges said, by more than luck"),
        (
            [0.0] * 8 + [-2.4] * 5 + [0.9] * 3,
            "For a while boards took less than ranges said, by more than luck",
        ),
        ([1.0] * 5, "Too few boards yet to tell whether hours have changed"),
    ],
)
def test_the_title_says_what_to_see(review, scores, title):
    made = replace(review, chart=charted(scores, min(8, len(scores))))

    assert quarter_title(made) == title
    assert quarter_caption(made).startswith(f"{title}. ")


def test_without_a_board_it_says_so_and_draws_nothing(review):
    for chart in (None, charted([], 0)):
        made = replace(review, chart=chart)
        assert quarter_title(made) == "No finished board yet to hold a range against"
        assert not boards_of(on_paper(made))


def test_it_is_black_on_white_in_print_and_the_same_each_time(review, tmp_path):
    for name in ("a.svg", "b.svg"):
        save_quarter(tmp_path / name, review, palette=IN_PRINT)
    text = (tmp_path / "a.svg").read_text("utf-8")

    assert text == (tmp_path / "b.svg").read_text("utf-8")
    assert f"<title>{quarter_title(review)}." in text
    assert "#7a2e1d" not in text.lower()
    save_quarter(Path(tmp_path / "c.png"), review, wide_px=320)
    assert (tmp_path / "c.png").read_bytes()[:4] == b"\x89PNG"


def test_axes_that_are_too_low_are_refused(review):
    axes = figure(616, 120).add_axes((0, 0, 1, 1))
    with pytest.raises(ValueError, match="too low"):
        draw_chart(axes, review)
