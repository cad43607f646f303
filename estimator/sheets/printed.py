"""A sheet set by the typesetter: plain data in, the bytes of a PDF or of pictures out.

Texts reach the typesetter as data and are set as they stand, never read as its markup. Fonts are our own files and
one that comes with matplotlib, never the system's; nothing is fetched. The same data and day give the same bytes.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from estimator.sheets.letters import all_printable, wider_fonts
from estimator.sheets.style import FONTS

if TYPE_CHECKING:
    import typst

TEMPLATES = Path(__file__).parent


def pdf(kind: str, data: Mapping[str, Any], day: dt.date) -> bytes:
    """The sheet as a tagged PDF, whose date is the given day.

    kind: the name of a template; data: what it says, plain enough for JSON
    """
    tagged: typst.PDFStandard = "ua-1"  # ISO 14289-1: reading order, language, title, words for every picture
    made = _compiler(kind, data).compile(format="pdf", pdf_standards=[tagged], timestamp=_midnight(day))
    assert isinstance(made, bytes)
    return made


def pictures(kind: str, data: Mapping[str, Any], day: dt.date, *, dots_per_inch: float = 96) -> list[bytes]:
    """Each page of the sheet as a .png."""
    made = _compiler(kind, data).compile(format="png", ppi=dots_per_inch, timestamp=_midnight(day))
    return [made] if isinstance(made, bytes) else list(made or ())


def _midnight(day: dt.date) -> dt.datetime:
    """The day as the typesetter wants it."""
    return dt.datetime(day.year, day.month, day.day, tzinfo=dt.UTC)


@lru_cache(maxsize=1)
def _fonts() -> typst.Fonts:
    """The only fonts that the typesetter sees."""
    import typst

    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[FONTS, wider_fonts()]
    )


def _compiler(kind: str, data: Mapping[str, Any]) -> typst.Compiler:
    """The typesetter with one template and its data."""
    import typst

    return typst.Compiler(
        TEMPLATES / f"{kind}.typ",
        root=TEMPLATES,
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(all_printable(data), ensure_ascii=False)},
    )
