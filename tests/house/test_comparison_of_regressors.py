"""The comparison of regressors is itself right: splits, peers, measures, luck, and what is kept."""

import json

import numpy as np
import pandas as pd
import pytest
from sklearn.metrics import mean_pinball_loss
from studies import compare_regressors as bench
from studies.measuring import PROBS, fault, measured, scored
from studies.peers import PEERS, JackknifePlus, ReferenceClass, most_telling
from studies.real_tables import RealTable, dummies, real_tables, splits
from studies.regressor_results import Results, draw, say
from studies.study_jackknife import KEPT, ours

HERE_ALWAYS = [name for name, make in PEERS.items() if not make.needs]


def made(n=30, *, seed=0, time_order=False):
    """Hours of a made-up shop: a length, a count with zeros, a sort, a constant, and a column that repeats another."""
    rng = np.random.default_rng(seed)
    length, count, sort = rng.uniform(1, 4, n), rng.poisson(1.0, n), rng.integers(0, 2, n)
    y = (2 + 3 * length + count) * np.exp(0.2 * rng.standard_normal(n))
    X = pd.DataFrame(
        {"length": length, "count": count, "sort": sort, "once": 1.0, "twice": 2 * length}
    ).astype(float)
    return RealTable("made", "invented", X, y, time_order=time_order)


@pytest.mark.parametrize("n", [14, 25, 52, 300])
@pytest.mark.parametrize("time_order", [False, True])
def test_splits_judge_on_other_rows_and_later_ones_where_there_is_an_order(n, time_order):
    table = made(n, time_order=time_order)
    for learn, test in splits(table, 9):
        assert not set(learn) & set(test)
        assert len(learn) in {10, 20, 40, 60}
        assert 4 <= len(test) <= 50
        assert max(*learn, *test) < n
        if time_order:
            assert test.min() == learn.max() + 1
            assert np.array_equal(learn, np.arange(learn[0], learn[-1] + 1))
    few, more = list(splits(table, 2)), list(splits(table, 5))
    assert all(
        np.array_equal(a, b)
        for one, two in zip(few, more, strict=False)
        for a, b in zip(one, two, strict=True)
    )


def test_sorts_become_columns_of_0_and_1_without_the_most_frequent():
    got = dummies(pd.Series(["b", "a", "b", "c"], name="sort"))
    assert got.columns.tolist() == ["sort=a", "sort=c"]
    assert got.to_numpy().tolist() == [[0, 0], [1, 0], [0, 0], [0, 1]]
    assert dummies(pd.Series(list("aabbcd"), name="s"), most=2).columns.tolist() == ["s=b", "s=other"]


def test_tables_are_as_promised():
    tables = real_tables()
    assert len({table.name for table in tables}) == len(tables) >= 30
    for table in tables:
        X = table.X.to_numpy(float)
        assert np.isfinite(X).all()
        assert (X >= 0).all()
        assert (table.y > 0).all()
        assert len(table.y) == len(X) >= 14
        assert table.source


@pytest.mark.parametrize("name", HERE_ALWAYS)
@pytest.mark.parametrize("rows", [4, 12, 30])
def test_peers_answer_in_order_and_never_below_zero(name, rows):
    table, new = made(rows), made(7, seed=1)
    new.X.loc[0] = [40.0, 30.0, 1.0, 2.0, 0.0]  # far outside
    probs = np.array([0.05, 0.3, 0.5, 0.9])
    points = PEERS[name]().fit(table.X.to_numpy(), table.y).quantiles(new.X.to_numpy(), probs)
    assert np.isfinite(points).all()
    assert (points >= 0).all()
    assert points.shape == (7, 4)
    assert (np.diff(points, axis=1) >= 0).all()


@pytest.mark.parametrize("name", [name for name in HERE_ALWAYS if name != "reference class"])
def test_peers_learn_from_drivers(name):
    table, new = made(60), made(60, seed=1)
    data = table.X.to_numpy(), table.y, new.X.to_numpy(), new.y
    assert scored(name, *data)["pinball"] < 0.7 * scored("reference class", *data)["pinball"]


def test_jackknife_plus_by_hand():
    # no driver: the middle without a row is the mean log of the others
    y = np.exp([1.0, 2.0, 3.0, 6.0])
    got = JackknifePlus().fit(np.ones((4, 1)), y).quantiles(np.ones((1, 1)), np.array([0.25, 0.5, 0.75]))
    middle, misses = np.array([11, 10, 9, 6]) / 3, np.array([8, 4, 0, 12]) / 3
    # the middle half: the third of four from below and from above, since half of 4 + 1 is more than two
    assert np.log(got[0]) == pytest.approx(
        [np.sort(middle - misses)[1], 9.5 / 3, np.sort(middle + misses)[2]]
    )


def test_jackknife_plus_as_a_library_gives_it():
    """Against limits that `tests/studies/study_jackknife.py` keeps, of the library that it names."""
    kept = json.loads(KEPT.read_text("utf-8"))
    assert kept["library"].startswith("mapie ")
    got = ours(*(np.array(kept[name]) for name in ("X", "y", "new")))
    assert got == pytest.approx(np.array(kept["limits"]), abs=1e-7)


def test_drivers_with_few_rows_are_those_that_tell_most():
    Z = np.random.default_rng(0).standard_normal((9, 5))
    assert most_telling(Z, Z[:, 3] + 0.5 * Z[:, 1]).tolist() == [1, 3]


def test_measures_are_the_known_ones():
    rng = np.random.default_rng(0)
    y, q = rng.lognormal(2, 1, 40), np.sort(rng.lognormal(2, 1, (40, 19)), axis=1)
    got = measured(q, y)
    one_by_one = [mean_pinball_loss(y, q[:, j], alpha=p) for j, p in enumerate(PROBS)]
    assert got["pinball"] / got["n"] == pytest.approx(np.mean(one_by_one))
    # an interval score is the two pinball losses over half of what is left outside
    assert got["interval"] / got["n"] == pytest.approx((one_by_one[1] + one_by_one[17]) * 2 / 0.2)
    assert got["inside"] == sum(a <= v <= b for a, v, b in zip(q[:, 1], y, q[:, 17], strict=True))


class Failing(ReferenceClass):
    def fit(self, _X, _y):
        raise ValueError("too few rows")


class Crossing(ReferenceClass):
    def quantiles(self, X, probs):
        return super().quantiles(X, probs)[:, ::-1]


@pytest.mark.parametrize(("peer", "why"), [(Failing, "ValueError: too few rows"), (Crossing, "points cross")])
def test_a_failure_counts_and_takes_the_points_of_the_reference_class(monkeypatch, peer, why):
    monkeypatch.setitem(PEERS, "poor", peer)
    table = made()
    data = table.X.to_numpy()[:20], table.y[:20], table.X.to_numpy()[20:], table.y[20:]
    got = scored("poor", *data)
    assert got["failed"] == why
    assert got["pinball"] == scored("reference class", *data)["pinball"]


@pytest.mark.parametrize(
    ("points", "why"),
    [
        (np.full((2, 19), np.nan), "not a finite number"),
        (np.full((2, 19), -1.0), "below 0"),
        (np.ones((2, 18)), "shape"),
    ],
)
def test_faults_of_points_are_named(points, why):
    assert why in fault(points, 2)


def test_results_are_kept_by_code_and_data(monkeypatch, tmp_path, capsys):
    monkeypatch.setattr(bench, "KEPT", tmp_path)
    tables, names = [made(40), made(25, seed=2)], ["reference class", "log-log"]
    first = bench.compare(tables, names, n_splits=3, jobs=1)
    kept = sorted(tmp_path.rglob("*.json"))
    assert len(kept) == 2 * 2 * 3
    monkeypatch.setattr(bench, "scored", None)  # nothing is worked out again
    again = bench.compare(tables, names, n_splits=3, jobs=1)
    assert np.array_equal(first.scores["pinball"], again.scores["pinball"])
    assert first.scores["interval"][:, 0].tolist() == [1.0, 1.0]
    with pytest.raises(TypeError):
        bench.compare([made(40, seed=3)], names, n_splits=1, jobs=1)
    say(first, each=True)
    assert "log-log" in capsys.readouterr().out


def test_luck_is_that_of_the_tables():
    rng = np.random.default_rng(0)
    best = rng.uniform(0.3, 0.9, 50)
    scores = np.column_stack([0.9 * best, best, np.full(50, 0.95)])
    found = Results([""] * 50, ["ours", "ridge", "forest"], {"pinball": scores}, scores, scores, {})
    assert found.luck("pinball")[0] == "ridge"
    assert found.luck("pinball")[1] == pytest.approx([0.9] * 3)
    logs = np.log(0.95) + 0.2 * rng.standard_normal(50)
    scores[:, 0] = best * np.exp(logs)
    _, (ratio, low, high) = found.luck("pinball")
    half = 1.645 * logs.std() / 50**0.5
    assert np.log([ratio, low, high]) == pytest.approx(
        [logs.mean(), logs.mean() - half, logs.mean() + half], abs=0.01
    )
    assert found.mean_ranks("pinball").sum() == pytest.approx(6)


def test_the_chart_is_written(tmp_path):
    scores = np.array([[0.5, 0.6, 1.0]])
    both = {"pinball": scores, "interval": scores**2}
    found = Results(["one"], ["ours", "log-log", "reference class"], both, scores, scores, {})
    draw(found, tmp_path / "chart.svg")
    assert "over 1 tables" in (tmp_path / "chart.svg").read_text(encoding="utf-8")


def test_peers_are_chosen_by_how_their_names_begin():
    assert bench.chosen("log,bayes") == ["log-log", "Bayesian ridge", "reference class"]
    with pytest.raises(SystemExit, match="no peer 'zzz'"):
        bench.chosen("zzz")
