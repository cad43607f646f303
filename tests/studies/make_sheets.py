"""Makes the example sheets and figures in reports/ from the invented workshop, and pictures of two sheets.

Run from the top of the project: python tests/studies/make_sheets.py [KIND …]; a kind of sheet, figures, or pages;
without any, all of them. The record and the quarter forecast every past board anew, which takes a minute or two. Pages
are the five of a day, as a phone shows them; they need chromium.
"""

import io
import json
import os
import shutil
import sys
import tempfile
from pathlib import Path

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ.setdefault(name, "1")  # as in the tests: sums in another order move the last digits of a fit

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from making.browser import chromium, served
from making.drawn import recorded
from making.worker_done import WorkerAtOnce
from PIL import Image

from estimator.counter.app import create_app
from estimator.demo.workshop import LAST_DAY, telling_board, write_demo_book
from estimator.papers import KINDS, paper_of
from estimator.sheets import pictures
from estimator.shop import Shop

REPORTS = ROOT / "reports"
DRAWN = ROOT / "tests" / "studies" / "results" / "drawn.json"  # what stands on the figures of reports/
ABOUT = {"range": "26-029", "owner": "26-029", "handover": "26-011", "weigh": "26-032", "quarter": "2026-Q3"}
SHOWN = {"range": "workshopcopy.png", "owner": "ownerscopy.png"}  # in the README
DOTS_PER_INCH = 110
FIGURES, PAGES = "figures", "pages"
OF_A_DAY = {
    "today": "/",
    "on-the-go": "/on-the-go",
    "board": f"/boards/{ABOUT['range']}",
    "new": f"/new/{ABOUT['weigh']}?here=yes",
    "hours": "/hours",
}  # pages, by name
SCREEN, SCREENS = (360, 740), 2  # pixels; so many screens of a page are shown


def make(folder: Path, kinds: list[str], reports: Path = REPORTS) -> None:
    """Writes the sheets of the workshop in a folder."""
    shop = Shop.open(folder)
    for kind in kinds:
        paper = paper_of(shop, kind, ABOUT.get(kind))
        (reports / f"{kind}.pdf").write_bytes(paper.pdf())
        print(f"{kind}.pdf")
        if kind in SHOWN:
            (reports / SHOWN[kind]).write_bytes(paper.pictures(DOTS_PER_INCH)[0])
            print(SHOWN[kind])


def draw(folder: Path, reports: Path = REPORTS) -> dict[str, dict[str, object]]:
    """Writes every figure of the workshop in a folder; by file what it says, its words, and where its marks lie."""
    with recorded() as drawn:
        _draw(Shop.open(folder), reports)
    print(*sorted(drawn), sep="\n")
    return drawn


def _draw(shop: Shop, reports: Path) -> None:
    """Each figure in turn."""
    board = telling_board(shop.log.boards)
    pictures.save_pictures(reports, shop.range(board.board), shop.settings, board.name)
    day, promise = shop.bench(), shop.promise(board.board)
    pictures.save_bench_picture(reports / "promises.png", day)
    if promise is not None and shop.today is not None:
        pictures.save_dates_picture(reports / "ready.png", promise, shop.today)
    pictures.save_pay_picture(reports / "pay.png", shop.weigh(ABOUT["weigh"]), shop.settings)
    pictures.save_overrun_picture(reports / "overruns.png", shop.overruns())
    pictures.save_rule_picture(reports / "rules.png", shop.rules())
    pictures.save_record_picture(reports / "record.png", shop.record())
    pictures.save_quarter_picture(reports / "quarter.png", shop.quarter(ABOUT["quarter"]))


def show(folder: Path, reports: Path = REPORTS) -> None:
    """Takes a picture of each page of a day, at the width of a phone, with all its answers."""
    write_demo_book(folder)
    app = create_app(folder, today=LAST_DAY, worker=WorkerAtOnce(folder))
    with served(app) as address, chromium("phone") as driver:
        wide, high = SCREEN[0], SCREENS * SCREEN[1]
        size = {"width": wide, "height": high, "deviceScaleFactor": 1, "mobile": True}
        for name, path in OF_A_DAY.items():
            driver.get(address + path)
            while driver.find_elements("css selector", "[data-waiting]"):
                driver.get(address + path)
            driver.execute_cdp_cmd(
                "Emulation.setDeviceMetricsOverride", size
            )  # a page that opens takes it back
            driver.execute_async_script("document.fonts.ready.then(() => arguments[0]())")
            picture = Image.open(io.BytesIO(driver.get_screenshot_as_png())).convert("RGB")
            few = picture.quantize(16, dither=Image.Dither.NONE)  # paper, ink and pencil need no more colours
            few.save(reports / f"page-{name}.png", optimize=True)
            print(f"page-{name}.png")


def fresh(place: Path) -> Path:
    """A copy of the invented workshop in which nothing has been learned yet."""
    return shutil.copytree(ROOT / "data" / "demo", place, ignore=shutil.ignore_patterns(".estimator"))


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        asked = sys.argv[1:] or [*KINDS, FIGURES, PAGES]
        make(fresh(Path(place) / "sheets"), [kind for kind in asked if kind not in {FIGURES, PAGES}])
        if PAGES in asked:
            show(Path(place) / "pages")
        if FIGURES in asked:
            drawn = draw(fresh(Path(place) / "figures"))
            DRAWN.parent.mkdir(exist_ok=True)
            DRAWN.write_text(
                "{\n"
                + ",\n".join(f" {json.dumps(name)}: {json.dumps(drawn[name])}" for name in sorted(drawn))
                + "\n}\n",
                "utf-8",
            )
