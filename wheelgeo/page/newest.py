"""Which question of a window is its newest: an older one that is still looked into is given up."""

from __future__ import annotations

from wheelgeo.errors import SearchError
from wheelgeo.page.reading import Ask, number_in, text_in

MOST_WINDOWS = 200
"""So many windows are known; of more the one that asked first is forgotten, and waits for all."""


class NewestAsked:
    """The number of the newest question of each window that numbers its questions."""

    def __init__(self) -> None:
        self._numbers: dict[str, float] = {}

    def comes(self, ask: Ask) -> None:
        """Note a question as it comes, before there is a thread to answer it.

        Raises:
            BadAskError: it has a number or a window that is none.
        """
        if "asking" not in ask:
            return
        window, number = text_in(ask, "window"), number_in(ask, "asking", 0.0)
        self._numbers[window] = max(number, self._numbers.get(window, 0.0))
        if len(self._numbers) > MOST_WINDOWS:
            del self._numbers[next(iter(self._numbers))]

    def hold_to(self, ask: Ask) -> None:
        """Give up a question that its window has overtaken with a newer one.

        Raises:
            SearchError: it is overtaken.
        """
        newest = self._numbers.get(str(ask.get("window")), 0.0)
        if "asking" in ask and number_in(ask, "asking", 0.0) < newest:
            raise SearchError("a newer question was asked meanwhile: this one is given up")
