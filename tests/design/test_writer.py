"""A file in which some values are set anew keeps all the rest: comments, order, layout."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest

from wheelgeo.design import model as m
from wheelgeo.design.materials import WHEELS
from wheelgeo.design.reader import parse_design
from wheelgeo.design.writer import retitle, rewrite, rewrite_as
from wheelgeo.errors import DesignError, OutputError


def differing(old: str, new: str) -> list[tuple[str, str]]:
    """Return the lines that differ between two texts of as many lines."""
    pairs = zip(old.splitlines(), new.splitlines(), strict=True)
    return [(one, other) for one, other in pairs if one != other]


def test_a_file_rewritten_as_it_is_stays_to_the_letter(good_text: str) -> None:
    design = parse_design(good_text)
    assert rewrite_as(good_text, design) == good_text
    assert rewrite(good_text, {}) == good_text
    windows = good_text.replace("\n", "\r\n")
    assert rewrite(windows, {}) == windows


def test_one_value_set_anew_changes_one_line(good_text: str) -> None:
    new = rewrite(good_text, {("pulley", "hub", "groove", "rim"): 21.5})
    assert differing(good_text, new) == [
        (
            'groove = { shape = "round", rim = 20, depth = 3, radius = 2 }',
            'groove = { shape = "round", rim = 21.5, depth = 3, radius = 2 }',
        )
    ]


@pytest.mark.parametrize(
    ("place", "value", "old", "new"),
    [
        (("drive", "speed"), 72.5, 'speed = "60 rpm"              #', 'speed = "72.5 rpm"'),
        (("shaft", "middle", "diameter"), 6.0, 'diameter = "1/4 in"', "diameter = 6"),
        (("shaft", 0, "at", 1), 2.5, "at = [0, 0, 0]                #", "at = [0, 2.5, 0]"),
        (("band", "first band", "tension", "weight"), 3.0, '"300 g"', '"3 N"'),
        (("band", "first band", "slip"), 0.02, 'slip = "1 %"', "slip = 0.02"),
        (("yarn", "count"), "80 Nm", 'count = "40 Nm"', 'count = "80 Nm"'),
        (("spindle", "cop", "mass"), 20, 'mass = "15 g"', 'mass = "20 g"'),
        (("spindle", "bearings", 1, "stiffness"), 99.5, "stiffness = 120", "stiffness = 99.5"),
        (("limits", "clearance_mm"), 2, 'clearance_mm = "1/16 in"', "clearance_mm = 2"),
    ],
)
def test_values_of_each_kind(
    good_text: str, place: tuple[str | int, ...], value: object, old: str, new: str
) -> None:
    assert old in good_text
    text = rewrite(good_text, {place: value})
    assert new in text
    assert len(differing(good_text, text)) == 1
    comments = [line.partition("#")[2] for line in good_text.splitlines()]
    assert [line.partition("#")[2] for line in text.splitlines()] == comments


def test_an_inch_file_stays_an_inch_file(good_text: str) -> None:
    text = good_text.replace('unit = "mm"', 'unit = "in"')
    new = rewrite(text, {("yarn", "draw"): 508.0, ("case", "inside", 0): 341.0})
    assert "draw = 20\n" in new
    assert 'inside = ["341 mm", 170, 60]' in new  # 341 mm are no short number of inches
    assert tomllib.loads(new)["unit"] == "in"


def test_a_table_that_is_not_there_is_added(good_text: str) -> None:
    text = good_text[: good_text.index("[yarn]")] + good_text[good_text.index("[[material]]") :]
    design = parse_design(text)
    yarn = m.Yarn(m.Count(20.0, "tex"), "wool", "S", 400.0)
    shop = m.Shop((m.Stock("board", 900.0, 200.0, 12.0),), kerf_mm=0.1)
    wanted = replace(design, yarn=yarn, shop=shop, limits={"wrap_deg": 80.0})
    assert parse_design(rewrite_as(text, wanted)) == wanted
    assert parse_design(rewrite(text, {("shop", "kerf"): 0.25})).shop.kerf_mm == 0.25


def test_crossing_a_band_and_taking_its_turns_back(good_text: str) -> None:
    design = parse_design(good_text)
    first, second = design.bands
    crossed = replace(first, crossed=True, route=(m.Stop("wheel"), m.Stop("hub", "against")))
    plain = replace(second, route=(m.Stop("accelerator"), m.Stop("whorl")))
    wanted = replace(design, bands=(crossed, plain))
    text = rewrite_as(good_text, wanted)
    assert parse_design(text) == wanted
    assert "crossed = true" in text
    assert 'route = ["accelerator", "whorl"]' in text
    assert rewrite_as(text, design).count("# in the order in which it meets them") == 1


def test_a_groove_of_another_shape(good_text: str) -> None:
    design = parse_design(good_text)
    new = tuple(
        replace(p, groove=m.VeeGroove(12.0, 2.0, 60.0) if p.name == "whorl" else p.groove)
        for p in design.pulleys
    )
    wanted = replace(design, pulleys=new)
    for text in (good_text, good_text.replace("pitch = 9.6", "groove = { pitch = 9.6 }")):
        changed = rewrite_as(text, wanted)
        assert parse_design(changed) == wanted
        assert "pitch" not in changed
        assert rewrite_as(changed, design).count("pitch = 9.6") == 1


def test_a_new_groove_is_laid_out_as_a_person_would(good_text: str) -> None:
    design = parse_design(good_text)
    hub = replace(design.pulley("hub"), groove=m.FlatRim(20.0, 6.0))
    wanted = replace(design, pulleys=tuple(hub if p.name == "hub" else p for p in design.pulleys))
    assert 'groove = { shape = "flat", rim = 20, width = 6 }\n' in rewrite_as(good_text, wanted)


def test_a_fibre_of_ones_own_is_added_and_none_is_lost(good_text: str) -> None:
    design = parse_design(good_text)
    assert design.yarn is not None
    for fibre, own in (("wool", ["alpaca"]), ("nettle", ["alpaca", "nettle"])):
        fibres = tuple(m.OwnFibre(name) for name in own)
        yarn = replace(design.yarn, fibre=fibre)
        text = rewrite_as(good_text, replace(design, yarn=yarn, fibres=fibres))
        assert [item["name"] for item in tomllib.loads(text)["fibre"]] == own


def test_parts_can_come_and_go(good_text: str) -> None:
    design = parse_design(good_text)
    spare = m.Pulley("spare", "middle", 30.0, m.FlatRim(50.0, 6.0))
    wanted = replace(design, pulleys=(*design.pulleys, spare), bands=design.bands[:1])
    text = rewrite_as(good_text, wanted)
    assert parse_design(text) == wanted
    assert parse_design(rewrite_as(text, replace(wanted, pulleys=design.pulleys))).pulleys == (
        design.pulleys
    )


def test_parts_in_another_order_are_refused(good_text: str) -> None:
    design = parse_design(good_text)
    with pytest.raises(OutputError, match="another order"):
        rewrite_as(good_text, replace(design, shafts=design.shafts[::-1]))


def test_a_design_that_would_be_a_faulty_file_is_refused(good_text: str) -> None:
    design = parse_design(good_text)
    hub = replace(design.pulley("hub"), groove=m.RoundGroove(5.0, 2.0, 2.0))
    broken = replace(design, pulleys=tuple(hub if p.name == "hub" else p for p in design.pulleys))
    with pytest.raises(DesignError, match="lies inside the shaft"):
        rewrite_as(good_text, broken)


MIXED = """\
unit = "mm" # of all
title = "Mixed"
# the first axis
[[shaft]]
name = "a"
at = [ 0,  # x
       0, 0 ]
axis = [0, 0, 1]
diameter = 5
# and what it carries
[[pulley]]
name = "p"
shaft = "a"
offset = 0
[pulley.groove] # deep
shape = "vee"
rim = 80 # turned last
depth = 3
angle = 40
[drive]
shaft = "a"
by = "treadle"
speed = "1 Hz"
turns = "clockwise"
# the second axis
[[ shaft ]]
name = "b"
at = [100, 0, 0]
axis = [0, 0, 1]
diameter = 4 # thin
# its pulley
[[pulley]]
name = "q"
shaft = "b"
offset = 0
groove.shape = "round"
groove.rim = 40 # from a dowel
groove.depth = 2
groove.radius = 2
[[band]]
name = "cord"
route = ["p", "q"]
material = "cotton cord"
diameter = 2
[spindle] # at last
shaft = "b"
kind = "flyer"
[[spindle.bearings]]
at = 0
kind = "ball"
"""


def test_a_file_whose_parts_lie_mixed_keeps_its_order() -> None:
    design = parse_design(MIXED)
    assert rewrite_as(MIXED, design) == MIXED
    a, b = design.shafts
    p, q = design.pulleys
    wanted = replace(
        design,
        title="Other",
        shafts=(replace(a, at_mm=(1.0, 0.0, 0.0)), replace(b, diameter_mm=4.5)),
        pulleys=(
            replace(p, groove=m.VeeGroove(82.0, 3.0, 40.0)),
            replace(q, groove=m.RoundGroove(41.0, 2.0, 2.0)),
        ),
        spindle=m.Spindle("b", "flyer", (m.Bearing(3.0, "ball"),)),
    )
    text = rewrite_as(MIXED, wanted)
    assert parse_design(text) == wanted
    assert [old for old, _ in differing(MIXED, text)] == [
        'title = "Mixed"', "at = [ 0,  # x", "rim = 80 # turned last", "diameter = 4 # thin",
        "groove.rim = 40 # from a dowel", "at = 0",
    ]  # fmt: skip
    comments = [line.partition("#")[2] for line in MIXED.splitlines()]
    assert [line.partition("#")[2] for line in text.splitlines()] == comments


def test_a_new_title(good_text: str) -> None:
    text = retitle(good_text, 'Anna\'s "blue" wheel \\ 2')
    assert parse_design(text).title == 'Anna\'s "blue" wheel \\ 2'
    assert len(differing(good_text, text)) == 1
    without = good_text.replace('title = "Garden wheel"\n', "")
    assert parse_design(retitle(without, "New")).title == "New"
    headless = without.replace('unit = "mm"\n', "")
    assert parse_design(retitle(headless, "New")).title == "New"


def test_text_that_is_no_toml_cannot_be_rewritten() -> None:
    with pytest.raises(DesignError, match="line 1"):
        retitle("title = Garden", "New")


def test_a_part_that_is_not_there_cannot_be_set(good_text: str) -> None:
    with pytest.raises(KeyError, match="hubb"):
        rewrite(good_text, {("pulley", "hubb", "offset"): 3.0})


def test_a_layered_pulley_of_wood_stays_one(good_text: str) -> None:
    """A material's name is written where it stands, whatever it is."""
    design = parse_design(good_text)
    for wood in WHEELS:
        wheel = replace(design.pulleys[0], material=wood.name)
        wanted = replace(design, pulleys=(wheel, *design.pulleys[1:]))
        assert parse_design(rewrite_as(good_text, wanted)) == wanted
