"""What stands on a drawing."""

from contextlib import contextmanager

from matplotlib.patches import PathPatch
from matplotlib.text import Text

from estimator.sheets.drawing import style


def boards_of(axes):
    return [patch for patch in axes.patches if isinstance(patch, PathPatch)]


def middles_of(axes):
    return [patch.get_path().get_extents().intervalx.mean() for patch in boards_of(axes)]


def words_in(axes):
    return [text.get_text() for text in axes.texts]


def contents(figure):
    """All visible words of a figure, and where each line and patch lies on its sheet, in pixels, in order of drawing."""
    figure.draw_without_rendering()
    words = [
        text.get_text() for text in figure.findobj(Text) if text.get_visible() and text.get_text().strip()
    ]
    marks = []
    for axes in figure.axes:
        for mark in (*axes.lines, *axes.patches):
            if mark.get_visible():
                box = mark.get_transform().transform_path(mark.get_path()).get_extents()
                marks.append([round(float(at), 1) for at in box.extents])
    return {"words": words, "marks": marks}


@contextmanager
def recorded():
    """By the names of their files, what stands on each figure that is saved in the meantime."""
    seen, save = {}, style.save

    def watched(drawn, path, *, says):
        with style.house_settings():
            seen[path.name] = {"says": says, **contents(drawn)}
        save(drawn, path, says=says)

    style.save = watched
    try:
        yield seen
    finally:
        style.save = save
