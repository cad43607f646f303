"""What the program prints, draws and writes, as digests: held before code is moved or renamed, and compared after.

    python tests/studies/net.py OUT.json [--texts FOLDER] [--only WORD]
    python tests/studies/net.py --compare A.json B.json

Runs every command as text and with --json in workshops made afresh in a temporary folder: the invented one, an empty
one, two with totals only, one full of mistakes, one in a spreadsheet. Of each run are kept: exit code, stdout, stderr,
and each file that it wrote or changed, but for the cache. OUT.json is written after each workshop. --texts keeps all
of it in full too, for `diff -r`; --only runs the parts whose name holds WORD (help, totals, broken, sheet, starter,
demo, beyond, known). --compare lists what differs and ends with 1 where anything does; what stands in one of the two alone
differs as well, unless --only says by what word in a command's line to choose.

The program is run as `python -m estimator` is and in no other way, so no name inside it matters. The tree that this
file stands in is what is run, with the Python that runs this file. Needs a system with `fork` and pseudo-terminals.
"""

from __future__ import annotations

import argparse
import atexit
import csv
import hashlib
import importlib.util
import json
import os
import pty
import re
import runpy
import shlex
import shutil
import sys
import tempfile
import threading
import time
import traceback
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import NoReturn

TREE = Path(__file__).resolve().parents[2]
DAY = "2026-10-01"  # the invented workshop's own last day
CACHE = ".estimator"
BOOK = "book.sqlite"  # never twice the same: what it holds is seen in what is said, and exported
MADE = (".png", ".svg", ".pdf", ".ics", ".txt")  # taken away once digested: each run writes its own anew

# Imported once, before any command: a command then starts as a fork, in milliseconds.
LIBRARIES = """
click holidays joblib matplotlib.backends.backend_agg matplotlib.backends.backend_svg matplotlib.figure numpy pandas
python_calamine rich.console rich.progress rich.table scipy.linalg scipy.optimize scipy.special scipy.stats
sklearn.base sklearn.linear_model statsmodels.api tomlkit typst
"""
SETTINGS_OF_A_RUN = {
    "PYTHONPATH": str(TREE),
    "LC_ALL": "C.UTF-8",
    "TZ": "UTC",
    "TERM": "xterm-256color",
    "COLUMNS": "80",
    "MPLBACKEND": "Agg",
    "OMP_NUM_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
}
NO_SETTINGS_OF_A_RUN = ("ESTIMATOR_SHOP", "LINES", "NO_COLOR", "FORCE_COLOR")

# In {} a workshop's own boards: in line, on the bench, only asked about, finished. Commands end with a semicolon or a line.
BEFORE_A_RECORD = """
check; range {line}; range {hand}; range {done}; range {asked} --dates;
range -q kind=major -q length=9-6 -q spray_colours=2 -q infills=3;
range -q kind=major -q length="290 cm" -q masking=? -q sides_stripped=2 --dates;
range {line} --add spray_colours=1; bench
"""
AFTER_A_RECORD = """
record; record --numbers; range {line}; range {hand} --dates --over 60;
range -q kind=major -q length=9-6 -q spray_colours=2; range {line} --add spray_colours=1; bench; rules; overruns;
overruns {done}; quarter 2026-Q3; quarter 2026-Q1; weigh {asked}; sheet range {line}; sheet owner {line};
sheet weigh {asked}; sheet quarter 2026-Q3; sheet rules; sheet record; sheet week; sheet handover {done};
looks; notes; notes sand; notes --board {done}; money; money --from 2026-07-01 --to 2026-09-30; settings bench
"""
VARIANTS = """
range {line} --view before; range {line} --view opened; range {line} --view finished; range {hand} --view before;
range {done} --view before; range {line} --odds 5/10; range {hand} --odds 19/20 --over 30 --over "9 days";
range {line} -q infills=4 -q length=9-6; range {line} -q spray_colours=? --over 80;
range -q kind=minor -q length=6-2 -q patches=2 -q infills=0 -q outline=fish -q guess=8 --over 10;
range -q kind=partial -q length=20-6 -q width=30 -q spray_colours=9 -q brittle_glass=brittle -q wetness=soaked;
range {hand} --add logos=1 --add infills=2 --odds 9/10; overruns {line}; weigh {line}; weigh {done};
weigh {asked} --price 900; weigh {asked} --price 2000 --terms fixed;
weigh {asked} --price 2000 --terms ceiling --ceiling 2300; weigh {asked} --terms open-first --strip-fee 80;
sheet range {done}; sheet owner {asked} --hours --out made/owner.pdf; sheet owner {line} --out made/owner.txt;
sheet owner {asked} --hours --out made/owner.txt; sheet owner {done}
"""
FIGURES = """
range {line}; range {hand}; range {line} --dates; range -q kind=major -q length=9-6;
range {line} --add infills=2; record; overruns; overruns {done}; quarter 2026-Q3; rules; bench; weigh {asked};
weigh {line} --terms fixed
"""
BEYOND = """
range -q kind=partial -q length=11-6 -q width=27 -q spray_colours=9 -q brittle_glass=brittle -q wetness=soaked;
range -q kind=minor -q length=5-4 -q fins_made=4 -q logos=6 -q pinlines=5 -q masking=nested --over 100;
range {line} -q infills=20 --dates; range {hand} --add spray_colours=6 --odds 19/20
"""
KNOWN = """
check; range {line}; range {hand} --dates; range {done}; bench; record --numbers; range {line}; overruns;
overruns T-07; rules; quarter 2026-Q1; weigh {asked}; sheet range {line}; sheet rules; sheet record;
sheet quarter 2026-Q1
"""
OWN_RULE = """
[[rules]]
name = "full restoration"
text = "A full restoration in one colour, 40 to 50 hours"
when = {kind = "major"}
board = {face_area = 1.3, sides_stripped = 2, glass_stripped = 2.6, sides_coated = 2, coated_area = 2.6}
low = 40
high = 50
odds = 0.8
"""
CHAINS = {  # each on a copy of its own, since it changes the log or the settings
    "told": """
told {line}; told {line} --price 3000 --terms "by the hour" --because "hidden work" --paid-by half;
told {line} --hours ? --because "asked later" --first 2026-11-02 --last 2026-11-20 --odds 9/10; bench;
sheet owner {line};
told {hand} --hours 55-80 --price 4200 --terms fixed --last 2026-12-03 --because late --paid-by owner
""",
    "keep": """
range {hand} --add logos=1 --add spray_colours=1 --keep; range {hand} --add logos=1 --keep; range {hand};
told {hand} --because "asked later" --paid-by me
""",
    "decide": """
weigh {asked} --decide yes --why "a good hull";
weigh {asked} --decide no --why "no room" --for-love --price 1500;
weigh {asked} --decide open-first --why "can't see"; check
""",
    "book": """
hours --try made/week.txt; hours made/week.txt; check; export made/log.xlsx; export made/log.ods --with-owners;
import --try; import; hours made/week.txt; check; import --try --newer --good-rows made/log.xlsx; undo --list; undo;
undo; range {hand}; told {hand} --hours 55-80
""",
    "accept": """
rules --accept {rule}; rules; range {line}; sheet rules; rules --accept {rule}
""",
}
ON_A_TERMINAL = """
--help; range --help; check; range {line}; range {hand} --dates; range {line} --add spray_colours=1; bench;
record --numbers; rules; overruns; overruns {done}; quarter 2026-Q3; weigh {asked}; told --help
"""
OTHER_DAYS = """
range {line} --seed 7; bench --seed 7; range -q kind=major -q length=9-6 --seed 3 --dates;
check --today 2026-03-02; range 26-005 --today 2026-03-02; bench --today 2026-03-02; bench --today 2027-02-01;
range {line} --today 2026-12-24; sheet week --today 2026-12-24; quarter 2025-Q4 --today 2026-03-02;
quarter 2023-Q2; overruns --today 2025-06-30; rules --today 2024-06-30; weigh {asked} --today 2026-10-20;
bench --ics made/bench.ics; bench --ics made/bench.ics --figure made/bench.svg
"""
WRONG = """
nothing; range; range "no such board"; range "sand"; range -q; range -q infills; range -q infills=3 -q infills=4;
range -q infils=3; range -q infills=many; range -q kind=huge; range -q length=9.6; range {line} --odds 12/10;
range {line} --odds often; range {line} --view after; range {line} --over soon; range {line} --keep;
range -q kind=major --add logos=1; range {line} -q infills=1 --add logos=1;
range {line} --view opened --add logos=1; range {line} --add logos=1 --add logos=2; range {line} --add lego=1;
range {done} --add logos=1; range {line} --figure made/range.jpeg;
range {line} --figure no/such/folder/range.png; range {line} --today yesterday; range {line} --seed -1;
range {line} {hand}; check more; record --figure made/record.txt; overruns "no such board"; overruns {over};
quarter; quarter 2026; quarter 2026-Q5; quarter 2031-Q1; quarter 2010-Q1;
quarter 2026-Q3 --figure made/quarter.gif; rules --accept "no such rule"; rules --figure made;
bench --ics made/bench.txt; bench --ics no/such/folder/bench.ics; weigh; weigh "no such board"; weigh {over};
weigh {line} --price much; weigh {line} --terms barter; weigh {line} --terms ceiling --price 2000 --ceiling 1000;
weigh {line} --why "so"; weigh {line} --for-love; weigh {line} --decide perhaps --why "so";
weigh {line} --decide yes; told; told "no such board"; told {over}; told {line} --hours soon;
told {line} --hours 80-55; told {line} --price much; told {line} --last 03/04/2026;
told {line} --first 2026-12-03 --last 2026-11-03; told {line} --because "no reason";
told {line} --paid-by nobody; told {line} --odds 0; told {line}; sheet; sheet letter; sheet owner;
sheet owner "no such board"; sheet owner {over}; sheet range {over}; sheet quarter; sheet quarter 2026-Q9;
sheet week {line}; sheet week --hours; sheet week --out made/week.txt; sheet owner {line} --out made/owner.doc;
sheet week --out no/such/folder/week.pdf
"""

BOARDS = {
    "starter": dict.fromkeys(("line", "hand", "asked", "done", "over"), "26-001") | {"rule": "clean set-up"},
    "totals": {
        "line": "plum nine-two",
        "hand": "grey six-two",
        "asked": "rust seven-six",
        "done": "T-03",
        "over": "T-18",
        "rule": "clean set-up",
    },
    "broken": {
        "line": "E",
        "hand": "C",
        "asked": "D",
        "done": "red nine-four",
        "over": "B",
        "rule": "clean set-up",
    },
}
BOARDS["sheet"] = BOARDS["totals"]

WEEK = """\
Mon 28 September
{hand}: sand 3, lam 1.5
shop 1
"""  # a page of a notebook

BROKEN = {
    "boards.csv": """\
board,called,kind,asked,quoted,accepted,started,ready,collected,state,length,assesed infills,assessed_infills,found_infills,assessed_wetness,guess,price_quoted,total_hours
A,red nine-four,major,2026-01-05,2026-01-09,2026-01-20,2026-02-03,2026-04-01,2026-04-09,,9'4,,2,3,damp,50,2900,12
B,green fish,minr,03/04/2026,,,,,,waiting,6.1,,?,,,,,
b,,minor,,,,,,,,6'2,,,,,,,
C,blue,major,2026-03-01,2026-02-20,2026-02-25,2026-03-10,,,in line,9'2 1/2,,1,same,wet,60,3100,
D,blue,minor,2026-03-01,2026-03-04,,,,,,6'2 1/2"
E,cream,minor,2026-03-01,2026-03-04,2026-03-05,,,,,6'2,,,,dripping,9,500,
F,black,minor,2026-03-01,2026-03-04,2026-03-05,,2026-11-20,,,6-2,,1,1,dry,-4,free,
H,white,minor,2026-02-30,2026-03-04,2026-03-05,2026-03-09,2026-03-20,,,6-2,,1,1,dry,8,480,9 days
I,pale,partial,2026-01-12,2026-01-14,2026-01-20,2026-02-01,2026-03-01,2026-03-02,,7-2,,1,1,dry,20,1200,24
J,pale two,partial,2026-01-12,2026-01-14,2026-01-20,2026-02-01,2026-03-01,2026-03-02,,7-2,,-1,1,dry,20,1200,soon
""",
    "hours.csv": """\
board,date,until,stage,hours,done,note
A,2026-02-03,,clean,2,yes,
A,2026-02-03,,strip,"2,5O",,
A,2026-02-04,2026-02-01,strip,2h30,,
A,2026-02-02,,strip,4,,before the start
A,2026-02-05,,Stripp,4,,
red nine-four,2026-05-02,,infill,0:45,maybe,
A,2026-02-08,,infill,30,,
A,2026-02-09,,logos,3,,
C,2026-03-11,,clean,13,,
F,2026-03-11,,infill,12,,
G,2026-03-11,,infill,1,,
Total,,,,60,,
F,2026-03-12,,,1,,
F,2026-03-12,,infill,-2,,
F,2026-03-12,,infill,,,
F,2026-03-12,infill,1,,
F,2026-12-24,,infill,1,,
C,2026-03-12,,strip,4½,yes,
""",
    "told.csv": """\
board;date;hours_low;hours_high;price;first;last;because
A;2026-01-09;60;50;3400;2026-03-20;2026-04-10;quote
C;2026-02-20;50;70;3100;;2026-05-01;whim
E;2026-03-04;;;500;2026-05-01;2026-04-01;quote
""",
    "waits.csv": "board,from,until,for,note\nC,2026-03-13,2026-03-01,drying,\nZ,2026-03-13,,rain,\n",
    "weights.csv": "board,date,weight\nC,2026-03-13,heavy\nC,2026-03-14,12 kg\n",
}
BAD_SETTINGS = {
    "target_pay = 40.0": 'target_pay = "plenty"',
    "places = 3": "places = 0",
    "[stages.clean]": "[stages.Clean it]",
    'known = "strip"': 'known = "stripp"',
    "low = 0.7\n": "low = 9\n",
}


def lines_of(lines: str) -> list[str]:
    """The commands of a list."""
    return [line.strip() for line in re.split(r"[;\n]", lines) if line.strip()]


def totals() -> list[dict[str, str]]:
    """The boards of a log that knows totals only, sixteen finished, two in hand, one asked about, one declined."""
    rows = []
    for n in range(1, 21):
        kind = ("minor", "partial", "major")[n % 3]
        usual = {"minor": 9, "partial": 27, "major": 58}[kind]
        hours = usual + (n * 7) % 11 - 4
        month, year = (n - 1) % 12 + 1, 2025 + (n - 1) // 12
        row = {
            "board": f"T-{n:02}",
            "called": "",
            "kind": kind,
            "asked": f"{year}-{month:02}-03",
            "quoted": f"{year}-{month:02}-05",
            "length": ("6'2", "9-4", "7 ft 6 in", "275 cm")[n % 4],
            "assessed_infills": str(n % 5),
            "assessed_spray_colours": str(n % 3) if kind != "minor" else "",
            "assessed_sides_stripped": "2" if kind == "major" else "",
            "guess": str(usual + n % 6 - 3),
            "from_memory": "yes" if n < 4 else "",
            "price_quoted": str(60 * usual),
        }
        if n <= 16:
            row |= {
                "accepted": f"{year}-{month:02}-09",
                "started": f"{year}-{month:02}-11",
                "ready": f"{year}-{month:02}-27",
                "collected": f"{year}-{month:02}-28",
                "found_infills": "same" if n % 4 else str(n % 5 + 2),
                "price_charged": str(60 * usual + 20 * (n % 2)),
                "materials": str(4 * usual + n),
                "total_hours": f"{round(hours / 6.5)} days" if n % 5 == 0 else str(hours),
            }
        rows.append(row)
    rows[16] |= {"called": "grey six-two", "accepted": "2026-06-01", "started": "2026-09-21"}
    rows[17] |= {"called": "lime eight-oh", "state": "declined"}
    rows[18] |= {"called": "plum nine-two", "accepted": "2026-09-01"}
    rows[19] |= {"called": "rust seven-six"}
    return rows


def one_of_each(boards: Path) -> dict[str, str]:
    """The last board of a log in each state, by its id: in line, on the bench, asked about, finished, over."""
    found = {"rule": "sanding a long board"}
    with boards.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            of = "line" if row["accepted"] else "asked"
            of = "hand" if row["started"] else of
            of = "done" if row["ready"] else of
            found["over" if row["state"] else of] = row["board"]
    return found


class Net:
    """Runs commands in a temporary folder and keeps what each of them said and wrote."""

    def __init__(self, folder: Path, texts: Path | None) -> None:
        self.folder, self.texts = folder, texts
        self.cases: dict[str, dict[str, object]] = {}
        self.commands: list[str] = []  # that help names
        self.options: dict[str, set[str]] = {}  # by command, those that its help names
        self.begun = time.monotonic()
        (folder / "made").mkdir()

    def files(self) -> dict[str, bytes]:
        """All files but the caches, by path."""
        held = {}
        for place, folders, names in os.walk(self.folder):
            folders[:] = sorted(one for one in folders if one != CACHE)
            for name in (one for one in names if not one.startswith(BOOK)):
                file = Path(place, name)
                held[file.relative_to(self.folder).as_posix()] = file.read_bytes()
        return held

    def run(self, words: list[str], *, terminal: bool = False, env: dict[str, str] | None = None) -> None:
        """Runs one command and keeps its case."""
        name = (
            shlex.join(words)
            + (" (on a terminal)" if terminal else "")
            + (" (by ESTIMATOR_SHOP)" if env else "")
        )
        count = sum(one == name or one.startswith(f"{name} (time ") for one in self.cases)
        if count:
            name = f"{name} (time {count + 1})"
        before = self.files()
        code, out, err = self._call(words, env or {}, terminal)
        out, err = self._masked(out), self._masked(err)
        after = self.files()
        written = {path: self._masked(held) for path, held in after.items() if before.get(path) != held}
        gone = sorted(before.keys() - after.keys())
        self.cases[name] = {
            "exit": code,
            "stdout": _digest(out),
            "stderr": _digest(err),
            "files": {path: _digest(held) for path, held in sorted(written.items())}
            | dict.fromkeys(gone, "gone"),
        }
        if words == ["--help"] and not terminal:
            self.commands = re.findall(r"^  ([a-z]+)  ", out.decode(), re.MULTILINE)
        if words[1:] == ["--help"] and not terminal:
            self.options[words[0]] = set(re.findall(r"^  (--?[a-z][a-z-]*)", out.decode(), re.MULTILINE))
        if b"Traceback" in err:
            print(f"! traceback: {name}", flush=True)
        if self.texts is not None:
            self._keep(name, code, out, err, written)
        for path in written:
            if Path(path).suffix in MADE:
                (self.folder / path).unlink()
        if len(self.cases) % 25 == 0:
            print(
                f"{time.monotonic() - self.begun:5.0f} s  {len(self.cases):4} cases, up to: {name}",
                flush=True,
            )

    def _call(self, words: list[str], env: dict[str, str], terminal: bool) -> tuple[int, bytes, bytes]:
        """Exit code, stdout and stderr; stdout is a terminal of 80 columns where asked for, stderr never."""
        with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
            ours, theirs = pty.openpty() if terminal else (-1, out.fileno())
            child = os.fork()
            if not child:
                os.environ.update(env)
                os.chdir(self.folder)
                _be_the_program(words, theirs, err.fileno())
            said = []
            if terminal:
                os.close(theirs)
                try:
                    while piece := os.read(ours, 65536):
                        said.append(piece)
                except OSError:
                    pass  # Linux says so when the other end is closed
                os.close(ours)
            code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
            out.seek(0)
            err.seek(0)
            return code, b"".join(said) or out.read(), err.read()

    def _masked(self, held: bytes) -> bytes:
        """What was said, without the folders of this run."""
        for place, word in ((self.folder, b"TEMPORARY"), (TREE, b"TREE")):
            held = held.replace(str(place).encode(), word)
        return held

    def _keep(self, name: str, code: int, out: bytes, err: bytes, written: dict[str, bytes]) -> None:
        """Writes a case in full."""
        slug = re.sub(r"[^\w=.+-]+", "-", name).strip("-")[:100] + "-" + _digest(name.encode())[:6]
        assert self.texts is not None
        said = f"{name}\nexit {code}\n".encode()
        (self.texts / f"{slug}.txt").write_bytes(said + b"--- stdout\n" + out + b"\n--- stderr\n" + err)
        for path, held in written.items():
            file = self.texts / slug / path.replace("/", "--")
            file.parent.mkdir(exist_ok=True)
            file.write_bytes(held)

    def of(self, shop: str, line: str, *more: str, terminal: bool = False) -> None:
        """Runs one line of a list in a workshop, or in a copy of it whose name begins with its own."""
        quoted = {name: shlex.quote(board) for name, board in BOARDS[shop.partition("-")[0]].items()}
        words = [*shlex.split(line.format(**quoted)), *more]
        if "--help" not in words:
            words += ["--shop", shop, *([] if "--today" in words else ["--today", DAY])]
        self.run(words, terminal=terminal)

    def both(self, shop: str, lines: str) -> None:
        """Runs a list as text and with --json."""
        for line in lines_of(lines):
            self.of(shop, line)
            self.of(shop, line, "--json")

    def each(self, shop: str, lines: str, *more: str, terminal: bool = False) -> None:
        """Runs a list once."""
        for line in lines_of(lines):
            self.of(shop, line, *more, terminal=terminal)

    @contextmanager
    def copy(self, shop: str, what: str) -> Iterator[str]:
        """A copy of a workshop with its cache, gone afterwards."""
        name = f"{shop}-{what}"
        shutil.copytree(self.folder / shop, self.folder / name)
        try:
            yield name
        finally:
            shutil.rmtree(self.folder / name)

    def chains(self, shop: str, *more: str) -> None:
        """Runs all that changes a log or its settings, on copies."""
        board = BOARDS[shop.partition("-")[0]]["hand"]
        for what, lines in CHAINS.items():
            with self.copy(shop, what + "-json" * bool(more)) as copied:
                (self.folder / "made" / "week.txt").write_text(WEEK.format(hand=board), "utf-8")
                self.each(copied, lines, *more)

    def write(self, shop: str, texts: dict[str, str]) -> None:
        """Writes files of a workshop."""
        for name, text in texts.items():
            (self.folder / shop / name).write_text(text, "utf-8")


def help_and_beginnings(net: Net) -> None:
    """Help, and commands that want no workshop or find none."""
    for words in ("", "--help", "-h", "--version", "--nothing", "range --nothing"):
        net.run(shlex.split(words))
    assert net.commands, "--help names no commands"
    for command in net.commands:
        net.run([command, "--help"])
    for line in (
        "check",
        "check --json",
        "range -q kind=major",
        "bench --shop nowhere",
        "record --shop nowhere --json",
    ):
        net.run(shlex.split(line))
    for line in ("new", "new a --shop b", "demo a --shop b", "demo a --today soon"):
        net.run(shlex.split(line))


def demo(net: Net) -> None:
    """The invented workshop, also on a terminal, on other days and with other seeds."""
    net.run(["demo"])
    net.run(["demo", "demo", "--today", DAY])
    BOARDS["demo"] = one_of_each(net.folder / "demo" / "boards.csv")
    net.run(["demo", "second", "--json"])
    net.run(["demo", "third", "--seed", "5", "--today", "2026-11-02"])
    for name in ("second", "third"):
        shutil.rmtree(net.folder / name)
    net.run(["new", "demo"])
    net.run(["check", "--today", DAY], env={"ESTIMATOR_SHOP": "demo"})
    net.both("demo", BEFORE_A_RECORD)
    net.both("demo", AFTER_A_RECORD)
    net.each("demo", VARIANTS)
    for ending in ("png", "svg"):
        net.each("demo", FIGURES, "--figure", f"made/figure.{ending}")
    net.chains("demo")
    net.each("demo", ON_A_TERMINAL, terminal=True)
    net.each("demo", OTHER_DAYS)


def beyond(net: Net) -> None:
    """Boards unlike any that was done before, asked of an invented workshop of their own."""
    net.run(["demo", "demo-beyond", "--today", DAY])
    BOARDS["demo"] = one_of_each(net.folder / "demo-beyond" / "boards.csv")
    net.both("demo-beyond", BEYOND)
    net.each("demo-beyond", BEYOND, "--figure", "made/figure.svg", "--json")


def starter(net: Net) -> None:
    """An empty workshop, and one whose settings cannot be used."""
    net.run(["new", "starter", "--today", DAY])
    net.run(["new", "second", "--today", DAY, "--json"])
    net.run(["new", "second", "--today", DAY])
    net.run(["demo", "second", "--today", DAY])
    shutil.rmtree(net.folder / "second")
    net.both("starter", BEFORE_A_RECORD + AFTER_A_RECORD)
    net.each("starter", VARIANTS)
    net.each("starter", FIGURES, "--figure", "made/figure.svg")
    net.chains("starter")
    with net.copy("starter", "settings") as copied:
        file = net.folder / copied / "workshop.toml"
        text = file.read_text("utf-8")
        for good, bad in BAD_SETTINGS.items():
            assert good in text, f"the starter's settings have no {good!r} any more"
            text = text.replace(good, bad, 1)
        file.write_text(text, "utf-8")
        lines = "check\nrange -q kind=major\nbench\nrecord\nweigh {asked}\nsheet week\nrules"
        net.both(copied, lines)
        file.write_text("[workshop\n", "utf-8")
        net.both(copied, "check\nrange -q kind=major")


def with_totals(net: Net, shop: str, rows: list[dict[str, str]]) -> None:
    """A workshop with nothing but boards."""
    net.run(["new", shop, "--today", DAY])
    for file in (net.folder / shop).glob("*.csv"):
        file.unlink()
    columns = list(dict.fromkeys(name for row in rows for name in row))
    with (net.folder / shop / "boards.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def totals_only(net: Net) -> None:
    """A log of totals, in boards.csv alone; and wrong uses."""
    with_totals(net, "totals", totals())
    net.both("totals", BEFORE_A_RECORD + AFTER_A_RECORD + VARIANTS)
    net.each("totals", FIGURES, "--figure", "made/figure.png")
    net.each("totals", FIGURES, "--figure", "made/figure.svg", "--json")
    net.chains("totals")
    net.chains("totals", "--json")
    net.both("totals", WRONG)


def totals_known(net: Net) -> None:
    """The same boards with all known of them that there was to do, and a rule of the workshop's own."""
    known = {
        "sides_stripped": "2",
        "sides_coated": "2",
        "brittle_glass": "crisp",
        "wetness": "dry",
        "gloss": "1",
    }
    more = {f"assessed_{name}": value for name, value in known.items()}
    more |= {f"found_{name}": "same" for name in known} | {"width": "21", "assessed_spray_colours": "1"}
    with_totals(net, "totals-known", [row | more for row in totals()])
    with (net.folder / "totals-known" / "workshop.toml").open("a", encoding="utf-8") as file:
        file.write(OWN_RULE)
    net.both("totals-known", KNOWN)
    lines = "range {line}; record; overruns; overruns T-07; rules; quarter 2026-Q1"
    net.each("totals-known", lines, "--figure", "made/figure.svg")


def broken(net: Net) -> None:
    """Good settings and a log full of mistakes."""
    net.run(["new", "broken", "--today", DAY])
    net.write("broken", BROKEN)
    net.both("broken", BEFORE_A_RECORD + AFTER_A_RECORD)
    net.each("broken", VARIANTS)
    net.each("broken", FIGURES, "--figure", "made/figure.svg")
    net.chains("broken")
    net.chains("broken", "--json")


def sheet(net: Net) -> None:
    """The log of totals as a spreadsheet, which is never written; then with a csv beside it."""
    import xlsxwriter

    net.run(["new", "sheet", "--today", DAY])
    for file in (net.folder / "sheet").glob("*.csv"):
        file.unlink()
    rows = totals()
    columns = list(dict.fromkeys(name for row in rows for name in row))
    with xlsxwriter.Workbook(net.folder / "sheet" / "log.xlsx") as book:
        boards, hours = book.add_worksheet("boards"), book.add_worksheet("hours")
        boards.write_row(0, 0, columns)
        for at, row in enumerate(rows, start=1):
            boards.write_row(at, 0, [row.get(name, "") for name in columns])
        for at, row in enumerate(
            (
                ["board", "date", "stage", "hours", "done"],
                ["T-17", "2026-09-21", "clean", 1.5, "yes"],
                ["T-17", "2026-09-22", "strip", "many", ""],
                ["T-99", "2026-09-22", "strip", 2, ""],
            )
        ):
            hours.write_row(at, 0, row)
    net.both("sheet", "check\nrange {line}\nrange {done}\nbench\noverruns")
    net.chains("sheet")
    net.write("sheet", {"boards.csv": "board,kind\nX,minor\n"})
    net.both("sheet", "check\nrange {line}")


def _be_the_program(words: list[str], out: int, err: int) -> NoReturn:
    """In a fork: runs `python -m estimator` with these words, and ends."""
    code: object = 1
    try:
        for ours, theirs in ((os.open(os.devnull, os.O_RDONLY), 0), (out, 1), (err, 2)):
            os.dup2(ours, theirs)
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stderr = open(2, "w", encoding="utf-8", closefd=False, buffering=1)  # noqa: SIM115
        sys.argv = ["estimator", *words]
        try:
            runpy.run_module("estimator", run_name="__main__", alter_sys=True)
            code = 0
        except SystemExit as asked:
            code = asked.code
        except BaseException:  # noqa: BLE001  as the interpreter does
            traceback.print_exc()
        threading._shutdown()  # as the interpreter does at its end: worker processes are told to go
        atexit._run_exitfuncs()
        sys.stdout.flush()
        sys.stderr.flush()
    finally:
        os._exit(code if isinstance(code, int) else 0 if code is None else 1)


def prepare() -> None:
    """Sets the environment, imports the libraries, and sees that it is this tree that is run."""
    for name in NO_SETTINGS_OF_A_RUN:
        os.environ.pop(name, None)
    os.environ.update(SETTINGS_OF_A_RUN)
    time.tzset()
    sys.path[0] = str(TREE)  # in place of this file's folder
    for library in LIBRARIES.split():
        with suppress(ImportError):
            importlib.import_module(library)
    found = importlib.util.find_spec("estimator")
    assert found is not None
    assert found.origin == str(TREE / "estimator" / "__init__.py"), f"{found.origin} would be run, not {TREE}"
    assert threading.active_count() == 1, "a fork would lose a library's threads"


def _digest(held: bytes) -> str:
    """Short, and as good as never the same for two texts."""
    return hashlib.sha256(held).hexdigest()[:24]


def never_used(net: Net) -> list[str]:
    """The options that some command's help names and no case has used: the holes of the net."""
    used: dict[str, set[str]] = {command: set() for command in net.options}
    for name in net.cases:
        words = shlex.split(name)
        if words and words[0] in used:
            used[words[0]] |= set(words)
    return [
        f"{command} {option}"
        for command in net.options
        for option in sorted(net.options[command] - used[command] - {"-h"})
    ]


def compare(first: Path, second: Path, only: str) -> int:
    """Lists what differs between two runs, in the cases whose line holds a word; 1 where anything does."""
    held = [json.loads(file.read_text("utf-8"))["cases"] for file in (first, second)]
    one, other = ({name: case for name, case in cases.items() if only in name} for cases in held)
    differing = 0
    for name in dict.fromkeys((*one, *other)):
        here, there = one.get(name), other.get(name)
        if here == there:
            continue
        differing += 1
        if here is None or there is None:
            print(f"only in {second if here is None else first}: {name}")
            continue
        parts = [part for part in ("exit", "stdout", "stderr") if here[part] != there[part]]
        files = here["files"].keys() | there["files"].keys()
        parts += sorted(path for path in files if here["files"].get(path) != there["files"].get(path))
        codes = f" ({here['exit']} → {there['exit']})" if "exit" in parts else ""
        print(f"{', '.join(parts)}{codes}: {name}")
    print(f"{differing} of {len(one.keys() | other.keys())} cases differ.")
    return 1 if differing else 0


def main() -> int:
    """Runs all cases, or compares two runs."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("out", nargs="?", type=Path)
    parser.add_argument("--texts", type=Path)
    parser.add_argument("--only", default="")
    parser.add_argument("--compare", nargs=2, type=Path, metavar=("A", "B"))
    asked = parser.parse_args()
    if asked.compare:
        return compare(*asked.compare, asked.only)
    if asked.out is None:
        parser.error("name the file to write, or --compare two")
    if asked.texts is not None:
        if asked.texts.exists() and any(asked.texts.iterdir()):
            parser.error(f"{asked.texts} is not empty")
        asked.texts.mkdir(parents=True, exist_ok=True)
    prepare()
    place = Path(tempfile.mkdtemp()).resolve()
    try:
        net = Net(place, asked.texts)
        for part in (help_and_beginnings, totals_only, broken, sheet, starter, demo, beyond, totals_known):
            if asked.only in part.__name__:
                begun, had = time.monotonic(), len(net.cases)
                part(net)
                took = time.monotonic() - begun
                asked.out.write_text(
                    json.dumps({"cases": net.cases}, indent=1, ensure_ascii=False) + "\n", "utf-8"
                )
                print(f"{part.__name__}: {len(net.cases) - had} cases in {took:.0f} s", flush=True)
    finally:
        shutil.rmtree(place)
    if not asked.only:
        for hole in never_used(net):
            print(f"! never used: {hole}")
    used = sum(os.times()[:4])
    took = time.monotonic() - net.begun
    print(f"{len(net.cases)} cases in {took:.0f} s; {used:.0f} s of one core.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
