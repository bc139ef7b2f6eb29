"""How a band lies on what it drives: which run passes it, where, and what that makes of the yarn.

Whoever stands before a wheel sees no sense of turning, but a cord that comes over the whorl or
under it. Of the two runs that meet a pulley the one told is that on its upper side, or, where the
two stand equally high, on its right or at its back. Left is low x, front low y, up is z.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property
from typing import ClassVar, Literal

from wheelgeo.design.model import Band, Design, Stop, Turning
from wheelgeo.design.side_words import drive_seen_from, end_of_shaft, seen_from
from wheelgeo.design.twist import direction
from wheelgeo.drive.train import BandMotion, Solution, solve_drive
from wheelgeo.geometry.path import Path, Run
from wheelgeo.geometry.vectors import Vector, cross, norm, sub
from wheelgeo.immutable import dataclass

_SIDES = (("on the right", "on the left"), ("at the back", "at the front"), ("above", "below"))
_WAYS = (
    ("from left to right", "from right to left"),
    ("from front to back", "from back to front"),
    ("upwards", "downwards"),
)
_PARALLEL = 1e-9
_STRAIGHT_DEG = 0.05
"""A slant below this is not seen, and not told."""
_APART = 0.3
"""Runs told apart as upper and lower stand this part of the pulley's diameter apart, at least."""


@dataclass(frozen=True)
class BandLay:
    """How a band lies on one pulley that it drives.

    Attributes:
        band: the band's name.
        pulley: the pulley's name.
        side: where the run passes the pulley: above, on the right or at the back.
        from_: the pulley that this run leaves.
        to: the pulley that it reaches.
        heads: where its cord moves, in words.
        slant_deg: its lead angle at this pulley, positive along the axis: towards the tip.
        other_side: where the other run passes.
        other_slant_deg: the lead angle of that one.
        turns: sense of the pulley, seen with its axis (the tip) pointing at the viewer.
        twist: the twist that comes out; None where this band does not make it.
        end: what its axis points to: tip, orifice, or an end of its shaft.
        seen: from where ``turns`` is seen, in words.
    """

    json_keys: ClassVar[tuple[str, ...]] = (
        "pulley", "side", "from_", "to", "heads", "slant_deg", "other_side", "other_slant_deg",
        "turns", "twist", "says",
    )  # fmt: skip

    band: str
    pulley: str
    side: str
    from_: str
    to: str
    heads: str
    slant_deg: float
    other_side: str
    other_slant_deg: float
    turns: Turning
    twist: Literal["S", "Z"] | None
    end: str
    seen: str

    @property
    def comes_on(self) -> bool:
        """Whether the run told is the one that comes on to the pulley."""
        return self.to == self.pulley

    @property
    def passes(self) -> str:
        """Which run passes where, in short."""
        run = f'comes from "{self.from_}"' if self.comes_on else f'leaves for "{self.to}"'
        return f'{self.side} "{self.pulley}" the cord {run}, moving {self.heads}'

    @cached_property
    def says(self) -> str:
        """The whole in words, as a person before the wheel sees it."""
        slant, other = self._slant(self.slant_deg), self._slant(self.other_slant_deg)
        if self.comes_on:
            first = f'the cord comes from "{self.from_}" {self.side}'
            second = f"leaves {self.other_side}"
        else:
            first = f'the cord leaves for "{self.to}" {self.side}'
            second = f"comes {self.other_side}"
        twist = "" if self.twist is None else f": {self.twist} twist"
        return (
            f'At "{self.pulley}" {first}, moving {self.heads}{slant}, and {second}{other}; '
            f"{self.seen} it turns {self.turns}{twist}"
        )

    def _slant(self, angle: float) -> str:
        if abs(angle) < _STRAIGHT_DEG:
            return ""
        way = "towards" if angle > 0.0 else "away from"
        return f", slanting {abs(angle):.1f}° {way} the {self.end}"


@dataclass(frozen=True)
class OtherLay:
    """What comes of laying a band on the other way round: crossed, or from its other side.

    Attributes:
        how: what to do, in words.
        no_path: why it cannot lie so; empty where it can.
        lays: how it lies then.
        twist: the twist that the wheel then makes.
        arriving_deg: the largest lead angle at which it then arrives anywhere, without sign.
        backing_off_deg: the same with the wheel turned backwards.
        backing_off: which way the drive turns then in backing off, or in plying.
        drive_seen: from where that is seen, in words.
    """

    json_keys: ClassVar[tuple[str, ...]] = (
        "how", "no_path", "lays", "twist", "arriving_deg", "backing_off_deg", "backing_off", "says",
    )  # fmt: skip

    how: str
    no_path: str
    lays: tuple[BandLay, ...]
    twist: Literal["S", "Z"] | None
    arriving_deg: float | None
    backing_off_deg: float | None
    backing_off: Turning
    drive_seen: str

    @property
    def says(self) -> str:
        """The whole in words."""
        if self.no_path:
            return f"{self.how}: it cannot lie so, {self.no_path}"
        where = "; ".join(
            f'at "{lay.pulley}" it then {"comes" if lay.comes_on else "leaves"} {lay.side}'
            for lay in self.lays
        )
        twist = "" if self.twist is None else f", {self.twist} twist"
        return (
            f"{self.how}: {where}{twist}; it arrives at most {self.arriving_deg:.1f}° off the "
            f"mid-plane, and {self.backing_off_deg:.1f}° with the drive turned {self.backing_off}, "
            f"{self.drive_seen}"
        )


def lays_of(solution: Solution, name: str) -> tuple[BandLay, ...]:
    """Return how a band lies on each pulley that it drives; empty where it has no path."""
    motion = solution.band(name)
    if motion.path is None or motion.driver is None:
        return ()
    return tuple(_lay(solution, motion, motion.path, i) for i in _driven(solution, motion))


def last_band(solution: Solution) -> str | None:
    """Return the band that drives the spindle, or the bobbin which draws a braked flyer."""
    shaft = solution.drawn_by or solution.spindle.name
    return solution.shaft(shaft).driven_by


def other_lay(solution: Solution, name: str) -> OtherLay | None:
    """Return what comes of laying a band on the other way; None where nothing drives it."""
    motion = solution.band(name)
    if motion.driver is None:
        return None
    changed = solve_drive(laid_other_way(solution, name))
    after = changed.band(name)
    turns = changed.design.drive.turns
    back: Turning = "clockwise" if turns == "counter-clockwise" else "counter-clockwise"
    how, seen = _how(solution.design, motion.band), drive_seen_from(solution.design)
    if after.path is None:
        return OtherLay(how, str(after.no_path), (), None, None, None, back, seen)
    lays = tuple(
        _lay(changed, after, after.path, i, before.side)
        for i, before in zip(_driven(changed, after), lays_of(solution, name), strict=False)
    ) or lays_of(changed, name)
    stops = range(len(after.path.circles))
    return OtherLay(
        how, "", lays, _twist(changed, name),
        max(abs(after.path.arriving_deg(i)) for i in stops),
        # turned backwards, the cord arrives along the run on which it left
        max(abs(after.path.leaving_deg(i)) for i in stops), back, seen,
    )  # fmt: skip


def laid_other_way(solution: Solution, name: str) -> Design:
    """Return the design with a band laid the other way over all that it drives."""
    design, motion = solution.design, solution.band(name)
    driven, band = set(_driven(solution, motion)), motion.band
    route = tuple(
        Stop(s.pulley, _other(s)) if i in driven else s for i, s in enumerate(band.route)
    )
    if route[0].turns == "against":  # a route is told from its first pulley, which turns "with"
        route = tuple(Stop(s.pulley, _other(s)) for s in route)
    crossed = _parallel_pair(design, band) and route[1].turns == "against"
    bands = tuple(
        replace(b, route=route, crossed=crossed) if b.name == name else b for b in design.bands
    )
    return replace(design, bands=bands)


def _other(stop: Stop) -> Literal["with", "against"]:
    return "with" if stop.turns == "against" else "against"


def _driven(solution: Solution, motion: BandMotion) -> Iterator[int]:
    """Yield the stops that are not on the shaft which drives the band."""
    shafts = [solution.design.pulley(s.pulley).shaft for s in motion.band.route]
    source = shafts[motion.driver or 0]
    return (i for i, shaft in enumerate(shafts) if shaft != source)


def _parallel_pair(design: Design, band: Band) -> bool:
    a, b = (design.shaft(design.pulley(s.pulley).shaft).axis for s in band.route[:2])
    return len(band.route) == 2 and norm(cross(a, b)) < _PARALLEL


def _how(design: Design, band: Band) -> str:
    shafts = [design.shaft(design.pulley(s.pulley).shaft).axis for s in band.route]
    if any(norm(cross(shafts[0], axis)) >= _PARALLEL for axis in shafts):
        return "laid on from its other side"
    return "laid open" if any(s.turns == "against" for s in band.route) else "crossed"


def _twist(solution: Solution, band: str) -> Literal["S", "Z"] | None:
    """Return the twist that comes out, where a band stands between the hand and the spindle."""
    speed = solution.spindle.speed_rpm
    return direction(speed) if speed is not None and band in solution.to_spindle else None


def _lay(
    solution: Solution, motion: BandMotion, path: Path, index: int, side: str = ""
) -> BandLay:
    """Return how a band lies on one pulley, told from a side, or from the one that shows most."""
    names = [s.pulley for s in motion.band.route]
    shaft = solution.design.pulley(names[index]).shaft
    arriving, leaving = path.runs[index - 1], path.runs[index]
    # Upper or lower, where the two ends of the arc differ enough in height; else by x, then by y.
    apart = sub(arriving.end_mm, leaving.start_mm)
    enough = 2.0 * _APART * path.circles[index].radius_mm
    across = next((k for k in (2, 0, 1) if abs(apart[k]) >= enough), _widest(apart))
    across = next((k for k in range(3) if _SIDES[k][0] == side), across)
    told, other = (arriving, leaving) if apart[across] > 0.0 else (leaving, arriving)
    return BandLay(
        motion.band.name, names[index], _SIDES[across][0], names[told.first], names[told.second],
        _heads(told), _slant(told, index), _SIDES[across][1], _slant(other, index),
        "counter-clockwise" if motion.senses[index] > 0 else "clockwise",
        _twist(solution, motion.band.name), *_end(solution, shaft),
    )  # fmt: skip


def _end(solution: Solution, shaft: str) -> tuple[str, str]:
    """Return what a shaft's axis points to, and that one looks from there."""
    spindle, axis = solution.design.spindle, solution.design.shaft(shaft).axis
    if shaft not in (spindle.shaft, spindle.bobbin):
        return end_of_shaft(axis), seen_from(axis)
    end = "tip" if spindle.kind == "tip" else "orifice"
    return end, f"seen from the {end}"


def _widest(vector: Vector) -> int:
    return max(range(3), key=lambda k: abs(vector[k]))


def _heads(run: Run) -> str:
    way = sub(run.end_mm, run.start_mm)
    k = _widest(way)
    return _WAYS[k][0 if way[k] > 0.0 else 1]


def _slant(run: Run, index: int) -> float:
    return run.arriving_deg if run.second == index else run.leaving_deg
