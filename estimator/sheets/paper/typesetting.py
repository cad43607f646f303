"""A sheet set by the typesetter: plain data in, the bytes of a PDF or of pictures out; letters that paper can show."""

from __future__ import annotations

import datetime as dt
import json
import re
import unicodedata
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from estimator.sheets.layouts.letters import FONTS

if TYPE_CHECKING:
    import typst


CUTS = ("Regular", "Bold")  # slanted letters are for figures alone, which every font has
BLANK = "□"  # stands for a letter that neither font has
BREAK = "\u200b"  # a place to break at, of no width
_LONG = re.compile(r"\S{31,}")
_PIECES = re.compile(r".{1,15}")
JOINERS = "\u200c\u200d"  # they part and join letters of some scripts


def wider_fonts() -> Path:
    """The folder with the font for letters that ours lacks: other scripts, tick boxes. It comes with matplotlib."""
    import matplotlib as mpl

    return Path(mpl.get_data_path()) / "fonts" / "ttf"


@lru_cache(maxsize=1)
def letters() -> frozenset[int]:
    """The code points of all letters that can be printed, upright and bold."""
    ours = [FONTS / f"Bitter-{cut}.ttf" for cut in CUTS]
    wider = [wider_fonts() / f"DejaVuSans{'' if cut == 'Regular' else f'-{cut}'}.ttf" for cut in CUTS]
    return _in_all(ours) | _in_all(wider)


def _in_all(files: Sequence[Path]) -> frozenset[int]:
    """The code points that every one of these fonts has."""
    from matplotlib.ft2font import FT2Font

    return frozenset.intersection(*(frozenset(FT2Font(str(file)).get_charmap()) for file in files))


def printable(text: str) -> str:
    r"""The text with a blank box for each letter that no font has; of what is no letter nothing stays.

    A word longer than a line may be is given places to break at.

    >>> printable("Owner 日 # $"), printable("one\tline\x07"), printable("שלום")
    ('Owner □ # $', 'one line', 'שלום')
    """
    kept = []
    for letter in unicodedata.normalize("NFC", text):
        if letter.isspace():
            kept.append(" " if letter != "\n" else letter)
        elif unicodedata.category(letter)[0] != "C":
            kept.append(letter if ord(letter) in letters() else BLANK)
        elif letter in JOINERS and ord(letter) in letters():
            kept.append(letter)
    said = "".join(kept)
    if text and not said.strip():
        return BLANK
    return _LONG.sub(lambda word: BREAK.join(_PIECES.findall(word[0])), said)


def all_printable(data: Any) -> Any:
    """The plain data of a sheet with every text printable; names of fields and drawings stay as they are."""
    if isinstance(data, str):
        return printable(data)
    if isinstance(data, Mapping):
        return {name: value if name == "svg" else all_printable(value) for name, value in data.items()}
    if isinstance(data, Sequence):
        return [all_printable(value) for value in data]
    return data


TEMPLATES = Path(__file__).parent
SET_AS = {
    "handover": "owner",
    "overruns": "quarter",
    "looks": "quarter",
}  # sheets that have the form of another


def pdf(kind: str, data: Mapping[str, Any], day: dt.date) -> bytes:
    """The sheet as a tagged PDF, whose date is the given day.

    kind: the name of a sheet; data: what it says, plain enough for JSON
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
        TEMPLATES / f"{SET_AS.get(kind, kind)}.typ",
        root=TEMPLATES,
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(all_printable(data), ensure_ascii=False)},
    )
