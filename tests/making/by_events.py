"""A workshop in a general-purpose library of discrete events (SimPy): one pair of hands, places, and a clock."""

import math
from dataclasses import dataclass

import simpy

QUARTERS = 4  # of an hour
A_DAY = 24 * QUARTERS


@dataclass
class Chain:
    """A board's stages one after another: quarters of an hour, days that it stands after each, sessions."""

    quarters: list
    nights: list
    sessions: list
    first: int = 0


def ready_by_events(boards, week, *, places, most):
    """The day on which each board is ready; those before others in the list are before them in all.

    week: quarters of an hour from Monday to Sunday; most: of them a day on one board
    """
    env = simpy.Environment()
    hands, bench = simpy.PreemptiveResource(env, 1), simpy.PriorityResource(env, places)
    days = {}
    env.process(_closed(env, hands, week))
    all_of_them = [
        env.process(_board(env, hands, bench, board, rank, most, days)) for rank, board in enumerate(boards)
    ]
    env.run(env.all_of(all_of_them))
    return [days[rank] for rank in range(len(boards))]


def _closed(env, hands, week):
    """Takes the hands away from the end of each day's hours until the next morning."""
    day = 0
    while True:
        yield env.timeout(week[day % len(week)])
        with hands.request(priority=-1) as request:
            yield request
            yield env.timeout((day + 1) * A_DAY - env.now)
        day += 1


def _until(env, day):
    return env.timeout(max(day * A_DAY - env.now, 0))


def _board(env, hands, bench, board, rank, most, days):
    """One board from its first day on: it holds a place from its turn to the night after its last stage."""
    used = {}
    yield _until(env, board.first)
    with bench.request(priority=rank) as place:
        yield place
        stages = zip(board.quarters, board.nights, board.sessions, strict=True)
        for to_come, (quarters, nights, sessions) in enumerate(stages, start=1 - len(board.quarters)):
            for session in range(sessions):
                if session:
                    yield _until(env, env.now // A_DAY + 1)
                yield from _session(env, hands, rank, quarters / sessions, most, used)
            days[rank] = env.now // A_DAY + math.ceil(nights)
            if nights and to_come:
                yield _until(env, days[rank])
        yield _until(env, env.now // A_DAY + 1)


def _session(env, hands, rank, left, most, used):
    """Work as the hands are free, day after day no more than a board takes."""
    while left:
        if used.get(env.now // A_DAY, 0) >= most:
            yield _until(env, env.now // A_DAY + 1)
        with hands.request(priority=rank) as turn:
            begun = None
            try:
                yield turn
                begun, today = env.now, env.now // A_DAY
                yield env.timeout(min(left, most - used.get(today, 0)))
            except simpy.Interrupt:
                pass
            if begun is not None:
                left -= env.now - begun
                used[today] = used.get(today, 0) + env.now - begun
