"""Boards that lean as their hours landed, and a plumb line between two pegs."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from making.drawn import boards_of, words_in
from making.quarters import known_of, reviewed, write
from matplotlib.backends.backend_agg import FigureCanvasAgg

from estimator.decide.quarter.control_chart import Landed, chart_of
from estimator.said.quarter import money_sentence
from estimator.sheets.drawing.style import IN_PRINT, ON_PAPER, figure, house_settings
from estimator.sheets.figures.quarter import draw_chart, save_quarter
from estimator.sheets.layouts.money import money_px
from estimator.sheets.layouts.quarter import (
    MOST,
    SWING,
    chart_px,
    drawn_boards,
    quarter_caption,
    quarter_title,
    turn_of,
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
    high = chart_px(review, wide, **more)
    sheet = figure(wide, high, palette)
    axes = sheet.add_axes((0, 0, 1, 1))
    with house_settings():
        draw_chart(axes, review, palette, **more)
        FigureCanvasAgg(sheet).draw()
    return axes


def named(axes, label):
    return [line for line in axes.lines if line.get_label() == label]


def leans_of(axes):
    """How far each board leans, in degrees, by the line down its middle."""
    stringers = [
        line for line in axes.lines if line.get_label().startswith("_child") and len(line.get_xdata()) == 2
    ]
    turns = []
    for line in stringers:
        (left, right), (low, high) = line.get_xdata(), line.get_ydata()
        if np.hypot(right - left, high - low) == pytest.approx(34.0):
            turns.append(float(np.degrees(np.arctan2(right - left, high - low))))
    return turns


def test_every_board_leans_as_its_hours_landed(review):
    axes = on_paper(review)
    drawn = drawn_boards(review.chart)

    assert len(boards_of(axes)) == len(drawn) == MOST
    assert [one.board for one in drawn] == [one.board for one in review.chart.boards[-MOST:]]
    assert leans_of(axes) == pytest.approx([turn_of(one.score) for one in drawn])
    assert {turn_of(score) for score in (3.0, 9.0)} == {90.0}
    assert turn_of(-9.0) == -90.0
    assert turn_of(0.0) == 0.0
    assert len(axes.collections) == sum(one.score > 0 for one in drawn)  # longer is hatched


@pytest.mark.parametrize("wide", [296, 616, 1176])
def test_no_board_lies_on_another(review, wide):
    for scores in (SCORES, [3.0, -3.0] * 16):
        axes = on_paper(replace(review, chart=charted(scores)), wide)
        boxes = [patch.get_path().get_extents() for patch in boards_of(axes)]
        for n, one in enumerate(boxes):
            assert 0 <= one.x0 < one.x1 <= wide
            assert not any(one.overlaps(other) for other in boxes[n + 1 :])


def test_the_plumb_line_hangs_as_far_from_the_peg_as_the_mean_from_its_limit(review):
    for scores in (SCORES, [0.5] * 16, [-0.5] * 16):
        chart = charted(scores)
        axes = on_paper(replace(review, chart=chart))
        ((middle, tip),) = (line.get_xdata() for line in named(axes, "_plumb"))
        left, right = (line.get_xdata()[0] for line in named(axes, "_peg"))
        assert (middle - left, right - middle) == (SWING, SWING)
        assert (tip - middle) / SWING == pytest.approx(chart.boards[-1].line / chart.limit)
        assert {"quicker", "longer"} <= set(words_in(axes))


def test_how_far_it_swung_in_the_quarter_is_pencil_where_it_came_back(review):
    back = charted([0.0] * 8 + [-2.4] * 5 + [0.9] * 3)
    assert back.back
    axes = on_paper(replace(review, chart=back))
    (then,), (now,) = named(axes, "_then"), named(axes, "_plumb")
    middle, tip = then.get_xdata()
    assert (tip - middle) / SWING == pytest.approx(min(one.line for one in back.looked_at) / back.limit)
    assert tip - middle < -SWING < now.get_xdata()[1] - middle
    assert then.get_linestyle() == "--"
    assert not named(on_paper(review), "_then")


def test_the_boards_of_the_quarter_stand_on_the_thick_line(review):
    axes = on_paper(review)
    drawn = drawn_boards(review.chart)
    assert len(named(axes, "_its floor")) == sum(one in review.chart.looked_at for one in drawn)
    assert len(named(axes, "_floor")) + len(named(axes, "_its floor")) == len(drawn)
    assert "those on the thick line are from July to September 2026" in quarter_caption(review)


def test_with_too_few_boards_nothing_hangs(review):
    few = on_paper(replace(review, chart=charted([1.0] * 5, 5)))
    assert len(boards_of(few)) == 5
    assert not named(few, "_plumb")
    assert "plumb" not in " ".join(words_in(few))


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


def test_how_far_it_swung_is_told_of_the_quarter_alone(review):
    """Before the quarter it swung further, to the other side."""
    chart = charted([2.8] * 6 + [0.0] * 12 + [-2.4] * 5 + [0.9] * 3)
    lines = {one.line for one in chart.looked_at}
    assert max(one.line for one in chart.boards) > -min(lines)
    (then,) = named(on_paper(replace(review, chart=chart)), "_then")
    middle, tip = then.get_xdata()

    assert (tip - middle) / SWING == pytest.approx(max(min(lines) / chart.limit, -2))


def test_a_board_that_took_as_long_as_half_do_stands_upright_and_is_not_hatched(review):
    assert not on_paper(replace(review, chart=charted([0.0] * 16))).collections


def test_the_money_stands_above_the_boards_and_both_are_said(review, tmp_path, monkeypatch):
    seen = []
    monkeypatch.setattr(
        "estimator.sheets.drawing.style.save", lambda drawn, _, *, says: seen.append((drawn, says))
    )
    save_quarter(tmp_path / "a.svg", review)
    [(drawn, says)] = seen
    _, money, chart = drawn.axes

    assert says == f"{quarter_caption(review)} {money_sentence(review)}"
    assert words_in(money)[0].startswith("in ")
    assert (len(boards_of(money)), len(boards_of(chart))) == (0, MOST)
    high = [part.get_position().height for part in (money, chart)]
    assert high[0] / high[1] == pytest.approx(money_px(616) / chart_px(review, 616))
    assert money.get_position().y0 > chart.get_position().y1
