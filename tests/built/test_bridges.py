"""Bridges of a case: right across from wall to wall wherever one may lie so."""

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.design.library import design_text
from wheelgeo.design.reader import parse_design
from wheelgeo.shop.board_parts import board_parts


def bridges(text):
    found = bodies(build(parse_design(text)))
    return {
        b.name: sorted(n for n in b.fits_in if n.startswith("wall "))
        for b in found if b.kind == "bridge"
    }  # fmt: skip


@pytest.mark.parametrize("name", ["box-wheel", "book-wheel"])
def test_a_bridge_lies_from_wall_to_wall_even_near_one_of_them(name):
    assert set(map(tuple, bridges(design_text(name)).values())) == {("wall back", "wall front")}


def test_one_that_would_lie_in_anothers_way_reaches_out_from_one_wall_and_says_so():
    """Its middle shaft slides along x, its spindle along y: their bridges would cross."""
    text = design_text("sheet-wheel")
    assert bridges(text)["bridge middle"] == ["wall front"]
    assert bridges(text)["bridge spindle"] == ["wall left", "wall right"]
    part = next(p for p in board_parts(parse_design(text)) if p.name == "bridge middle")
    (held,) = (note for note in part.notes if "reaches out from wall front alone" in note)
    # it slides: a countersunk head would jam in its slot, and glue would hold it fast
    assert "into its end, pan-headed, on washers, no glue, " in held


def test_a_spindle_that_nothing_drives_is_still_held():
    head, whorl, tail = design_text("sheet-wheel").partition('name = "whorl"\nshaft = "spindle"')
    undriven = f"{head}{whorl.replace('spindle', 'main')}{tail}"
    assert set(bridges(undriven)) == set(bridges(design_text("sheet-wheel")))


def test_one_that_slides_is_never_stopped_by_the_walls_at_its_ends():
    design = parse_design(design_text("parallel-box-wheel"))
    walls = bridges(design_text("parallel-box-wheel"))
    for shaft in design.shafts:
        held = walls.get(f"bridge {shaft.name}")
        if shaft.slide is None or held is None or len(held) == 1:
            continue
        ends = {"wall left", "wall right"} if shaft.slide.along[0] else {"wall front", "wall back"}
        assert not ends & set(held), shaft.name
