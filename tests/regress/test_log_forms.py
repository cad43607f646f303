"""Drivers forget their units, and columns that say nothing are left out."""

import numpy as np
import pytest

from estimator.regress.log_forms import Drivers

X = np.array([[1.0, 0, 5, 0, 3], [2.0, 4, 5, 1, 3], [4.0, 8, 5, 1, 3], [8.0, 2, 5, 0, 3]])
T = np.log([1.0, 2.0, 4.0, 9.0])


def test_columns_that_never_change_are_left_out():
    assert sorted(Drivers.learn(X, T).kept.tolist()) == [0, 1, 3]
    assert Drivers.learn(np.zeros((4, 2)), T).kept.size == 0


def test_the_most_telling_column_stands_first():
    assert Drivers.learn(X, T).kept[0] == 0
    assert Drivers.learn(X[:, ::-1], T).kept[0] == 4


def test_logs_have_mean_0_and_spread_1_and_no_units():
    drivers = Drivers.learn(X, T)
    logs = drivers.logs(X)
    other = X * [60, 0.1, 1, 7, 2]

    assert logs.mean(axis=0) == pytest.approx(np.zeros(3), abs=1e-12)
    assert logs.std(axis=0) == pytest.approx(np.ones(3))
    assert Drivers.learn(other, T).logs(other) == pytest.approx(logs)
    assert Drivers.learn(other, T).amounts(other) == pytest.approx(drivers.amounts(X))


def test_a_yes_no_column_is_no_amount():
    drivers = Drivers.learn(X, T)
    assert dict(zip(drivers.kept.tolist(), drivers.yes_no.tolist(), strict=True)) == {
        0: False,
        1: False,
        3: True,
    }


def test_columns_that_were_nothing_on_some_row_are_those():
    drivers = Drivers.learn(X, T)
    zeros = dict(zip(drivers.kept.tolist(), drivers.zeros.tolist(), strict=True))
    assert zeros == {0: False, 1: True, 3: True}


def test_far_rows_are_held():
    drivers = Drivers.learn(X, T)
    far = drivers.logs(np.full((1, 5), 1e300))

    assert np.abs(far).max() == 8
    assert np.isfinite(drivers.logs(np.zeros((1, 5)))).all()


def test_amounts_are_multiples_of_their_mean():
    drivers = Drivers.learn(X, T)
    assert drivers.amounts(X).mean(axis=0) == pytest.approx(np.ones(3))
