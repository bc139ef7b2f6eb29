"""The kinds of value that a design file holds: how each is read, and what it says when it is wrong.

Every reader here takes what the TOML parser gave and returns a plain value in millimetres,
degrees, rpm or newtons, or raises a fault in plain words. The unit of a bare length comes with
pydantic's validation context, key ``unit``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator
from pydantic.functional_validators import AfterValidator, PlainValidator
from pydantic.json_schema import WithJsonSchema
from pydantic_core import PydanticCustomError
from pydantic_core.core_schema import ValidationInfo

from wheelgeo.design.model import Count, CountSystem, Vector
from wheelgeo.design.wording import fault, printable, shown, suggestion
from wheelgeo.errors import QuantityError
from wheelgeo.units import (
    ANGLE_DEG,
    FORCE_N,
    FRACTION,
    LENGTH_MM,
    LENGTH_UNITS,
    MASS_G,
    PRESSURE_MPA,
    SPEED_RPM,
    Dimension,
    parse_quantity,
)

GRAVITY_M_S2 = 9.80665
"""Standard gravity, 3rd General Conference on Weights and Measures, 1901."""

NUMBER = Dimension("number", "", {"": 1.0}, "0.25")


def _quantity(value: object, dimension: Dimension, bare_unit: str | None) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise fault(f"{shown(value)} is no {dimension.name}", f"write it as {dimension.example}")
    try:
        return parse_quantity(value, dimension, bare_unit)
    except QuantityError as error:
        says, _, remedy = str(error).partition("; ")
        if len(says) > 200:
            says = f"{shown(value)} is no {dimension.name}"
        elif dimension is NUMBER and isinstance(value, str):
            says, remedy = f"{shown(value)} is no bare number", "write it without unit and quotes"
        raise fault(says, remedy) from error


@dataclass(frozen=True, slots=True)
class Bounds:
    """What a number must lie between; ``words`` says so to the file's owner."""

    low: float
    high: float
    words: str
    low_allowed: bool = False
    high_allowed: bool = True

    def hold(self, number: float, value: object) -> float:
        """Return the number, or raise the fault that it is out of bounds."""
        above = number >= self.low if self.low_allowed else number > self.low
        below = number <= self.high if self.high_allowed else number < self.high
        if above and below:
            return number
        raise fault(f"{shown(value)} is out of range", f"it must be {self.words}")


_FAR_MM = 1e6
_FINE_MM = 1e-3
_ANYWHERE = Bounds(-_FAR_MM, _FAR_MM, "within 1 km", low_allowed=True)
_POSITIVE = Bounds(_FINE_MM, _FAR_MM, "more than 0 (from 0.001 mm to 1 km)", low_allowed=True)
_NOT_NEGATIVE = Bounds(0.0, _FAR_MM, "0 or more (at most 1 km)", low_allowed=True)


def _length(bounds: Bounds) -> Callable[[object, ValidationInfo], float]:
    def read(value: object, info: ValidationInfo) -> float:
        unit = (info.context or {}).get("unit", "mm")
        return bounds.hold(_quantity(value, LENGTH_MM, unit), value)

    return read


def _in(dimension: Dimension, bare_unit: str | None, bounds: Bounds) -> Callable[[object], float]:
    def read(value: object) -> float:
        return bounds.hold(_quantity(value, dimension, bare_unit), value)

    return read


def _fraction(value: object, below: float, allowed: bool) -> float:
    number = _quantity(value, FRACTION, "")
    if 0.0 <= number < below or (allowed and number == below):
        return number
    if number >= below and not isinstance(value, str):
        raise fault(
            f"{shown(value)} would be {100 * number:g} %",
            f'a percentage is written with its sign: "{number:g} %"',
        )
    limit = "at most" if allowed else "less than"
    raise fault(f"{shown(value)} is out of range", f"it must be 0 or more and {limit} 100 %")


def _slip(value: object) -> float:
    return _fraction(value, 1.0, allowed=False)


def _stretch(value: object) -> float:
    return _fraction(value, 1.0, allowed=True)


def _name(value: object) -> str:
    if not isinstance(value, str):
        raise fault(f"{shown(value)} is no text", 'write it in quotation marks, as in "wheel"')
    if not value.strip():
        raise fault("the text is empty", "write at least one letter")
    bad = next((c for c in value if not printable(c)), None)
    if bad is not None:
        raise fault(f"{shown(value)} holds a line break or control character", "leave it out")
    return value


def _flag(value: object) -> bool:
    if isinstance(value, bool):
        return value
    raise fault(f"{shown(value)} is neither yes nor no", "write true or false, without quotes")


def _whole(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 10_000:
        raise fault(f"{shown(value)} is no number of holes", "write a whole number from 1 upwards")
    return value


def one_of(*allowed: str) -> Callable[[object], object]:
    """Return a reader that lets through the allowed words and names the nearest to any other."""

    def read(value: object) -> object:
        if isinstance(value, str) and value in allowed:
            return value
        word = value if isinstance(value, str) else ""
        says = f"{shown(value)} is not possible here"
        raise fault(says, suggestion(word, allowed, "it may be"))

    return read


def unit_of_file(value: object) -> str:
    """Read the file's unit of length."""
    if isinstance(value, str) and value in LENGTH_UNITS:
        return value
    word = value if isinstance(value, str) else ""
    raise fault(f"{shown(value)} is no unit of length", suggestion(word, LENGTH_UNITS))


def _list_of(count: int, words: str) -> Callable[[object], object]:
    def read(value: object) -> object:
        if isinstance(value, list) and len(value) == count:
            return value
        got = f"a list of {len(value)}" if isinstance(value, list) else shown(value)
        raise fault(f"{got} is not {words}", f"write {count} values, as in {[*range(count)]}")

    return read


def unit_vector(value: tuple[float, float, float]) -> Vector:
    """Return the vector made one long; one that is so already is returned as it is."""
    longest = max(abs(c) for c in value)
    if longest == 0.0:
        raise fault("[0, 0, 0] points nowhere", "at least one number must differ from 0")
    if abs(math.hypot(*value) - 1.0) <= 1e-15:
        return value
    scaled = [c / longest for c in value]
    norm = math.hypot(*scaled)
    return (scaled[0] / norm, scaled[1] / norm, scaled[2] / norm)


def _ordered(value: tuple[float, float]) -> tuple[float, float]:
    if value[0] < value[1]:
        return value
    raise fault(
        f"the first end ({value[0]:g} mm) is not below the second ({value[1]:g} mm)",
        "give the lower end first",
    )


_COUNT = re.compile(r"\s*(?P<number>.*?)\s*(?P<system>[^\d\s./]*)\s*")
_SYSTEMS: Mapping[str, CountSystem] = {
    "Nm": "Nm",
    "Ne": "Ne",
    "tex": "tex",
    "denier": "denier",
    "den": "denier",
}
_COUNT_EXAMPLE = 'write it as "40 Nm", "23.6 Ne", "25 tex" or "225 denier"'


def _count(value: object) -> Count:
    if not isinstance(value, str):
        raise fault(f"{shown(value)} has no unit of count", _COUNT_EXAMPLE)
    match = _COUNT.fullmatch(value)
    system = _SYSTEMS.get(match["system"]) if match else None
    if match is None or system is None:
        raise fault(f"{shown(value)} has no known unit of count", _COUNT_EXAMPLE)
    try:
        number = parse_quantity(match["number"], NUMBER, "")
    except QuantityError as error:
        raise fault(f"{shown(value)} is no count", _COUNT_EXAMPLE) from error
    return Count(_COUNT_BOUNDS.hold(number, value), system)


def read_count(text: str) -> Count:
    """Read a count given outside a file, such as ``"80 Nm"``; QuantityError where it is none."""
    try:
        return _count(text)
    except PydanticCustomError as error:
        context = error.context or {}
        raise QuantityError(f"{context['says']}: {context['remedy']}") from error


_COUNT_BOUNDS = Bounds(1e-6, 1e6, "more than 0 (at most 1 000 000)")


def _weight(value: object) -> float:
    """Read a hanging weight as the force that it makes, N."""
    if isinstance(value, str) and any(value.strip().endswith(unit) for unit in MASS_G.factors):
        force = _try_mass(value)
        if force is not None:
            return _PULL.hold(force, value)
    return _PULL.hold(_quantity(value, _WEIGHT, None), value)


def _try_mass(value: str) -> float | None:
    try:
        return parse_quantity(value, MASS_G) / 1000.0 * GRAVITY_M_S2
    except QuantityError:
        return None  # it may still be a force, such as "300 gf"


_PULL = Bounds(0.0, 1e6, "more than 0")
_WEIGHT = Dimension("weight", "N", FORCE_N.factors, '"300 g" or "3 N"')


_PLAIN = r"[+-]?\s*(\d+[ \t]+\d+/\d+|\d+/\d+|(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?)"


def _text_schema(units: Iterable[str], optional: bool = False) -> dict[str, Any]:
    names = "|".join(re.escape(u) for u in units if u)
    return {"type": "string", "pattern": rf"^\s*{_PLAIN}\s*({names}){'?' if optional else ''}\s*$"}


def _or_text(dimension: Dimension, limits: Mapping[str, float] | None = None) -> WithJsonSchema:
    number = {"type": "number", **(limits or {})}
    return WithJsonSchema({"anyOf": [number, _text_schema(dimension.factors, optional=True)]})


TEXT_SCHEMA: Mapping[str, Any] = {"type": "string", "minLength": 1}
NUMBER_SCHEMA: Mapping[str, Any] = {"type": "number", "exclusiveMinimum": 0}
FRACTION_SCHEMA: Mapping[str, Any] = {
    "anyOf": [{"type": "number", "minimum": 0}, _text_schema(("%",), optional=True)]
}
SLIP_SCHEMA: Mapping[str, Any] = {
    "anyOf": [
        {"type": "number", "minimum": 0, "exclusiveMaximum": 1},
        _text_schema(("%",), optional=True),
    ]
}
PRESSURE_SCHEMA: Mapping[str, Any] = {
    "anyOf": [dict(NUMBER_SCHEMA), _text_schema(PRESSURE_MPA.factors)]
}

Length = Annotated[float, PlainValidator(_length(_ANYWHERE)), _or_text(LENGTH_MM)]
Size = Annotated[
    float, PlainValidator(_length(_POSITIVE)), _or_text(LENGTH_MM, {"exclusiveMinimum": 0})
]
Gap = Annotated[float, PlainValidator(_length(_NOT_NEGATIVE)), _or_text(LENGTH_MM, {"minimum": 0})]
Angle = Annotated[
    float,
    PlainValidator(
        _in(
            ANGLE_DEG,
            "deg",
            Bounds(0.0, 180.0, "more than 0 and less than 180 degrees", high_allowed=False),
        )
    ),
    _or_text(ANGLE_DEG, {"exclusiveMinimum": 0, "exclusiveMaximum": 180}),
]
Speed = Annotated[
    float,
    PlainValidator(_in(SPEED_RPM, None, Bounds(0.0, 1e6, "more than 0"))),
    WithJsonSchema(_text_schema(SPEED_RPM.factors)),
]
Mass = Annotated[
    float,
    PlainValidator(_in(MASS_G, None, Bounds(0.0, 1e6, "more than 0"))),
    WithJsonSchema(_text_schema(MASS_G.factors)),
]
Force = Annotated[
    float, PlainValidator(_in(FORCE_N, None, _PULL)), WithJsonSchema(_text_schema(FORCE_N.factors))
]
Weight = Annotated[
    float,
    PlainValidator(_weight),
    WithJsonSchema(_text_schema((*MASS_G.factors, *FORCE_N.factors))),
]
Slip = Annotated[float, PlainValidator(_slip), WithJsonSchema(dict(SLIP_SCHEMA))]
Stretch = Annotated[float, PlainValidator(_stretch), WithJsonSchema(dict(FRACTION_SCHEMA))]
_ABOVE_ZERO = Bounds(0.0, 1e12, "more than 0")
Number = Annotated[
    float,
    PlainValidator(_in(NUMBER, "", _ABOVE_ZERO)),
    WithJsonSchema(dict(NUMBER_SCHEMA)),
]
Pressure = Annotated[
    float,
    PlainValidator(_in(PRESSURE_MPA, "MPa", _ABOVE_ZERO)),
    WithJsonSchema(dict(PRESSURE_SCHEMA)),
]
_SHORE = Bounds(20.0, 90.0, "from 20 to 90 (Shore A)", low_allowed=True)
Shore = Annotated[
    float,
    PlainValidator(_in(NUMBER, "", _SHORE)),
    WithJsonSchema({"type": "number", "minimum": 20, "maximum": 90}),
]
Component = Annotated[
    float,
    PlainValidator(_in(NUMBER, "", Bounds(-math.inf, math.inf, "a number"))),
    WithJsonSchema({"type": "number"}),
]
Name = Annotated[str, PlainValidator(_name), WithJsonSchema(dict(TEXT_SCHEMA))]
Flag = Annotated[bool, PlainValidator(_flag), WithJsonSchema({"type": "boolean"})]
Whole = Annotated[int, PlainValidator(_whole), WithJsonSchema({"type": "integer", "minimum": 1})]
YarnCount = Annotated[Count, PlainValidator(_count), WithJsonSchema(_text_schema(_SYSTEMS))]
FileUnit = Annotated[
    str, PlainValidator(unit_of_file), WithJsonSchema({"enum": list(LENGTH_UNITS)})
]
Point = Annotated[tuple[Length, Length, Length], BeforeValidator(_list_of(3, "a point (x, y, z)"))]
Box = Annotated[tuple[Size, Size, Size], BeforeValidator(_list_of(3, "a size in x, y and z"))]
Direction = Annotated[
    tuple[Component, Component, Component],
    AfterValidator(unit_vector),
    BeforeValidator(_list_of(3, "a direction (x, y, z)")),
]
Ends = Annotated[
    tuple[Length, Length], AfterValidator(_ordered), BeforeValidator(_list_of(2, "two ends"))
]

SHAPES = ("vee", "round", "flat")
Vee = Annotated[Literal["vee"], BeforeValidator(one_of(*SHAPES))]
Round = Annotated[Literal["round"], BeforeValidator(one_of(*SHAPES))]
Flat = Annotated[Literal["flat"], BeforeValidator(one_of(*SHAPES))]
By = Annotated[
    Literal["crank", "treadle", "motor"], BeforeValidator(one_of("crank", "treadle", "motor"))
]
Sense = Annotated[
    Literal["clockwise", "counter-clockwise"],
    BeforeValidator(one_of("clockwise", "counter-clockwise")),
]
Relation = Annotated[Literal["with", "against"], BeforeValidator(one_of("with", "against"))]
SpindleKind = Annotated[Literal["tip", "flyer"], BeforeValidator(one_of("tip", "flyer"))]
TwistLetter = Annotated[Literal["S", "Z"], BeforeValidator(one_of("S", "Z"))]
Build = Annotated[Literal["turned", "layers"], BeforeValidator(one_of("turned", "layers"))]
Use = Annotated[
    Literal["cord", "shaft", "wheel"], BeforeValidator(one_of("cord", "shaft", "wheel"))
]


_LIMIT_DIMENSIONS: Mapping[str, Dimension] = {
    d.unit: d for d in (ANGLE_DEG, LENGTH_MM, FRACTION, FORCE_N, PRESSURE_MPA, SPEED_RPM, MASS_G)
}


def limit_type(unit: str) -> Any:
    """Return the type of a value under ``[limits]``: a bare number is in the limit's own unit."""
    dimension = _LIMIT_DIMENSIONS.get(unit, NUMBER)
    bounds = Bounds(0.0, 1e12, "0 or more", low_allowed=True)
    read = PlainValidator(_in(dimension, dimension.unit, bounds))
    return Annotated[float, read, _or_text(dimension, {"minimum": 0})]
