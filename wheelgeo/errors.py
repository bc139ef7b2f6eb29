"""The errors of the library: each derives from one base of ours and from the fitting builtin."""

from __future__ import annotations

from wheelgeo.immutable import dataclass


class WheelError(Exception):
    """Base of every error that the library raises on purpose."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong with an input, said so that its owner can mend it.

    Attributes:
        place: where it stands, for example ``pulley 3 "hub": rim``.
        says: what is wrong, with the value that was found.
        remedy: what would be right; empty when ``says`` already tells.
        key: full name of the input at fault, such as ``pulley:whorl.rim``; empty where it is none.
    """

    place: str
    says: str
    remedy: str = ""
    key: str = ""

    def __str__(self) -> str:
        """Return the fault as one line."""
        tail = f" - {self.remedy}" if self.remedy else ""
        return f"{self.place}: {self.says}{tail}" if self.place else f"{self.says}{tail}"


class DesignError(WheelError, ValueError):
    """A design file (or another input file) is at fault; holds every fault found.

    Attributes:
        faults: all faults of the file, in the order of their places.
        source: the file's name, where there is one.
    """

    def __init__(self, faults: tuple[Fault, ...], source: str = "") -> None:
        self.faults = faults
        self.source = source
        super().__init__("\n".join(str(f) for f in faults))


class PathError(WheelError, ArithmeticError):
    """No band path exists between two pulleys.

    Attributes:
        first: name of the pulley that the run leaves.
        second: name of the pulley that the run should reach.
        shortfall_mm: how many millimetres further apart the two must stand.
    """

    def __init__(self, message: str, first: str, second: str, shortfall_mm: float) -> None:
        self.first = first
        self.second = second
        self.shortfall_mm = shortfall_mm
        super().__init__(message)


class QuantityError(WheelError, ValueError):
    """A length, speed, fraction or other quantity could not be read."""


class OutputError(WheelError, OSError):
    """A result could not be written where it was asked for."""


class SearchError(WheelError, ValueError):
    """A search was asked for something that cannot be searched for, or has no answer."""


class UntoldError(SearchError):
    """A search hangs on what the design does not tell.

    Attributes:
        keys: full names of what would tell it, such as ``yarn.count``.
    """

    def __init__(self, message: str, keys: tuple[str, ...]) -> None:
        self.keys = keys
        super().__init__(message)


class ShapeError(WheelError, ValueError):
    """A part cannot be made in the shape that was asked for, such as a bore wider than its hub."""


class LayoutError(WheelError, ValueError):
    """A page has no room for what was to stand on it."""
