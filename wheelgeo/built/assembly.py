"""In which order a wheel goes together, found by taking it apart: what can be drawn out, and how.

A *unit* is what stays together on the bench: a rod with all that is fixed on it, a board with the
bushes pressed into it. From the whole wheel one unit after another is drawn out along a straight
line, along an axis of its own, without passing through what is left; the order of assembly is that
order backwards. An endless band comes off when at each of its shafts one end, beyond its pulley, is
free of everything that holds the rod, and of every band that is still on it. What can never be
drawn out is said, with what is in its way.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Iterable, Iterator, Mapping, Sequence

from wheelgeo.built.as_built import Built
from wheelgeo.built.bands_off import BandOn, bands_on
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BuiltBody
from wheelgeo.built.drawn_out import Unit, WaysOut
from wheelgeo.built.kept import KeptOf, kept_with
from wheelgeo.geometry.vectors import Vector
from wheelgeo.immutable import dataclass

FIRST_OFF = (
    "lid", "treadle", "hinge rail", "footman", "knob", "crank", "cap", "bridge", "maiden",
    "support", "whorl", "wheel", "band", "rod", "slide", "mother-of-all", "bed", "post", "block",
    "wall", "trestle foot", "leg", "foot",
)  # fmt: skip
"""What is taken off first where several could be: what is screwed on before what is glued."""
_TURNS_ON_ROD = ("pulley", "hub", "spoke", "washer", "collar", "flyer", "bobbin")
_OF_WHEEL = ("hub", "spoke")
_UNITS: KeptOf[Unit] = KeptOf(512)


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


@dataclass(frozen=True, eq=False)
class _TakenApart:
    """How a wheel was taken apart, and all that this hangs on."""

    units: tuple[Unit, ...]
    bands: tuple[BandOn, ...]
    ways: WaysOut
    found: Assembly

    def holds_of(
        self, units: tuple[Unit, ...], bands: tuple[BandOn, ...], ways: WaysOut
    ) -> bool:
        """Return whether another wheel comes apart by the same steps.

        It does where its units differ in nothing but size and place, and all that was asked of
        these on the way is answered as before.
        """
        return (
            bands == self.bands
            and len(units) == len(self.units)
            and all(u is v or u.character == v.character
                    for u, v in zip(units, self.units, strict=True))
            and ways.answers_as(self.ways)
        )  # fmt: skip

    def has_most_of(self, units: tuple[Unit, ...]) -> bool:
        """Return whether of as many units of another wheel all but a few are its own."""
        return sum(u is not v for u, v in zip(units, self.units, strict=True)) <= _FEW


_LATELY: deque[_TakenApart] = deque(maxlen=4)
"""The wheels that were taken apart last: a changed one mostly comes apart by the same steps."""
_FEW = 4
"""Of a wheel with more units changed than so many the units are kept instead."""


def _taken_apart(built: Built) -> Assembly:
    units, ways = _whole(built)
    bands = bands_on(built, units)
    known = next((k for k in tuple(_LATELY) if k.holds_of(units, bands, ways)), None)
    if known is not None and known.has_most_of(units):
        return known.found
    found = known.found if known else _steps(units, {band.name: band for band in bands}, ways)
    ways.stand_alone(*([] if known is None else [known.ways]))
    _LATELY.appendleft(_TakenApart(units, bands, ways, found))
    return found


def _steps(units: tuple[Unit, ...], bands: dict[str, BandOn], ways: WaysOut) -> Assembly:
    apart: list[Step] = []
    left = list(units)
    base = next((u for u in left if u.kind in ("floor", "table")), None)
    while left and left != [base]:
        step = next(_next(left, bands, base, ways), None)
        if step is None:
            break
        apart.append(step)
        bands.pop(step.what, None)
        left = [u for u in left if u.name != step.what or step.kind == "band"]
    stuck = [_why(u, left, bands, ways) for u in left if u is not base]
    names = {u.name for u in left}
    stuck += [Stuck(name, tuple(band.kept_by(names, bands))) for name, band in bands.items()]
    # What is free itself only waits for what stands on it, and that is told by its own name.
    stuck = [one for one in stuck if one.held_by] or stuck
    if base is not None and not stuck:
        apart.append(Step(base.name, base.kind, None, tuple(b.name for b in base.parts)))
    return Assembly(tuple(apart), tuple(stuck))


def _whole(built: Built) -> tuple[tuple[Unit, ...], WaysOut]:
    """Return the units of a whole wheel, without the yarn, and which is in which other's way."""

    def gathered() -> tuple[tuple[Unit, ...], WaysOut]:
        found = tuple(units([b for b in bodies(built) if b.kind != "cop"]))
        return found, WaysOut(found, _LATELY[0].ways if _LATELY else None)

    return kept_with(built, "units", gathered)


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
    whole, ways = _whole(built)
    rod = next(u for u in whole if u.name == f"rod {shaft}")
    stays = [u for u in whole if u.kind not in COMES_OFF]
    comes = [u for u in whole if u.kind in COMES_OFF]
    open_ways = (ways.in_the_way(rod, way, comes) for way in rod.directions
                 if ways.free(rod, way, stays))  # fmt: skip
    return min(open_ways, key=len, default=None)


def units(found: Sequence[BuiltBody]) -> Iterator[Unit]:
    """Yield the units of a wheel: boards with their bushes, rods with what is fixed on them.

    The whorl of a flyer is a unit of its own: a bobbin between it and the flyer could not be
    changed, so it is made to come off.
    """
    taken: set[str] = set()
    flyers = {b.part for b in found if b.kind == "flyer"}
    bearings = [b for b in found if b.kind == "bearing"]
    # the bushes of split holders are put on the rod, and laid in with it
    caps = {name for b in found if b.kind == "cap" for name in b.fits_in}
    for rod in sorted((b for b in found if b.kind == "rod"), key=lambda b: b.part not in flyers):
        if rod.name in taken:  # a sleeve that goes in with the flyer that it turns on
            continue
        fixed = [b for b in found if b.kind in _TURNS_ON_ROD and b.part == rod.part and b.turns]
        if not rod.turns:  # a pin: what turns on it is put on it
            fixed = []
        held = [b for b in bearings if b.part == rod.part]
        fixed += [b for b in held if b.name in caps]
        if rod.part in flyers and held and all(b.name in caps for b in held):
            # it lifts out of its split maidens whole, and is stripped on the bench
            fixed += riding(found, rod)
        elif rod.part in flyers:  # the bobbin comes off behind the whorl
            fixed = [b for b in fixed if b.kind != "pulley"]
        taken |= {rod.name, *(b.name for b in fixed)}
        yield _unit(rod.name, "rod", (rod, *fixed))
    for body in sorted(found, key=lambda b: b.kind in ("floor", "table")):  # which touch bushes
        if body.name in taken or body.kind == "bearing":
            continue
        bushes = [b for b in bearings if b.name in body.fits_in and b.name not in taken]
        if body.kind == "pulley":  # on a pin
            bushes += [b for b in found if b.kind in _OF_WHEEL and b.part == body.part]
        if body.kind == "crank":  # its knob's screw is reached only while it is off its rod
            bushes += [b for b in found if b.kind == "knob" and b.material != "steel"
                       and b.part == body.part]  # fmt: skip
        taken |= {b.name for b in bushes}
        kind = body.kind
        if kind == "pulley":
            kind = "whorl" if body.part in flyers else "wheel"
        yield _unit(body.name, kind, (body, *bushes))
    for body in bearings:  # a bush in no board: a user's own stand holds it
        if body.name not in taken:
            yield _unit(body.name, "support", (body,))


def _unit(name: str, kind: str, parts: tuple[BuiltBody, ...]) -> Unit:
    return _UNITS.get(parts, lambda: Unit(name, kind, parts), kind)


def riding(found: Sequence[BuiltBody], rod: BuiltBody) -> list[BuiltBody]:
    """Return the sleeves that turn on a rod, with all that is on them."""
    sleeves = [b for b in found if b.kind == "rod" and rod.name in b.fits_in]
    parts = {b.part for b in sleeves}
    return [*sleeves, *(b for b in found if b.kind in _TURNS_ON_ROD and b.part in parts)]


def _next(
    left: Sequence[Unit],
    bands: dict[str, BandOn],
    base: Unit | None,
    ways: WaysOut,
) -> Iterator[Step]:
    """Yield what can come off now, what is screwed on first."""
    order = {kind: i for i, kind in enumerate(FIRST_OFF)}
    things: list[tuple[int, str]] = [(order["band"], name) for name in bands]
    by_name = {u.name: u for u in left if u is not base}
    last, names = _holding_alone(left), {u.name for u in left}
    things += [
        (order.get(u.kind, len(order)) + (len(order) if name in last else 0), name)
        for name, u in by_name.items()
    ]
    for _, name in sorted(things, key=lambda t: t[0]):
        if name in bands:
            if not any(bands[name].kept_by(names, bands)):
                yield Step(name, "band", None, (name,), bands[name].lifted(names))
            continue
        unit = by_name[name]
        if _lies_in(unit, by_name):
            continue  # the lower half of a split holder stays until its rod is out
        carries = unit.parts[0].part if unit.kind in ("rod", "wheel") else ""
        if any(carries in band.shafts for band in bands.values()):
            continue  # a rod, or the wheel on a pin, comes out when its bands are off
        if any(ways.rests_on(other, unit) for other in left if other is not base):
            continue
        if unit.kind == "whorl" and any(_lies_on(band, unit) for band in bands.values()):
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


def _lies_on(band: BandOn, whorl: Unit) -> bool:
    """Return whether a band lies in a groove of a whorl that comes off its rod."""
    return not band.pulleys.isdisjoint(whorl.parts[0].grooves)


def _holds_a_bridge(wall: Unit, left: Sequence[Unit]) -> bool:
    """Return whether a bridge is left that no other wall holds: it comes off first."""
    others = {u.name for u in left if u.kind == "wall" and u is not wall}
    ends = [set(u.parts[0].fits_in) for u in left if u.kind == "bridge"]
    return any(wall.name in names and not names & others for names in ends)


def _why(unit: Unit, left: Sequence[Unit], bands: Mapping[str, BandOn], ways: WaysOut) -> Stuck:
    held = [ways.in_the_way(unit, way, left) for way in unit.directions]
    on = [b.name for b in bands.values() if unit.name in (f"rod {s}" for s in b.shafts)]
    return Stuck(unit.name, (*min(held, key=len), *on))
