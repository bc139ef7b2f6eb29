"""The measurements of an old wheel, read: values and half widths, what was assumed, every fault."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from wheelgeo.built.assumed import Assumption
from wheelgeo.design.joints import CLOSED_RING, JOINT_NAMES, joint_of, joints_of
from wheelgeo.design.materials import CORDS, PRACTICE
from wheelgeo.design.model import Design
from wheelgeo.errors import DesignError, Fault, WheelError
from wheelgeo.tune.bands_at_hand import RING_MATERIAL, loop_or_cord, ring_told
from wheelgeo.tune.old_wheel_cord import told_cord
from wheelgeo.tune.old_wheel_design import (
    DRIVEN,
    MEASURED,
    DrivenBy,
    FitsAs,
    OldWheelKind,
    OldWheelMeasured,
    old_wheel_design,
)
from wheelgeo.tune.old_wheel_grooves import (
    MOUTH_OF,
    OLD_VEE_DEG,
    ROUND_OVER_CORD,
    SHAPES,
    UNKNOWN,
    Shape,
    Values,
)
from wheelgeo.tune.old_wheel_slips import WrittenLength, written_length
from wheelgeo.units import LENGTH_MM, LENGTH_UNITS, as_on_the_rule, parse_measured, with_unit
from wheelgeo.units.in_full import full
from wheelgeo.units.wording import nearest

TAPE_MM = 3.0
"""How well a tape is read on an old wheel, plus or minus, for lengths from 100 mm on."""
RULE_MM = 0.5
"""The same for a rule or callipers on shorter lengths. Both common practice, no source."""
CORD_PART = 0.05
"""How far a cord's diameter may be off, as a part of it; common practice, no source."""


def usual_reading_mm(length_mm: float) -> float:
    """Return how well a length is read where nobody says it, plus or minus, at 95 %, mm."""
    return TAPE_MM if length_mm >= 100.0 else RULE_MM


TOLD_AS_IS = frozenset(
    {"joint", "slide", "wobble", "eccentric", "aside", "grooves_apart", "whorls_apart"}
)
"""What is taken as written where nothing is said of how well it was read."""
MOST_UNTRUE = 0.25
"""A wheel that wobbles or runs out by more than this part of its size is no wheel any more."""
_LENGTHS = (
    "wheel", "girth", "groove", "whorl", "whorl_girth", "whorl_groove", "apart", "edge_to_edge",
    "over_axles", "axle", "rod", "double", "grooves_apart", "whorls_apart", "slide", "least",
    "wobble", "eccentric", "aside", "mouth", "whorl_mouth",
)  # fmt: skip
_SHAPED = ("groove", "whorl_groove", "whorl_shape", "girth", "whorl_girth")
"""What must be told of a groove before its shape says anything."""


def one_read(name: str, text: str, unit: str) -> tuple[str, tuple[Fault, ...]]:
    """Return what one measurement's unit was taken as, and what is wrong with it by itself."""
    told: dict[str, Any] = {name: text, "unit": unit}
    taken = f"unit of {said(name)}"
    reading = OldWheelReading(OldWheelMeasured(**told), whole=False)
    # What it needs beside it is missing, which is not its fault.
    wrong = tuple(fault for fault in reading.faults if fault.place == said(name))
    return next((a.taken for a in reading.assumed if a.what == taken), ""), wrong


def said(key: str) -> str:
    """Return a measurement's name as it is typed."""
    return key.replace("_", "-")


class OldWheelReading:
    """The measurements read: values and half widths in mm, what was assumed, all faults at once.

    Of several ways to the distance of the axes it takes the first: see ``readings_of``.
    """

    def __init__(self, measured: OldWheelMeasured, whole: bool = True) -> None:
        """Read them; ``whole``: they are all that there is, and what is missing is a fault."""
        self.measured = measured
        self.values: dict[str, float] = {}
        self.halves: dict[str, float] = {}
        self.written: dict[str, WrittenLength] = {}
        self.assumed: list[Assumption] = []
        self.faults: list[Fault] = []
        if measured.unit and measured.unit not in LENGTH_UNITS:
            says = f'"{measured.unit}" is no unit of length'
            raise DesignError((Fault("unit", says, "it is mm, cm or in"),), MEASURED)
        for key in _LENGTHS:
            if text := getattr(measured, key).strip():
                self._length(key, text)
        material = self._cord(measured.cord.strip())
        joined = self._joint(measured.joint.strip(), material)
        size = with_unit(as_on_the_rule(measured.wheel or measured.girth), measured.unit)
        inches = any(mark in size for mark in ("in", '"', "″"))
        self.kind = OldWheelKind(
            material, joined, measured.crossed, "in" if inches else "mm", *self._shapes(),
            fits_as=self._fits(measured.fits.strip(), material, joined), driven=self._driven(),
        )  # fmt: skip
        if whole:
            self._complete()
        if whole and self.faults:
            raise DesignError(tuple(self.faults), MEASURED)

    def _driven(self) -> DrivenBy:
        """Return by what the wheel is turned."""
        text = self.measured.driven.strip().casefold()
        if text and text not in DRIVEN:
            says = f'"{text}" turns no wheel'
            self.faults.append(Fault("driven", says, f"it is one of {', '.join(DRIVEN)}"))
        return DRIVEN.get(text, "treadle")

    def _shapes(self) -> tuple[Shape | None, Shape | None]:
        """Return the shapes of the wheel's groove and of the whorl's; None: nobody looked."""
        wheel = self._shape("groove_shape", _SHAPED)
        whorl = self._shape("whorl_shape", ("whorl_groove", "whorl_girth"))
        # Told of one alone, a shape is that of both; that nobody looked is told, too.
        return wheel, whorl if self.measured.whorl_shape.strip() else wheel

    def _shape(self, key: str, needs: tuple[str, ...]) -> Shape | None:
        text = getattr(self.measured, key).strip().casefold()
        found = next((shape for shape in SHAPES if text and shape.startswith(text)), None)
        if text and found is None and text != UNKNOWN:
            says, how = f'"{text}" is no shape of a groove', f"it is one of {', '.join(SHAPES)}"
            self.faults.append(Fault(said(key), says, how))
        elif text and not any(getattr(self.measured, need) for need in needs):
            says = f"the groove's depth is missing, whose shape is told ({text})"
            self.faults.append(Fault(said(needs[0]), says, f"give --{said(needs[0])}"))
        return found

    def _fits(self, text: str, material: str, joined: str | None) -> FitsAs:
        """Read the band that fits; return how it was measured."""
        length, taken_as = loop_or_cord(text)
        if text and self._fits_as_ring(text, material):
            taken_as, length = "loop", ""
        elif text and not length.strip():
            self.faults.append(Fault("fits", f'"{text}" has no length', 'write "75 1/8 in loop"'))
        elif length:
            self._length("fits", length)
        if "fits" in self.values and material:
            usual = next(cord for cord in CORDS if cord.name == material).stretch
            assert usual is not None  # every cord that is known here by name has one
            self.values["stretch"] = usual.value
            self.halves["stretch"] = round(0.5 * (usual.high - usual.low), 9)
            taken = f"{100 * usual.value:g} ± {100 * self.halves['stretch']:g} %"
            self.assumed.append(Assumption("stretch of the band that fits", taken, usual.source))
        comes_closed = bool(material) and joint_of(material, joined).name == CLOSED_RING
        if taken_as == "loop" or comes_closed:
            return "loop"
        if "fits" in self.values and taken_as != "reel":
            taken = "untied and laid straight, its joint in it, its ends trimmed"
            if taken_as is None:
                taken += "; measured once round it is a loop"
            self.assumed.append(Assumption("how the band that fits was measured", taken, PRACTICE))
        return "reel" if taken_as == "reel" else "cord"

    def _fits_as_ring(self, text: str, material: str) -> bool:
        """Read a ring that fits; return whether it is one. Its centre-line is the band's length."""
        try:
            ring = ring_told(text, self.values.get("cord", 0.0), self.measured.unit)
        except WheelError as error:
            self.faults.append(Fault("fits", str(error)))
            return True
        if ring is None:
            return False
        if material and material != RING_MATERIAL:
            says, how = f"a ring is no {material}", f'write --cord "3.53 mm {RING_MATERIAL}"'
            self.faults.append(Fault("fits", says, how))
            return True
        self.values["fits"] = round(ring.slack_length_mm, 9)
        half = math.pi * (RULE_MM if ring.tolerance_mm is None else ring.tolerance_mm)
        self.halves["fits"] = round(half, 9)
        taken = f"{full(ring.slack_length_mm, 1)} mm ± {full(half, 1)} mm along its centre-line"
        self.assumed.append(Assumption("length of the ring that fits", taken, PRACTICE))
        return True

    def _length(self, key: str, text: str) -> None:
        written = as_on_the_rule(text)
        text = with_unit(written, self.measured.unit)
        if text != written:
            self.assumed.append(Assumption(f"unit of {said(key)}", text, PRACTICE))
        try:
            value, half = parse_measured(text, LENGTH_MM)
        except WheelError as error:
            self.faults.append(Fault(said(key), str(error)))
            return
        if value <= 0.0 and key != "aside":
            self.faults.append(Fault(said(key), f"{text} is not more than 0"))
            return
        if as_written := written_length(text, ""):
            self.written[key] = as_written
        self.values[key] = round(value, 9)  # 17.75 in is 450.85 mm, not a hair less
        if half is None and key not in TOLD_AS_IS:
            half = usual_reading_mm(value)
            self.assumed.append(Assumption(f"reading of {said(key)}", f"± {half:g} mm", PRACTICE))
        if half is not None and key not in TOLD_AS_IS and half >= value:
            says = f"{text} may be nothing at all"
            self.faults.append(Fault(said(key), says, "measure it again"))
        elif half is not None:
            self.halves[key] = round(half, 9)

    def _cord(self, text: str) -> str:
        """Read the cord; return its material."""
        cord = told_cord(text)
        self.faults += cord.faults
        if not cord.thickness:
            return cord.material
        self._length("cord", cord.thickness)
        if "cord" in self.values and not ("+-" in text or "±" in text):
            self.halves["cord"] = round(CORD_PART * self.values["cord"], 9)
            self.assumed = [a for a in self.assumed if a.what != "reading of cord"]
            self.assumed.append(
                Assumption("thickness of the cord", f"± {100 * CORD_PART:g} %", PRACTICE)
            )
        return cord.material

    def _joint(self, text: str, material: str) -> str | None:
        """Read how the ends are joined: return its name, or keep the length that it takes."""
        if not text:
            return None
        takes = [joint.name for joint in joints_of(material)]
        if text.casefold() in (takes if material else JOINT_NAMES):
            return text.casefold()
        if text.casefold() in JOINT_NAMES:
            says = f'{material} cannot be joined by "{text}"'
            self.faults.append(Fault("joint", says, f"it takes {', '.join(takes)}"))
        elif text[0].isdigit() or text[0] in "½¼¾.":
            self._length("joint", text)
        else:
            near = nearest(text, JOINT_NAMES)
            hint = f'did you mean "{near}"? ' if near else ""
            how = f'{hint}{material or "cord"} takes {", ".join(takes)}; or a length, "25 mm"'
            self.faults.append(Fault("joint", f'"{text}" is no joint', how))
        return None

    def _complete(self) -> None:
        """Ask for what is missing, and say what is told twice or cannot be."""
        self.faults += [*self._missing(), *self._contradictions()]
        if self.measured.over_axles:
            for key, usual in (("axle", 14.0), ("rod", 8.0)):
                if key not in self.values and not getattr(self.measured, key):
                    self.values[key], self.halves[key] = usual, 2.0
                    what = {"axle": "diameter of the axle", "rod": "diameter of the spindle"}[key]
                    self.assumed.append(Assumption(what, f"{usual:g} mm ± 2 mm", PRACTICE))
        if not self.measured.slide:
            taken = "none: nothing slides to take up what the band grows"
            self.assumed.append(Assumption("slide of the spindle", taken, PRACTICE))
        if "double" in self.values:
            depth = self.values.get("whorl_groove")
            taken = "none, the cord on the rim"
            if depth is not None:
                taken = f"as deep as the whorl's, {depth:g} mm"
            self.assumed.append(Assumption("groove of the bobbin's whorl", taken, PRACTICE))
        self.assumed += self._shapes_taken()
        if any(key in self.values and shape == "vee" for key, shape in (
            ("girth", self.kind.wheel_shape), ("whorl_girth", self.kind.whorl_shape),
        )):  # fmt: skip
            taken = f"{OLD_VEE_DEG:g}°, the thread of the girth in its point"
            self.assumed.append(Assumption("angle of the vee", taken, PRACTICE))
        if any(shape in ("round", "worn") and depth in self.values
               and not (shape == "round" and MOUTH_OF[depth] in self.values)
               for depth, shape in (("groove", self.kind.wheel_shape),
                                    ("whorl_groove", self.kind.whorl_shape))):  # fmt: skip
            taken = f"as wide as {ROUND_OVER_CORD:g} cords, the cord on the bottom"
            self.assumed.append(Assumption("bottom of a round or worn groove", taken, PRACTICE))
        if self.unknown_mouths and not self.faults:
            taken = f"as wide as sides at {OLD_VEE_DEG:g}° to one another make it at the rim"
            for which in self.unknown_mouths:
                self.assumed.append(Assumption(f"mouth of the {which}'s groove", taken, PRACTICE))

    def _shapes_taken(self) -> Iterator[Assumption]:
        """Yield what the grooves are taken for that nobody looked into; one alone is named."""
        if shapes := self.unknown_shapes:
            what, vee, sides = "shape of the grooves", f"vees of {OLD_VEE_DEG:g}°", "their"
            if len(shapes) == 1:
                what = f"shape of the {shapes[0]}'s groove"
                vee, sides = f"a vee of {OLD_VEE_DEG:g}°", "its"
            yield Assumption(what, f"{vee}, the cord between {sides} sides", PRACTICE)
        if girths := self.girths_of_unknown_shape:
            of = "a" if len(girths) > 1 else f"the {girths[0]}'s"
            taken = "on the bottom, as in a round groove: the cord's centre is half a cord above it"
            yield Assumption(f"where the thread of {of} girth lay", taken, PRACTICE)

    @property
    def unknown_mouths(self) -> tuple[str, ...]:
        """Which grooves have a depth and no width at the rim: of "wheel" and "whorl"."""
        return tuple(
            which for which, depth in (("wheel", "groove"), ("whorl", "whorl_groove"))
            if {which, depth} <= self.values.keys() and MOUTH_OF[depth] not in self.values
        )  # fmt: skip

    @property
    def unknown_shapes(self) -> tuple[str, ...]:
        """Which grooves have a depth and no shape: of "wheel" and "whorl"."""
        grooves = (("wheel", "groove", "wheel", self.kind.wheel_shape),
                   ("whorl", "whorl_groove", "whorl", self.kind.whorl_shape))  # fmt: skip
        return tuple(
            which for which, depth, rim, shape in grooves
            if depth in self.values and rim in self.values and shape is None
        )  # fmt: skip

    @property
    def girths_of_unknown_shape(self) -> tuple[str, ...]:
        """Which grooves are known by a girth, and nobody looked in: of "wheel" and "whorl"."""
        grooves = (("wheel", "girth", self.kind.wheel_shape),
                   ("whorl", "whorl_girth", self.kind.whorl_shape))  # fmt: skip
        return tuple(w for w, girth, shape in grooves if girth in self.values and shape is None)

    def _missing(self) -> Iterator[Fault]:
        for one, other, what in (
            ("wheel", "girth", "the wheel's diameter or girth"),
            ("whorl", "whorl_girth", "the whorl's diameter or girth"),
        ):
            given = [key for key in (one, other) if getattr(self.measured, key)]
            if not given:
                yield Fault(said(one), f"{what} is missing", f"give --{said(one)}")
            elif len(given) > 1:
                how = f"give --{said(one)} or --{said(other)}, not both"
                yield Fault(said(one), f"{what} is told twice", how)
        if not self.measured.ways:
            how = (
                "give --apart; or --edge-to-edge, --over-axles, or "
                '--fits "75 1/8 in loop"'
            )
            yield Fault("apart", "the distance of the two shafts is missing", how)

    def _contradictions(self) -> Iterator[Fault]:
        if self.measured.crossed and self.measured.double:
            says = "a band that goes twice round cannot cross as well"
            yield Fault("crossed", says, "leave out --crossed or --double")
        for key in ("grooves_apart", "whorls_apart"):
            if getattr(self.measured, key) and not self.measured.double:
                says = "it is told of a band that goes twice round alone"
                yield Fault(said(key), says, "give --double, the bobbin's whorl, as well")
        for depth, mouth in MOUTH_OF.items():
            if not getattr(self.measured, mouth):
                continue
            if not getattr(self.measured, depth):
                says = "it says nothing of a groove whose depth is not told"
                yield Fault(said(mouth), says, f"give --{said(depth)}")
            elif 0.0 < self.values.get(mouth, 0.0) < self.values.get("cord", 0.0):
                says = f"{getattr(self.measured, mouth)} is narrower than the cord"
                yield Fault(said(mouth), says, "measure it at the rim, from lip to lip")
        size = self.values.get("wheel", self.values.get("girth", 0.0) / math.pi)
        for key in ("wobble", "eccentric"):
            if self.values.get(key, 0.0) > MOST_UNTRUE * size > 0.0:
                says = f"{getattr(self.measured, key)} is more than a quarter of the wheel"
                yield Fault(key, says, "measure again how far the rim moves")
        least, greatest = self.values.get("least", 0.0), self.values.get("wheel", 0.0)
        if self.measured.least and least >= greatest:
            says = "it needs --wheel, the greatest diameter of the oval rim, which is more"
            yield Fault("least", says, "measure the rim across at several places")
        elif least and greatest - least > MOST_UNTRUE * greatest:
            says = f"{self.measured.least} is less than --wheel by more than a quarter of the wheel"
            yield Fault("least", says, "measure the rim across at several places")
        told = self.measured
        if told.edge_to_edge and any(
            girth and not depth
            for girth, depth in ((told.girth, told.groove), (told.whorl_girth, told.whorl_groove))
        ):
            says = "it needs both rims' diameters, or beside a girth the groove's depth"
            yield Fault("edge-to-edge", says, "give --apart")

    def design(self, values: Values, title: str, kind: OldWheelKind | None = None) -> Design:
        """Return the wheel of these values.

        Args:
            values: by the names of ``OldWheelMeasured``, mm.
            title: its title.
            kind: another kind of wheel than was told.
        """
        return old_wheel_design(values, kind or self.kind, title)
