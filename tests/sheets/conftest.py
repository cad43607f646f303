"""What the tests of figures share: where words and lines fall, and drawings of every sort."""

import itertools

import matplotlib as mpl
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.lines import Line2D
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from estimator.sheets.drawing.style import house_settings

SLACK = 0.5  # pixels


def words_of(figure):
    """Every visible text of a figure with its box in pixels, as Agg would draw it."""
    renderer = FigureCanvasAgg(figure).get_renderer()
    figure.draw_without_rendering()
    return [
        (text.get_text(), text.get_window_extent(renderer))
        for text in figure.findobj(Text)
        if text.get_visible() and text.get_text().strip()
    ]


def segments_of(axes):
    """Every straight piece of every line of the axes, as a box in pixels."""
    for line in axes.findobj(Line2D):
        if line.axes is None or not len(line.get_xdata()):
            continue
        path = line.get_transform().transform_path(line.get_path())
        for a, b in itertools.pairwise(path.vertices):
            yield Bbox([[min(a[0], b[0]), min(a[1], b[1])], [max(a[0], b[0]), max(a[1], b[1])]])


def overlap(a, b):
    """Whether two boxes share more than a hair."""
    return (
        min(a.x1, b.x1) - max(a.x0, b.x0) > SLACK
        and min(a.y1, b.y1) - max(a.y0, b.y0) > SLACK
    )  # fmt: skip


def struck(box, segment):
    """Whether a line, itself without width, runs through a box of words."""
    inner = Bbox([[box.x0 + SLACK, box.y0 + SLACK], [box.x1 - SLACK, box.y1 - SLACK]])
    return segment.x0 < inner.x1 and segment.x1 > inner.x0 and segment.y0 < inner.y1 and segment.y1 > inner.y0


@pytest.fixture(scope="session")
def collisions():
    """Words on words, words off the paper, and words with a line through them, as `save` would draw them."""

    def find(figure, *, lines=True):
        with house_settings():
            words = words_of(figure)
        found = [(a, b) for (a, x), (b, y) in itertools.combinations(words, 2) if overlap(x, y)]
        sheet = figure.bbox
        found += [
            (a, "off the paper")
            for a, x in words
            if x.x0 < sheet.x0 or x.x1 > sheet.x1 or x.y0 < sheet.y0 or x.y1 > sheet.y1
        ]
        if lines:
            pieces = [piece for axes in figure.axes for piece in segments_of(axes)]
            found += [(a, "struck through") for a, x in words if any(struck(x, piece) for piece in pieces)]
        return found

    return find


@pytest.fixture(autouse=True)
def matplotlib_is_left_as_it_was():
    """Matplotlib's settings and fonts are the whole process's: no figure of ours may leave them changed."""
    from matplotlib.font_manager import fontManager

    before, fonts = dict(mpl.rcParams), len(fontManager.ttflist)
    yield
    assert dict(mpl.rcParams) == before
    assert len(fontManager.ttflist) == fonts
