"""The days to come in plain Python, one draw at a time, from the rules as they are written: a referee."""

import math


class SlowBoard:
    def __init__(self, job, draw):
        self.job = job
        k = range(len(job.stages))
        self.todo = {i: float(job.hours[i, draw]) for i in k if job.hours[i, draw] > 0}
        self.messages = {i for i in k if job.hours[i, draw] <= 0 < job.waits[i, draw]}
        self.wait = [float(job.waits[i, draw]) for i in k]
        self.free = [max(math.ceil(job.free[i, draw]), math.ceil(job.first[draw])) for i in k]
        self.session = [float(job.hours[i, draw]) / int(job.sessions[i, draw]) for i in k]
        self.piece = dict(enumerate(self.session))
        self.before = [{j for j in k if self.reaches(i, j)} for i in k]
        self.order = sorted(k, key=lambda i: len(self.before[i]))
        self.begun = job.place != "queue"
        self.on_bench = job.place == "bench"
        self.ready = self.worked = 0.0
        self.started = 0 if self.begun else None
        self.next = None

    def reaches(self, i, j):
        """Whether stage i comes after stage j, near or far."""
        return any(
            self.job.after[i, m] and (m == j or self.reaches(m, j)) for m in range(len(self.job.stages))
        )

    def may(self, i):
        return not self.before[i] & (self.todo.keys() | self.messages)

    def look(self, day):
        """The first stage, in order of work, that may begin, else the soonest."""
        able = [i for i in self.order if i in self.todo and self.may(i)]
        now = [i for i in able if self.free[i] <= day]
        self.next = (
            now[0] if now else min(able, key=lambda i: (self.free[i], self.order.index(i)), default=None)
        )

    @property
    def day(self):
        return math.inf if self.next is None else self.free[self.next]

    def over(self, i, day, season):
        wait = self.wait[i]
        if season is not None and self.job.seasonal[i]:
            wait *= season[min(int(day), len(season) - 1)]
        end = day + math.ceil(wait - 1e-9)
        self.ready = max(self.ready, end)
        for j in range(len(self.job.stages)):
            if i in self.before[j]:
                self.free[j] = max(self.free[j], end)
        for j in self.order:
            if j in self.messages and self.may(j):
                self.messages.remove(j)
                self.over(j, self.free[j], season)

    def open_messages(self, season):
        for j in self.order:
            if j in self.messages and self.may(j):
                self.messages.remove(j)
                self.over(j, self.free[j], season)


def slowly(jobs, hours, *, places, most_on_one, order, season=None, ahead=None, turn=None, draw=0):
    """Ready days, first days and hours of each job, and the first day free for one more.

    hours: of day after day; ahead: by job; turn: (day) -> which job comes first that day, None: by the order
    """
    boards = [SlowBoard(job, draw) for job in jobs]
    for board in boards:
        board.open_messages(season)
        board.look(0)
    in_order = [boards[i] for i in sorted(range(len(jobs)), key=lambda i: order[i])]
    for i, b in enumerate(boards):
        b.number, b.ahead = i, ahead is not None and bool(ahead[i])
    first_free, day = None, 0
    while any(b.todo or b.messages for b in boards) or first_free is None:
        left = hours(day)
        working = left > 1e-9
        for b in boards:
            if b.on_bench and b.day - (day - 1) >= 2:  # as it was the evening before
                b.on_bench = False
        if working:
            for begun in (True, False):
                # those of the line that are taken before it come first
                for b in sorted(
                    (b for b in in_order if b.begun == begun), key=lambda b: not begun and not b.ahead
                ):
                    able = b.day <= day and not b.on_bench and not b.job.rack[b.next]
                    if able and sum(o.on_bench for o in boards) < places + begun:  # one is squeezed in
                        b.on_bench = True
        used = dict.fromkeys(boards, 0.0)
        while left > 1e-9:
            able = [
                b for b in in_order
                if b.day <= day and used[b] < most_on_one - 1e-9 and (b.on_bench or b.job.rack[b.next])
            ]  # fmt: skip
            if not able:
                break
            b = able[0] if turn is None else min(able, key=lambda b: turn(day)[b.number])
            i = b.next
            took = min(left, most_on_one - used[b], b.piece[i])
            left -= took
            used[b] += took
            b.worked += took
            b.begun = True
            b.started = day if b.started is None else b.started
            b.piece[i] -= took
            b.todo[i] -= took
            if b.piece[i] <= 1e-9:
                if b.todo[i] <= 1e-8:
                    del b.todo[i]
                    b.over(i, day, season)
                else:
                    b.piece[i] = min(b.session[i], b.todo[i])
                    b.free[i] = day + 1
                b.look(day)
        if working and left > 1e-9 and first_free is None and sum(b.on_bench for b in boards) < places:
            first_free = day
        day += 1
    started = [b.ready if b.started is None else b.started for b in boards]
    return [b.ready for b in boards], started, [b.worked for b in boards], first_free
