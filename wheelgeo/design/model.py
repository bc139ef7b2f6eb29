"""What a wheel is: plain immutable data, lengths in millimetres, angles in degrees.

Words: a *shaft* is an axis with all that turns with it; a *pulley* is one groove on a shaft; a
*band* is an endless cord round pulleys; a *stop* is one meeting of a band with a pulley; the
*whorl* is the small pulley on the spindle. Counter-clockwise, seen with the axis pointing at the
viewer, is positive.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from functools import cached_property

from wheelgeo.design.drive_parts import (
    Band,
    Bearing,
    Drive,
    Lightening,
    Pulley,
    Relative,
    Shaft,
    Side,
    Slide,
    Stop,
    Tensioner,
    Treadle,
    Turning,
    Twist,
    Vector,
)
from wheelgeo.design.file_kinds import Count, CountSystem, Fineness, LimitsKind
from wheelgeo.design.material import Material
from wheelgeo.design.other_parts import (
    Bobbin,
    Case,
    Cop,
    DragBrake,
    Habits,
    Measurement,
    OwnFibre,
    Section,
    Shop,
    Spindle,
    Stand,
    Stock,
    Washer,
    Yarn,
)
from wheelgeo.geometry.groove import FlatRim, GivenPitch, Groove, RoundGroove, VeeGroove
from wheelgeo.units.keys import (
    headed,
    key,
    record,
    table,
    text,
)
from wheelgeo.units.kinds import FILES_UNIT

__all__ = [
    "Band",
    "Bearing",
    "Bobbin",
    "Case",
    "Cop",
    "Count",
    "CountSystem",
    "Design",
    "DragBrake",
    "Drive",
    "Fineness",
    "FlatRim",
    "GivenPitch",
    "Groove",
    "Habits",
    "Lightening",
    "Measurement",
    "OwnFibre",
    "Pulley",
    "Relative",
    "RoundGroove",
    "Section",
    "Shaft",
    "Shop",
    "Side",
    "Slide",
    "Spindle",
    "Stand",
    "Stock",
    "Stop",
    "Tensioner",
    "Treadle",
    "Turning",
    "Twist",
    "Vector",
    "VeeGroove",
    "Washer",
    "Yarn",
]


@record
class Design:
    """One wheel, whole. Names are unique within shafts, within pulleys and within bands.

    Its parts and their numbers are declared field by field: units, bounds, meaning, an example.

    Attributes:
        uncertainties: half width at 95 % of what was measured, by the full name of the input
            (``pulley:whorl.rim``), in the input's unit.
    """

    title: str = text("title of the wheel", '"Picnic box wheel"')
    unit: str = key("unit of every bare length", FILES_UNIT, '"mm"')
    drive: Drive = table("what a person turns", Drive)
    shafts: tuple[Shaft, ...] = headed("the shafts", Shaft, name="shaft")
    pulleys: tuple[Pulley, ...] = headed("the pulleys", Pulley, name="pulley")
    bands: tuple[Band, ...] = headed("the bands", Band, name="band")
    spindle: Spindle = table("what puts in the twist", Spindle)
    yarn: Yarn | None = table("the yarn that is wanted", Yarn, default=None)
    case: Case | None = table("the case that the wheel stands in", Case, default=None)
    stand: Stand | None = table("what a wheel without a case stands on", Stand, default=None)
    shop: Shop = table("how the parts are to be made", Shop, listed=False, default=Shop())
    limits: Mapping[str, float] = key(
        "limits that findings hold the wheel against",
        LimitsKind(),
        listed=False,
        default_factory=dict,
    )
    materials: tuple[Material, ...] = headed(
        "materials of one's own", Material, name="material", default=()
    )
    bobbin: Bobbin | None = table("the bobbin of a flyer", Bobbin, default=None)
    habits: Habits = table("how the spinner works", Habits, listed=False, default=Habits())
    drags: tuple[DragBrake, ...] = headed(
        "brakes on bobbin or flyer", DragBrake, name="drag", default=()
    )
    fibres: tuple[OwnFibre, ...] = headed("fibres of one's own", OwnFibre, name="fibre", default=())
    measured: tuple[Measurement, ...] = headed(
        "results that were measured", Measurement, default=()
    )
    uncertainties: Mapping[str, float] = field(default_factory=dict)

    def shaft(self, name: str) -> Shaft:
        """Return the shaft of that name; KeyError where there is none."""
        return self._shafts[name]

    def pulley(self, name: str) -> Pulley:
        """Return the pulley of that name; KeyError where there is none."""
        return self._pulleys[name]

    def band(self, name: str) -> Band:
        """Return the band of that name; KeyError where there is none."""
        return self._bands[name]

    def pulleys_on(self, shaft: str) -> tuple[Pulley, ...]:
        """Return the pulleys on a shaft, in the order of the file."""
        return tuple(p for p in self.pulleys if p.shaft == shaft)

    def cord_on(self, pulley: str) -> float:
        """Return the largest cord diameter, mm, that runs on a pulley; 0 where none does."""
        return self._cords.get(pulley, 0.0)

    # By name, so that a wheel of many parts is solved in a time that grows with their number.

    @cached_property
    def _shafts(self) -> dict[str, Shaft]:
        return {s.name: s for s in reversed(self.shafts)}

    @cached_property
    def _pulleys(self) -> dict[str, Pulley]:
        return {p.name: p for p in reversed(self.pulleys)}

    @cached_property
    def _bands(self) -> dict[str, Band]:
        return {b.name: b for b in reversed(self.bands)}

    @cached_property
    def _cords(self) -> dict[str, float]:
        cords: dict[str, float] = {}
        for band in self.bands:
            for stop in band.route:
                cords[stop.pulley] = max(band.diameter_mm, cords.get(stop.pulley, 0.0))
        return cords
