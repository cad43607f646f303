"""The sheet of a board that is thought over, as plain data."""

from __future__ import annotations

import io
from typing import Any

from estimator.decide.weighing import Weighing
from estimator.said.parts import Heading
from estimator.said.weigh_words import ANYWAY, LAW, VALUE, YOURS, ten_pay, weigh_parts
from estimator.sheets.pay_drawing import pay_alt_text, pay_drawing
from estimator.sheets.pay_figures import save_pay
from estimator.sheets.said_blocks import page, run_on
from estimator.sheets.style import IN_PRINT
from estimator.words.settings import Settings

WIDE_PX = 680  # of a figure: the sheet's width with the figure's own margins
ZONE_PX = 64  # of a figure: room for its boards


def weigh_sheet(said: Weighing, settings: Settings) -> dict[str, Any]:
    """The sheet of a board to be weighed: what `weigh` says, ten boards on pay, and lines for the decision."""
    assert said.today is not None
    picture = io.StringIO()
    save_pay(picture, said, settings, titled=False, wide_px=WIDE_PX, zone_px=ZONE_PX, palette=IN_PRINT)
    parts = list(weigh_parts(said, settings))
    drawn = ten_pay(said.best, said.odds)  # the figure says it
    end = next(
        i for i, part in enumerate(parts) if isinstance(part, Heading) and part.text in {ANYWAY, YOURS}
    )
    title, answer, *rest = (part for part in parts[:end] if part != drawn)
    return {
        **page([title, answer, *run_on(rest)], settings, said.today),
        "figure": {"svg": picture.getvalue(), "says": pay_alt_text(pay_drawing(said, settings))},
        "anyway": ANYWAY,
        "decision": ["yes", "no", "open it up first"],
        "mind": [VALUE, LAW],
    }
