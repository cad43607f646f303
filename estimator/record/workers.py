"""Work that is shared out among processes, which run nothing that lies about in the folder one stands in."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from threading import Thread
from typing import TypeVar

T = TypeVar("T")
LOOK = 1.0  # seconds between looks at whether the parent is there
SAFE_PATH = "PYTHONSAFEPATH"  # of Python 3.11: modules are not looked for in the current folder


def each(work: Callable[..., T], many: Iterable[tuple[object, ...]], *, jobs: int) -> Iterator[T]:
    """What `work` makes of each of many arguments, in whatever order they are done.

    many: the arguments of each call; jobs: processes at once, as joblib counts them

    The processes are those of joblib's backend, loky unless the caller chose another by `joblib.parallel_config`, so
    that the work can be shared out among machines. A backend that hands nothing over before all is done, as
    multiprocessing, is heard at its end.

    Where it is left before its end, also by an error or a signal, the processes are ended; where this very process is
    killed they end by themselves.

    >>> sorted(each(divmod, [(7, 2), (9, 4)], jobs=1))
    [(2, 1), (3, 1)]
    """
    from joblib import Parallel, delayed

    calls = (delayed(_with_parent)(os.getpid(), work, *arguments) for arguments in many)
    with _safe_path():
        try:
            shared = Parallel(n_jobs=jobs, return_as="generator_unordered")
        except ValueError:  # of joblib, where the backend can only hand over all at once
            yield from Parallel(n_jobs=jobs)(calls)
            return
        done = shared(calls)
        try:
            yield from done
        finally:
            done.close()


def _with_parent(parent: int, work: Callable[..., T], *arguments: object) -> T:
    """What `work` makes of its arguments, in a process that ends when that is gone which began it."""
    _watch(parent)
    return work(*arguments)


@cache
def _watch(parent: int) -> None:
    """Begins to look, once in a process, whether its parent is there; on another machine the parent is none of ours."""
    if os.getppid() == parent:
        Thread(target=_end_without, args=(parent,), daemon=True).start()


def _end_without(parent: int) -> None:
    """Ends this process once another has become its parent: nobody waits for what it works out."""
    while os.getppid() == parent:
        time.sleep(LOOK)
    os._exit(1)


@contextmanager
def _safe_path() -> Iterator[None]:
    """Python as it is started while this lasts looks for no modules in the folder one stands in."""
    before = os.environ.get(SAFE_PATH)
    os.environ[SAFE_PATH] = "1"
    try:
        yield
    finally:
        if before is None:
            os.environ.pop(SAFE_PATH, None)
        else:
            os.environ[SAFE_PATH] = before
