"""What the tests of figures share: where words and lines fall, and drawings of every sort."""

import itertools

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.lines import Line2D
from matplotlib.text import Text

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


def segments_of(figure):
    """Every straight piece of every line, as a box in pixels: left, foot, right and top, (n, 4)."""
    boxes = [np.empty((0, 4))]
    for axes in figure.axes:
        for line in axes.findobj(Line2D):
            if line.axes is not None and len(line.get_xdata()):
                ends = line.get_transform().transform_path(line.get_path()).vertices
                a, b = ends[:-1], ends[1:]
                boxes.append(np.hstack([np.minimum(a, b), np.maximum(a, b)]))
    return np.concatenate(boxes)


def overlap(a, b):
    """Whether two boxes share more than a hair."""
    return (
        min(a.x1, b.x1) - max(a.x0, b.x0) > SLACK
        and min(a.y1, b.y1) - max(a.y0, b.y0) > SLACK
    )  # fmt: skip


def struck(box, pieces):
    """Whether a line, itself without width, runs through a box of words. pieces: (n, 4), left, foot, right and top."""
    left, foot, right, top = pieces.T
    across = (left < box.x1 - SLACK) & (right > box.x0 + SLACK)
    return bool((across & (foot < box.y1 - SLACK) & (top > box.y0 + SLACK)).any())


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
            pieces = segments_of(figure)
            found += [(a, "struck through") for a, x in words if struck(x, pieces)]
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
