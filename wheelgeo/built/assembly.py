"""In which order a wheel goes together, found by taking it apart: what can be drawn out, and how.

A *unit* is what stays together on the bench: a rod with all that is fixed on it, a board with the
bushes pressed into it. From the whole wheel one unit after another is drawn out along a straight
line, along an axis of its own, without passing through what is left; the order of assembly is that
order backwards. An endless band comes off when at each of its shafts one end, beyond its pulley, is
free of everything that holds the rod, and of every band that is still on it. What can never be
drawn out is said, with what is in its way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from wheelgeo.built.as_built import Built
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BuiltBody
from wheelgeo.built.drawn_out import Unit, WaysOut, coaxial, open_hole
from wheelgeo.built.kept import kept_with
from wheelgeo.design.model import Shaft
from wheelgeo.geometry.vectors import Vector, dot, sub
from wheelgeo.immutable import dataclass

FIRST_OFF = (
    "lid", "treadle", "hinge rail", "footman", "knob", "crank", "cap", "bridge", "maiden",
    "support", "whorl", "wheel", "band", "rod", "slide", "mother-of-all", "bed", "post", "block",
    "wall", "trestle foot", "leg", "foot",
)  # fmt: skip
"""What is taken off first where several could be: what is screwed on before what is glued."""
_LINKAGE = {"crank", "knob", "footman", "treadle"}
_TURNS_ON_ROD = ("pulley", "hub", "spoke", "washer", "collar", "flyer", "bobbin")
_OF_WHEEL = ("hub", "spoke")


@dataclass(frozen=True)
class Step:
    """One step of taking apart.

    Attributes:
        what: the unit's or the band's name.
        kind: its kind; "band" of a band, "sleeve" of a rod that turns on another,
            "crank pin" of the pin that a footman hangs on.
        along: the way it is drawn out; None of a band.
        parts: names of the bodies in it.
        lifted: of a band the rods that are lifted out of their open holders for it.
    """

    what: str
    kind: str
    along: Vector | None
    parts: tuple[str, ...]
    lifted: tuple[str, ...] = ()


@dataclass(frozen=True)
class Stuck:
    """What cannot be drawn out of what is left.

    Attributes:
        what: the unit's or the band's name.
        held_by: what is in its way, along the way with least.
    """

    what: str
    held_by: tuple[str, ...]


@dataclass(frozen=True)
class Assembly:
    """How a wheel comes apart.

    Attributes:
        apart: the steps of taking it apart, in order.
        stuck: what is left and cannot be.
    """

    apart: tuple[Step, ...]
    stuck: tuple[Stuck, ...]

    @property
    def together(self) -> tuple[Step, ...]:
        """The steps of putting it together, in order."""
        return self.apart[::-1]


def assembly(built: Built) -> Assembly:
    """Return how a wheel comes apart, and so how it goes together.

    Args:
        built: the wheel.
    """
    return kept_with(built, "assembly", lambda: _taken_apart(built))


def _taken_apart(built: Built) -> Assembly:
    left, ways = _whole(built)
    bands = {
        band.name: tuple(dict.fromkeys(built.design.pulley(s.pulley).shaft for s in band.route))
        for band in built.design.bands
    }
    apart: list[Step] = []
    base = next((u for u in left if u.kind in ("floor", "table")), None)
    while left and left != [base]:
        step = next(_next(built, left, bands, base, ways), None)
        if step is None:
            break
        apart.append(step)
        bands.pop(step.what, None)
        left = [u for u in left if u.name != step.what or step.kind == "band"]
    stuck = [_why(u, left, bands, ways) for u in left if u is not base]
    stuck += [Stuck(name, tuple(_round_rods(built, name, bands, left))) for name in bands]
    # What is free itself only waits for what stands on it, and that is told by its own name.
    stuck = [one for one in stuck if one.held_by] or stuck
    if base is not None and not stuck:
        apart.append(Step(base.name, base.kind, None, tuple(b.name for b in base.parts)))
    return Assembly(tuple(apart), tuple(stuck))


def _whole(built: Built) -> tuple[list[Unit], WaysOut]:
    """Return the units of a whole wheel, without the yarn, and which is in which other's way."""

    def gathered() -> tuple[tuple[Unit, ...], WaysOut]:
        found = tuple(units([b for b in bodies(built) if b.kind != "cop"]))
        return found, WaysOut(found)

    found, ways = kept_with(built, "units", gathered)
    return list(found), ways


COMES_OFF = {"cap", "bridge", "support", "maiden", "wall", "lid", "crank", "knob"}
"""Kinds that are screwed or pinned, without glue, so that they come off again."""


def first_off(built: Built, shaft: str) -> tuple[str, ...] | None:
    """Return what is taken off before a rod comes out with all that is fixed on it.

    Args:
        built: the wheel.
        shaft: the rod's shaft.

    Returns:
        The fewest, along any of its ways; none where it draws out by itself; None where on every
        way something stands that does not come off.
    """
    left, ways = _whole(built)
    kinds = {u.name: u.kind for u in left}
    rod = next(u for u in left if u.name == f"rod {shaft}")
    barred = [ways.in_the_way(rod, way, left) for way in rod.directions]
    open_ways = [names for names in barred if all(kinds[n] in COMES_OFF for n in names)]
    return min(open_ways, key=len, default=None)


def units(found: Sequence[BuiltBody]) -> Iterator[Unit]:
    """Yield the units of a wheel: boards with their bushes, rods with what is fixed on them.

    The whorl of a flyer is a unit of its own: a bobbin between it and the flyer could not be
    changed, so it is made to come off.
    """
    taken: set[str] = set()
    flyers = {b.part for b in found if b.kind == "flyer"}
    for rod in sorted((b for b in found if b.kind == "rod"), key=lambda b: b.part not in flyers):
        if rod.name in taken:  # a sleeve that goes in with the flyer that it turns on
            continue
        fixed = [b for b in found if b.kind in _TURNS_ON_ROD and b.part == rod.part and b.turns]
        if not rod.turns:  # a pin: what turns on it is put on it
            fixed = []
        # the bushes of split holders are put on the rod, and laid in with it
        caps = {name for b in found if b.kind == "cap" for name in b.fits_in}
        fixed += [b for b in found if b.kind == "bearing" and b.part == rod.part
                  and b.name in caps]  # fmt: skip
        held = [b for b in found if b.kind == "bearing" and b.part == rod.part]
        if rod.part in flyers and held and all(b.name in caps for b in held):
            # it lifts out of its split maidens whole, and is stripped on the bench
            fixed += riding(found, rod)
        elif rod.part in flyers:  # the bobbin comes off behind the whorl
            fixed = [b for b in fixed if b.kind != "pulley"]
        taken |= {rod.name, *(b.name for b in fixed)}
        yield Unit(rod.name, "rod", (rod, *fixed))
    for body in sorted(found, key=lambda b: b.kind in ("floor", "table")):  # which touch bushes
        if body.name in taken or body.kind == "bearing":
            continue
        bushes = [b for b in found if b.kind == "bearing" and b.name in body.fits_in]
        bushes = [b for b in bushes if b.name not in taken]
        if body.kind == "pulley":  # on a pin
            bushes += [b for b in found if b.kind in _OF_WHEEL and b.part == body.part]
        if body.kind == "crank":  # its knob's screw is reached only while it is off its rod
            bushes += [b for b in found if b.kind == "knob" and b.material != "steel"
                       and b.part == body.part]  # fmt: skip
        taken |= {b.name for b in bushes}
        kind = body.kind
        if kind == "pulley":
            kind = "whorl" if body.part in flyers else "wheel"
        yield Unit(body.name, kind, (body, *bushes))
    for body in found:  # a bush in no board: a user's own stand holds it
        if body.kind == "bearing" and body.name not in taken:
            yield Unit(body.name, "support", (body,))


def riding(found: Sequence[BuiltBody], rod: BuiltBody) -> list[BuiltBody]:
    """Return the sleeves that turn on a rod, with all that is on them."""
    sleeves = [b for b in found if b.kind == "rod" and rod.name in b.fits_in]
    parts = {b.part for b in sleeves}
    return [*sleeves, *(b for b in found if b.kind in _TURNS_ON_ROD and b.part in parts)]


def _next(
    built: Built,
    left: Sequence[Unit],
    bands: dict[str, tuple[str, ...]],
    base: Unit | None,
    ways: WaysOut,
) -> Iterator[Step]:
    """Yield what can come off now, what is screwed on first."""
    order = {kind: i for i, kind in enumerate(FIRST_OFF)}
    things: list[tuple[int, str]] = [(order["band"], name) for name in bands]
    by_name = {u.name: u for u in left if u is not base}
    last = _holding_alone(left)
    things += [
        (order.get(u.kind, len(order)) + (len(order) if name in last else 0), name)
        for name, u in by_name.items()
    ]
    for _, name in sorted(things, key=lambda t: t[0]):
        if name in bands:
            if not list(_round_rods(built, name, bands, left)):
                lifted = tuple(dict.fromkeys(_lifted(built, name, bands[name], left)))
                yield Step(name, "band", None, (name,), lifted)
            continue
        unit = by_name[name]
        if _lies_in(unit, by_name):
            continue  # the lower half of a split holder stays until its rod is out
        carries = unit.parts[0].part if unit.kind in ("rod", "wheel") else ""
        if any(shaft == carries for on in bands.values() for shaft in on):
            continue  # a rod, or the wheel on a pin, comes out when its bands are off
        if any(_rests_on(other, unit) for other in left if other is not base):
            continue
        if unit.kind == "whorl" and any(_lies_on(built, band, unit) for band in bands):
            continue  # nor does a whorl while its band lies in its groove
        if unit.kind == "wall" and _holds_a_bridge(unit, left):
            continue
        for way in unit.directions:
            if ways.free(unit, way, left):
                kind = "sleeve" if unit.is_sleeve else unit.kind
                if kind == "rod" and not unit.parts[0].turns:
                    kind = "pin"
                if kind == "knob" and unit.parts[0].material == "steel":
                    kind = "crank pin"  # a treadle's footman turns on it
                yield Step(name, kind, way, tuple(b.name for b in unit.parts))
                break


def _lies_in(unit: Unit, left: Iterable[str]) -> bool:
    body = unit.parts[0]
    return body.whole is not None and body.kind != "cap" and f"rod {body.part}" in left


def _holding_alone(left: Sequence[Unit]) -> set[str]:
    """Return the units that alone hold a rod that is left: the rod comes out first."""
    rods = {u.name for u in left}
    holders = Counter(rod for u in left for rod in u.rods_held)
    return {u.name for u in left if any(rod in rods and holders[rod] == 1 for rod in u.rods_held)}


def _rests_on(upper: Unit, lower: Unit) -> bool:
    """Return whether one unit stands on another, which then cannot go first."""
    if upper is lower or upper.kind == "rod" or {upper.kind, lower.kind} & _LINKAGE:
        return False
    if (upper.kind, lower.kind) == ("wall", "bridge"):  # it is higher, and holds the bridge
        return False
    if lower.kind == "trestle foot":  # it is glued on legs that stand upside down
        return False
    if upper.middle_height <= lower.middle_height + 1.0:  # asked first: it is told at once
        return False
    return any(a.may_touch(b) for a in upper.parts for b in lower.parts)


def _lies_on(built: Built, band: str, whorl: Unit) -> bool:
    """Return whether a band lies in a groove of a whorl that comes off its rod."""
    held = set(whorl.parts[0].name.removeprefix("pulley ").split(", "))
    return any(stop.pulley in held for stop in built.design.band(band).route)


def _holds_a_bridge(wall: Unit, left: Sequence[Unit]) -> bool:
    """Return whether a bridge is left that no other wall holds: it comes off first."""
    others = {u.name for u in left if u.kind == "wall" and u is not wall}
    ends = [set(u.parts[0].fits_in) for u in left if u.kind == "bridge"]
    return any(wall.name in names and not names & others for names in ends)


def _why(
    unit: Unit, left: Sequence[Unit], bands: dict[str, tuple[str, ...]], ways: WaysOut
) -> Stuck:
    held = [ways.in_the_way(unit, way, left) for way in unit.directions]
    on = [name for name, shafts in bands.items() if unit.name in (f"rod {s}" for s in shafts)]
    return Stuck(unit.name, (*min(held, key=len), *on))


# --- bands ----------------------------------------------------------------------------------------


def _round_rods(
    built: Built, band: str, bands: Mapping[str, Sequence[str]], left: Sequence[Unit]
) -> Iterator[str]:
    """Yield what keeps an endless band on: holders, or bands, beyond it at both ends of a rod.

    Args:
        built: the wheel.
        band: the band's name.
        bands: every band that is still on, with the shafts that it goes round.
        left: the units that are left.
    """
    for shaft in bands[band]:
        made = built.shafts[shaft]
        own = _places(built, band, shaft)
        held = list(_holes_of(made.shaft, left))
        # an open half is no way past either where another holder keeps its rod from being lifted
        if all(is_open for _, _, is_open in held):
            held = []
        below = [name for name, place, _ in held if place < min(own)]
        above = [name for name, place, _ in held if place >= min(own)]
        # A band cannot pass another that goes round the same rod and on to a second one. Two whose
        # grooves lie among one another on this rod are left to their order on the other rods.
        for other in bands:
            there = _places(built, other, shaft) if other != band else ()
            if there and max(there) < min(own):
                below.append(other)
            elif there and min(there) > max(own):
                above.append(other)
        if below and above:
            yield from dict.fromkeys(above if len(above) <= len(below) else below)


def _lifted(
    built: Built, band: str, shafts: Sequence[str], left: Sequence[Unit]
) -> Iterator[str]:
    """Yield the rods that lie in open holders on both sides of a band, which cannot pass them."""
    for shaft in shafts:
        own = _places(built, band, shaft)
        open_at = [at for _, at, is_open in _holes_of(built.shafts[shaft].shaft, left) if is_open]
        if any(at < min(own) for at in open_at) and any(at > max(own) for at in open_at):
            yield f"rod {built.shafts[shaft].shaft.runs_on or shaft}"


def _holes_of(shaft: Shaft, left: Sequence[Unit]) -> Iterator[tuple[str, float, bool]]:
    """Yield the holders of a rod: their name, their place along it, mm, whether they are open."""
    line = (shaft.at_mm, shaft.axis)
    for unit in left:
        if unit.kind in ("rod", "wheel", "whorl"):  # a slack band is lifted over a whorl
            continue
        halves = [open_hole(body) for body in unit.parts]
        for hole in (*unit.holes, *(h for h in halves if h is not None)):
            point, along, radius = hole
            if coaxial(line, (point, along)) and radius <= 60.0:
                yield unit.name, dot(sub(point, shaft.at_mm), shaft.axis), hole in halves


def _places(built: Built, band: str, shaft: str) -> tuple[float, ...]:
    """Return where a band's grooves lie along a rod, on sleeves that turn on it too, mm.

    From the ``at`` of the rod, which is that of its sleeves.
    """
    names = {stop.pulley for stop in built.design.band(band).route}
    rod = built.shafts[shaft].shaft.runs_on or shaft
    return tuple(
        p.pulley.offset_mm for name, p in built.pulleys.items()
        if name in names and rod in (p.shaft.name, p.shaft.runs_on)
    )  # fmt: skip
