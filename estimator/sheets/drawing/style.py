"""The look of every figure: paper, pencil and ink, our own letters, and files that are the same each time.

What is guessed is pencil: a thin broken line and slanted figures. What has happened or been said is ink: a
solid line and upright figures. Lengths are CSS pixels, 96 to the inch, so that a figure and a page agree.
"""

from __future__ import annotations

import io
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import escape

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text

from estimator.log.files import save_file
from estimator.sheets.layouts.letters import (
    PX_PER_INCH,
    SPACE,
    Line,
    lettering,
    letters_px,
    points,
    width_px,
    wrapped,
)

SHARPNESS = 2  # dots of a .png for each pixel, so that it prints well
BROKEN = (0.0, (5.0, 2.0))  # pixels of line and of gap; in line widths of a thin line

MARGIN = 12.0  # pixels round a figure
STRINGER = (3.0, 5.5)  # pixels from the left edge: a double rule down it

Place = Path | io.StringIO  # where a figure goes: a file, or a buffer of text for the .svg

_settings_in_use = threading.RLock()  # matplotlib keeps its settings for the whole process


@dataclass(frozen=True, slots=True)
class Palette:
    """The colours of a figure."""

    paper: str
    ink: str
    pencil: str
    oxide: str  # only for whom to ring and for a mistake, never without words


ON_PAPER = Palette(paper="#F5F0E3", ink="#1E1B16", pencil="#57524A", oxide="#7A2E1D")
IN_PRINT = Palette(paper="#FFFFFF", ink="#000000", pencil="#000000", oxide="#000000")


def write(
    axes: Axes,
    at: tuple[float, float],
    words: str,
    size_px: float,
    *,
    colour: str,
    slanted: bool = False,
    bold: bool = False,
    across: str = "center",
    down: str = "baseline",
) -> Text:
    """One line of words in our letters, at a place in the axes' own units; `$` is money, never a formula."""
    return axes.text(
        *at,
        words,
        fontproperties=lettering(size_px, slanted=slanted, bold=bold),
        color=colour,
        ha=across,
        va=down,
        parse_math=False,
    )


@contextmanager
def house_settings() -> Iterator[None]:
    """Matplotlib's own defaults and ours while it lasts, whatever the user has set; then all is as before."""
    with _settings_in_use, mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams["svg.hashsalt"] = "estimator"
        mpl.rcParams["svg.fonttype"] = "path"
        mpl.rcParams["path.simplify"] = False
        mpl.rcParams["text.hinting"] = "no_hinting"  # letters as wide as `width_px` says, however sharp
        yield


def figure(wide_px: float, high_px: float, palette: Palette = ON_PAPER) -> Figure:
    """An empty sheet of paper of that many pixels; pyplot knows nothing of it.

    >>> figure(320, 240).get_size_inches() * 96
    array([320., 240.])
    """
    with house_settings():
        return Figure(
            figsize=(wide_px / PX_PER_INCH, high_px / PX_PER_INCH), dpi=PX_PER_INCH, facecolor=palette.paper
        )


def size_px(axes: Axes) -> tuple[float, float]:
    """Width and height of the axes, in pixels."""
    box, inches = axes.get_position(), axes.get_figure(root=True)
    assert inches is not None
    wide, high = inches.get_size_inches() * PX_PER_INCH
    return float(box.width * wide), float(box.height * high)


def save(drawn: Figure, path: Place, *, says: str) -> None:
    """Writes the figure as .svg or .png, by the path's ending; the same figure gives the same bytes.

    path: a file, or a buffer of text that gets the .svg, on no paper of its own
    says: the figure in one sentence; an .svg carries it as its title, for those who hear it read

    Raises ValueError for any other ending.
    """
    if isinstance(path, io.StringIO):
        drawn.patch.set_visible(False)
        path.write(svg(drawn, says))
        return
    ending = path.suffix.lower()
    if ending == ".png":
        buffer = io.BytesIO()
        with house_settings():
            drawn.savefig(buffer, format="png", dpi=PX_PER_INCH * SHARPNESS, metadata={"Software": None})
        save_file(path, buffer.getvalue())
    elif ending == ".svg":
        save_file(path, svg(drawn, says).encode())
    else:
        raise ValueError(f"{path.name}: a figure is written as .svg or .png.")


def svg(drawn: Figure, says: str) -> str:
    """The figure as the text of an .svg, with what it says as its title."""
    buffer = io.BytesIO()
    with house_settings():
        nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
        drawn.savefig(buffer, format="svg", metadata=nothing)
    text = buffer.getvalue().decode()
    head = text.index("<svg ")
    end = text.index(">", head)
    title = f' role="img">\n <title>{escape(says)}</title>'
    return text[:end] + title + text[end + 1 :]


def stacked(whole: Axes, heights_px: Sequence[float], apart_px: float) -> Iterator[Axes]:
    """Axes of those heights one below the other, from the top of `whole` and as wide, which itself is blank."""
    sheet, box = whole.get_figure(root=True), whole.get_position()
    assert sheet is not None
    whole.set_axis_off()
    high_px = sheet.get_size_inches()[1] * PX_PER_INCH
    top = box.y1 * high_px
    for height in heights_px:
        yield sheet.add_axes((box.x0, (top - height) / high_px, box.width, height / high_px))
        top -= height + apart_px


def stringer(axes: Axes, palette: Palette) -> None:
    """A double rule down the left edge of the whole figure, as down a board."""
    sheet = axes.get_figure(root=True)
    assert sheet is not None
    wide_px = sheet.get_size_inches()[0] * PX_PER_INCH
    for at in STRINGER:
        x = at / wide_px
        sheet.add_artist(Line2D([x, x], [0, 1], color=palette.ink, linewidth=points(0.8)))


def save_titled(
    path: Place,
    draw: Callable[[Axes], None],
    *,
    title: str,
    says: str,
    wide_px: float,
    body_px: float,
    palette: Palette = ON_PAPER,
) -> None:
    """Writes one figure under its title, as `save` does.

    draw: fills axes that are `body_px` high and a margin narrower than `wide_px` on each side
    """
    inner, size = wide_px - 2 * MARGIN, letters_px(wide_px) + 3
    line = 1.35 * size
    lines = wrapped(title, inner, size, bold=True)
    whole = body_px + len(lines) * line + 2 * MARGIN + (8 if lines else 0)
    with house_settings():
        sheet = figure(wide_px, whole, palette)
        draw(sheet.add_axes((MARGIN / wide_px, MARGIN / whole, inner / wide_px, body_px / whole)))
        for n, words in enumerate(lines, start=1):
            sheet.text(
                MARGIN / wide_px,
                1 - (MARGIN + n * line - 0.3 * size) / whole,
                words,
                fontproperties=lettering(size, bold=True),
                color=palette.ink,
                parse_math=False,
            )
    save(sheet, path, says=says)


def write_line(
    axes: Axes, at: tuple[float, float], line: Line, size_px: float, unit_px: float, palette: Palette
) -> None:
    """Writes a line from a place on; unit_px: how many pixels the axes' unit across has."""
    x, y = at
    for run in line:
        colour = palette.oxide if run.accent else palette.ink
        write(
            axes, (x, y), run.words, size_px, colour=colour, slanted=run.slanted, bold=run.bold, across="left"
        )
        x += (width_px(run.words, size_px, slanted=run.slanted, bold=run.bold) + SPACE * size_px) / unit_px
