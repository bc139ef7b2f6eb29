"""Wood left round a crank's rod, and room beside a large rim: by common practice, no source."""

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.design.library import design_text, shipped_designs
from wheelgeo.design.materials import find_material
from wheelgeo.design.reader import parse_design
from wheelgeo.design.wood import find_species


@pytest.mark.parametrize("name", shipped_designs())
def test_the_hole_for_the_rod_takes_at_most_half_of_the_cranks_arm(name):
    """The wood on either side is at least the rod's radius, and 8 mm."""
    for body in bodies(build(parse_design(design_text(name)))):
        if body.kind == "crank":
            (_, radius), _ = body.shape.holes
            wide = max(y for _, y in body.shape.outline) - min(y for _, y in body.shape.outline)
            assert 0.5 * wide - radius >= max(radius, 8.0)


def test_a_rim_of_600_has_3_mm_beside_it_and_one_of_300_what_a_washer_takes():
    text = design_text("farm-wheel")
    for rim, room in ((600, 3.0), (300, 1.5)):
        built = build(parse_design(text.replace("rim = 600", f"rim = {rim}")))
        found = {b.name: b.shape for b in bodies(built)}
        low, high = built.pulleys["rim"].faces_mm  # offsets count towards the front, -y
        gaps = []
        for number in (1, 2):
            post = found[f"post axle {number}"]
            faces = [-post.point(0.0, 0.0, z)[1] for z in (post.low, post.high)]
            gaps.append(min(abs(face - at) for face in faces for at in (low, high)))
        assert gaps == pytest.approx([room, room])


def test_oak_is_a_wood_that_a_file_may_name_as_the_paper_does():
    text = design_text("farm-wheel").replace('shaft = "axle"\noffset', 'shaft = "axle"\n'
                                             'material = "oak"\noffset')  # fmt: skip
    assert build(parse_design(text)).pulleys["rim"].material.value.name == "oak"
    oak, white = find_material("oak"), find_material("white oak")
    assert oak.density_kg_m3.value == white.density_kg_m3.value
    moves = [find_species(name).tangential_per_point for name in ("oak", "white oak")]
    assert moves[0] == moves[1]
