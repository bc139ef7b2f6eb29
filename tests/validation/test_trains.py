"""Compound drives against printed examples.

R. S. Khurmi and J. K. Gupta, Theory of Machines, chapter 11 (belt, rope and chain drives).
"""

from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.design.model import (
    Band,
    Design,
    Drive,
    FlatRim,
    GivenPitch,
    Pulley,
    Shaft,
    Spindle,
    Stop,
)
from wheelgeo.design.reader import read_design
from wheelgeo.drive.train import solve_drive

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


def train(drive_rpm, stages, slip=None, cord_mm=2.0, parallel_apart_mm=4000.0):
    """Return a train of parallel shafts; a stage is (driving groove, driven groove)."""
    shafts = tuple(
        Shaft(f"shaft {i}", (parallel_apart_mm * i, 0.0, 0.0), (0.0, 0.0, 1.0), 20.0)
        for i in range(len(stages) + 1)
    )
    pulleys, bands = [], []
    for i, (driving, driven) in enumerate(stages):
        offset = 100.0 * i
        pulleys += [
            Pulley(f"driving {i}", f"shaft {i}", offset, driving),
            Pulley(f"driven {i}", f"shaft {i + 1}", offset, driven),
        ]
        route = (Stop(f"driving {i}"), Stop(f"driven {i}"))
        bands.append(Band(f"band {i}", route, "leather cord", cord_mm, slip=slip))
    return Design(
        "train", "mm", Drive("shaft 0", "motor", drive_rpm, "counter-clockwise"), shafts,
        tuple(pulleys), tuple(bands), Spindle(f"shaft {len(stages)}", "tip"),
    )  # fmt: skip


COMPOUND = [(GivenPitch(750.0), GivenPitch(450.0)), (GivenPitch(900.0), GivenPitch(150.0))]


def test_khurmi_example_11_1_compound_drive_without_slip():
    # Example 11.1, p. 333: engine at 150 rpm, 750 to 450 mm, 900 to 150 mm; printed 1500 rpm.
    assert solve_drive(train(150.0, COMPOUND)).spindle.speed_rpm == pytest.approx(1500.0, rel=1e-12)


def test_khurmi_example_11_1_compound_drive_with_slip():
    # Example 11.1, p. 333, with 2 % slip at each drive. Printed 1440 rpm, since the book rounds
    # 10 x 0.98 x 0.98 = 9.604 to 9.6; the exact speed is 1440.6 rpm.
    solution = solve_drive(train(150.0, COMPOUND, slip=0.02))
    assert solution.spindle.speed_rpm == pytest.approx(1440.6, rel=1e-12)
    assert solution.spindle.speed_rpm == pytest.approx(1440.0, abs=1.0)
    assert solution.ratio_without_slip == pytest.approx(10.0, rel=1e-12)


THICK = [(FlatRim(2000.0, 100.0), FlatRim(1000.0, 100.0))]


def test_khurmi_exercise_1_thickness_of_the_belt_counts():
    # Chapter 11, exercise 1: 120 rpm, 2 m drives 1 m, belt 5 mm thick; printed answer 239.4 rpm.
    # The belt's centre-line lies half its thickness above each rim.
    speed = solve_drive(train(120.0, THICK, cord_mm=5.0)).spindle.speed_rpm
    assert speed == pytest.approx(120.0 * 2005.0 / 1005.0, rel=1e-12)
    assert speed == pytest.approx(239.4, abs=0.05)


def test_khurmi_exercise_1_thickness_and_slip():
    # The same with 3 % slip; printed answer 232.3 rpm. Exact: 239.40299 x 0.97 = 232.2209 rpm; the
    # printed figure is 0.08 rpm high, as if 239.4 had been rounded up before the slip was taken.
    speed = solve_drive(train(120.0, THICK, slip=0.03, cord_mm=5.0)).spindle.speed_rpm
    assert speed == pytest.approx(232.2209, abs=1e-4)
    assert speed == pytest.approx(232.3, abs=0.1)


def test_khurmi_example_11_3_stepped_pulleys_give_their_speeds():
    # Example 11.3, p. 337: 160 rpm drives a countershaft at 60, 80 and 100 rpm over a crossed
    # belt; radii 40 and 106.667, 48.889 and 97.778, 56.410 and 90.256 mm carry the same belt.
    lengths = []
    for first, second, rpm in (
        (40.0, 320.0 / 3.0, 60.0),
        (440.0 / 9.0, 880.0 / 9.0, 80.0),
        (2200.0 / 39.0, 3520.0 / 39.0, 100.0),
    ):
        design = train(
            160.0, [(GivenPitch(2 * first), GivenPitch(2 * second))], parallel_apart_mm=720.0
        )
        (band,) = design.bands
        route = (band.route[0], Stop(band.route[1].pulley, "against"))
        crossed = replace(band, route=route, crossed=True)
        solution = solve_drive(replace(design, bands=(crossed,)))
        assert solution.spindle.speed_rpm == pytest.approx(-rpm, rel=1e-12)
        lengths.append(solution.bands[0].path.length_mm)
    assert lengths[1:] == pytest.approx(lengths[:1] * 2, rel=1e-12)


def test_a_box_wheel_turns_its_spindle_about_150_times_per_turn_of_the_hand():
    # Common practice, no source.
    for name in ("box-wheel", "parallel-box-wheel"):
        ratio = solve_drive(read_design(DESIGNS / f"{name}.toml")).ratio
        assert ratio == pytest.approx(150.0, rel=0.05)
