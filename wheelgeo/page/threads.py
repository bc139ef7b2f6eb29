"""Threads that answer questions and that nobody waits for when the program ends."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Executor, Future
from queue import Empty, SimpleQueue
from typing import Any, ParamSpec, TypeVar

_P = ParamSpec("_P")
_T = TypeVar("_T")


class AnsweringThreads(Executor):
    """So many threads, which do what is handed to them one after the other.

    The standard library's own are waited for at the end of the program, however long they compute.

    Args:
        count: how many.
        name: what they are called.
        at_rest: done by a thread that has worked, once nothing was handed to it for a while.
        rest_s: how long that while is, s.
    """

    def __init__(
        self, count: int, name: str, at_rest: Callable[[], object] | None = None,
        rest_s: float = 0.0,
    ) -> None:  # fmt: skip
        self._at_rest = at_rest
        self._rest_s = rest_s
        self._work: SimpleQueue[tuple[Future[Any], Callable[[], Any]]] = SimpleQueue()
        for number in range(count):
            threading.Thread(target=self._do, name=f"{name}-{number}", daemon=True).start()

    def submit(
        self, work: Callable[_P, _T], /, *args: _P.args, **kwargs: _P.kwargs
    ) -> Future[_T]:
        """Hand over some work; return what will hold its outcome."""
        future: Future[_T] = Future()
        self._work.put((future, lambda: work(*args, **kwargs)))
        return future

    def _do(self) -> None:
        worked, at_rest = False, self._at_rest
        while True:
            try:
                future, work = self._work.get(timeout=self._rest_s if worked and at_rest else None)
            except Empty:
                assert at_rest is not None
                at_rest()
                worked = False
                continue
            if future.set_running_or_notify_cancel():
                try:
                    future.set_result(work())
                except BaseException as error:  # told to whoever waits for it
                    future.set_exception(error)
            del future, work  # nothing of an answer is kept while the next question is waited for
            worked = True
