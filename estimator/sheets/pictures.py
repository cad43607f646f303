"""Pictures of an answer, saved as files."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from estimator.forecast.ranges import Range
from estimator.log.files import refuse_unwritable
from estimator.words.errors import UsageError
from estimator.words.odds import say_odds
from estimator.words.phrases import say_middle, say_range
from estimator.words.settings.schema import Settings

if TYPE_CHECKING:
    from estimator.bench.promises import BenchDay, Promise
    from estimator.decide.overruns.overruns import Overruns
    from estimator.decide.overruns.parts import BoardOverrun
    from estimator.decide.quarter.review import Review
    from estimator.decide.weigh.weighing import Weighing
    from estimator.record.backtest.track_record import TrackRecord
    from estimator.record.rules.verdicts import Verdicts


ENDINGS = (".png", ".svg")


def refuse(path: Path) -> None:
    """Nothing, for a file that a picture can be written to.

    Raises UsageError for another ending, and where the file cannot be written.
    """
    if path.suffix.casefold() not in ENDINGS:
        raise UsageError(f"{path} is neither .png nor .svg.", "Name a file that ends in one of them.")
    refuse_unwritable(path)


def save_picture(path: Path, answer: Range, name: str) -> None:
    """Writes the range as ten boards on a tape.

    path: ends in .png or .svg; name: what the board is called

    Raises UsageError for another ending, and where the file cannot be written.
    """
    with _writing(path):
        from estimator.sheets.figures.range import save_range
        from estimator.sheets.layouts.ranges import drawing_of

        save_range(path, drawing_of(answer), title=_title(answer, name))


def save_pictures(folder: Path, answer: Range, settings: Settings, name: str) -> list[Path]:
    """Writes range, stages and reasons of a board into a folder, which is made where it is missing.

    Raises UsageError where the folder cannot be written.
    """
    from estimator.sheets.figures.reasons import reason_rows, save_reasons
    from estimator.sheets.figures.stages import save_stages, stage_rows
    from estimator.sheets.layouts.ranges import drawing_of

    files = [folder / f"{what}.png" for what in ("range", "stages", "reasons")]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        save_picture(files[0], answer, name)
        save_stages(
            files[1],
            stage_rows(answer, settings),
            title=f"{name}: hours by stage, each {say_odds(answer.odds)}",
        )
        title = f"{name}: what makes {say_middle(answer.likely)} hours"
        save_reasons(files[2], reason_rows(answer, settings), title=title, pencil=drawing_of(answer).pencil)
    except OSError as error:
        raise UsageError(f"{folder} cannot be written.", "Name a folder that you may write in.") from error
    return files


def _title(answer: Range, name: str) -> str:
    """What there is to see."""
    return f"{name}: {say_range(answer.low, answer.high)}, {say_odds(answer.odds)}"


def save_rule_picture(path: Path, verdicts: Verdicts) -> None:
    """Writes the restorer's own rules against the log.

    Raises UsageError for another ending, where the file cannot be written, and where no rule is his own.
    """
    with _writing(path):
        from estimator.sheets.figures.rules import save_rules
        from estimator.sheets.layouts.rules import rule_rows

        rows = rule_rows(verdicts)
        if not rows:
            raise UsageError("None of the rules of thumb is your own yet.", "Write one into workshop.toml.")
        save_rules(path, rows, title="Your rules of thumb, and what your log says")


def save_record_picture(path: Path, record: TrackRecord) -> None:
    """Writes the last past boards, standing where the range held and lying where it missed, and who has been nearer.

    Raises UsageError for another ending, and where the file cannot be written.
    """
    with _writing(path):
        from estimator.sheets.figures.record import save_record

        save_record(path, record)


def save_bench_picture(path: Path, day: BenchDay, away: Sequence[tuple[dt.date, dt.date]] = ()) -> None:
    """Writes every board's promise on one calendar tape: a plumb line for the day told, a bracket for what is guessed.

    away: days on which nobody works, as pairs of the first and the last

    Raises UsageError for another ending, and where the file cannot be written.
    """
    with _writing(path):
        from estimator.sheets.figures.promises import save_promises

        save_promises(path, day, away=away)


def save_dates_picture(
    path: Path, promise: Promise, today: dt.date, away: Sequence[tuple[dt.date, dt.date]] = ()
) -> Path:
    """Writes the days of one board in hand as ten boards on a calendar tape, beside the picture of its hours.

    path: of that picture; returns where this one is: beside it, its name ending in -dates
    away: days on which nobody works, as pairs of the first and the last

    Raises UsageError for another ending, and where the file cannot be written.
    """
    beside = path.with_stem(f"{path.stem}-dates")
    with _writing(beside):
        from estimator.sheets.figures.ready_dates import save_ten_on_calendar

        save_ten_on_calendar(beside, promise, today, away=away)
    return beside


def save_pay_picture(path: Path, said: Weighing, settings: Settings) -> None:
    """Writes what a board pays as ten boards on a tape of pay.

    Raises UsageError for another ending, and where the file cannot be written.
    """
    with _writing(path):
        from estimator.sheets.figures.pay import save_pay

        save_pay(path, said, settings)


def save_quarter_picture(path: Path, review: Review) -> None:
    """Writes the money, and boards in the order in which they were ready, each leaning as its hours landed.

    Raises UsageError for another ending, and where the file cannot be written.
    """
    with _writing(path):
        from estimator.sheets.figures.quarter import save_quarter

        save_quarter(path, review)


def save_overrun_picture(path: Path, found: Overruns | BoardOverrun) -> None:
    """Writes what was said and what came on top, of all boards or of one, as a batten laid end to end.

    Raises UsageError for another ending, where the file cannot be written, and where no board can be judged.
    """
    from estimator.decide.overruns.parts import BoardOverrun, say_over

    if isinstance(found, BoardOverrun):
        boards, title = False, f"{found.name}: {say_over(found.took, found.guessed)}"
    elif found.boards:
        boards, title = True, "What made boards go over"
    else:
        raise UsageError("There is no finished board with a guess to draw.", "Write down your guesses.")
    with _writing(path):
        from estimator.sheets.figures.overruns import save_overrun
        from estimator.sheets.layouts.overruns import Batten

        save_overrun(path, Batten(found.guessed, found.took, found.hours, boards), title=title)


@contextmanager
def _writing(path: Path) -> Iterator[None]:
    """Refuses other endings, and says in words that a file cannot be written."""
    refuse(path)
    try:
        yield
    except OSError as error:
        raise UsageError(f"{path} cannot be written.", "Name a file in a folder that is yours.") from error
