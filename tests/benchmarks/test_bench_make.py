"""How long the cut files take, beside the import of the libraries that the whole set needs."""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path

import pytest

from wheelgeo.check.answering import answer_of
from wheelgeo.check.report import check_design
from wheelgeo.design.reader import read_design
from wheelgeo.shop.bench_set import plan_make

DESIGN = Path(__file__).parents[2] / "designs" / "box-wheel.toml"
PEER = "import ezdxf, trimesh, shapely, matplotlib"


def _process_s(code: str) -> float:
    """CPU seconds of a whole process, the best of five: a busy machine matters little."""
    times = []
    for _ in range(5):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-c", code], check=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        times.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(times)


@pytest.mark.benchmark
def test_the_whole_set_beside_the_bare_imports(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    words = ["wheelgeo", "make", str(DESIGN), "--to", str(tmp_path)]
    whole = f"import sys; sys.argv = {words!r}; from wheelgeo_cli.main import run; run()"
    ours, peer = _process_s(whole), _process_s(PEER)
    assert len(list(tmp_path.iterdir())) > 5
    with capfd.disabled():
        sys.stdout.write(f"\nmake: {ours:.2f} s CPU, {ours / peer:.2f} x '{PEER}'\n")
    assert ours / peer < 2.5


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
