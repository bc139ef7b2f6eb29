"""Wheels that the tests of the drive run: parallel shafts, of which every number is plain."""

import pytest

from wheelgeo.design.model import (
    Band,
    Bearing,
    Cop,
    Count,
    Design,
    Drive,
    FlatRim,
    Pulley,
    RoundGroove,
    Shaft,
    Spindle,
    Stop,
    VeeGroove,
    Yarn,
)

UP = (0.0, 0.0, 1.0)


@pytest.fixture
def two_stage():
    """A wheel of two bands on three upright shafts, the first in vees, the second not."""
    vee = (4.0, 40.0, 0.6)
    return Design(
        title="test wheel",
        unit="mm",
        drive=Drive("main", "crank", 60.0, "clockwise", 60.0),
        shafts=(
            Shaft("main", (0.0, 0.0, 0.0), UP, 8.0, ends_mm=(-10.0, 30.0)),
            Shaft("middle", (140.0, 0.0, 0.0), UP, 6.0, ends_mm=(-10.0, 40.0)),
            Shaft("spindle", (260.0, 0.0, 0.0), UP, 4.0, ends_mm=(-20.0, 130.0)),
        ),
        pulleys=(
            Pulley("wheel", "main", 10.0, VeeGroove(160.0, *vee)),
            Pulley("hub", "middle", 10.0, VeeGroove(18.0, *vee)),
            Pulley("accelerator", "middle", 26.0, RoundGroove(70.0, 2.0, 1.0)),
            Pulley("whorl", "spindle", 26.0, RoundGroove(10.0, 2.0, 1.0)),
        ),
        bands=(
            Band("first", (Stop("wheel"), Stop("hub")), "cotton cord", 2.0, stretch=0.01),
            Band(
                "second", (Stop("accelerator"), Stop("whorl")), "cotton cord", 1.2, stretch=0.02,
                slip=0.01,
            ),
        ),
        spindle=Spindle(
            "spindle", "tip",
            bearings=(Bearing(5.0, "brass"), Bearing(47.0, "brass")),
            cop=Cop(60.0, 110.0, 20.0, 6.0),
        ),
        yarn=Yarn(Count(40.0, "Nm"), "cotton", "Z", 850.0, None, 600.0),
    )  # fmt: skip


@pytest.fixture
def double_drive():
    """One band twice over a wheel of two grooves, driving flyer and bobbin on one axis."""
    flat = 6.0
    stops = ("back", "whorl", "front", "bobbin whorl")
    return Design(
        title="double drive",
        unit="mm",
        drive=Drive("axle", "treadle", 60.0, "clockwise", 60.0),
        shafts=(
            Shaft("axle", (0.0, 0.0, 0.0), UP, 16.0, ends_mm=(-20.0, 40.0)),
            Shaft("flyer", (400.0, 0.0, 0.0), UP, 10.0, ends_mm=(-40.0, 120.0)),
            Shaft("bobbin", (400.0, 0.0, 0.0), UP, 12.0, ends_mm=(10.0, 20.0)),
        ),
        pulleys=(
            Pulley("back", "axle", 0.0, FlatRim(400.0, flat)),
            Pulley("front", "axle", 15.0, FlatRim(400.0, flat)),
            Pulley("whorl", "flyer", 0.0, FlatRim(50.0, flat)),
            Pulley("bobbin whorl", "bobbin", 15.0, FlatRim(40.0, flat)),
        ),
        bands=(
            Band("band", tuple(Stop(s) for s in stops), "cotton cord", 3.0, stretch=0.01),
        ),
        spindle=Spindle(
            "flyer", "flyer", bearings=(Bearing(-30.0, "leather"), Bearing(60.0, "leather"))
        ),
    )  # fmt: skip
