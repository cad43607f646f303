"""Writers that are killed, and two at once: every act that was acknowledged is whole, none is doubled. The short form.

That is no proof against power loss: what the system has taken over is written there, whoever is killed.
"""

import random
from collections import Counter

import pytest
from making.books import book, log_of
from making.writing import killed_until_done, writer

from estimator.log.book.store import BookStore


@pytest.fixture
def folder(tmp_path):
    return book(tmp_path / "shop", boards=[{"board": "A"}]).folder


def acts_in(folder):
    """How often each act is there, the halves of it that are read, and how many weights."""
    store = BookStore(folder)
    log, problems, _ = log_of(store)
    assert problems == ()
    sentences = Counter(act.sentence for act in store.acts(100_000) if act.sentence != "the log so far")
    return sentences, Counter(entry.note for entry in log.entries), len(log.weighings)


def test_killed_at_any_moment_each_act_is_whole_and_there_once(folder):
    dice, many = random.Random(1), 60
    kills = killed_until_done(folder, many, lambda: dice.uniform(0.01, 0.1))
    assert kills >= 3
    acts, halves, weights = acts_in(folder)
    assert acts == Counter({f"w-{n}": 1 for n in range(many)})
    assert halves == Counter({f"w-{n} {half}": 1 for n in range(many) for half in (1, 2)})
    assert weights == many


def test_two_writers_at_once_lose_nothing_and_each_keeps_its_order(folder):
    both = [writer(folder, name, 60) for name in "ab"]
    assert [process.communicate()[0].split() for process in both] == [[str(n) for n in range(60)]] * 2
    acts, halves, weights = acts_in(folder)
    assert len(acts) == 120
    assert set(halves.values()) == {1}
    assert weights == 120
    said = [act.sentence for act in reversed(BookStore(folder).acts(1000))][1:]
    for name in "ab":
        assert [one for one in said if one.startswith(name)] == [f"{name}-{n}" for n in range(60)]
