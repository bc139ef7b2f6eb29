"""Wheels for the searches, built without a file so that a search's test tests only the search."""

import atexit
import gc
import math
import os
import shutil
import tempfile

# Where Python may write no compiled files beside its sources, the programs that tests start find
# them in a folder of this run: else each of them would compile the whole house anew.
if os.environ.pop("PYTHONDONTWRITEBYTECODE", ""):
    os.environ["PYTHONPYCACHEPREFIX"] = tempfile.mkdtemp(prefix="wheelgeo-compiled-")
    atexit.register(shutil.rmtree, os.environ["PYTHONPYCACHEPREFIX"], ignore_errors=True)

# As the program does, before numpy is loaded: threads of small matrices wait for one another.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest
from hypothesis import settings

from wheelgeo.design.model import (
    Band,
    Bearing,
    Case,
    Cop,
    Count,
    Design,
    Drive,
    FlatRim,
    GivenPitch,
    Pulley,
    RoundGroove,
    Section,
    Shaft,
    Slide,
    Spindle,
    Stop,
    Tensioner,
    VeeGroove,
    Washer,
    Yarn,
)

# The same examples in every run, and no time limit: a busy machine must not fail a test.
settings.register_profile("suite", derandomize=True, deadline=None, max_examples=40)
settings.load_profile("suite")

# Garbage is looked for more seldom than Python does of itself: a run holds so much for good that
# the search through all of it was an eighth of the suite's time, and more where remedies are tried.
gc.set_threshold(20_000, 20, 20)


def pytest_collection_finish():
    gc.freeze()  # modules and tests stay for the whole run


@pytest.fixture(autouse=True)
def time_for_remedies(monkeypatch):
    """Remedies are looked for to the end: a slow machine must not break a search off.

    What is asked of the limit itself sets it anew.
    """
    monkeypatch.setattr("wheelgeo.check.wheel_under_check.MOST_SECONDS", 60.0)


@pytest.fixture(scope="session")
def box_wheel() -> Design:
    """Two stages: a flat one, then a quarter turn to a horizontal spindle. All groove shapes."""
    return Design(
        title="Test box",
        unit="mm",
        drive=Drive("main", "crank", 60.0, "clockwise", 65.0, 30.0),
        shafts=(
            Shaft("main", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 8.0),
            Shaft(
                "second shaft",
                (150.0, 5.0, 0.0),
                (0.0, 0.0, 1.0),
                6.0,
                Slide((1.0, 0.0, 0.0), -2.0, 6.0),
            ),
            Shaft("spindle", (150.0, 165.0, 22.0), (1.0, 0.0, 0.0), 4.0),
        ),
        pulleys=(
            Pulley("wheel", "main", 12.0, VeeGroove(180.0, 4.0, 40.0, 0.5)),
            Pulley("hub no. 2", "second shaft", 12.0, RoundGroove(20.0, 3.0, 2.0)),
            Pulley("accelerator", "second shaft", 20.0, FlatRim(120.0, 8.0)),
            Pulley("whorl", "spindle", 2.0, GivenPitch(9.0)),
        ),
        bands=(
            Band(
                "first band",
                (Stop("wheel"), Stop("hub no. 2")),
                "rubber cord",
                3.0,
                slip=0.01,
                stretch=0.05,
                joint_mm=10.0,
                tension=Tensioner("measured", 4.0),
            ),
            Band("second band", (Stop("accelerator"), Stop("whorl")), "cotton cord", 1.2),
        ),
        spindle=Spindle(
            "spindle",
            "tip",
            (Bearing(-20.0, "steel on brass", 900.0), Bearing(20.0, "leather")),
            (Section(-30.0, 60.0, 4.0), Section(60.0, 200.0, 3.0)),
            (Washer(25.0, 20.0, 2.0),),
            Cop(30.0, 120.0, 22.0, 25.0),
        ),
        yarn=Yarn(Count(40.0, "Nm"), "cotton", "Z", turns_per_metre=850.0, draw_mm=650.0),
        case=Case((400.0, 300.0, 80.0), (-95.0, -95.0, -10.0)),
    )


@pytest.fixture(scope="session")
def odd_names() -> Design:
    """A wheel whose names do their best to confuse a key."""
    return Design(
        title="Odd names",
        unit="mm",
        drive=Drive("spindle", "crank", 60.0, "clockwise", 65.0),
        shafts=(
            Shaft("spindle", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 8.0),
            Shaft("spindle.at", (200.0, 0.0, 0.0), (0.0, 0.0, 1.0), 6.0),
        ),
        pulleys=(
            Pulley("drive", "spindle", 0.0, RoundGroove(100.0, 3.0, 2.0)),
            Pulley("pulley:drive", "spindle.at", 0.0, RoundGroove(20.0, 3.0, 2.0)),
        ),
        bands=(Band("spindle", (Stop("drive"), Stop("pulley:drive")), "cotton cord", 2.0),),
        spindle=Spindle("spindle.at", "tip"),
    )


@pytest.fixture
def skew_axis() -> tuple[float, float, float]:
    """A unit vector along no coordinate axis."""
    return (math.sin(0.3) * math.cos(1.1), math.sin(0.3) * math.sin(1.1), math.cos(0.3))
