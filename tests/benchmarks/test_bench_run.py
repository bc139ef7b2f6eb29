"""How long a wheel under a hand takes, each beside a named peer in the same run."""

import math
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from wheelgeo.design.reader import read_design
from wheelgeo.drive.belt import CordPutOn, WrapArc, carry, link
from wheelgeo.drive.running import load_wheel, run_wheel

BOX = Path(__file__).resolve().parents[2] / "designs" / "box-wheel.toml"
DRIVES = 200_000


def best_s(action, times):
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        action()
        taken.append(time.perf_counter() - start)
    return min(taken)


def say(capfd, text):
    with capfd.disabled():
        sys.stdout.write(f"\n{text}\n")


@pytest.mark.benchmark
def test_whole_command_beside_a_bare_import(capfd):
    def process(*words):
        return lambda: subprocess.run([sys.executable, *words], check=True, capture_output=True)

    entry = "from wheelgeo_cli.main import run; run()"
    ours = best_s(process("-c", f"import sys; sys.argv = ['w', 'run', {str(BOX)!r}]; {entry}"), 5)
    peer = best_s(process("-c", "import scipy.optimize"), 5)
    say(capfd, f"run: {ours:.2f} s, {ours / peer:.2f} x 'import scipy.optimize'")
    assert ours / peer < 2.0


def chain(xp, values):
    """Two bands; ``values`` gives each number of a drive, a float or an array."""
    v = values
    cords = [CordPutOn(v(2.0), v(0.01), v(300.0), v(1000.0), v(0.25)) for _ in range(2)]
    arcs = [(WrapArc(v(89.0), v(4.4), v(2.9)), WrapArc(v(6.5), v(1.9), v(2.9))),
            (WrapArc(v(36.0), v(3.5), v(2.9)), WrapArc(v(3.3), v(2.8), v(2.0)))]  # fmt: skip
    omega = (v(6.28), v(86.0))
    own = (v(0.003), v(0.002))
    return [link(c, *a, w, m, xp) for c, a, w, m in zip(cords, arcs, omega, own, strict=True)]


@pytest.mark.benchmark
def test_arrays_beside_floats(capfd):
    rng = np.random.default_rng(1)
    spread = rng.uniform(0.9, 1.1, DRIVES)
    many = best_s(lambda: carry(chain(np, lambda x: x * spread)), 3) / DRIVES
    one = best_s(lambda: [carry(chain(math, float)) for _ in range(500)], 3) / 500
    say(capfd, f"tension and slip: {1 / many:.3g} drives/s in arrays, {one / many:.0f} x floats")
    assert 1.0 / many > 1e5
    assert one / many > 5.0


@pytest.mark.benchmark
def test_whole_result_beside_the_load_alone(capfd):
    design = read_design(BOX)
    run_wheel(design)
    whole, load = best_s(lambda: run_wheel(design), 5), best_s(lambda: load_wheel(design), 20)
    say(capfd, f"run_wheel {1e3 * whole:.1f} ms, of which tension and load {1e3 * load:.2f} ms")
    assert load < 0.3 * whole
