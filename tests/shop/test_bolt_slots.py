"""The bolts of what slides run in slots that are cut: as long as the travel, and clear of posts."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import at_share, bodies
from wheelgeo.design.reader import read_design
from wheelgeo.geometry.vectors import dot, sub
from wheelgeo.shop.board_parts import board_part, bolt_cuts

DESIGNS = Path(__file__).parents[2] / "designs"
SLIDING = [
    path for path in sorted(DESIGNS.glob("*.toml"))
    if any(b.kind == "bed" for b in bodies(build(read_design(path))))
]  # fmt: skip


def by_name(design):
    return {b.name: b for b in bodies(build(design))}


@pytest.mark.parametrize("path", SLIDING, ids=lambda p: p.stem)
def test_a_bolt_of_the_mother_of_all_is_in_its_slot_all_along_her_travel(path):
    design = read_design(path)
    bed = next(b for b in by_name(design).values() if b.kind == "bed")
    mother = f"mother-of-all {bed.part}"
    cuts = [cut for _, cut in bolt_cuts(design, bed, [by_name(design)[mother]])]
    assert len(cuts) == 2
    for share in (0.0, 0.5, 1.0):
        moved = by_name(at_share(design, share))[mother].shape
        for (x, y), radius in moved.holes:
            apart = sub(moved.point(x, y, 0.0), bed.shape.origin)
            u, v = dot(apart, bed.shape.x_axis), dot(apart, bed.shape.y_axis)
            low_x, low_y, high_x, high_y = min(
                (cut.box for cut in cuts), key=lambda box: abs(0.5 * (box[0] + box[2]) - u)
            )
            assert low_x - 1e-6 <= u - radius <= u + radius <= high_x + 1e-6
            assert low_y - 1e-6 <= v - radius <= v + radius <= high_y + 1e-6
    slide = design.shaft(bed.part).slide
    travel = 0.0 if slide is None else slide.to_mm - slide.from_mm
    for cut in cuts:
        # two half circles and two straight sides
        assert cut.length_mm == pytest.approx(math.pi * 5.5 + 2.0 * travel)


@pytest.mark.parametrize("path", SLIDING, ids=lambda p: p.stem)
def test_its_wing_nuts_are_clear_of_the_post_and_its_cut_file_has_the_slots(path):
    design = read_design(path)
    found = by_name(design)
    bed = next(b for b in found.values() if b.kind == "bed")
    post = found[f"post {bed.part}"].shape
    for (x, y), _ in found[f"mother-of-all {bed.part}"].shape.holes:
        here = found[f"mother-of-all {bed.part}"].shape.point(x, y, 0.0)
        aside = abs(dot(sub(here, post.origin), post.z_axis))
        # wings of 26 mm span (DIN 315, M5; from memory) turn free of it, and a finger
        assert aside >= 0.5 * post.thickness_mm + 13.0 + 5.0 - 1e-6
    part = board_part(design, bed)
    assert len(part.holes) == 2
    low_x, low_y, high_x, high_y = part.outside.box
    for hole in part.holes:
        x1, y1, x2, y2 = hole.box
        assert low_x + 5.0 < x1 < x2 < high_x - 5.0
        assert low_y + 5.0 < y1 < y2 < high_y - 5.0
