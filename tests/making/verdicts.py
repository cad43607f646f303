"""A verdict on a rule of thumb, by hand."""

from estimator.forecast.ranges import Spread
from estimator.record.rules.verdicts import Verdict


def verdict(**more):
    """A rule on sanding that is too low, but for what is given."""
    plain = {
        "name": "sanding", "text": "Sanding takes 3 to 4½ hours", "form": "stage", "lent": False, "odds": 0.8,
        "low": 3.0, "high": 4.5, "share": None, "verdict": "too low", "looks": None, "inside": 1, "below": 0,
        "above": 14, "of": 15, "evidence": 1e9, "would_do": None, "log": Spread(5.0, 6.6, 9.0),
        "both": Spread(5.0, 6.6, 9.0), "suggested": (5.3, 8.6), "worth_boards": 0.6,
        "cases": tuple((f"b{n}", 4.0 + n / 4) for n in range(15)),
    }  # fmt: skip
    return Verdict(**{**plain, **more})
