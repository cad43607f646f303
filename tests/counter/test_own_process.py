"""A process of our own: this very Python, one thread, and our package from where it is."""

import sys

from estimator.counter.own_process import running, surroundings


def test_it_is_run_by_this_python_with_one_thread(monkeypatch):
    monkeypatch.setenv("OMP_NUM_THREADS", "8")
    monkeypatch.setenv("SHOP_OF_MINE", "kept")
    monkeypatch.setattr(sys, "path", ["", "/one", "/two"])
    around = surroundings()

    assert running("estimator.x", "a", "b") == (sys.executable, "-m", "estimator.x", "a", "b")
    threads = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
    assert [around[name] for name in threads] == ["1"] * 4
    assert (around["SHOP_OF_MINE"], around["MPLBACKEND"]) == ("kept", "Agg")
    assert around["PYTHONPATH"].split(":" if ":" in around["PYTHONPATH"] else ";") == ["/one", "/two"]
