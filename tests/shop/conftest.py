"""A small wheel of our own for the tests of the shop: two stages, each kind of groove once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wheelgeo.check.answer import Answer
from wheelgeo.check.answering import answer_of
from wheelgeo.check.report import check_design
from wheelgeo.design.model import (
    Band,
    Design,
    Drive,
    FlatRim,
    GivenPitch,
    Pulley,
    RoundGroove,
    Shaft,
    Spindle,
    Stop,
    VeeGroove,
)
from wheelgeo.design.reader import read_design

UP = (0.0, 0.0, 1.0)
DESIGNS = Path(__file__).parents[2] / "designs"


def bench_wheel() -> Design:
    shafts = (
        Shaft("main", (100.0, 90.0, 0.0), UP, 8.0),
        Shaft("middle", (240.0, 90.0, 0.0), UP, 6.0),
        Shaft("spindle", (330.0, 90.0, 0.0), UP, 4.0),
    )
    pulleys = (
        Pulley("wheel", "main", 14.0, VeeGroove(160.0, 4.0, 40.0, 1.0)),
        Pulley("hub", "middle", 14.0, RoundGroove(30.0, 4.0, 2.0)),
        Pulley("disc", "middle", 34.0, GivenPitch(80.0)),
        Pulley("whorl", "spindle", 34.0, FlatRim(12.0, 6.0)),
    )
    bands = (
        Band("first", (Stop("wheel"), Stop("hub")), "rubber cord", 3.0, stretch=0.05),
        Band("second", (Stop("disc"), Stop("whorl")), "cotton cord", 1.5, stretch=0.01),
    )
    drive = Drive("main", "crank", 60.0, "clockwise", 55.0)
    return Design("Bench wheel", "mm", drive, shafts, pulleys, bands, Spindle("spindle", "tip"))


@pytest.fixture
def bench() -> Design:
    return bench_wheel()


@pytest.fixture(scope="session")
def checked() -> Callable[[str], Answer]:
    known: dict[str, Answer] = {}

    def of(name: str) -> Answer:
        if name not in known:
            report = check_design(read_design(DESIGNS / f"{name}.toml"))
            known[name] = answer_of(report)
        return known[name]

    return of
