"""Where a function is least: golden section."""

from __future__ import annotations

import math
from collections.abc import Callable

_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0


def least(function: Callable[[float], float], low: float, high: float) -> float:
    """Return where between two places a function is least, by golden section.

    A place without a value counts as endlessly high.
    """

    def height(x: float) -> float:
        value = function(x)
        return math.inf if math.isnan(value) else value

    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_left, at_right = height(left), height(right)
    while high - low > 1e-9 * max(abs(low), abs(high), 1e-3):
        if at_left <= at_right:
            high, right, at_right = right, left, at_left
            left = high - _GOLDEN * (high - low)
            at_left = height(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + _GOLDEN * (high - low)
            at_right = height(right)
    return left if at_left <= at_right else right
