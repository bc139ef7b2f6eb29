"""What holds a pulley on its rod: every way there is, judged by wall and torque, and the choice.

Glossary: a *boss* is the metal collar in a wooden hub that gives a set screw its thread. A *flange*
is a disc of brass on the rod, let into the face of a wheel that is too large for a pin to be
drilled to its rod. A *sleeve* is a hollow shaft that turns on another: what goes through it would
lock the two. *Eccentricity* is as in ``wheelgeo.design.rod_fits``, as are the sources.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Literal

from wheelgeo.design.materials import PRACTICE
from wheelgeo.design.rod_fits import (
    PINS_MM,
    SCREWS,
    WOOD_PLAYS,
    grade_um,
    it7_um,
    pin_mm,
    pin_shear_torque_nm,
    pin_wall_mm,
    set_screw_torque_nm,
    set_screw_wall_mm,
)
from wheelgeo.immutable import dataclass
from wheelgeo.units.in_full import Told, figures, full

GLUE_MPA = 1.0
"""Shear of a glued steel rod in wood, MPa: common practice, no source."""
TAPER_MPA = 0.2
"""Shear of a wooden bore driven on a taper, MPa: common practice, no source."""
TAPER = 1.0 / 20.0
"""Change of diameter with length: common practice, no source."""
PIN_REACH = 15.0
"""Deepest hole for a pin, in diameters: a thin drill that goes deeper clogs and wanders, and comes
out beside the rod; common practice, no source."""
LONG_REACH = 25.0
"""The same with a drill of the long series and a guide, where only a pin can be drawn out again."""
PIN_WIDTH = 3.0
"""Least width of the wood that a pin goes through, in diameters: a pin's width on both sides of
its hole; common practice, no source."""
FLANGES_MM = (1.5, 2.0, 3.0, 4.0, 5.0, 6.0)
"""Brass plate that is sold, mm."""
FLANGE_RODS = 3.0
"""Diameter of a flange, in diameters of its rod: common practice, no source."""
JOINT_MPA = 8.0
"""Shear of a flange's joint on its rod, by retaining compound or solder, MPa: common practice, no
source; makers of retaining compounds give two to three times as much."""

Way = Literal[
    "set screw", "pin", "push fit, glued", "flange", "taper", "one piece", "turns on its pin"
]


@dataclass(frozen=True)
class Seating:
    """What a pulley that must turn with its rod is to be fixed on.

    Attributes:
        shaft_mm: diameter of the rod.
        hub_mm: diameter of the hub, or of the groove's bottom where that is less.
        length_mm: length of the bore.
        torque_nm: greatest torque that it carries.
        metal: whether the pulley is of metal.
        least_wall_mm: least wall that may stand round a plain bore.
        drilled_mm: width of the piece that a pin goes through: of layers the core; None: all of it.
        cheek_mm: of layers the thickness of a cheek, which a flange lies in; None: turned wood.
        sleeve: whether the rod is a sleeve that turns on another, which no pin or screw may reach.
        comes_off: whether it is taken off again in use, so that it cannot be glued.
        play_mm: how much wider than the rod the bushes are in which it turns on it, where the rod
            is a pin that stands still; None where it turns with its rod.
    """

    shaft_mm: float
    hub_mm: float
    length_mm: float
    torque_nm: float
    metal: bool
    least_wall_mm: float
    drilled_mm: float | None = None
    cheek_mm: float | None = None
    sleeve: bool = False
    comes_off: bool = False
    play_mm: float | None = None

    @property
    def wall_mm(self) -> float:
        """Wall between bore and hub, mm."""
        return (self.hub_mm - self.shaft_mm) / 2.0


@dataclass(frozen=True)
class Fixing:
    """One way to fix a pulley.

    Attributes:
        way: which.
        allowed: whether wall and torque allow it.
        why: the reason, with value and limit.
        holds_nm: torque that it carries; infinite where it cannot turn on the rod at all.
        eccentricity_mm: how far off centre it may leave the pulley.
        source: of the judgement.
        size: the pin or screw to buy, or the flange to make; empty where there is none.
        across_mm: diameter of the pin or of the flange; 0 where there is none.
        thick_mm: thickness of the flange; 0 where there is none.
        long_mm: length of the pin: through the rod, and on both sides as far as it must reach.
        whole: whether the pin goes right through the hub, so that its ends are trimmed.
        comes_off: whether it is undone again in use, so that it is neither glued nor covered.
    """

    way: Way
    allowed: bool
    why: str
    holds_nm: float
    eccentricity_mm: float
    source: str = PRACTICE
    size: str = ""
    across_mm: float = 0.0
    thick_mm: float = 0.0
    long_mm: float = 0.0
    whole: bool = False
    comes_off: bool = False

    def __post_init__(self) -> None:
        """Keep the lengths of the reason as they are, and tell them rounded."""
        vars(self)["why"] = Told(self.why)


SAFETY = 2.0
"""By how much a fixing must hold more than it carries: common practice, no source."""
_BEYOND_NM, _HALVINGS = 1e3, 60
"""A torque that no fixing of a wheel holds, and how often it is halved: to rounding."""

Judge = Callable[[Seating], Fixing]
"""Judges one way to fix a pulley, of the size that holds as much as it should."""


def fixings(seat: Seating) -> tuple[Fixing, ...]:
    """Return every way to fix a pulley, in the order in which a workshop would choose.

    The first that is allowed is the one to take; the last, in one piece with rod or neighbour,
    always is.
    """
    return (*(judge(seat) for judge in _JUDGES), _one_piece())


def choose(seat: Seating) -> Fixing:
    """Return the first way that wall and torque allow (see ``fixings``).

    Where none holds as much more as it should, the strongest that holds at all. What turns on a
    pin is held by nothing; its band draws it to one side of the play.
    """
    if seat.play_mm is not None:
        why = "it turns in its bushes on a pin that stands still"
        return Fixing("turns on its pin", True, why, math.inf, seat.play_mm / 2.0)
    first = next(fixing for fixing in fixings(seat) if fixing.allowed)
    best = strongest(seat) if first.way == "one piece" else None
    return first if best is None or best.holds_nm < seat.torque_nm else best


def strongest(seat: Seating) -> Fixing | None:
    """Return the strongest way that a wall allows, whatever torque it carries; None without one."""
    bare = replace(seat, torque_nm=0.0)
    found = [best for judge in _JUDGES if (best := _at_its_most(judge, bare)) is not None]
    if not found:
        return None
    best = max(found, key=lambda f: f.holds_nm)
    holds, torque = figures(best.holds_nm), figures(seat.torque_nm)
    why = f"holds {holds} N m of {torque}, less than {SAFETY:g} times"
    return replace(best, why=f"{best.size}: {why}" if best.size else why)


@lru_cache(maxsize=256)
def _at_its_most(judge: Judge, seat: Seating) -> Fixing | None:
    """Return one way, sized for the greatest torque that its hold and the wall allow, by halving.

    A pin holds no more than the wood that it presses on, however much its shear would carry.
    Remembered: it is the same whatever torque comes on the seat, which is left out of it.
    """
    best, low, high = judge(seat), 0.0, _BEYOND_NM
    if not best.allowed:
        return None
    for _ in range(_HALVINGS):
        torque = 0.5 * (low + high)
        tried = judge(replace(seat, torque_nm=torque))
        if tried.allowed:
            best, low = tried, torque
        else:
            high = torque
    holds = SAFETY * low
    return best if math.isclose(best.holds_nm, holds) else replace(best, holds_nm=holds)


_THROUGH_SLEEVE = "through a sleeve it would lock it to the rod that it turns on"


def _judge(wall: float, needs: float, holds: float, torque: float) -> tuple[bool, str]:
    """Return whether a wall and a hold are enough, and the sentence that says so."""
    if wall < needs - 1e-9:  # just enough is enough, whatever the last digit is
        return False, f"the wall is {_mm(wall)} mm and it needs {_mm(needs)} mm"
    if holds < SAFETY * torque:
        return False, f"it holds {figures(holds)} N m and must hold {figures(SAFETY * torque)} N m"
    held = f"holds {figures(holds)} N m of {figures(torque)}"
    return True, f"wall {_mm(wall)} mm of {_mm(needs)} mm, {held}"


def _mm(value: float) -> str:
    """Return a length in full, told to two figures, a long one to whole mm."""
    whole_digits = math.floor(math.log10(value)) if value > 0.0 else 0
    return full(value, max(1 - whole_digits, 0))


def _set_screw(seat: Seating) -> Fixing:
    """Judge the smallest screw that holds; it pushes the pulley aside by half the play."""
    play = _bore_play(seat)
    source = "Shigley, Mechanical Engineering Design, table 7-4; holding force from memory"
    if not seat.metal:
        why = "a thread in wood does not hold: it needs a metal boss"
        return Fixing("set screw", False, why, 0.0, play, source)
    if seat.sleeve:
        return Fixing("set screw", False, _THROUGH_SLEEVE, 0.0, play, source)
    judged: tuple[bool, str] = (False, "")
    holds = 0.0
    for name, screw, _, _ in SCREWS:
        holds = set_screw_torque_nm(name, seat.shaft_mm)
        judged = _judge(seat.wall_mm, set_screw_wall_mm(screw), holds, seat.torque_nm)
        if judged[0]:
            why = f"{name}: {judged[1]}"
            return Fixing("set screw", True, why, holds, play, source, f"{name} set screw")
        if seat.wall_mm < set_screw_wall_mm(screw):
            break  # a larger screw needs a thicker wall still
    return Fixing("set screw", *judged, holds, play, source)


def _pin(seat: Seating) -> Fixing:
    """Judge pins of a quarter to a third of the rod: the thinnest that holds, else the usual."""
    usual = pin_mm(seat.shaft_mm)
    pins = [usual, *(p for p in PINS_MM if usual < p <= seat.shaft_mm / 3.0 + 1e-9)]
    judged = [_one_pin(seat, pin) for pin in pins]
    return next((fixing for fixing in judged if fixing.allowed), judged[0])


def _one_pin(seat: Seating, pin: float) -> Fixing:
    """Judge one pin: both ends bear on the hub, and its hole is drilled from one side."""
    holds = pin_shear_torque_nm(seat.shaft_mm, pin)
    needs = pin_wall_mm(seat.shaft_mm, pin, SAFETY * seat.torque_nm, seat.metal)
    allowed, why = _judge(seat.wall_mm, needs, holds, seat.torque_nm)
    bite = min(seat.wall_mm, needs)
    # Right through where that is little more; and where it is pushed out again, from its far end.
    whole = seat.comes_off or seat.wall_mm - bite < seat.shaft_mm
    if whole:
        bite = seat.wall_mm
    reach = (LONG_REACH if seat.comes_off else PIN_REACH) * pin
    deep = seat.wall_mm + seat.shaft_mm + bite
    if whole and deep > reach:
        whole, bite = False, min(seat.wall_mm, needs)
        deep = seat.wall_mm + seat.shaft_mm + bite
    drilled = seat.length_mm if seat.drilled_mm is None else seat.drilled_mm
    if seat.sleeve:
        allowed, why = False, _THROUGH_SLEEVE
    elif allowed and deep > reach:
        allowed, why = False, f"its hole is {_mm(deep)} mm deep, and {_mm(reach)} mm is the most"
    elif allowed and drilled < PIN_WIDTH * pin:
        allowed = False
        why = f"it goes through {_mm(drilled)} mm and needs {_mm(PIN_WIDTH * pin)} mm"
    long = math.ceil(seat.shaft_mm + 2.0 * bite)
    if whole and seat.comes_off:  # it is not trimmed when it is in: none stands up in the groove
        long = math.floor(seat.hub_mm)
    size = f"{pin:g} mm pin"
    return Fixing(
        "pin", allowed, f"{size}: {why}", holds, _bore_play(seat), size=size, across_mm=pin,
        long_mm=long, whole=whole, comes_off=seat.comes_off,
    )  # fmt: skip


def _glued(seat: Seating) -> Fixing:
    holds = GLUE_MPA * math.pi * seat.shaft_mm * seat.length_mm * seat.shaft_mm / 2e3
    judged = _judge(seat.wall_mm, seat.least_wall_mm, holds, seat.torque_nm)
    if seat.comes_off:
        judged = False, "it comes off in use (0 N m with the glue broken)"
    return Fixing("push fit, glued", *judged, holds, _bore_play(seat))


def _flange(seat: Seating) -> Fixing:
    """Judge the thinnest flange that holds, let into no more than half of the width.

    Of layers it lies in a hole right through one cheek, which a cutter of sheet makes, and is glued
    on the core: it is no thicker than that cheek.

    Its joint on the rod carries JOINT_MPA on the bore, and its face, glued to the wood, GLUE_MPA
    over the ring: torque = stress x 2 pi/3 (R^3 - r^3).
    """
    across, rod = math.ceil(FLANGE_RODS * seat.shaft_mm), seat.shaft_mm
    play, face = _bore_play(seat), GLUE_MPA * math.pi / 12.0 * (across**3 - rod**3) / 1e3
    if seat.metal or seat.sleeve or seat.comes_off:
        return Fixing("flange", False, f"only for wood glued on a rod of {_mm(rod)} mm", 0.0, play)
    if seat.hub_mm < across + 4.0:
        why = f"the hub is {_mm(seat.hub_mm)} mm and it needs {_mm(across + 4.0)} mm"
        return Fixing("flange", False, why, 0.0, play)
    most = seat.length_mm / 2.0 if seat.cheek_mm is None else seat.cheek_mm
    why, holds = f"it is let {_mm(most)} mm deep in and is {_mm(FLANGES_MM[0])} mm thick", 0.0
    for thick in (t for t in FLANGES_MM if t <= most + 1e-9):
        holds = min(JOINT_MPA * math.pi * rod * thick * rod / 2e3, face)
        allowed, why = _judge(seat.wall_mm, (across - rod) / 2.0, holds, seat.torque_nm)
        if allowed:
            size = f"brass flange, {across:g} mm across, {thick:g} mm thick, bore {rod:g} mm"
            return Fixing(
                "flange", True, f"{size}: {why}", holds, play, size=size, across_mm=float(across),
                thick_mm=thick,
            )  # fmt: skip
    return Fixing("flange", False, why, holds, play)


def _taper(seat: Seating) -> Fixing:
    """Judge a bore driven on a taper: its wide end takes half the taper more of the wall."""
    holds = TAPER_MPA * math.pi * seat.shaft_mm * seat.length_mm * seat.shaft_mm / 2e3
    needs = seat.least_wall_mm + seat.length_mm * TAPER / 2.0
    return Fixing("taper", *_judge(seat.wall_mm, needs, holds, seat.torque_nm), holds, 0.01)


def _one_piece() -> Fixing:
    why = "turned in one piece with its rod or its neighbour: nothing can turn or stand off centre"
    return Fixing("one piece", True, why, math.inf, 0.0)


def _bore_play(seat: Seating) -> float:
    """Return the eccentricity of a push-fit bore, mm; H7 on h6 in metal: both grades at worst."""
    if seat.metal:
        return (it7_um(seat.shaft_mm) + grade_um(seat.shaft_mm, 6)) / 2000.0
    return WOOD_PLAYS["push fit"].eccentricity_mm


_JUDGES: tuple[Judge, ...] = (_set_screw, _pin, _glued, _flange, _taper)
"""In the order in which a workshop would choose."""
