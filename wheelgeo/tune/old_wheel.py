"""An old wheel from a few measurements: its band, and how sure that is.

Every measurement is a text as written on the rule, ``"21 1/2 in"``, with its uncertainty at 95 %
where it is known, ``"21 1/2 +- 1/8 in"``. What was not measured takes usual values, each told. The
uncertainty of a result is of first order: each measurement is moved by its half width both ways
through the whole reckoning, so that a rim which enters twice (its own path, and a distance measured
from its edge) counts twice; the parts add by their squares.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import field, replace
from typing import Any

from wheelgeo.built.assumed import Assumption
from wheelgeo.check.answer import Answer
from wheelgeo.check.band_uncertainty import BandUncertainty, assumed_stretch_mm
from wheelgeo.design.joints import JOINT_NAMES, joints_of
from wheelgeo.design.materials import CORDS, PRACTICE
from wheelgeo.design.model import Design
from wheelgeo.design.possible import faults
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import DesignError, Fault, WheelError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.results import result_of
from wheelgeo.numbers.uncertain import together
from wheelgeo.tune.old_wheel_design import BAND, OldWheelMeasured, Values, old_wheel_design
from wheelgeo.tune.staying_on import StayingOn, staying_on
from wheelgeo.units import LENGTH_MM, parse_measured
from wheelgeo.units.wording import nearest

TAPE_MM = 3.0
"""How well a tape is read on an old wheel, plus or minus, for lengths from 100 mm on."""
RULE_MM = 0.5
"""The same for a rule or callipers on shorter lengths. Both common practice, no source."""
_BARE_FRACTION = re.compile(r"\s*[0-9 .+±-]*([½¼¾⅛⅜⅝⅞]|[0-9]/[0-9]+)[0-9 /.+±½¼¾⅛⅜⅝⅞-]*")
"""A number with a vulgar fraction and without a unit."""
CORD_PART = 0.05
"""How far a cord's diameter may be off, as a part of it; common practice, no source."""
TOLD_AS_IS = frozenset({"joint", "slide", "wobble", "eccentric", "aside"})
"""What is taken as written where nothing is said of how well it was read."""
MOST_UNTRUE = 0.25
"""A wheel that wobbles or runs out by more than this part of its size is no wheel any more."""
MEASURED = "what was measured"


@dataclass(frozen=True)
class OldWheelAnswer:
    """The band of an old wheel.

    Attributes:
        answer: what ``solve`` says of the wheel, with the uncertainties filled in.
        measuring_mm: part of the cut length's uncertainty that measuring makes, at 95 %.
        stretch_mm: part that the cord's stretch makes, which nobody knows beforehand.
        assumed: what was taken because it was not measured.
        wheel: the wheel.
        staying_on: what an untrue rim does to the band over a turn; None where none was measured.
        measured: what was measured, as written.
    """

    answer: Answer
    measuring_mm: float | None
    stretch_mm: float | None
    assumed: tuple[Assumption, ...]
    wheel: Any = field(repr=False)
    staying_on: StayingOn | None
    measured: OldWheelMeasured = field(repr=False)

    def to_json(self) -> dict[str, Any]:
        """Return what the command prints with ``--json``: the same keys as ``solve``."""
        return self.answer.to_json()


def old_wheel(
    measured: OldWheelMeasured, as_wheel: Callable[[Design], Any], title: str = "Old wheel"
) -> OldWheelAnswer:
    """Return the band of an old wheel from what was measured of it.

    Args:
        measured: the measurements, as written.
        as_wheel: makes the front door's wheel of a design.
        title: title of the wheel.

    Raises:
        DesignError: something is missing, cannot be read, or makes no wheel; holds every fault.
    """
    reading = _Reading(measured)
    values, halves = reading.values, reading.halves
    design = _with_uncertainties(reading.design(values, title), reading)
    if impossible := faults(design):
        raise DesignError(impossible, MEASURED)
    names = ["ratio", f"{BAND}.length", f"{BAND}.cut_length"]
    parts = {key: _part(reading, values, key, half, names) for key, half in halves.items()}
    stretch = assumed_stretch_mm(solve_drive(design), BAND)
    halves_of = {name: together({key: p[name] for key, p in parts.items()}) for name in names}
    half = BandUncertainty(halves_of[names[1]], halves_of[names[2]], stretch)
    wheel = as_wheel(design)
    answer: Answer = wheel.solve()
    band = replace(
        answer.bands[0], length_uncertainty_mm=half.length_mm,
        cut_length_uncertainty_mm=half.cut_length_mm,
        from_measuring_mm=half.measuring_mm, from_stretch_mm=half.stretch_mm,
    )  # fmt: skip
    told = replace(answer, ratio_uncertainty=halves_of["ratio"], bands=(band,))
    return OldWheelAnswer(
        told, half.measuring_mm, half.stretch_mm, tuple(reading.assumed), wheel,
        staying_on(design, values), measured,
    )  # fmt: skip


def _part(
    reading: _Reading, values: Values, key: str, half: float, names: list[str]
) -> dict[str, float | None]:
    """Return half the change of each result between a measurement's two ends."""
    ends = []
    for sign in (1.0, -1.0):
        moved = reading.design({**values, key: values[key] + sign * half}, "")
        if impossible := faults(moved):
            says = f"± {half:g} mm is so wide that there may be no such wheel: {impossible[0].says}"
            raise DesignError((Fault(_said(key), says, "measure it more closely"),), MEASURED)
        solution = solve_drive(moved)
        ends.append({name: result_of(solution, name) for name in names})
    return {
        name: None if up is None or down is None else 0.5 * (up - down)
        for name, up, down in ((n, ends[0][n], ends[1][n]) for n in names)
    }


def _with_uncertainties(design: Design, reading: _Reading) -> Design:
    """Return the wheel with the half widths of what stands in its file.

    A file takes its numbers as measured apart; where one measurement stands in two of them (a rim
    in a distance from its edge) its part is told a little too small.
    """
    halves, values = reading.halves, reading.values
    found: dict[str, float] = {f"band:{BAND}.diameter": halves["cord"]}
    rims = (("wheel", "girth", "groove", ("wheel", "second groove")),
            ("whorl", "whorl_girth", "whorl_groove", ("whorl",)),
            ("double", "", "whorl_groove", ("bobbin whorl",)))  # fmt: skip
    known = {p.name for p in design.pulleys}
    for rim, girth, depth, pulleys in rims:
        for pulley in known.intersection(pulleys):
            if girth in values:
                half = math.hypot(halves[girth] / math.pi, halves["cord"])
                found[f"pulley:{pulley}.pitch"] = half
                continue
            half = halves[rim]
            if rim == "wheel" and "least" in halves:
                half = 0.5 * math.hypot(half, halves["least"])
            found[f"pulley:{pulley}.rim"] = half
            if depth in halves:
                found[f"pulley:{pulley}.depth"] = halves[depth]
    for shaft in {s.name for s in design.shafts} - {"axle"}:
        found[f"shaft:{shaft}.at.x"] = _half_apart_mm(values, halves)
    return replace(design, uncertainties=found)


def _half_apart_mm(values: Values, halves: Values) -> float:
    if "apart" in values:
        return halves["apart"]
    if "edge_to_edge" in values:
        return math.hypot(halves["edge_to_edge"], 0.5 * halves["wheel"], 0.5 * halves["whorl"])
    return math.hypot(halves["over_axles"], 0.5 * halves["axle"], 0.5 * halves["rod"])


def faults_of(name: str, text: str) -> tuple[Fault, ...]:
    """Return what is wrong with one measurement by itself, before the others are known."""
    try:
        _Reading(OldWheelMeasured(**{name: text}))  # type: ignore[arg-type]
    except DesignError as error:  # the others are missing, which is not this one's fault
        return tuple(fault for fault in error.faults if fault.place == _said(name))
    return ()


class _Reading:
    """The measurements read: values and half widths in mm, what was assumed, all faults at once."""

    def __init__(self, measured: OldWheelMeasured) -> None:
        self.measured = measured
        self.values: dict[str, float] = {}
        self.halves: dict[str, float] = {}
        self.assumed: list[Assumption] = []
        self.faults: list[Fault] = []
        self.material = ""
        self.joined: str | None = None
        for key in ("wheel", "girth", "groove", "whorl", "whorl_girth", "whorl_groove", "apart",
                    "edge_to_edge", "over_axles", "axle", "rod", "double", "slide",
                    "least", "wobble", "eccentric", "aside"):  # fmt: skip
            if text := getattr(measured, key).strip():
                self._length(key, text)
        self._cord(measured.cord.strip())
        self._joint(measured.joint.strip())
        self._complete()
        size = measured.wheel + measured.girth
        inches = any(mark in size for mark in ("in", '"', "″")) or _BARE_FRACTION.fullmatch(size)
        self.unit = "in" if inches else "mm"
        if self.faults:
            raise DesignError(tuple(self.faults), MEASURED)

    def _length(self, key: str, text: str) -> None:
        if _BARE_FRACTION.fullmatch(text):  # nobody measures halves and eighths of anything else
            text = f"{text} in"
            self.assumed.append(Assumption(f"unit of {_said(key)}", text, PRACTICE))
        try:
            value, half = parse_measured(text, LENGTH_MM)
        except WheelError as error:
            self.faults.append(Fault(_said(key), str(error)))
            return
        if value <= 0.0 and key != "aside":
            self.faults.append(Fault(_said(key), f"{text} is not more than 0"))
            return
        self.values[key] = round(value, 9)  # 17.75 in is 450.85 mm, not a hair less
        if half is None and key not in TOLD_AS_IS:
            half = TAPE_MM if value >= 100.0 else RULE_MM
            self.assumed.append(Assumption(f"reading of {_said(key)}", f"± {half:g} mm", PRACTICE))
        if half is not None and key not in TOLD_AS_IS and half >= value:
            says = f"{text} may be nothing at all"
            self.faults.append(Fault(_said(key), says, "measure it again"))
        elif half is not None:
            self.halves[key] = round(half, 9)

    def _cord(self, text: str) -> None:
        names = [cord.name for cord in CORDS]
        name = next((n for n in names if text.casefold().endswith(n)), None)
        if name is None:
            word = text.lstrip("0123456789./ -+mincft\"½¼¾")
            near = nearest(word, names) if " " in word else None  # plain "string" is no misspelling
            hint = f'did you mean "{near}"? ' if near else ""
            says = f'"{text}" names no cord' if text else "its thickness and what it is are missing"
            how = f'{hint}write "3 mm cotton cord"; known: {", ".join(names)}'
            self.faults.append(Fault("cord", says, how))
            return
        self.material = name
        self._length("cord", text[: len(text) - len(name)].strip() or "?")
        if "cord" in self.values and not ("+-" in text or "±" in text):
            self.halves["cord"] = round(CORD_PART * self.values["cord"], 9)
            self.assumed = [a for a in self.assumed if a.what != "reading of cord"]
            self.assumed.append(
                Assumption("thickness of the cord", f"± {100 * CORD_PART:g} %", PRACTICE)
            )

    def _joint(self, text: str) -> None:
        """Read how the ends are joined: a name, or the length of cord that it takes."""
        if not text:
            return
        takes = [joint.name for joint in joints_of(self.material)]
        if text.casefold() in (takes if self.material else JOINT_NAMES):
            self.joined = text.casefold()
        elif text.casefold() in JOINT_NAMES:
            says = f'{self.material} cannot be joined by "{text}"'
            self.faults.append(Fault("joint", says, f"it takes {', '.join(takes)}"))
        elif text[0].isdigit() or text[0] in "½¼¾.":
            self._length("joint", text)
        else:
            near = nearest(text, JOINT_NAMES)
            hint = f'did you mean "{near}"? ' if near else ""
            how = f'{hint}{self.material or "cord"} takes {", ".join(takes)}; or a length, "25 mm"'
            self.faults.append(Fault("joint", f'"{text}" is no joint', how))

    def _complete(self) -> None:
        """Ask for what is missing, and say what is told twice."""
        for one, other, what in (
            ("wheel", "girth", "the wheel's diameter or girth"),
            ("whorl", "whorl_girth", "the whorl's diameter or girth"),
        ):
            given = [key for key in (one, other) if getattr(self.measured, key)]
            if len(given) != 1:
                says = "is missing" if not given else "is told twice"
                how = f"give --{_said(one)} or --{_said(other)}, not both" if given else (
                    f"give --{_said(one)}"
                )
                self.faults.append(Fault(_said(one), f"{what} {says}", how))
        ways = [k for k in ("apart", "edge_to_edge", "over_axles") if getattr(self.measured, k)]
        if len(ways) != 1:
            says = "is missing" if not ways else "is told twice"
            how = f"give one of {' and '.join(f'--{_said(w)}' for w in ways)}" if ways else (
                "give --apart"
            )
            self.faults.append(Fault("apart", f"the distance of the two shafts {says}", how))
        if self.measured.crossed and self.measured.double:
            says = "a band that goes twice round cannot cross as well"
            self.faults.append(Fault("crossed", says, "leave out --crossed or --double"))
        size = self.values.get("wheel", self.values.get("girth", 0.0) / math.pi)
        for key in ("wobble", "eccentric"):
            if self.values.get(key, 0.0) > MOST_UNTRUE * size > 0.0:
                says = f"{getattr(self.measured, key)} is more than a quarter of the wheel"
                self.faults.append(Fault(key, says, "measure again how far the rim moves"))
        least, greatest = self.values.get("least", 0.0), self.values.get("wheel", 0.0)
        if self.measured.least and least >= greatest:
            says = "it needs --wheel, the greatest diameter of the oval rim, which is more"
            self.faults.append(Fault("least", says, "measure the rim across at several places"))
        if ways == ["edge_to_edge"] and (self.measured.girth or self.measured.whorl_girth):
            self.faults.append(
                Fault("edge-to-edge", "it needs both rims' diameters, not girths", "give --apart")
            )
        if ways == ["over_axles"]:
            for key, usual in (("axle", 14.0), ("rod", 8.0)):
                if key not in self.values and not getattr(self.measured, key):
                    self.values[key], self.halves[key] = usual, 2.0
                    what = {"axle": "diameter of the axle", "rod": "diameter of the spindle"}[key]
                    self.assumed.append(Assumption(what, f"{usual:g} ± 2 mm", PRACTICE))

    def design(self, values: Values, title: str) -> Design:
        """Return the wheel of these values."""
        crossed = self.measured.crossed
        return old_wheel_design(
            values, self.material, self.joined, crossed, self.unit, title
        )


def _said(key: str) -> str:
    return key.replace("_", "-")
