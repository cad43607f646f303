import pytest
from making.drawn import recorded
from making.quarters import known_of, reviewed, write
from matplotlib.backends.backend_agg import FigureCanvasAgg

from estimator.decide.quarter.review import QuarterMoney
from estimator.sheets.drawing.style import figure
from estimator.sheets.figures.money import draw_money, save_money
from estimator.sheets.layouts.money import money_px


@pytest.fixture(scope="module")
def workshop(tmp_path_factory):
    return known_of(write(tmp_path_factory.mktemp("money") / "shop"))


def drawn(money, wide=640):
    high = money_px(wide)
    axes = figure(wide, high).add_axes((0, 0, 1, 1))
    draw_money(axes, money, "mk")
    return axes


@pytest.mark.parametrize("wide", [320, 640])
def test_the_batten_is_sawn_true_to_length(wide):
    axes = drawn(QuarterMoney(1000.0, 100.0, 300.0, 600.0), wide)
    batten, *others = axes.lines
    end = max(batten.get_xdata())
    cuts = [sum(line.get_xdata()) / 2 for line in others if len(set(line.get_xdata())) == 2]

    assert sorted(at / end for at in cuts) == pytest.approx([0.1, 0.4])
    said = {text.get_text() for text in axes.texts}
    pieces = {"1 materials 100 mk", "2 rent and power 300 mk", "3 left 600 mk"}
    assert said == {"in 1,000 mk", "1", "2", "3", *pieces}
    at = [text.get_position()[0] for text in axes.texts if text.get_text() in {"1", "2", "3"}]
    assert [x / end for x in at] == pytest.approx([0.05, 0.25, 0.7])


@pytest.mark.parametrize("money", [(1000, 1, 1, 998), (1000, 998, 1, 1), (400, 100, 500, -200), (0, 0, 0, 0)])
def test_words_do_not_collide(money):
    axes = drawn(QuarterMoney(*map(float, money)), 296)
    render = FigureCanvasAgg(axes.get_figure()).get_renderer()
    boxes = [text.get_window_extent(render) for text in axes.texts]
    for n, box in enumerate(boxes):
        assert not any(box.overlaps(other) for other in boxes[n + 1 :])


def test_what_is_missing_is_broken_and_longer_than_what_came_in():
    axes = drawn(QuarterMoney(400.0, 100.0, 500.0, -200.0))

    assert "3 short 200 mk" in {text.get_text() for text in axes.texts}
    broken = [line for line in axes.lines if line.is_dashed()]
    assert len(broken) == 1
    assert max(broken[0].get_xdata()) > max(axes.lines[0].get_xdata())


def test_it_is_refused_where_no_board_tells(workshop, tmp_path):
    with pytest.raises(ValueError, match="No board of the quarter"):
        save_money(tmp_path / "a.svg", reviewed(workshop, "2025-Q4"))
    save_money(tmp_path / "a.svg", reviewed(workshop))
    assert "brought in" in (tmp_path / "a.svg").read_text("utf-8")


def test_nothing_is_sawn_where_nothing_was_spent_and_the_title_stands_only_where_asked(workshop, tmp_path):
    axes = drawn(QuarterMoney(1000.0, 0.0, 300.0, 700.0))
    cuts = [sum(line.get_xdata()) / 2 for line in axes.lines[1:] if len(set(line.get_xdata())) == 2]
    assert [at / max(axes.lines[0].get_xdata()) for at in cuts] == pytest.approx([0.3])
    with recorded() as seen:
        save_money(tmp_path / "with.svg", reviewed(workshop))
        save_money(tmp_path / "bare.svg", reviewed(workshop), titled=False)
    assert ["What came in, and what is left" in seen[name]["words"] for name in ("with.svg", "bare.svg")] == [True, False]  # fmt: skip
