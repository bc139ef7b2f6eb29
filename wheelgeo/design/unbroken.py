"""What is begun on the disk is ended before the program is: an end that is asked for waits."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

ENDING = ("SIGINT", "SIGTERM", "SIGHUP")
"""Signals that ask for an end: the terminal's Ctrl-C, the system's, the terminal's own end."""


@contextmanager
def unbroken() -> Iterator[None]:
    """Put off an end that is asked for until all within is done; asked twice, it waits no longer.

    An interrupt may come between any two steps, as between making a folder and noting that it was
    made. Signals come to the main thread alone: in others nothing is put off.
    """
    before: dict[int, Any] = {}
    asked: list[int] = []

    def later(number: int, _: object) -> None:
        if number in asked:
            signal.signal(number, before[number])
            signal.raise_signal(number)
        asked.append(number)

    if threading.current_thread() is threading.main_thread():
        for name in ENDING:
            number = getattr(signal, name, None)
            now = None if number is None else signal.getsignal(number)
            if number is not None and now not in (None, signal.SIG_IGN):
                before[number] = now
                signal.signal(number, later)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        for number in asked:
            signal.raise_signal(number)
