"""What was, as shapes: a quarter's money and boards, past ranges, what made boards go over, looks, rules of thumb."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from estimator.counter.shapes import INK, PENCIL, Curve, DrawingPart, Line, Point
from estimator.counter.tapes import WIDTHS, TapeDrawing, along_rail, crossing
from estimator.decide.looks import Looks
from estimator.decide.overruns.overruns import Overruns
from estimator.decide.quarter.control_chart import Chart
from estimator.decide.quarter.review import QuarterMoney, Review
from estimator.record.backtest.track_record import JudgedBoard, TrackRecord
from estimator.record.rules.verdicts import Verdicts
from estimator.said.quarter import money_sentence
from estimator.sheets.layouts.letters import width_px
from estimator.sheets.layouts.looks import GAP, TALL, LooksLayout, look_rows, looks_caption, looks_legend
from estimator.sheets.layouts.money import CLEAR as MONEY_CLEAR
from estimator.sheets.layouts.money import HIGH, SLANT, money_pieces, money_px
from estimator.sheets.layouts.overruns import CLEAR as CUT
from estimator.sheets.layouts.overruns import LEADER, THICK, Batten, BattenLayout, SawnPiece
from estimator.sheets.layouts.quarter import CLEAR as QUARTER_CLEAR
from estimator.sheets.layouts.quarter import (
    HANGS,
    PEG,
    ROOM,
    SIDES,
    SWING,
    chart_px,
    drawn_boards,
    hangs_at,
    in_a_row,
    legend_lines,
    quarter_caption,
    tall_px,
    turn_of,
)
from estimator.sheets.layouts.record import (
    AIR,
    AVERAGE,
    BELOW_ROW,
    CLEAR,
    HALF,
    LAST,
    NOTCH,
    OURS,
    POST,
    POST_HIGH,
    THEIRS,
    WIDEST_GAP,
    NearerLayout,
    RecordLayout,
    against,
    board_px,
    count_lines,
    heading,
    nearer_heading,
    rival_words,
)
from estimator.sheets.layouts.rules import BOARD, BRACKET, RuleBracket, RuleLayout, RulesLayout, rule_rows
from estimator.sheets.layouts.standing import HATCH, RAIL_SHAPE, SLIM
from estimator.sheets.layouts.tape import FIRM, TAPE, THIN, FigureLayout
from estimator.words.money import say_money
from estimator.words.settings.schema import Settings

FLAT = 90.0  # degrees from upright
LOW = 25.0  # pixels: a board no longer than that has no stringer
APART = 24.0  # pixels between two drawings of one figure
TEETH = (0.0, 4.0, -2.0, 3.0, -3.0, 1.0)  # pixels: where a batten is broken off, because it goes on
LEAN = 3.0  # pixels by which a saw cut of a batten leans
Drawings = tuple[DrawingPart, ...]


class PastDrawing(TapeDrawing):
    """Shapes of boards that stand, lean and lie, and of words; upwards in pixels from where nought is.

    top: pixels from nought to the upper edge; left: pixels from the left edge to the layout's own
    """

    def __init__(self, layout: FigureLayout, top: float, below: float = 0.0, left: float = 0.0) -> None:
        self.layout, self.shapes = layout, []
        self.top, self.below, self.left = top, below, left

    def done(self, says: str, wide: float | None = None) -> DrawingPart:
        """The drawing; wide: of all of it, where the layout is of a part."""
        return DrawingPart(says, wide or self.layout.wide, self.top + self.below, tuple(self.shapes))

    def at(self, px: float, up: float) -> Point:
        """A place, in pixels from the top left."""
        return px + self.left, self.top - up

    def leaning(self, px: float, floor: float, high: float, turn: float) -> None:
        """A board in ink whose foot is at a place, and which touches the floor; hatched where it leans to the right.

        turn: degrees from upright, to the right above 0
        """
        wide, angle = high / SLIM, math.radians(turn)
        cos, sin = math.cos(angle), math.sin(angle)
        rail = [(x * wide, y * high) for x, y in RAIL_SHAPE]
        whole = [*rail[1:], *((-x, y) for x, y in reversed(rail[1:-1]))]
        lowest = min(y * cos - x * sin for x, y in (*whole, (0.0, 0.0)))

        def placed(x: float, y: float) -> Point:
            return px + x * cos + y * sin, floor + y * cos - x * sin - lowest

        round_ = [self.at(*placed(*one)) for one in whole]
        three = tuple((round_[i], round_[i + 1], round_[i + 2]) for i in range(1, len(round_), 3))
        self.shapes.append(Curve(round_[0], three, FIRM))
        if high > LOW:
            self.line([placed(0.0, 0.0), placed(0.0, high)], 0.6)
        if turn > 0:
            half = along_rail(rail)
            outline = [(0.0, 0.0), *half, (0.0, high), *((-x, y) for x, y in reversed(half))]
            rise = -wide
            while rise < high:
                if ends := crossing(outline, rise):
                    self.line([placed(*one) for one in ends], 0.9)
                rise += HATCH

    def standing_in_pencil(self, px: float, floor: float, high: float) -> None:
        """A board that may still land anywhere."""
        before = len(self.shapes)
        self.leaning(px, floor, high, 0.0)
        outline, *rest = self.shapes[before:]
        assert isinstance(outline, Curve)
        stringer = [replace(one, colour=PENCIL) for one in rest if isinstance(one, Line)]
        self.shapes[before:] = [replace(outline, wide=THIN, colour=PENCIL, broken=True), *stringer]

    def lines_of(
        self, lines: Sequence[str], top: float, *, left: float = 0.0, slanted: bool = False
    ) -> float:
        """Lines of words from the top down; returns where they end."""
        for said in lines:
            self.words(left, top - self.layout.letters, said, across="start", slanted=slanted)
            top -= self.layout.line
        return top


def _both(draw: Callable[[float], DrawingPart]) -> Drawings:
    """A drawing once for each width."""
    return tuple(draw(wide) for wide in WIDTHS)


def quarter_drawings(review: Review) -> Drawings:
    """The money of a quarter as one batten, and below it past boards leaning as their hours landed, each width once.

    None where there is neither.
    """
    drawn = review.money is not None or (review.chart is not None and review.chart.boards)
    return _both(lambda wide: _quarter(review, wide)) if drawn else ()


def _quarter(review: Review, wide: float) -> DrawingPart:
    layout, chart = FigureLayout(0.0, wide, wide), review.chart
    money = money_px(wide) + APART if review.money is not None else 0.0
    high = chart_px(review, wide) + money
    on = PastDrawing(layout, high)
    says, top = quarter_caption(review), high - money
    if review.money is not None:
        _money(on, review.money, review.currency, high)
        says = f"{says} {money_sentence(review)}"
    if chart is not None and chart.boards:
        top = _leaning_boards(on, chart, top)
        if chart.enough:
            top = _plumb_line(on, chart, top)
    on.lines_of(legend_lines(review, wide), top)
    return on.done(says)


def _money(on: PastDrawing, money: QuarterMoney, currency: str, high: float) -> None:
    """The batten, sawn into materials, rent and what is left."""
    size, wide = on.layout.letters, on.layout.wide
    end, pieces = money_pieces(money, currency, wide)
    top = high - on.layout.line - MONEY_CLEAR
    foot = top - HIGH
    on.words(0.0, high - size, f"in {say_money(money.came_in, currency)}", across="start")
    on.line([(0, foot), (end, foot), (end, top), (0, top), (0, foot)], 2 * FIRM)
    for one in pieces:
        if one.short:
            missing = [(one.left, foot), (one.right, foot), (one.right, top), (one.left, top)]
            on.line(missing, FIRM, broken=True)
        elif one is not pieces[-1] and 0 < one.right <= wide:
            cut = [(one.right - SLANT, foot - MONEY_CLEAR / 2), (one.right + SLANT, top + MONEY_CLEAR / 2)]
            on.line(cut, FIRM)
    under = foot - MONEY_CLEAR
    for n, one in enumerate(pieces, 1):
        on.words(one.number_at, under - size, str(n))
    on.lines_of([f"{n} {one.words}" for n, one in enumerate(pieces, 1)], under - on.layout.line)


def _leaning_boards(on: PastDrawing, chart: Chart, top: float) -> float:
    """The boards in rows, each on a line, thick where it is of the quarter; returns where they end."""
    wide = on.layout.wide
    tall, step, boards = tall_px(wide), tall_px(wide) + ROOM, drawn_boards(chart)
    for first in range(0, len(boards), in_a_row(wide)):
        floor = top - tall - QUARTER_CLEAR
        for n, one in enumerate(boards[first : first + in_a_row(wide)]):
            at, turn = (n + 0.5) * step, turn_of(one.score)
            on.leaning(at - math.sin(math.radians(turn)) * tall / 2, floor + FIRM, tall, turn)
            heavy = 3.0 if one in chart.looked_at else 1.0
            on.line([(at - step / 2, floor), (at + step / 2, floor)], heavy * THIN)
        top = floor - QUARTER_CLEAR
    return top


def _plumb_line(on: PastDrawing, chart: Chart, top: float) -> float:
    """A plumb line that hangs as the boards lean between two pegs, in pencil where it hung; returns where it ends."""
    middle, nail = on.layout.wide / 2, top - QUARTER_CLEAR
    floor, newest = nail - HANGS - QUARTER_CLEAR, chart.boards[-1].line
    worst = max((one.line for one in chart.looked_at), key=abs, default=newest)
    for line, pencil in ((worst, True), (newest, False)):
        if pencil and not chart.back:
            continue
        across = hangs_at(line, chart.limit)
        tip = (middle + across, nail - math.sqrt(max(HANGS**2 - across**2, 0.0)))
        on.line([(middle, nail), tip], FIRM, colour=PENCIL if pencil else INK, broken=pencil)
        if not pencil:
            _dot(on, tip, 4.5)
    _dot(on, (middle, nail), 2.0)
    on.line([(middle - 2 * SWING, floor), (middle + 2 * SWING, floor)], THIN)
    for way, words, side in zip((-1, 1), SIDES, ("end", "start"), strict=True):
        at = middle + way * SWING
        on.line([(at, floor), (at, floor + PEG)], 3 * THIN)
        on.words(middle + way * (2 * SWING + QUARTER_CLEAR), floor, words, across=side)
    return floor - 2 * QUARTER_CLEAR


def _dot(on: PastDrawing, at: Point, half: float) -> None:
    """A round dot, as eight corners."""
    turns = [math.pi / 4 * n for n in range(8)]
    on.line([(at[0] + half * math.cos(t), at[1] + half * math.sin(t)) for t in turns], 0.0, fill=INK)


def record_drawings(record: TrackRecord) -> Drawings:
    """The last boards in a row, standing where the range held and lying where it missed, once for each width."""
    if not record.judged:
        return ()
    return _both(lambda wide: _record(record, wide))


def _record(record: TrackRecord, wide: float) -> DrawingPart:
    layout = RecordLayout(record, wide, LAST, with_words=False)
    on = PastDrawing(layout, layout.high)
    floor, number = layout.high - 2, 0
    for row in layout.rows:
        floor -= layout.row_px(row)
        number = _row_of_boards(on, layout, row, floor, number)
        if any(board.side for board in row):
            floor -= BELOW_ROW + layout.line
        floor -= BELOW_ROW
    for said, at, across in zip(layout.sides, (0.0, wide), ("start", "end"), strict=False):
        on.words(at, floor - layout.letters, said, across=across)
    return on.done(" ".join((f"{heading(record)}.", *count_lines(record))))


def _row_of_boards(
    on: PastDrawing, layout: RecordLayout, row: Sequence[JudgedBoard], floor: float, number: int
) -> int:
    """One row on its floor; number: misses before it. Returns misses up to its end."""
    on.line([(0, floor), (layout.wide, floor)], FIRM)
    high, wide = layout.tall, layout.tall / SLIM
    taken = sum(board_px(board, high) for board in row) + 2 * FIRM
    gap = min((layout.wide - taken) / max(len(row) - 1, 1), WIDEST_GAP)
    left = FIRM
    for board in row:
        if not board.side:
            if board.side is None:
                on.standing_in_pencil(left + wide / 2, floor, high)
            else:
                on.leaning(left + wide / 2, floor, high, 0.0)
        else:
            number += 1
            post = left + POST / 2 if board.side == 1 else left + high + POST / 2
            foot = post + board.side * POST / 2
            on.line([(post, floor), (post, floor + POST_HIGH * wide)], FIRM)
            on.leaning(foot, floor, high, FLAT * board.side)
            on.words(foot + board.side * high / 2, floor - BELOW_ROW - layout.letters, str(number))
        left += board_px(board, high) + gap
    return number


def nearer_drawings(record: TrackRecord) -> Drawings:
    """How far off other ways of saying hours were, and ours, once for each width; none where nothing can be said."""
    return _both(lambda wide: _nearer(record, wide)) if against(record) else ()


def _nearer(record: TrackRecord, wide: float) -> DrawingPart:
    layout = NearerLayout(record, wide)
    on = PastDrawing(layout, layout.above, layout.below)
    foot = -layout.below + 0.4 * layout.letters
    for n, said in enumerate(reversed(layout.note)):
        on.words(0.0, foot + n * layout.line, said, across="start")
    foot += len(layout.note) * layout.line
    on.tape(AVERAGE, (wide, foot + (0 if layout.key_beside else layout.line)), whole=True)
    top = on.lines_of(layout.heading, layout.above)
    for i, rival in enumerate(layout.rivals):
        level = on.lines_of(layout.rows[i], top) - NOTCH - AIR
        ours, theirs = layout.px(rival.our_off), layout.px(rival.off)
        on.line([(ours, level), (theirs, level)], FIRM)
        _notch(on, ours, level, ours=True)
        _notch(on, theirs, level, ours=False)
        top -= layout.row_px(i)
    left = 0.0
    for said, ours_ in ((OURS, True), (THEIRS, False)):
        _notch(on, left + HALF + 1, foot + (0 if ours_ else NOTCH), ours=ours_)
        left += 2 * HALF + CLEAR
        on.words(left, foot, said, across="start")
        left += width_px(said, layout.letters) + 2 * CLEAR
    all_ = [f"{nearer_heading(record)}, in {AVERAGE}.", *(f"{rival_words(one)}." for one in layout.rivals)]
    return on.done(" ".join(all_))


def _notch(on: PastDrawing, px: float, level: float, *, ours: bool) -> None:
    """Ours points down and is filled, theirs points up and is hollow."""
    back = level + (NOTCH if ours else -NOTCH)
    corners = [(px, level), (px - HALF, back), (px + HALF, back)]
    if ours:
        on.line(corners, 0.0, fill=INK)
    else:
        on.line([*corners, corners[0]], FIRM)


def overruns_drawings(found: Overruns) -> Drawings:
    """What was said of all boards, and what came on top, as a batten laid end to end, once for each width."""
    if not found.boards:
        return ()
    batten = Batten(found.guessed, found.took, found.hours, boards=True)
    return _both(lambda wide: _batten(batten, wide))


def _batten(batten: Batten, wide: float) -> DrawingPart:
    layout = BattenLayout(batten, wide)
    on = PastDrawing(layout, layout.above, layout.below)
    on.tape("hours", (wide, -TAPE - 1.3 * layout.letters), whole=layout.left < 0)
    upper, lower = layout.foot + THICK, layout.foot
    edge = [(layout.px(0.0), upper), (layout.px(0.0), lower)]
    if layout.left > 0:
        step = THICK / (len(TEETH) - 1)
        edge = [(4 + tooth, upper - n * step) for n, tooth in enumerate(TEETH)]
    took = layout.px(batten.took)
    on.line([*edge, (took, lower), (took, upper), edge[0]], FIRM)
    for piece in layout.pieces:
        start, end = layout.px(piece.start), layout.px(piece.end)
        if piece.off:
            off = [(start, lower), (end, lower), (end, upper), (start, upper)]
            on.line([*off, off[0]], THIN, colour=PENCIL, broken=True)
            on.hatch(off, lower - (end - start))
            continue
        on.line([(start - LEAN, lower - CUT / 2), (start + LEAN, upper + CUT / 2)], FIRM)
        if piece.part == "asked_later":
            for part in (0.32, 0.68):
                on.line([(start, lower + part * THICK), (end, lower + part * THICK)], THIN)
    for piece, px in (*layout.over, *layout.under):
        _number(on, layout, piece, px)
    foot = on.lines_of(layout.head, -TAPE - layout.line - CUT)
    for number, lines in layout.list:
        on.words(layout.indent - CUT, foot - layout.letters, str(number), across="end")
        foot = on.lines_of(lines, foot, left=layout.indent)
    return on.done(batten.sentence)


def _number(on: PastDrawing, layout: BattenLayout, piece: SawnPiece, px: float) -> None:
    """A piece's number above the batten, or below it where it is sawn off, with a leader to its middle."""
    edge, way = (layout.foot, -1) if piece.off else (layout.foot + THICK, 1)
    on.line([(layout.px(piece.middle), edge + way * CUT / 2), (px, edge + way * LEADER)], THIN, colour=PENCIL)
    on.words(px, edge + LEADER + CUT if way > 0 else edge - LEADER - layout.letters, str(piece.number))


def looks_drawings(found: Looks, settings: Settings) -> Drawings:
    """How boards turned out that looked so, once for each width; none where no look has boards enough."""
    rows = look_rows(found, settings)

    def draw(wide: float) -> DrawingPart:
        layout = LooksLayout(rows, looks_legend(rows), wide)
        on = PastDrawing(layout, layout.high)
        top = layout.high
        for lines, boards in layout.rows:
            top = on.lines_of(lines, top)
            for row in boards:
                top -= TALL + GAP
                on.line([(0, top), (wide, top)], THIN)
                for side, px in row:
                    on.leaning(px, top + THIN, TALL, FLAT * side)
                top -= GAP
            top -= GAP
        for said, px, across in zip(layout.sides, (0.0, wide), ("start", "end"), strict=True):
            on.words(px, top - layout.letters, said, across=across)
        on.lines_of(layout.legend, top - layout.line)
        return on.done(looks_caption(rows))

    return _both(draw) if rows else ()


def rules_drawings(verdicts: Verdicts) -> Drawings:
    """The restorer's own rules of thumb on their tapes, with past boards; none where no rule is his."""
    rows = rule_rows(verdicts)
    says = " ".join(f"{row.words}; {'; '.join(one.words for one in row.brackets)}." for row in rows)

    def draw(wide: float) -> DrawingPart:
        layout = RulesLayout(rows, wide)
        shapes = []
        for one, left, top in layout.places:
            on = PastDrawing(one, top + one.above, one.below, left)
            _rule(on, one)
            shapes += on.shapes
        last = PastDrawing(FigureLayout(0.0, layout.wide, layout.wide), layout.high)
        last.lines_of(layout.legend, layout.line * len(layout.legend))
        return DrawingPart(says, wide, layout.high, (*shapes, *last.shapes))

    return _both(draw) if rows else ()


def _rule(on: PastDrawing, layout: RuleLayout) -> None:
    """One rule: its words, what it says and what the log says as brackets, past boards, and a tape."""
    on.tape(layout.unit, (layout.wide, -layout.below + 0.35 * layout.letters), whole=True)
    foot = layout.above - layout.line + 4
    for said in layout.words:
        on.words(0.0, foot, said, across="start")
        foot -= layout.line
    for line in layout.say:
        for one, px, across in zip(line, (0.0, layout.wide), ("start", "end"), strict=False):
            on.words(px, foot, one.words, across=across, slanted=one.pencil)
        foot -= layout.line
    for n, one in enumerate(reversed(layout.row.brackets)):
        _bracket(on, one, layout.brackets_at + n * BRACKET + 5.0)
    for side, px, floor in layout.boards:
        on.leaning(px, floor, BOARD, FLAT * side)


def _bracket(on: PastDrawing, one: RuleBracket, level: float) -> None:
    """A range with its ends turned down; guessed in pencil, else in ink."""
    low, high = on.layout.px(one.low), on.layout.px(one.high)
    points = [(low, level - 5.0), (low, level), (high, level), (high, level - 5.0)]
    on.line(points, THIN if one.pencil else FIRM, colour=PENCIL if one.pencil else INK, broken=one.pencil)
