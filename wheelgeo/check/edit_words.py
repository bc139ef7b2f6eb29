"""Edits in words: the one place that makes a remedy's sentence, from the edits themselves."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from wheelgeo.check.edits import Edit, EditedPlace, place_of
from wheelgeo.check.finding import pull_in_words
from wheelgeo.design.drive_parts import COUNTED
from wheelgeo.design.model import Design, Stand, Stop, Treadle
from wheelgeo.design.side_words import (
    ENDS,
    TOWARDS,
    drive_seen_from,
    leans_deg,
    lies_along,
)
from wheelgeo.geometry.vectors import Vector, cross, dot, norm, sub, unit
from wheelgeo.units.in_full import figures, plain
from wheelgeo.units.inches import in_inches
from wheelgeo.units.quantity import INCHES, in_file_unit

_Named = tuple[EditedPlace, Edit]
_DIGITS = {"rim": 3, "radius": 3}
"""Digits after the point, in mm, of those sizes of a groove on which the ratio hangs."""


def edits_in_words(design: Design, edits: Sequence[Edit]) -> str:
    """Return edits as one thing to do, with every number that they set.

    Args:
        design: the wheel that the edits are made on.
        edits: the edits of one remedy.
    """
    left = [(place_of(design, one.key), one) for one in edits]
    said = []
    while left:
        words, used = next(_told(design, left))
        said.append(words)
        left = [named for named in left if named not in used]
    return " and ".join(said)


def edit_alone(design: Design, place: EditedPlace, one: Edit) -> str | None:
    """Return one edit as a thing to do; None for those that are only told with others."""
    words = _ALONE.get((place.kind, place.field))
    return None if words is None else words(design, place, one)


def _told(design: Design, left: list[_Named]) -> Iterator[tuple[str, list[_Named]]]:
    """Yield the words for the first of some edits and those that belong to it, the best first."""
    place, first = left[0]
    same = [n for n in left if (n[0].kind, n[0].field) == (place.kind, place.field)]
    own = [n for n in left if (n[0].kind, n[0].part) == (place.kind, place.part)]
    fields = {n[0].field: n[1] for n in own}
    if place.kind == "pulley" and place.field == "offset":
        alike = [n for n in same if math.isclose(_by(n[1]), _by(first), abs_tol=1e-6)]
        yield _shift(design, alike), alike
    if place.kind == "shaft" and place.field == "at":
        alike = [n for n in same if norm(sub(_step(n[1]), _step(first))) < 2e-3]
        yield _move(design, alike), alike
    if place.kind == "band" and place.field == "material" and "stretch" in fields:
        stretch = plain(100.0 * fields["stretch"].after, 1)
        yield f'take {first.after} for "{place.part}", put on with {stretch} % stretch', own
    if place.kind == "band" and place.field == "crossed" and "route" in fields:
        route = route_in_words(fields["route"].after)
        words = f'lead "{place.part}" over {route}'
        yield words, own
    if place.kind == "case":
        yield _case(design, left), [n for n in left if n[0].kind == "case"]
    if place.kind == "cop":
        cop = {n[0].field: n[1].after for n in own}
        ends = [word for word in ("from", "to") if word in cop]
        at = "".join(f" {word} {length_of(design, cop[word])}" for word in ends)
        thick = cop.get("diameter")
        thick = "" if thick is None else f" to a diameter of {length_of(design, thick)}"
        less = f", {plain(cop['mass'], 1)} g of yarn" if "mass" in cop else ""
        yield f"wind the cop{at}{thick}{less}", own
    alone = _limit if place.kind == "limits" else _ALONE[place.kind, place.field]
    yield alone(design, place, first), [left[0]]


def _by(one: Edit) -> float:
    by: float = one.after - one.before
    return by


def _step(one: Edit) -> tuple[float, float, float]:
    return sub(one.after, one.before)


def _listed(names: list[str]) -> str:
    return " and ".join(f'"{name}"' for name in names)


def figure_of(design: Design, length_mm: float, digits: int = 2) -> str:
    """Return a length as a bare number of the file, so that it may be typed there as it stands."""
    return plain(*in_file_unit(length_mm, design.unit, digits))


def length_of(design: Design, length_mm: float, digits: int = 2) -> str:
    """Return a length in the file's unit, with that."""
    return f"{figure_of(design, length_mm, digits)} {design.unit}"


def _shift(design: Design, alike: list[_Named]) -> str:
    by = _by(alike[0][1])
    shift = f"{'+' if by > 0.0 else '-'}{length_of(design, abs(by))}"
    where = " and ".join(figure_of(design, one.after, 3) for _, one in alike)
    shafts = "its shaft" if len(alike) == 1 else "their shafts"
    return (
        f"shift {_listed([place.part for place, _ in alike])} by {shift} along {shafts} "
        f"(offset {where} {design.unit})"
    )


def _by_sides(design: Design, step: Vector) -> str:
    """Return a step in space by the sides that it goes to."""
    return " and ".join(
        f"{length_of(design, abs(c), 3)} {TOWARDS[i][c > 0.0]}" for i, c in _steps(step)
    )


def _steps(step: Sequence[float]) -> list[tuple[int, float]]:
    return [(i, c) for i, c in enumerate(step) if abs(c) >= 5e-4]


def _move(design: Design, alike: list[_Named]) -> str:
    step = _step(alike[0][1])
    places = [
        ", ".join(f"{'xyz'[i]} {length_of(design, one.after[i], 3)}" for i, _ in _steps(step))
        for _, one in alike
    ]
    word = "shaft" if len(alike) == 1 else "shafts"
    shafts = _listed([place.part for place, _ in alike])
    return f"move {word} {shafts} {_by_sides(design, step)} (to {'; '.join(places)})"


_GROWS = (("on the left", "on the right"), ("at the front", "at the back"), ("below", "above"))


def _case(design: Design, left: list[_Named]) -> str:
    edits = {place.field: one for place, one in left if place.kind == "case"}
    if "spinner" in edits:
        return f"let the spinner sit at the {edits['spinner'].after}"
    inside = edits["inside"]
    corner = edits.get("corner")
    low = (0.0, 0.0, 0.0) if corner is None else sub(corner.before, corner.after)
    high = sub(sub(inside.after, inside.before), low)
    more = [
        f"{length_of(design, grown)} {_GROWS[i][side]}"
        for i, sides in enumerate(zip(low, high, strict=True))
        for side, grown in enumerate(sides) if abs(grown) >= 5e-4
    ]  # fmt: skip
    size = " × ".join(figure_of(design, c, 3) for c in inside.after)
    words = f"make the case larger by {', '.join(more)} (inside {size} {design.unit}"
    if corner is not None:
        at = zip("xyz", corner.after, strict=True)
        lowest = (f"{axis} {length_of(design, c, 3)}" for axis, c in at)
        words += f"; its lowest corner at {', '.join(lowest)}"
    return f"{words})"


def route_in_words(route: Sequence[Stop]) -> str:
    """Return the pulleys of a route in their order, and which of them turn the other way."""
    return ", ".join(
        f'"{stop.pulley}"{"" if stop.turns == "with" else " (turning against)"}' for stop in route
    )


def _axis(design: Design, place: EditedPlace, one: Edit) -> str:
    """Return a tilt as a bevel sets it: by how much, which end goes where, and what stays."""
    old, new = unit(one.before), unit(one.after)
    tilt = math.degrees(math.atan2(norm(cross(old, new)), dot(old, new)))
    what = "the spindle" if place.part == design.spindle.shaft else f'shaft "{place.part}"'
    lies = lies_along(old)
    leans = [
        (now - was, i)
        for i, (was, now) in enumerate(zip(leans_deg(old), leans_deg(new), strict=True))
        if i != lies
    ]
    told = [one for one in leans if abs(one[0]) >= 0.05] or [max(leans, key=lambda o: abs(o[0]))]
    ways = [
        (f"{plain(abs(by), 1)}° " if len(told) > 1 else "") + TOWARDS[i][by > 0.0] for by, i in told
    ]
    end = ENDS[lies][old[lies] > 0.0]
    goes = f"its {end} end {' and '.join(ways)}, {_about(design, place)}"
    return f"tilt {what} by {tilt:.1f}°, {goes}"


def _about(design: Design, place: EditedPlace) -> str:
    """Return what of a tilted shaft stays in its place, from where its offsets are counted."""
    there = [p.name for p in design.pulleys if p.shaft == place.part and p.offset_mm == 0.0]
    return f'about the middle of "{there[0]}"' if there else "about its place at offset 0"


def _route(_: Design, place: EditedPlace, one: Edit) -> str:
    old, new = one.before, one.after
    route = route_in_words(new)
    if len(new) == 2 and old[0] == new[0] and old[1].pulley == new[1].pulley:
        return f'lead the other run of "{place.part}" over "{new[1].pulley}" (route {route})'
    if [stop.pulley for stop in old] == [stop.pulley for stop in new]:
        turned = [new[i].pulley for i in range(len(new)) if old[i].turns != new[i].turns]
        over = " and ".join(f'"{name}"' for name in turned)
        return f'lead the other run of "{place.part}" over {over} (route {route})'
    return (
        f'write the route of "{place.part}" the other way round, {route}, the order in which the '
        "moving band then meets them"
    )


def _size(word: str) -> Callable[[Design, EditedPlace, Edit], str]:
    def words(design: Design, place: EditedPlace, one: Edit) -> str:
        larger = "larger" if one.after > one.before else "smaller"
        return f'make "{place.part}" {larger}, {word} {length_of(design, one.after, 3)}'

    return words


def _groove(design: Design, place: EditedPlace, one: Edit) -> str:
    sizes = dict(one.after.sizes())
    angle = sizes.pop("angle", None)
    shape = one.after.shape if angle is None else f"as a {one.after.shape} of {plain(angle)}°"
    told = (f"{name} {length_of(design, mm, _DIGITS.get(name, 2))}" for name, mm in sizes.items())
    return f'cut the groove of "{place.part}" {shape}, {", ".join(told)}'


def _radius(design: Design, _: EditedPlace, one: Edit) -> str:
    by = design.drive.by
    if one.before is not None and one.after < one.before:
        return f"shorten the throw of the {by} to {length_of(design, one.after)}"
    return f"lengthen the throw of the {by} to {length_of(design, one.after)}"


def _turns(design: Design, _: EditedPlace, one: Edit) -> str:
    what = {"crank": "hand", "treadle": "wheel"}.get(design.drive.by, design.drive.by)
    return f"turn the {what} {one.after}, {drive_seen_from(design)}"


def _tension(_: Design, place: EditedPlace, one: Edit) -> str:
    if one.after is None:
        return f'take the weight or spring off "{place.part}"'
    pull = f"{figures(one.after.pull_n, 3)}"
    return f'measure a strand of "{place.part}" and pull it to {pull} N'


def _limit(_: Design, place: EditedPlace, one: Edit) -> str:
    force = f"start with no more than {one.after:.6g} N"
    return {"foot_start_force_n": f"{force} of the foot", "start_force_n": force}[place.field]


_ALONE: dict[tuple[str, str], Callable[[Design, EditedPlace, Edit], str]] = {
    ("bobbin", "empty"): lambda d, _p, e: (
        f"make the bobbin's core {'thicker' if e.after > e.before else 'thinner'}, "
        f"{length_of(d, e.after)}"
    ),
    ("drag", "pull"): lambda d, p, e: (
        f"{'ease' if e.after < e.before else 'tighten'} the brake on "
        f"\"{d.drags[int(p.part) - 1].shaft}\" to a net pull of {pull_in_words(e.after)}"
    ),
    ("pulley", "width"): lambda d, p, e: f'make "{p.part}" {_n(d, e)} wide',
    ("shaft", "axis"): _axis,
    ("shaft", "diameter"): lambda d, p, e: (
        f"take a rod of {_as_sold(d, e.after)} for "
        + ("the spindle" if p.part == d.spindle.shaft else f'shaft "{p.part}"')
    ),
    ("shaft", "ends"): lambda d, p, e: (
        f"cut the spindle to end at {length_of(d, max(e.after))}"
        if p.part == d.spindle.shaft
        else f'cut shaft "{p.part}" to end at {figure_of(d, min(e.after))} and '
        f"{length_of(d, max(e.after))}"
    ),
    ("shaft", "bearings"): lambda d, p, e: f'hold shaft "{p.part}" in {_bearings(d, e)}',
    ("spindle", "bearings"): lambda d, _, e: f"hold the spindle in {_bearings(d, e)}",
    ("shaft", "slide"): lambda d, p, e: (
        f'let shaft "{p.part}" slide from {figure_of(d, e.after.from_mm)} to '
        f"{length_of(d, e.after.to_mm)}"
    ),
    ("wheel", "stand"): lambda d, _, e: _stand(d, e),
    ("pulley", "rim"): _size("rim"),
    ("pulley", "pitch"): _size("pitch"),
    ("pulley", "angle"): lambda _, p, e: (
        f'open the groove of "{p.part}" to angle {plain(e.after)}°'
    ),
    ("pulley", "cheek"): lambda d, p, e: f'glue up "{p.part}" with cheeks of {_n(d, e)}',
    ("pulley", "radius"): lambda d, p, e: f'cut the groove of "{p.part}" to radius {_n(d, e)}',
    ("pulley", "depth"): lambda d, p, e: f'cut the groove of "{p.part}" {_n(d, e)} deep',
    ("pulley", "face"): lambda d, p, e: f'make the rim of "{p.part}" {_n(d, e)} wide',
    ("pulley", "bore"): lambda d, p, e: f'bore "{p.part}" {_n(d, e)}',
    ("pulley", "groove"): _groove,
    ("pulley", "material"): lambda _, p, e: f'make "{p.part}" of {e.after}',
    ("pulley", "build"): lambda _, p, e: (
        f'build "{p.part}" from {e.after}' if e.after != "turned"
        else f'turn "{p.part}" from one piece'
    ),
    ("band", "diameter"): lambda _, p, e: f'take a cord of {plain(e.after)} mm for "{p.part}"',
    ("band", "stretch"): lambda _, p, e: (
        f'put "{p.part}" on with {plain(100.0 * e.after, 1)} % stretch'
    ),
    ("band", "pull"): lambda d, p, e: (
        f'pull "{p.part}" with {pull_in_words(e.after)}, {_holder(d, p.part)}'
    ),
    ("band", "tension"): _tension,
    ("band", "route"): _route,
    ("band", "crossed"): lambda _, p, e: f'{"cross" if e.after else "uncross"} band "{p.part}"',
    ("drive", "turns"): _turns,
    ("drive", "hand"): lambda _, __, e: f"turn the crank with the {e.after} hand",
    ("drive", "speed"): lambda d, _, e: (
        f"turn the {COUNTED[d.drive.by]} at {plain(e.after)} rpm "
        f"(the spindle {'slows' if e.after < e.before else 'quickens'} with it)"
    ),
    ("drive", "radius"): _radius,
    ("drive", "treadle"): lambda d, _, e: _treadle(d, e),
    ("drive", "offset"): lambda d, _, e: (
        f"let the crank turn at {length_of(d, e.after, 3)} along its shaft (its offset)"
    ),
}


def _stand(design: Design, one: Edit) -> str:
    old, new = one.before or Stand(), one.after
    if new.kind == "own":
        return "make a stand of your own, of which nothing is drawn or checked"
    reach = [
        f"{length_of(design, value)} {way} the axle"
        for way, value, before in (
            ("across", new.across_mm, old.across_mm),
            ("along", new.deep_mm, old.deep_mm),
        )
        if value is not None and value != before
    ]
    return f"let its feet reach {' and '.join(reach)}"


def _treadle(design: Design, one: Edit) -> str:
    old, new = one.before or Treadle(), one.after
    told = [
        words.format(length_of(design, abs(value), 1))
        for words, value, before in (
            ("make the treadle's lever {} long from its pivot to the footman's pin",
             new.lever_mm, old.lever_mm),
            ("set its pivot {} aside from the axle", new.pivot_across_mm, old.pivot_across_mm),
            ("make its footman {} long, pin to pin", new.footman_mm, old.footman_mm),
            ("set the foot {} from the treadle's pivot", new.foot_mm, old.foot_mm),
        )
        if value is not None and value != before
    ]  # fmt: skip
    return " and ".join(told)


def _bearings(design: Design, one: Edit) -> str:
    places = " and ".join(
        f"{length_of(design, b.at_mm, 3)} ({b.kind}{', split' if b.split else ''})"
        for b in one.after
    )
    split = any(b.split for b in one.after)
    sawn = ", what holds it there sawn through at the hole, its upper half a cap" if split else ""
    return f"bearings at {places}{sawn}"


def _n(design: Design, one: Edit) -> str:
    return length_of(design, one.after)


def _as_sold(design: Design, rod_mm: float) -> str:
    return in_inches(rod_mm) if design.unit in INCHES else length_of(design, rod_mm)


def _holder(design: Design, band: str) -> str:
    tension: Any = design.band(band).tension
    return str(tension.kind)
