"""What the comparison of regressors found: means, ranks, luck, in words and as a chart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.stats import rankdata
from studies.measuring import OURS

MEASURES = ("pinball", "interval")


@dataclass(frozen=True)
class Results:
    """What was measured, by table (rows) and peer (columns)."""

    tables: Sequence[str]
    peers: Sequence[str]
    scores: dict[str, np.ndarray]  # by measure, as multiples of the reference class
    held: np.ndarray
    seconds: np.ndarray
    failed: dict[str, list[str]]  # by peer, why

    def geometric_means(self, measure: str) -> np.ndarray:
        return np.exp(np.log(self.scores[measure]).mean(axis=0))

    def mean_ranks(self, measure: str) -> np.ndarray:
        return rankdata(self.scores[measure], axis=1).mean(axis=0)

    def luck(self, measure: str, draws: int = 4000) -> tuple[str, np.ndarray]:
        """The best peer, and ours over it: the geometric mean, then 5 and 95 % points of drawing tables anew."""
        means = dict(zip(self.peers, self.geometric_means(measure), strict=True))
        best = min((p for p in self.peers if p != OURS), key=means.__getitem__)
        columns = self.scores[measure][:, [self.peers.index(OURS), self.peers.index(best)]]
        logs = np.log(columns[:, 0] / columns[:, 1])
        drawn = np.random.default_rng(0).choice(logs, (draws, len(logs))).mean(axis=1)
        return best, np.exp([logs.mean(), *np.quantile(drawn, [0.05, 0.95])])


def say(found: Results, *, each: bool) -> None:
    """Prints it."""
    if each:
        for measure in MEASURES:
            print(f"{measure + ' / reference class':30s}" + "".join(f"{p[:9]:>10s}" for p in found.peers))
            for name, row in zip(found.tables, found.scores[measure], strict=True):
                print(f"{name[:29]:30s}" + "".join(f"{v:10.3f}" for v in row))
            print()
    means = {m: found.geometric_means(m) for m in MEASURES}
    ranks = {m: found.mean_ranks(m) for m in MEASURES}
    print(f"{len(found.tables)} tables           pinball  rank  interval  rank   held  failed   fit, s")
    for j in np.argsort(means["pinball"]):
        print(
            f"{found.peers[j]:20s}{means['pinball'][j]:7.3f}{ranks['pinball'][j]:6.2f}{means['interval'][j]:10.3f}"
            f"{ranks['interval'][j]:6.2f}{found.held[:, j].mean():7.1%}{len(found.failed[found.peers[j]]):8d}"
            f"{found.seconds[:, j].mean():9.3f}"
        )
    for name, reasons in found.failed.items():
        for why in sorted(set(reasons)):
            print(f"  {name} failed {reasons.count(why)} times: {why}")
    if OURS in found.peers and len(found.peers) > 1:
        for measure in MEASURES:
            best, (ratio, low, high) = found.luck(measure)
            print(
                f"ours / {best}, {measure}: {ratio:.3f}, {low:.3f} to {high:.3f} in 9 of 10 draws of tables"
            )


def draw(found: Results, path: Path) -> None:
    """Saves a dot for each peer's two means."""
    from estimator.sheets.drawing.style import BROKEN, ON_PAPER, save_titled, write
    from estimator.sheets.layouts.letters import letters_px, points, width_px
    from estimator.sheets.layouts.tape import FIRM, THIN

    wide, step = 640.0, 30.0
    size, means = letters_px(wide), {m: found.geometric_means(m) for m in MEASURES}
    order = np.argsort(-means["pinball"])
    room = max(width_px(p, size) for p in found.peers) / (wide - 24) * 1.15
    high = max(1.05, *(float(means[m].max()) for m in MEASURES))
    low = 0.9 * min(float(means[m].min()) for m in MEASURES)

    def fill(axes) -> None:
        axes.set_axis_off()
        axes.set_xlim(low - room / (1 - room) * (high - low), high)
        axes.set_ylim(-1.6, len(order) - 0.3)
        axes.plot([1, 1], [-0.6, len(order) - 0.4], color=ON_PAPER.pencil, lw=points(THIN), ls=BROKEN)
        for row, j in enumerate(order):
            ours = found.peers[j] == OURS
            write(
                axes,
                (low - 0.01, row),
                found.peers[j],
                size,
                colour=ON_PAPER.ink,
                bold=ours,
                across="right",
                down="center",
            )
            ends = means["pinball"][j], means["interval"][j]
            axes.plot(ends, [row, row], color=ON_PAPER.pencil, lw=points(THIN))
            for x, face in zip(ends, (ON_PAPER.ink, ON_PAPER.paper), strict=True):
                axes.plot(x, row, "o", ms=points(9), mfc=face, mec=ON_PAPER.ink, mew=points(FIRM))
        for tick in np.arange(np.ceil(low * 10), np.floor(high * 10) + 1) / 10:
            write(axes, (tick, -1.3), f"{tick:.1f}", size, colour=ON_PAPER.pencil)

    save_titled(
        path,
        fill,
        title="Loss beside the reference class; open: 8-in-10 ranges",
        says=f"Mean losses of {len(order)} regressions over {len(found.tables)} tables beside the reference class",
        wide_px=wide,
        body_px=step * (len(order) + 1.3),
    )
