"""Letters that paper can show: what our own fonts have, and the wider one that comes with matplotlib."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from estimator.sheets.style import FONTS

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
