"""Prints one sheet, or the calendar file, in a process of its own: the server loads nothing that draws.

Run as `python -m estimator.counter.paper_press FOLDER SEED DAY KIND ABOUT`; the file goes to standard output. What
there is no answer to is said in words on standard error, with the exit code of that mistake.
"""

from __future__ import annotations

import datetime as dt
import sys
from pathlib import Path

from estimator.shop import Shop
from estimator.words.errors import EstimatorError

CALENDAR = "calendar"


def printed(folder: Path, seed: int, day: dt.date | None, kind: str, about: str | None) -> bytes:
    """The bytes of a sheet as PDF, or of the calendar file.

    Raises UsageError and NoAnswerError as they do.
    """
    shop = Shop.open(folder, today=day, seed=seed)
    if kind == CALENDAR:
        from estimator.bench.ics import calendar_text
        from estimator.said.bench import ready_days

        morning = shop.morning()
        return calendar_text(ready_days(morning), on=morning.today).encode()
    from estimator.papers import SAID, check_asked, paper_of, said_paper

    if kind in SAID:
        return said_paper(shop, kind).pdf()
    check_asked(kind, about, hours=False)
    return paper_of(shop, kind, about).pdf()


def main() -> None:
    """Prints what the command line asks for."""
    folder, seed, day, kind, about = sys.argv[1:]
    looking = dt.date.fromisoformat(day) if day else None
    try:
        sys.stdout.buffer.write(printed(Path(folder), int(seed), looking, kind, about or None))
    except EstimatorError as error:
        sys.stderr.write(str(error))
        raise SystemExit(error.exit_code) from None


if __name__ == "__main__":
    main()
