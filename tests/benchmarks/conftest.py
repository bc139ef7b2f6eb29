"""A peer of the benchmarks that no change of ours makes faster or slower."""

import subprocess
import sys

import pytest


@pytest.fixture(scope="session")
def importing_numpy_s():
    """Return what tells the processor's time that a new process takes to import numpy, s."""
    code = "import time; t = time.process_time(); import numpy; print(time.process_time() - t)"

    def taken():
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
        return float(done.stdout)

    taken()  # so that its bytecode is written
    return taken
