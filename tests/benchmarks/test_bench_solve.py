"""How long a solve takes, wheel by wheel and as bands grow many."""

import math
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.check.report import check_design
from wheelgeo.design.model import Band, Design, Drive, FlatRim, Pulley, Shaft, Spindle, Stop
from wheelgeo.design.reader import read_design
from wheelgeo.drive.train import solve_drive

SHIPPED = sorted((Path(__file__).resolve().parents[2] / "designs").glob("*-wheel.toml"))
UP = (0.0, 0.0, 1.0)


def chain(count, shift):
    """A train of so many bands on as many shafts and one more, ratio near 1 in each step."""
    steps = range(count + 1)
    shafts = tuple(Shaft(f"s{i}", (120.0 * i + shift, 0.0, 0.0), UP, 8.0) for i in steps)
    pulleys = tuple(
        Pulley(f"{side}{i}", f"s{i}", at, FlatRim(rim, 6.0))
        for i in steps
        for side, at, rim in (("a", 0.0, 40.0), ("b", 20.0, 41.0))
    )
    bands = tuple(
        Band(f"band {i}", (Stop(f"{'ab'[i % 2]}{i}"), Stop(f"{'ab'[i % 2]}{i + 1}")),
             "cotton cord", 2.0)
        for i in range(count)
    )  # fmt: skip
    drive = Drive("s0", "crank", 60.0, "clockwise", 50.0)
    return Design("chain", "mm", drive, shafts, pulleys, bands, Spindle(f"s{count}", "tip"))


def best_s(action, cases):
    taken = []
    for case in cases:
        start = time.perf_counter()
        action(case)
        taken.append(time.perf_counter() - start)
    return min(taken)


def say(capfd, text):
    with capfd.disabled():
        sys.stdout.write(f"\n{text}\n")


@pytest.mark.benchmark
@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_a_changed_wheel_is_solved_with_its_findings_in_time(path, capfd):
    design = read_design(path)
    *rest, last = design.pulleys
    moved = [
        replace(design, pulleys=(*rest, replace(last, offset_mm=last.offset_mm + 1e-4 * i)))
        for i in range(1, 60)
    ]
    taken = best_s(check_design, moved)
    say(capfd, f"{path.stem}: solve with findings {1e3 * taken:.2f} ms (at most 1.5)")
    assert taken <= 1.5e-3


@pytest.mark.benchmark
def test_a_hundred_bands_are_solved_in_20_ms_and_the_time_grows_as_their_number(capfd):
    small, large = (
        best_s(solve_drive, [chain(n, 1e-3 * k) for k in range(12)]) for n in (25, 100)
    )
    power = math.log(large / small) / math.log(4.0)
    say(capfd, f"25 bands {1e3 * small:.1f} ms, 100 bands {1e3 * large:.1f} ms: n^{power:.2f}")
    assert large <= 20e-3
    assert power <= 1.2
