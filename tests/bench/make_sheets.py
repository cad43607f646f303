"""Makes the example sheets in reports/ from the invented workshop, and pictures of two of them for the README.

Run from the top of the project: python tests/bench/make_sheets.py [KIND …]; without a kind, all of them. The record
and the quarter forecast every past board anew, which takes a minute or two.
"""

import shutil
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from estimator.cli.sheet_command import SAID
from estimator.cli.sheet_parts import said_paper
from estimator.papers import KINDS, paper_of
from estimator.shop import Shop

REPORTS = ROOT / "reports"
ABOUT = {"range": "26-025", "owner": "26-025", "weigh": "26-033", "quarter": "2026-Q3"}
SHOWN = {"range": "workshopcopy.png", "owner": "ownerscopy.png"}  # in the README
DOTS_PER_INCH = 110


def make(folder: Path, kinds: list[str]) -> None:
    """Writes the sheets of the workshop in a folder."""
    shop = Shop.open(folder)
    for kind in kinds:
        about = ABOUT.get(kind)
        paper = said_paper(shop, kind, about) if about and kind in SAID else paper_of(shop, kind, about)
        (REPORTS / f"{kind}.pdf").write_bytes(paper.pdf())
        print(f"reports/{kind}.pdf")
        if kind in SHOWN:
            (REPORTS / SHOWN[kind]).write_bytes(paper.pictures(DOTS_PER_INCH)[0])
            print(f"reports/{SHOWN[kind]}")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        demo = shutil.copytree(
            ROOT / "data" / "demo", Path(place) / "demo", ignore=shutil.ignore_patterns(".estimator")
        )
        make(demo, sys.argv[1:] or list(KINDS))
