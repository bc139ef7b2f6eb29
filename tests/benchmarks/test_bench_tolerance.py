"""A million wheels drawn at random, beside the time that numpy takes to draw their samples."""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from wheelgeo.design.reader import read_design
from wheelgeo.drive.train import solve_drive
from wheelgeo.tune.montecarlo import draw_outputs, simulate
from wheelgeo.tune.result_spread import ratio_model
from wheelgeo.tune.size_tolerances import Allowed, uncertain_of

WHEELS = 1_000_000
DESIGNS = sorted((Path(__file__).parents[2] / "designs").glob("*.toml"))


def _best_s(work: Callable[[], object], repeats: int = 5) -> float:
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


@pytest.mark.benchmark
@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_a_million_wheels_beside_numpy_drawing_their_samples(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    solution = solve_drive(read_design(path))
    model, inputs = ratio_model(solution, uncertain_of(solution, Allowed("m"))[0])
    reach = [math.sqrt(3.0) * i.standard_uncertainty for i in inputs]

    def peer() -> None:
        generator = np.random.default_rng(1)
        for one, width in zip(inputs, reach, strict=True):
            generator.uniform(one.value - width, one.value + width, WHEELS)

    drawing = _best_s(peer)
    whole = _best_s(lambda: simulate(model, inputs, WHEELS))
    without_intervals = _best_s(lambda: draw_outputs(model, inputs, WHEELS, seed=1))
    with capsys.disabled():
        sys.stdout.write(
            f"\n{path.stem}: {WHEELS} wheels of {len(inputs)} doubtful numbers in {whole:.3f} s, "
            f"{whole / drawing:.2f} x numpy.random.Generator.uniform drawing them "
            f"({drawing:.3f} s); {without_intervals / drawing:.2f} x without the intervals\n"
        )
    assert whole / drawing <= 5.0
