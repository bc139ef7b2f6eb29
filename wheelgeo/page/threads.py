"""Threads that answer questions and that nobody waits for when the program ends."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Executor, Future
from queue import SimpleQueue
from typing import Any, ParamSpec, TypeVar

_P = ParamSpec("_P")
_T = TypeVar("_T")


class AnsweringThreads(Executor):
    """So many threads, which do what is handed to them one after the other.

    The standard library's own are waited for at the end of the program, however long they compute.
    """

    def __init__(self, count: int, name: str) -> None:
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
        while True:
            future, work = self._work.get()
            if future.set_running_or_notify_cancel():
                try:
                    future.set_result(work())
                except BaseException as error:  # told to whoever waits for it
                    future.set_exception(error)
            del future, work  # nothing of an answer is kept while the next question is waited for
