"""Kinds of value that only a wheel's file has: counts of yarn, limits, what was measured."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Literal

from wheelgeo.design.limits import LIMITS
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass
from wheelgeo.units import (
    ANGLE_DEG,
    FORCE_N,
    FRACTION,
    LENGTH_MM,
    MASS_G,
    PRESSURE_MPA,
    SPEED_RPM,
    Dimension,
    parse_measured,
)
from wheelgeo.units.in_full import figures
from wheelgeo.units.keys import Form, Key, TableKind
from wheelgeo.units.kind import Kind, RefusedError, Schema, Wrong
from wheelgeo.units.number_kinds import NUMBER, Bounds, NumberKind, number_text, text_schema
from wheelgeo.units.wording import shown

CountSystem = Literal["Nm", "Ne", "tex", "denier"]

HOLES = "write a whole number from 1 upwards"
MOST_SPOKES = 40
SPOKES = f"write a whole number from 5 to {MOST_SPOKES}"
FACTOR: Schema = {
    "description": "the twist, as a twist factor in the count's own convention: turns per metre / "
    "√Nm, turns per inch / √Ne, or turns per centimetre × √tex (of denier too)"
}
"""What an editor is told of a twist factor."""

DIMENSIONS: tuple[Dimension, ...] = (
    LENGTH_MM, ANGLE_DEG, FRACTION, FORCE_N, PRESSURE_MPA, SPEED_RPM, MASS_G, NUMBER,
)  # fmt: skip


@dataclass(frozen=True)
class Count:
    """Fineness of a yarn, as written: a value and its system; of a plied one that of a strand."""

    value: float
    system: CountSystem
    plies: int = 1


_COUNT = re.compile(r"\s*(?P<number>.*?)\s*(?P<system>[^\d\s./]*)\s*", re.DOTALL)
_SYSTEMS: Mapping[str, CountSystem] = {
    "Nm": "Nm",
    "Ne": "Ne",
    "tex": "tex",
    "denier": "denier",
    "den": "denier",
}
_COUNT_EXAMPLE = (
    'write it as "40 Nm", "23.6 Ne", "25 tex", "225 denier", "20 worsted", "16 linen lea", '
    '"12 woollen run", "14 French" or "1680 yards per pound"'
)
_PLIED = re.compile(
    r"^(?!\s*\d+[ \t]+\d+/\d+\s*[^\d\s/]+\s*$).*(/|×|\*|\d\s*x\s*\d|\bx\s*\d"
    r"|worsted|lea|run|french|ypp|yards per|^\s*(nm|ne|nec|tex)\s*\d)",
    re.IGNORECASE,
)
"""What the count of a plied yarn holds (a fraction is one only behind a whole, "1 1/2 Nm"), and
that of a trade that the file does not hold, or with its unit in front."""
_WRAPS = re.compile(r"\s*(?P<wraps>\d+(\.\d+)?)\s*(wpi|wraps?\b.*)", re.IGNORECASE)
_UNCERTAIN = re.compile(r"\s*(\+-|±)\s*(?P<half>\d+(\.\d+)?)")
COUNT_VALUE = NumberKind(NUMBER, "", Bounds(1e-6, 1e6, "more than 0 (at most 1 000 000)"))


def _strands(text: str) -> tuple[Count, float | None]:
    """Return a plied yarn as the count of one strand, with the half width of its uncertainty.

    A fault asks where it may mean two things.
    """
    from wheelgeo.design.plies import read_plies  # it stands on Count, which is declared here

    measured = _UNCERTAIN.search(text)
    plain = text if measured is None else text[: measured.start()] + text[measured.end() :]
    try:
        read = read_plies(plain)
    except QuantityError as error:
        says, _, remedy = str(error).partition(": write ")
        raise RefusedError(says, f"write {remedy}" if remedy else _COUNT_EXAMPLE) from error
    count = Count(read.single.value, read.single.system, read.plies)
    return count, None if measured is None else float(measured["half"]) * read.factor


def _no_count(wraps: float) -> Wrong:
    """Return why wraps to the inch are no count, and what it takes to have one."""
    from wheelgeo.design.counts import count_nm_of_wraps  # it stands on Count too

    low, high = count_nm_of_wraps(wraps)
    return (
        f"{wraps:g} wraps to the inch are a thickness and no count: a smooth yarn so thick "
        f"is about {figures(low)} Nm, a lofty one up to {figures(high)} Nm",
        "weigh a measured length (wheelgeo hank --weighed), and write the count",
    )


class CountKind(Kind):
    """The fineness of a yarn, with its system."""

    __slots__ = ()

    def read(self, value: object, unit: str) -> Count:
        """Return the count."""
        return self.read_measured(value, unit)[0]

    def read_measured(self, value: object, unit: str) -> tuple[Count, float | None]:
        """Return the count, and the half width of its uncertainty where one is given.

        Of a plied yarn, ``"2/28 Nm"`` or ``"2 x 28 Nm"``, it is the count of one strand: that is
        what the spindle spins.
        """
        del unit
        if not isinstance(value, str):
            raise RefusedError(f"{shown(value)} has no unit of count", _COUNT_EXAMPLE)
        if _PLIED.search(value[:200]):
            return _strands(value[:200])
        if wraps := _WRAPS.fullmatch(value[:200]):
            raise RefusedError(*_no_count(float(wraps["wraps"])))
        match = _COUNT.fullmatch(value[:200])
        system = _SYSTEMS.get(match["system"]) if match else None
        if match is None or system is None:
            raise RefusedError(f"{shown(value)} has no known unit of count", _COUNT_EXAMPLE)
        try:
            number, half = parse_measured(match["number"], NUMBER, "")
        except QuantityError as error:
            raise RefusedError(f"{shown(value)} is no count", _COUNT_EXAMPLE) from error
        return Count(number, system), half

    def wrong(self, value: Any, written: object = None) -> Wrong | None:
        """Return what is wrong with the count."""
        if not isinstance(value, Count) or value.system not in _SYSTEMS.values():
            return f"{shown(value)} is no count", _COUNT_EXAMPLE
        return COUNT_VALUE.wrong(value.value, written)

    def written(self, value: Count, unit: str, half: float | None = None) -> str:
        """Return the count as text."""
        del unit
        spread = "" if half is None else f" +- {number_text(half)}"
        plies = "" if value.plies == 1 else f"{value.plies} x "
        return f"{plies}{number_text(value.value)}{spread} {value.system}"

    def schema(self) -> Schema:
        """Return the schema."""
        return text_schema(_SYSTEMS)


def read_count(text: str) -> Count:
    """Read a count given outside a file, such as ``"80 Nm"``; QuantityError where it is none."""
    kind = CountKind()
    try:
        count = kind.read(text, "mm")
    except RefusedError as error:
        raise QuantityError(f"{error.says}: {error.remedy}") from error
    wrong = kind.wrong(count, text)
    if wrong is not None:
        raise QuantityError(": ".join(wrong))
    return count


FinenessUnit = Literal["micronaire", "dtex", "mtex", "um"]


@dataclass(frozen=True)
class Fineness:
    """Fineness of a fibre, as written: micronaire, dtex or mtex, or its diameter in micrometres."""

    value: float
    unit: FinenessUnit


_FINENESS_UNITS: Mapping[str, FinenessUnit] = {
    "micronaire": "micronaire", "mic": "micronaire", "dtex": "dtex", "mtex": "mtex",
    "um": "um", "µm": "um", "μm": "um", "micron": "um", "microns": "um",
}  # fmt: skip
_FINENESS = re.compile(r"\s*(?P<number>\d+(\.\d+)?)\s*(?P<unit>[a-zµμ]+)\s*", re.IGNORECASE)
_FINENESS_EXAMPLE = 'write it as "4.2 micronaire", "1.7 dtex", "170 mtex" or "21 um"'


class FinenessKind(Kind):
    """The fineness of a fibre, with its unit."""

    __slots__ = ()

    def read(self, value: object, unit: str) -> Fineness:
        """Return the fineness."""
        del unit
        match = _FINENESS.fullmatch(value[:200]) if isinstance(value, str) else None
        known = None if match is None else _FINENESS_UNITS.get(match["unit"].lower())
        if match is None or known is None:
            raise RefusedError(f"{shown(value)} is no fineness of a fibre", _FINENESS_EXAMPLE)
        return Fineness(float(match["number"]), known)

    def wrong(self, value: Any, written: object = None) -> Wrong | None:
        """Return what is wrong with the fineness."""
        if not isinstance(value, Fineness) or value.unit not in _FINENESS_UNITS.values():
            return f"{shown(value)} is no fineness of a fibre", _FINENESS_EXAMPLE
        return FINENESS_VALUE.wrong(value.value, written)

    def written(self, value: Fineness, unit: str, half: float | None = None) -> str:
        """Return the fineness as text."""
        del unit, half
        return f"{number_text(value.value)} {value.unit}"

    def schema(self) -> Schema:
        """Return the schema."""
        return text_schema(_FINENESS_UNITS)


FINENESS_VALUE = NumberKind(NUMBER, "", Bounds(1e-3, 1e4, "from 0.001 to 10 000"))


class MeasuredKind(Kind):
    """A measured number, with or without its uncertainty, of whatever its result measures."""

    __slots__ = ()

    def wrong(self, value: Any, written: object = None) -> Wrong | None:
        """Return what is wrong with the value: it is no quantity of any kind."""
        del written
        if isinstance(value, int | float) and not isinstance(value, bool):
            return NumberKind(NUMBER, "", Bounds(-1e12, 1e12, "a number", True)).wrong(value)
        for dimension in DIMENSIONS if isinstance(value, str) else ():
            try:
                parse_measured(value, dimension, dimension.unit)
            except QuantityError:
                continue  # it may be a quantity of another kind
            return None
        return f"{shown(value)} is no quantity", 'write it as "76 1/2 +- 1/4 in"'

    def schema(self) -> Schema:
        """Return the schema."""
        units = dict.fromkeys(u for d in DIMENSIONS for u in d.factors)
        return {"anyOf": [{"type": "number"}, text_schema(units, optional=True)]}


class LimitsKind(TableKind):
    """The limits that a file sets, by name."""

    __slots__ = ()

    def __init__(self) -> None:
        super().__init__(dict)

    @property
    def form(self) -> Form:
        """One key for each limit of the table of limits."""
        return LIMITS_FORM


def _limit_key(name: str) -> Key:
    limit = LIMITS[name]
    dimension = next((d for d in DIMENSIONS if d.unit == limit.unit), NUMBER)
    bounds = Bounds(0.0, 1e12, "0 or more", low_allowed=True)
    kind = NumberKind(dimension, dimension.unit, bounds)
    return Key(limit.means, kind, f"{limit.default:g}", name, attribute=name, default=None)


def _given(**limits: float | None) -> dict[str, float]:
    return {name: value for name, value in limits.items() if value is not None}


LIMITS_FORM = Form(
    "Limits",
    "Limits that findings hold the wheel against, where they differ from practice.",
    tuple(_limit_key(name) for name in LIMITS),
    _given,
    lambda limits: {name: limits.get(name) for name in LIMITS},
)
