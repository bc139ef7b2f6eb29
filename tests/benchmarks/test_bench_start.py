"""How soon a command answers, as ratios against Python importing numpy, in one run."""

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
BOX = str(DESIGNS / "box-wheel.toml")
PROGRAM = "from wheelgeo_cli.main import run; run()"
ROUNDS = 9
PEER = ("-c", "import numpy")
BAND = (
    "--wheel", "21 1/2 in", "--groove", "1/4 in", "--whorl", "1 3/8 in",
    "--whorl-groove", "3/16 in", "--apart", "17 3/4 in", "--cord", "3 mm cotton cord",
)  # fmt: skip
MOST = {
    ("--help",): 1.0,
    ("solve", BOX): 1.6,
    ("bands", *BAND): 1.6,
    ("find", BOX, "whorl.rim", "for", "ratio=150"): 1.6,
    ("check", BOX): 4.5,
    ("run", BOX): 4.5,
    ("place", BOX, "second band", "--move", "whorl.offset"): 4.0,
    ("tolerance", BOX): 4.0,
    ("retune", BOX, "--count", "60 Nm"): 6.0,
}
"""What is typed, and how many times as long as numpy's import it may take as a whole process.

Of check and run that is three times, and half as much again for their ranges.
"""


def seconds(*words):
    start = time.perf_counter()
    # Installed programs have their bytecode; a process that may not write it compiles all anew.
    may_write = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    subprocess.run([sys.executable, *words], check=True, capture_output=True, env=may_write)
    return time.perf_counter() - start


@pytest.mark.benchmark
@pytest.mark.parametrize("words", MOST, ids=lambda words: words[0])
def test_a_command_beside_importing_numpy(words):
    command = ("-c", PROGRAM, *words)
    seconds(*command)
    # Taking turns, so that whatever else the machine does hits both alike.
    taken = [(seconds(*command), seconds(*PEER)) for _ in range(ROUNDS)]
    ours, peer = (statistics.median(times) for times in zip(*taken, strict=True))
    sys.stdout.write(f"{words[0]} / import numpy = {ours / peer:.2f}\n")
    assert ours / peer <= MOST[words]


def test_solve_loads_none_of_the_large_libraries():
    code = (
        "import sys; sys.argv = ['wheelgeo', 'solve', sys.argv[1]]\n"
        "from wheelgeo_cli.main import run\n"
        "try:\n    run()\nexcept SystemExit: pass\n"
        "large = {'numpy', 'scipy', 'shapely', 'trimesh', 'ezdxf', 'matplotlib'}\n"
        "large &= set(sys.modules)\n"
        "print(sorted(large), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, BOX], capture_output=True, check=True)
    assert done.stderr == b"[]\n"
