"""One workshop: its settings, its log, what was learned, and the answers. Interfaces call this alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from estimator.log.cache import CACHE, keep, kept
from estimator.log.names import board_named
from estimator.words.errors import EstimatorError, NoAnswerError, UnreadableError, UsageError
from estimator.words.records import FINISHED, Told, price_told
from estimator.workbench import Workbench

if TYPE_CHECKING:
    from estimator.decide.overruns.overruns import Overruns
    from estimator.decide.quarter.review import Known, Review
    from estimator.decide.weigh.promise_impact import Added
    from estimator.decide.weigh.weighing import Weighing
    from estimator.forecast.ranges import Range
    from estimator.log.edits import KeptDecision, KeptTelling
    from estimator.record.backtest.track_record import TrackRecord
    from estimator.record.rules.verdicts import Verdicts


_T = TypeVar("_T")


class Shop(Workbench):
    """A workshop folder and the answers that it gives; see Folder for `open`, its day and its seed."""

    def range(
        self,
        board: str | Mapping[str, object],
        *,
        odds: float = 0.8,
        view: str | None = None,
        over: float | Sequence[float] | None = None,
        change: Mapping[str, object] | None = None,
        dates: bool = False,
    ) -> Range:
        """Hours of a board in the log, or of one described by its quantities.

        board: id or short name, or a mapping of quantities, `kind`, `length`, `width`, `outline`, `guess` to values
        as they stand in a cell ("?" is not known)
        odds: chance that the range holds; view: before, opened or finished, or None for what the log knows
        over: hours whose chance of being passed is wanted; change: values set on a board of the log
        dates: say when the board will be ready too, behind all that is in hand; left out, dates of boards in hand are
            said where `bench` has worked them out for this log and day

        Raises UsageError for an unknown board, name or view; UnreadableError for a value that cannot be read;
        NoAnswerError where neither rules nor log can tell.
        """
        from estimator.forecast.answers import answer
        from estimator.forecast.described import described, taken_as_none
        from estimator.forecast.views import VIEWS

        if view is not None and view not in VIEWS:
            raise UsageError(f'"{view}" is no view.', f"Views are {', '.join(VIEWS)}.")
        fit = self.fit()
        none: tuple[str, ...] = ()
        if isinstance(board, str):
            wanted = board_named(board, fit.boards, "Or describe one, for instance by kind=major.")
            if change:
                wanted = described(change, self.settings, wanted)
                view = view or ("before" if wanted.state == FINISHED else None)
        else:
            wanted = described(board, self.settings)
            view = view or "before"
            none = taken_as_none(board, wanted, self.settings)
        hours = [] if over is None else [over] if isinstance(over, int | float) else list(over)
        if any(not 0 <= h < 1e6 for h in hours):
            raise UnreadableError(
                "Hours to pass must be a number of hours.", "Write for instance 40.", field="over"
            )
        stretch = self._stretch()
        said = answer(
            fit, wanted, self.settings, odds=odds, view=view, over=hours, seed=self.seed, stretch=stretch
        )
        said = replace(said, taken_as_none=none) if said.stages else said
        if dates:
            plain = isinstance(board, str) and not change
            return replace(said, ready=self._ready(wanted.board if plain else wanted))
        from estimator.bench.promises import dates_from_json

        return replace(
            said, ready=None if change else dates_from_json(kept(self._kept_dates)).get(said.board)
        )

    def rules(self) -> Verdicts:
        """What past boards say of each rule of thumb; from the cache where neither log nor settings changed.

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        from estimator.model.saved_fit import MODEL_VERSION
        from estimator.record.rules.verdicts import VERDICTS_VERSION, verdicts_from_json

        fit, day = self.fit(), self.earlier
        name = f"rules-{MODEL_VERSION}.{VERDICTS_VERSION}-{self.seed}-{day or 'all'}-{self.digest}.json"
        file = self.folder / CACHE / name
        try:
            return verdicts_from_json(kept(file))
        except EstimatorError:
            pass
        from estimator.record.rules.judging import judge

        judged = judge(self.known[0], self.settings, fit, today=day, seed=self.seed)
        keep(file, judged.to_json())
        return judged

    def record(self, *, progress: Callable[[int, int], None] | None = None, jobs: int = -1) -> TrackRecord:
        """How past ranges went: every past board forecast anew from what was known before it was quoted.

        Each forecast is kept, so that a new board costs one; so is the stretch that it teaches, for `range`.
        progress: told how many boards of how many are done; jobs: processes, -1 for one a core

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        from estimator.record.backtest.run import look_back

        return look_back(
            self.log,
            self.settings,
            self.fit(),
            self.folder / CACHE,
            today=self.today or dt.date.min,
            seed=self.seed,
            jobs=jobs,
            progress=progress,
        )

    def weigh(
        self,
        board: str,
        *,
        price: float | None = None,
        terms: str | None = None,
        ceiling: float | None = None,
        strip_fee: float | None = None,
        odds: float = 0.8,
    ) -> Weighing:
        """Whether to take a board on: what it pays under terms, whose dates it moves, what opening it first is worth.

        board: id or short name of one that is not ready; price: left out, the one quoted in the log
        terms: fixed, ceiling or open-first, None for all three; odds: of pay, and of the price that pays what is wanted
        ceiling: not passed without asking, left out as far above the price as such a board passes its middle 1 time in
            10, at most a quarter; strip_fee: for opening up, left out its hours at the pay that is wanted

        Raises UsageError for a board that is unknown or over, and for money or terms that cannot be; NoAnswerError
        where neither rules nor log tell its hours, or no day is known to look from.
        """
        from estimator.decide.weigh.assess import BenchToday, weigh
        from estimator.decide.weigh.open_first import draws_of
        from estimator.decide.weigh.promise_impact import hours_in_hand, moved_by
        from estimator.decide.weigh.terms import question_of

        fit, log, today = self.fit(), self.known[0], self._looking_from()
        known = board_named(board, fit.boards)
        row = log.by_id[known.board]
        question = question_of(row, price, terms, ceiling, strip_fee, odds)
        draws = draws_of(fit, known, self.settings, odds=odds, seed=self.seed, stretch=self._stretch())
        standing = BenchToday.of(log, self.settings, today)
        try:
            outlook = self._outlook
            standing = replace(standing, hours_in_hand=hours_in_hand(outlook, known.board))
            standing = replace(standing, moved=moved_by(outlook, known, today))
        except NoAnswerError as error:
            standing = replace(standing, no_dates=str(error))
        return weigh(row, question, draws, standing, self.settings, self.seed)

    def overruns(self) -> Overruns:
        """What made finished boards go over the restorer's own guess, and what goes with it.

        Raises NoAnswerError where the likeliest rates cannot be found.
        """
        from estimator.decide.overruns.overruns import all_overruns

        log, rules = self.known
        return all_overruns(log, self.settings, as_of=self.earlier, rules=rules, seed=self.seed)

    def quarter(
        self, name: str, *, progress: Callable[[int, int], None] | None = None, jobs: int = -1
    ) -> Review:
        """A quarter looked back on: whether it paid, what was kept, what made boards go over, what to change.

        name: as 2026-Q3; one that still runs is told so far, one to come shows what is in hand
        progress: told how many past boards of how many are done; jobs: processes, -1 for one a core

        The first time the past is forecast anew, as `record` does it, and rules of thumb are judged; both are kept.
        What of it cannot be told is left out, and said. Raises UnreadableError where the name is no quarter,
        NoAnswerError where no day is known to look from.
        """
        from estimator.decide.quarter.periods import Quarter
        from estimator.decide.quarter.review import review_of

        quarter = Quarter.read(name, self._looking_from())
        then = type(self).open(self.folder, today=quarter.end, seed=self.seed)
        notes: list[str] = []
        # as of its last day, like the stretch that it teaches: else work in hand would hang on the day of reading
        record = _tried(lambda: then.record(progress=progress, jobs=jobs), notes)
        known = replace(then.known_then(notes), now=self.known[0], record=record, notes=notes)
        return review_of(quarter, known, seed=self.seed)

    def known_then(self, notes: list[str]) -> Known:
        """What is known on this day to look back with, but for the record; notes: gets why some of it is not."""
        from estimator.decide.overruns.parts import board_overruns
        from estimator.decide.quarter.review import Known

        log, rules = self.known
        return Known(
            now=log,
            then=log,
            settings=self.settings,
            rules=rules,
            verdicts=_tried(self.rules, notes),
            overruns=_tried(
                lambda: board_overruns(log, self.settings, as_of=self.earlier, rules=rules, seed=self.seed),
                notes,
            ),
            fit=_tried(self.fit, notes),
            outlook=_tried(lambda: self._outlook, notes),
            stretch=self._stretch(),
        )

    def tell(self, said: Told, *, hours: bool = True) -> KeptTelling:
        """What an owner was told, kept as one row more; what is left out is what `range` and `bench` say that day.

        said: its board by id or short name; hours: False where hours were not spoken of

        Raises UsageError where it cannot be told or written, NoAnswerError where there is no range.
        """
        from estimator.log.edits import FOR_ASKED_LATER, checked, keep_telling

        log = self._whole[0]  # of all days: nothing is put before what was told since
        board = board_named(said.board, log.boards)
        earlier = [telling for telling in log.told if telling.board == board.board]
        said = checked(said, board, earlier)
        if hours:
            said = replace(said, odds=said.odds or 0.8)
        if hours and said.hours_low is None:
            answer = self.range(board.board, odds=said.odds or 0.8)
            said = replace(said, hours_low=answer.low, hours_high=answer.high)
        if earlier and said.because == FOR_ASKED_LATER:
            more, later = self._wishes(board.board)
            said = replace(said, adds_hours=more, adds_days=later)
        if said.last is None and (ready := self._ready(board.board)) is not None:
            said = replace(said, first=ready.low, last=ready.high)
        written = keep_telling(self.folder, self.settings, said, board, earlier)
        self._forget()
        return written

    def agree(
        self, board: str, more: Mapping[str, object], *, odds: float = 0.8, price: float | None = None
    ) -> Added:
        """What an owner asked for since and agreed to: kept in the board's row, and what he was told as a row more.

        price: what it adds, or takes off where less is asked for; left out, what `asked_since` says, to the nearest ten
        The telling holds the hours and days of the whole board then, and the price before with what came on top.

        Raises as `asked_since` does. Where the telling cannot be kept, the notes say so and why.
        """
        from estimator.decide.weigh.promise_impact import telling_of
        from estimator.words.money import to_the_ten

        said = self.asked_since(board, more, odds=odds, keep=True)
        kept = said.kept
        if kept is None or kept.file is None:
            return said
        log = self._whole[0]
        row = board_named(board, log.boards)
        old = price_told(row, log.told)
        extra = to_the_ten(said.price.for_target) if price is None and said.price.target else price
        if price is not None and said.hours.high < 0:
            extra = -price
        try:
            told = self.tell(telling_of(said, row.board, self._looking_from(), old, extra))
        except (UsageError, NoAnswerError) as error:
            return replace(said, kept=replace(kept, notes=(*kept.notes, str(error))))
        return replace(said, kept=replace(kept, told=told))

    def decide(self, board: str, answer: str, *, why: str, for_love: bool = False) -> KeptDecision:
        """What was decided of a board, kept in its own row with the reason; what stood there before is said.

        board: id or short name; answer: yes, no or open-first; for_love: taken whatever it pays, and counted apart

        Raises UsageError where the board is unknown or ready, and where it cannot be written.
        """
        from estimator.log.edits import decision_of, keep_decision

        row = board_named(board, self._whole[0].boards)
        if row.state == FINISHED:
            raise UsageError(f"{row.name} is ready, and there is nothing left to decide.")
        kept = keep_decision(self.folder, self.settings, row, decision_of(answer, why, for_love=for_love))
        self._forget()
        return kept


def _tried(what: Callable[[], _T], notes: list[str]) -> _T | None:
    """What is asked for; None where there is no answer, and why is noted."""
    try:
        return what()
    except NoAnswerError as error:
        if str(error) not in notes:
            notes.append(str(error))
        return None
