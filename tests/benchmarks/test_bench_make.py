"""How long the cut files take, beside the import of the libraries that the whole set needs."""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path

import pytest

from wheelgeo.check.answer import answer_of
from wheelgeo.check.report import check_design
from wheelgeo.design.reader import read_design
from wheelgeo.shop.bench_set import plan_make

DESIGN = Path(__file__).parents[2] / "designs" / "box-wheel.toml"
PEER = "import ezdxf, trimesh, shapely, matplotlib"


def _process_s(code: str) -> float:
    """CPU seconds of a whole process, the best of three: a busy machine matters little."""
    times = []
    for _ in range(3):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-c", code], check=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        times.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(times)


WHOLE = f"""
import resource
from pathlib import Path
from wheelgeo.check.answer import answer_of
from wheelgeo.check.report import check_design
from wheelgeo.design.reader import read_design
from wheelgeo.shop.bench_set import plan_make
report = check_design(read_design(Path({str(DESIGN)!r})))
files = plan_make(answer_of(report))
assert len(files) > 5
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
print(f"peak memory {{peak:.0f}} MB")
"""


@pytest.mark.benchmark
def test_the_whole_set_beside_the_bare_imports(capfd: pytest.CaptureFixture[str]) -> None:
    ours, peer = _process_s(WHOLE), _process_s(PEER)
    said = capfd.readouterr().out.splitlines()[-1]
    with capfd.disabled():
        sys.stdout.write(f"\nmake: {ours:.2f} s CPU, {ours / peer:.2f} x '{PEER}'; {said}\n")
    assert ours / peer < 4.0


@pytest.mark.benchmark
def test_each_group(capsys: pytest.CaptureFixture[str]) -> None:
    report = check_design(read_design(DESIGN))
    marks: list[tuple[str, float]] = []

    def mark(what: str, done: int, of: int) -> None:
        marks.append((what, time.perf_counter()))

    plan_make(answer_of(report), None, mark)
    with capsys.disabled():
        for (what, start), (_, end) in pairwise(marks):
            sys.stdout.write(f"\n  {what}: {end - start:.2f} s")
    assert marks[-1][0] == "done"
