"""How often `otherwise` is right about another habit, in shops played day by day under both habits.

A shop is played by plain rules that know nothing of the bench's simulation: boards come, take a place in the order in
which they came, are worked on in that order, stand and come back. The days under the first habit are its log. The
same boards, with the same hours, waits and days at work, are then played under the second: that is the truth that
the command is held against. It speaks where the replay is near, and where luck allows either more days kept or fewer,
not both; it is right where the truth has that sign.

Run from the top of the project: python tests/studies/study_otherwise.py [SHOPS [FIRST_SEED]]
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

from making.played_shop import one_shop
from studies.results import keep

from estimator.decide.otherwise import Habit

HABITS = (
    Habit(places=2),
    Habit(places=1),
    Habit(places=5),
    Habit(strip_first=True),
    Habit(small_on=4),
    Habit(days=(0, 1, 2, 3)),
)


def main(shops: int, first: int) -> None:
    """Prints and keeps how often it is right, habit by habit."""
    rows = [row for seed in range(first, first + shops) for row in one_shop(seed, HABITS)]
    lines = ["habit                     shops  near  speaks  right  wrong  truth 0  near of boards"]
    for habit in [*dict.fromkeys(str(row["habit"]) for row in rows), "all"]:
        of = [row for row in rows if habit in {row["habit"], "all"}]
        heard = [row for row in of if "said" in row]
        speaks = [row for row in heard if row["low"] > 0 or row["high"] < 0]
        right = sum(row["truth"] * (1 if row["low"] > 0 else -1) > 0 for row in speaks)
        none = sum(row["truth"] == 0 for row in speaks)
        wrong = len(speaks) - right - none
        near = sum(row["near"] for row in of) / sum(row["boards"] for row in of)
        lines.append(
            f"{habit:25} {len(of):5} {len(heard):5} {len(speaks):7} {right:6} {wrong:6} {none:8} {near:15.2f}"
        )
    print(*lines, sep="\n")
    keep("otherwise", f"{first} to {first + shops - 1}", lines)


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[1:]]
    main(*(numbers + [200, 7001][len(numbers) :]))
