"""The sheet of a quarter, as plain data."""

from __future__ import annotations

import io
from typing import Any

from estimator.decide.review import Review
from estimator.said.quarter_page_two import page_two
from estimator.said.quarter_words import quarter_parts
from estimator.sheets.quarter_figures import body_px, draw_chart, quarter_caption
from estimator.sheets.said_blocks import blocks, page
from estimator.sheets.style import IN_PRINT, MARGIN, save_titled
from estimator.words.settings import Settings

WIDE_PX = 680  # of a figure: the sheet's width with the figure's own margins


def quarter_sheet(review: Review, settings: Settings) -> dict[str, Any]:
    """The sheet of a quarter: what `quarter` says, from its second page on overleaf, and its chart at the end."""
    figure = None
    if review.chart is not None:
        picture = io.StringIO()
        save_titled(
            picture,
            lambda axes: draw_chart(axes, review, IN_PRINT, with_words=False),
            title="",
            says=quarter_caption(review),
            wide_px=WIDE_PX,
            body_px=body_px(review, WIDE_PX - 2 * MARGIN, with_words=False),
            palette=IN_PRINT,
        )
        figure = {"svg": picture.getvalue(), "says": quarter_caption(review)}
    overleaf = page_two(review, settings)
    parts = quarter_parts(review, settings)
    first = parts[: len(parts) - len(overleaf)]
    return {
        **page(first, settings, review.quarter.today),
        "overleaf": blocks(overleaf),
        "figure": figure,
    }
