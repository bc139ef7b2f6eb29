"""How soon a command answers, as ratios against Python importing numpy, in one run."""

import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

BOX = Path(__file__).resolve().parents[2] / "designs" / "box-wheel.toml"
PROGRAM = "from wheelgeo_cli.main import run; run()"
ROUNDS = 15


def seconds(*words):
    start = time.perf_counter()
    subprocess.run([sys.executable, *words], check=True, capture_output=True)
    return time.perf_counter() - start


@pytest.fixture(scope="module")
def medians():
    """Take turns, so that whatever else the machine does hits all of them alike."""
    commands = {
        "numpy": ("-c", "import numpy"),
        "solve": ("-c", PROGRAM, "solve", str(BOX)),
        "help": ("-c", PROGRAM, "--help"),
    }
    for words in commands.values():
        seconds(*words)
    taken = {name: [] for name in commands}
    for _ in range(ROUNDS):
        for name, words in commands.items():
            taken[name].append(seconds(*words))
    return {name: statistics.median(times) for name, times in taken.items()}


@pytest.mark.benchmark
def test_solve_takes_at_most_three_and_a_half_times_as_long_as_importing_numpy(medians):
    ratio = medians["solve"] / medians["numpy"]
    sys.stdout.write(f"solve / import numpy = {ratio:.2f}\n")
    assert ratio <= 3.5


@pytest.mark.benchmark
def test_help_takes_at_most_twice_as_long_as_importing_numpy(medians):
    ratio = medians["help"] / medians["numpy"]
    sys.stdout.write(f"--help / import numpy = {ratio:.2f}\n")
    assert ratio <= 2.0


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
