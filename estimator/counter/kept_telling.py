"""What a telling leaves out, as the worker has left it: a page writes what is worked out, and works nothing out."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from estimator.counter.answer_files import AsOf, PageQuestion, newest
from estimator.counter.step_questions import TELLING
from estimator.counter.workplace import Counter
from estimator.log.steps.read_back import Agreement
from estimator.snapshot import Snapshot
from estimator.words.errors import NoAnswerError, UsageError
from estimator.words.page_labels import page_label
from estimator.words.records import Told
from estimator.working_day import filled_in


@dataclass(frozen=True, slots=True)
class KeptDayAnswers:
    """The answers of a day, of those that the worker has left of the log as it stands.

    counter: at which they are asked for; now: the log as it stands
    """

    counter: Counter
    now: Snapshot

    def filled_in(
        self, said: Told, *, hours: bool = True, first: bool = True, last: bool = True, earlier: bool = False
    ) -> Told:
        """A telling with what it leaves out.

        Raises UsageError where that is still being worked out, NoAnswerError where there is no range.
        """
        return filled_in(said, self, hours=hours, first=first, last=last, earlier=earlier)

    def hours_of(self, board: str, odds: float) -> tuple[float, float]:  # noqa: ARG002  pages ask at the usual odds
        """The ends of a board's range; raises NoAnswerError where there is none."""
        hours = self._figures(board, "hours")["hours"]
        if isinstance(hours, str):
            raise NoAnswerError(hours, page_label("telling-cure"), field="hours")
        low, high = hours
        return low, high

    def wishes_of(self, board: str) -> tuple[float | None, float | None]:
        """The hours and days that all its owner has asked for since adds."""
        more, later = self._figures(board, "because")["wishes"]
        return more, later

    def days_of(self, board: str) -> tuple[dt.date, dt.date] | None:
        """Before which day a board is not ready, and the day to tell."""
        days = self._figures(board, "last")["days"]
        return days and (dt.date.fromisoformat(days[0]), dt.date.fromisoformat(days[1]))

    def agreement(self, *_: object, **__: object) -> Agreement:
        """Raises UsageError: what an owner asks for since is worked out and shown before he agrees."""
        raise UsageError(page_label("since-first"), page_label("since-first-cure"), field="more")

    def _figures(self, board: str, field: str) -> Mapping[str, Any]:
        """What is worked out of a board by the log as it stands; asked for, where it is not there.

        field: of the form, at which it is said that it is not there
        """
        question, day = PageQuestion(TELLING, board), self.counter.clock()
        as_of = AsOf.on(self.now.digest, day, self.counter.seed)
        found = newest(question, self.counter.folder)
        if (found is None or found.as_of != as_of) and self.counter.worker is not None:
            self.counter.worker.ask(question, as_of)
            found = newest(question, self.counter.folder)
        if found is None or found.as_of != as_of:
            gone = self.counter.worker is None or self.counter.worker.gone
            raise UsageError(
                page_label("worker-gone" if gone else "telling-waits"),
                page_label("telling-cure"),
                field=field,
            )
        if found.refused:
            raise NoAnswerError(found.refused, page_label("telling-cure"), field=field)
        return dict(json.loads(str(part)) for part in found.parts.get("figures", ()))
