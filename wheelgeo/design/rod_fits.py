"""How a pulley sits on its rod: ISO 286 fits, what holds it, what each way leaves off centre.

Glossary: *play* is bore less shaft, negative where the bore is smaller. *Eccentricity* is how far
the pulley's middle may stand from the rod's: half the play, since the rod lies against one side.
A *boss* is the metal collar in a wooden hub that gives a set screw its thread. A *flange* is a disc
of brass on the rod, let into the face of a wheel that is too large for a pin to be drilled to its
rod. A *sleeve* is a hollow shaft that turns on another: what goes through it would lock the two.

Sources: ISO 286-1 and -2 for limits and grades (tables that agree with each other; rows that were
not looked up say so); J. E. Shigley, Mechanical Engineering Design, table 7-4, for set screws;
what is marked common practice has no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Literal

from wheelgeo.errors import ShapeError
from wheelgeo.immutable import dataclass

PRACTICE = "common practice, no source"

STEPS_MM = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0)
"""Largest diameter of each step of ISO 286; the first begins at 1 mm for the formula's sake."""
IT7_UM = (10.0, 12.0, 15.0, 18.0, 21.0, 25.0, 30.0, 35.0, 40.0, 46.0, 52.0, 57.0, 63.0)
"""Tolerance grade 7 of each step, micrometres: ISO 286-1, from memory."""
_UNITS = {5: 7.0, 6: 10.0, 7: 16.0, 8: 25.0, 9: 40.0, 10: 64.0, 11: 100.0}
"""Tolerance units i of each grade (ISO 286-1)."""

Zone = Literal["H7", "H8", "g6", "h6", "k6", "p6"]
_ZONES: dict[Zone, tuple[tuple[int, int], ...]] = {
    "H7": ((12, 0), (15, 0), (18, 0), (21, 0)),
    "H8": ((18, 0), (22, 0), (27, 0), (33, 0)),
    "g6": ((-4, -12), (-5, -14), (-6, -17), (-7, -20)),
    "h6": ((0, -8), (0, -9), (0, -11), (0, -13)),
    "k6": ((9, 1), (10, 1), (12, 1), (15, 2)),
    "p6": ((20, 12), (24, 15), (29, 18), (35, 22)),
}
"""Upper and lower limit, micrometres, over 3 to 6, 6 to 10, 10 to 18 and 18 to 30 mm: ISO 286-2.

Looked up: H7, g6, k6, p6 of 3 to 6; H7, H8, h6, k6 of 6 to 10; H7, g6 of 10 to 18. The rest is from
memory."""


def it7_um(diameter_mm: float) -> float:
    """Return the tolerance of grade 7 (the upper limit of an H7 hole), micrometres.

    Args:
        diameter_mm: basic diameter, above 0 and up to 500 mm.

    Raises:
        ShapeError: the diameter is beyond the table.
    """
    return IT7_UM[_step(diameter_mm)]


def grade_um(diameter_mm: float, grade: int) -> float:
    """Return a tolerance grade by the standard's formula, micrometres, not rounded.

    Args:
        diameter_mm: basic diameter, above 0 and up to 500 mm.
        grade: 5 to 11.

    Returns:
        Units times i, with i = 0.45 D^(1/3) + 0.001 D and D the geometric mean of the step. The
        standard's table rounds it, by up to a tenth in the smallest steps.

    Raises:
        ShapeError: the diameter or the grade is beyond the formula.
    """
    if grade not in _UNITS:
        raise ShapeError(f"no tolerance grade {grade}: there are 5 to 11")
    step = _step(diameter_mm)
    low = STEPS_MM[step - 1] if step else 1.0
    mean = math.sqrt(low * STEPS_MM[step])
    return float(_UNITS[grade] * (0.45 * mean ** (1.0 / 3.0) + 0.001 * mean))


def limits_um(diameter_mm: float, zone: Zone) -> tuple[int, int]:
    """Return the upper and the lower limit of a hole or shaft, micrometres.

    Args:
        diameter_mm: basic diameter, above 3 and up to 30 mm.
        zone: such as "H7" of a hole, "h6" of a shaft.

    Raises:
        ShapeError: the diameter is beyond the table.
    """
    step = _step(diameter_mm)
    if not 1 <= step <= len(_ZONES[zone]):
        raise ShapeError(f"no limits of {zone} are tabled for {diameter_mm:g} mm, only for 3 to 30")
    return _ZONES[zone][step - 1]


def _step(diameter_mm: float) -> int:
    if diameter_mm > 0.0:
        for step, largest in enumerate(STEPS_MM):
            if diameter_mm <= largest:
                return step
    raise ShapeError(f"no tolerance is tabled for a bore of {diameter_mm:g} mm")


@dataclass(frozen=True)
class Play:
    """Bore less shaft, least and greatest, mm."""

    least_mm: float
    greatest_mm: float

    @property
    def eccentricity_mm(self) -> float:
        """How far off centre the pulley may stand at worst, mm; 0 where it is always tight."""
        return max(self.greatest_mm, 0.0) / 2.0

    @property
    def kind(self) -> Literal["runs", "may be either", "is tight"]:
        """Whether the bore runs on the shaft, is pressed on it, or may be either."""
        if self.least_mm >= 0.0:
            return "runs"
        return "is tight" if self.greatest_mm <= 0.0 else "may be either"


def iso_play(diameter_mm: float, hole: Zone, shaft: Zone) -> Play:
    """Return the play of an ISO 286 fit, such as H7 with g6, mm."""
    (hole_up, hole_low), (shaft_up, shaft_low) = (limits_um(diameter_mm, z) for z in (hole, shaft))
    return Play((hole_low - shaft_up) / 1000.0, (hole_up - shaft_low) / 1000.0)


WOOD_PLAYS: dict[str, Play] = {
    "push fit": Play(-0.03, 0.03),
    "running fit": Play(0.10, 0.25),
}
"""Play of a bore reamed in dry hardwood on a drawn steel rod, mm: common practice, no source."""

SCREWS: tuple[tuple[str, float, float, float], ...] = (
    ("M3", 3.0, 5.0, 160.0),
    ("M4", 4.0, 10.0, 250.0),
    ("M5", 5.0, 36.0, 540.0),
)
"""Set screws: name, diameter (mm), seating torque (lbf in), holding force (lbf).

The figures are those of the nearest inch size that is no larger, number 4, 6 and 10: Shigley,
Mechanical Engineering Design, table 7-4, cup point on a steel shaft in a metal hub; seating torques
looked up, holding forces from memory."""
_LBF_N, _INCH_MM = 4.4482216152605, 25.4


def set_screw_torque_nm(name: str, shaft_mm: float) -> float:
    """Return the torque at which a seated set screw begins to slip: holding force times radius.

    Raises:
        ShapeError: there is no such screw in ``SCREWS``.
    """
    for screw, _, _, holding_lbf in SCREWS:
        if screw == name:
            return holding_lbf * _LBF_N * shaft_mm / 2000.0
    raise ShapeError(f"no set screw {name}; there are {', '.join(s[0] for s in SCREWS)}")


def set_screw_wall_mm(screw_mm: float) -> float:
    """Return the metal wall that a set screw's thread needs, mm: its diameter; practice."""
    return screw_mm


WOOD_BEARING_MPA = 3.0
"""Pressure that a pin may put on hardwood across the grain, MPa: common practice, no source; the
Wood Handbook's limits of compression across the grain are two to three times as much."""
PIN_SHEAR_MPA = 80.0
"""Shear that a steel pin may carry, MPa: common practice, no source."""
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

PINS_MM = (0.6, 0.8, 1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0)
"""Pins that are sold, mm (ISO 2338 lists these)."""


def pin_mm(shaft_mm: float) -> float:
    """Return the pin for a shaft, mm: the thickest sold up to a quarter; common practice."""
    return max((p for p in PINS_MM if p <= shaft_mm / 4.0 + 1e-9), default=PINS_MM[0])


def pin_shear_torque_nm(shaft_mm: float, pin: float) -> float:
    """Return the torque that a cross pin carries in shear, N m: two sections, at the radius."""
    return PIN_SHEAR_MPA * math.pi / 4.0 * pin**2 * shaft_mm / 1e3


def pin_wall_mm(shaft_mm: float, pin: float, torque_nm: float, metal: bool = False) -> float:
    """Return the wall that a hub needs round the shaft for a cross pin, mm.

    Args:
        shaft_mm: diameter of the shaft.
        pin: diameter of the pin, mm.
        torque_nm: what the pin must carry.
        metal: whether the hub is of metal.

    Returns:
        The larger of two pins' width (metal: one), so that the hole does not break out, and what
        the pressure of the pin asks: both ends press on w of wood at a mean radius (d + w)/2, so
        that torque = pressure x pin x w (d + w).
    """
    edge = pin * (1.0 if metal else 2.0)
    if metal:
        return edge
    area = 1e3 * torque_nm / (WOOD_BEARING_MPA * pin)
    pressed = (-shaft_mm + math.sqrt(shaft_mm**2 + 4.0 * area)) / 2.0
    return max(edge, pressed)


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
    why = f"holds {best.holds_nm:.2g} N m of {seat.torque_nm:.2g}, less than {SAFETY:g} times"
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
        return False, f"it holds {holds:.2g} N m and must hold {SAFETY * torque:.2g} N m"
    return True, f"wall {_mm(wall)} mm of {_mm(needs)} mm, holds {holds:.2g} N m of {torque:.2g}"


def _mm(value: float) -> str:
    """Return a length to two figures, a long one to whole mm."""
    return f"{value:.0f}" if value >= 10.0 else f"{value:.2g}"


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
