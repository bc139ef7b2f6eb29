"""Speed of retuning a wheel of two stages, all pairs of its pulleys in steps of 0.5 mm.

Peer: solving one after another, as any wheel is solved, the combinations that retuning compared; a
thousand of them are timed. Nothing is left out on our side: the options are built, put together
with their bands and asked every rule.
"""

import sys
import time
from itertools import islice, product
from pathlib import Path

import pytest

from wheelgeo.design.model import Count
from wheelgeo.design.reader import read_design
from wheelgeo.drive.train import solve_drive
from wheelgeo.tune.makeable import Makeable
from wheelgeo.tune.remakes import made_parts, with_sizes
from wheelgeo.tune.retune import Limits, retune
from wheelgeo.tune.wanted_ratio import Wish

DESIGN = Path(__file__).parents[2] / "designs" / "box-wheel.toml"


@pytest.mark.benchmark
def test_all_pairs_of_a_wheel_of_two_stages(capsys):
    wheel, limits = read_design(DESIGN), Limits(Makeable(0.5))
    times = []
    for _ in range(3):
        start = time.process_time()
        found = retune(wheel, Wish(count=Count(80.0, "Nm")), limits)
        times.append(time.process_time() - start)
    ours = min(times)
    first, second = made_parts(solve_drive(wheel), limits.makeable)[:2]
    start = time.process_time()
    for sizes in islice(product(first.sizes_mm, second.sizes_mm), 1000):
        solve_drive(with_sizes(wheel, zip((first, second), sizes, strict=True)))
    peer = (time.process_time() - start) / 1000.0 * found.looked_at
    with capsys.disabled():
        sys.stdout.write(
            f"\nretune: {found.looked_at} combinations in {ours:.2f} s of computing, "
            f"{len(found.options)} options asked every rule; solving them singly takes "
            f"{peer / ours:.0f} times as long\n"
        )
    assert len({o.parts for o in found.options}) == 2
    assert ours < 1.0
    assert peer > ours
