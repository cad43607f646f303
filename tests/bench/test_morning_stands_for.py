"""What a board stands for of a morning, where it stands for two things at once."""

from making.hands import MONDAY, day, job, outlook, waits

from estimator.bench.jobs import BoardSeen
from estimator.bench.morning import bench_day
from estimator.words.records import Board, Log, Wait


def leave(*rows, **law):
    """Until when, and why, a board that was stripped is left alone."""
    made = job(
        booked={"strip": 4.0}, done=["strip"], seen=BoardSeen(MONDAY, standing=rows), law=waits(**law),
        infill=3.0,
    )  # fmt: skip
    log = Log((Board("a", state="on bench"),), waits=rows)
    [said] = bench_day(outlook([made], log=log, law=waits(**law)), MONDAY, day(-1)).leave
    return said.until, said.why


def test_of_drying_and_an_answer_the_one_that_ends_last_is_named():
    """The answer is there in four days; the foam is dry in two, or in nine."""
    foam, answer = Wait("a", day(-9), None, "drying"), Wait("a", day(-3), None, "owner")

    assert leave(foam, answer, drying=10.5, message=6.5) == (day(4), "waiting for the owner")
    assert leave(foam, answer, drying=17.5, message=6.5) == (day(9), "the foam is drying")
    assert leave(foam, answer, drying=12.5, message=6.5) == (
        day(4),
        "waiting for the owner",
    )  # both on one day
