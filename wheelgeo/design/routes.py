"""Routes of bands in a design file, as far as they can be judged without solving the drive."""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.design.faults import Located, locate
from wheelgeo.design.rawfile import RawFile, Table, axis_of, stops_of, sub_table
from wheelgeo.design.tables import Place
from wheelgeo.design.wording import shown

_PARALLEL = 1e-9
"""Sine of the angle below which two axes are parallel."""


def check_routes(raw: RawFile) -> Iterator[Located]:
    """Yield the faults of the bands in a file."""
    for index, band in raw.items("band"):
        place: Place = ("band", index)
        yield from _length(raw, place, band)
        yield from _first(raw, place, band)
        yield from _same_shaft(raw, place, band)
        if band.get("crossed") is True:
            yield from _crossed(raw, place, band)
        yield from _tension(raw, place, band)


def _length(raw: RawFile, place: Place, band: Table) -> Iterator[Located]:
    route = band.get("route")
    if isinstance(route, list) and len(route) < 2:
        yield locate(
            raw.tables,
            (*place, "route"),
            f"the band meets {len(route)} pulleys",
            "name two or more, in the order in which it meets them",
        )


def _first(raw: RawFile, place: Place, band: Table) -> Iterator[Located]:
    stops = stops_of(band)
    if stops and stops[0][2] == "against":
        yield locate(
            raw.tables, (*place, "route", 0), 'the first pulley cannot turn "against" itself',
            'the others turn with or against the first: leave its turns out',
        )  # fmt: skip


def _same_shaft(raw: RawFile, place: Place, band: Table) -> Iterator[Located]:
    stops = stops_of(band)
    if len(stops) < 2:
        return
    nexts = [*stops[1:], stops[0]] if len(stops) > 2 else stops[1:]
    for (_, one, _), (step, other, _) in zip(stops, nexts, strict=False):
        shaft = raw.named("pulley", one).get("shaft")
        if one is None or other is None or not isinstance(shaft, str):
            continue
        if raw.named("pulley", other).get("shaft") == shaft:
            yield locate(
                raw.tables, (*place, "route", step),
                f"{shown(one)} and {shown(other)} sit on the same shaft, {shown(shaft)}",
                "a band runs from one shaft to another",
            )  # fmt: skip


def _crossed(raw: RawFile, place: Place, band: Table) -> Iterator[Located]:
    stops = stops_of(band)
    here = (*place, "crossed")
    if any(turns == "with" for _, _, turns in stops[1:]):
        yield locate(
            raw.tables,
            here,
            'crossed = true and turns = "with" contradict each other',
            "keep one of the two",
        )
    if len(stops) > 2:
        yield locate(
            raw.tables,
            here,
            f"the band meets {len(stops)} pulleys",
            'only a band on two can be crossed; write turns = "against" on a pulley',
        )
    elif len(stops) == 2 and not _parallel(raw, stops[0][1], stops[1][1]):
        yield locate(
            raw.tables,
            here,
            "the two shafts are not parallel",
            'write turns = "against" on the second pulley instead',
        )


def _parallel(raw: RawFile, one: str | None, other: str | None) -> bool:
    """Return whether two pulleys' shafts are parallel; True where that cannot be told."""
    shafts = (raw.named("pulley", name).get("shaft") for name in (one, other))
    axes = [axis_of(raw.named("shaft", shaft)) for shaft in shafts]
    if axes[0] is None or axes[1] is None:
        return True
    (a, b, c), (x, y, z) = axes[0], axes[1]
    cross = (b * z - c * y, c * x - a * z, a * y - b * x)
    return max(abs(component) for component in cross) <= _PARALLEL


def _tension(raw: RawFile, place: Place, band: Table) -> Iterator[Located]:
    known = [key for key in ("measured", "weight", "spring") if key in sub_table(band, "tension")]
    if isinstance(band.get("tension"), dict) and len(known) != 1:
        says = f"{' and '.join(known)} are given together" if known else "nothing pulls"
        yield locate(
            raw.tables,
            (*place, "tension"),
            says,
            'give one of measured, weight and spring, as in { weight = "300 g" }',
        )
