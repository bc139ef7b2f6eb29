"""The runs of a band as bodies in space, each with its name."""

from __future__ import annotations

from functools import partial

from wheelgeo.built.kept import KeptOf
from wheelgeo.design.model import Band
from wheelgeo.geometry.convex import Capsule
from wheelgeo.geometry.path import Path

RunBody = tuple[str, Capsule]
"""What to call a run, and its body."""
_KEPT: KeptOf[tuple[RunBody, ...]] = KeptOf(512)


def run_bodies(path: Path, band: Band) -> tuple[RunBody, ...]:
    """Return each run of a band as a body, with its name, in the order of the path's runs.

    Args:
        path: the path of the band.
        band: the band.
    """
    return _KEPT.get((path, band), partial(_made, path, band))


def _made(path: Path, band: Band) -> tuple[RunBody, ...]:
    radius, names = 0.5 * band.diameter_mm, [stop.pulley for stop in band.route]
    return tuple([
        (
            f'run of "{band.name}" from "{names[run.first]}" to "{names[run.second]}"',
            Capsule(run.start_mm, run.end_mm, radius),
        )
        for run in path.runs
    ])  # fmt: skip
