"""Writing: what is written reads back as the same design, and a changed file keeps the rest."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from wheelgeo.design import model as m
from wheelgeo.design.fields import unit_vector
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.materials import BEARINGS, CORDS, FIBRES, WHEELS, Figure, Material
from wheelgeo.design.reader import parse_design
from wheelgeo.design.writer import design_to_toml, retitle, rewrite, rewrite_as
from wheelgeo.errors import DesignError, OutputError

# --- random designs ------------------------------------------------------------------------------

places = st.floats(-1e4, 1e4)
sizes = st.floats(0.01, 1e4)
above_zero = st.floats(1e-5, 1e6)
fractions = st.floats(0.0, 0.99)
names = st.text(
    st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp")), min_size=1, max_size=12
).filter(str.strip)
axes = (
    st.tuples(*3 * [st.floats(-1.0, 1.0)]).filter(lambda v: math.hypot(*v) > 1e-3).map(unit_vector)
)


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


@st.composite
def spans(draw: st.DrawFn) -> tuple[float, float]:
    low = draw(places)
    return low, low + draw(st.floats(0.5, 100.0))


@st.composite
def shafts(draw: st.DrawFn, name: str) -> m.Shaft:
    slide = draw(maybe(st.builds(lambda along, s: m.Slide(along, *s), axes, spans())))
    return m.Shaft(
        name, draw(st.tuples(places, places, places)), draw(axes), draw(st.floats(0.01, 20.0)),
        slide, draw(maybe(spans())), draw(st.sampled_from([None, "steel", "beech"])),
    )  # fmt: skip


grooves = st.one_of(
    st.builds(
        lambda bottom, depth, angle, flat: m.VeeGroove(bottom + 2 * depth, depth, angle, flat),
        st.floats(30.0, 500.0), st.floats(0.1, 10.0), st.floats(1.0, 120.0), st.floats(0.0, 5.0),
    ),
    st.builds(
        lambda bottom, depth, radius: m.RoundGroove(bottom + 2 * depth, depth, radius),
        st.floats(30.0, 500.0), st.floats(0.1, 10.0), st.floats(0.1, 10.0),
    ),
    st.builds(m.FlatRim, st.floats(30.0, 500.0), st.floats(1.0, 40.0)),
    st.builds(m.GivenPitch, st.floats(30.0, 500.0)),
)  # fmt: skip


@st.composite
def pulleys(draw: st.DrawFn, name: str, shaft: str) -> m.Pulley:
    layered = draw(st.booleans())
    sheet = maybe(sizes) if layered else st.none()
    return m.Pulley(
        name, shaft, draw(places), draw(grooves),
        width_mm=None if layered else draw(maybe(st.floats(100.0, 200.0))),
        material=draw(st.sampled_from([None, "plywood", "brass"])),
        build="layers" if layered else draw(st.sampled_from([None, "turned"])),
        core_mm=draw(sheet), cheek_mm=draw(sheet), bore_mm=draw(maybe(st.floats(1.0, 20.0))),
        lightening=draw(maybe(st.just(m.Lightening(1, 1.0, 25.0)))),
    )  # fmt: skip


@st.composite
def bands(draw: st.DrawFn, name: str, on_shafts: list[list[str]], cord: str) -> m.Band:
    order = draw(st.permutations(range(len(on_shafts))))
    met = [draw(st.sampled_from(on_shafts[i])) for i in order[: draw(st.integers(2, len(order)))]]
    turns = [draw(st.sampled_from(["with", "against"])) for _ in met[1:]]
    route = (m.Stop(met[0]), *(m.Stop(p, t) for p, t in zip(met[1:], turns, strict=True)))
    kinds = st.sampled_from(["measured", "weight", "spring"])
    return m.Band(
        name, route, cord, draw(sizes), slip=draw(maybe(fractions)),
        stretch=draw(maybe(fractions)), joint_mm=draw(maybe(st.just(0.0) | sizes)),
        tension=draw(maybe(st.builds(m.Tensioner, kinds, above_zero))),
    )  # fmt: skip


@st.composite
def spindles(draw: st.DrawFn, shaft: str) -> m.Spindle:
    kinds = st.sampled_from([b.name for b in BEARINGS])
    span = draw(spans())
    return m.Spindle(
        shaft, draw(st.sampled_from(["tip", "flyer"])),
        tuple(draw(st.lists(st.builds(m.Bearing, places, kinds, maybe(above_zero)), max_size=2))),
        tuple(
            m.Section(low, high, draw(st.floats(0.01, 0.9)))
            for low, high in draw(st.lists(spans(), max_size=2))
        ),
        tuple(
            draw(st.lists(st.builds(m.Washer, places, sizes, sizes, st.just("birch")), max_size=2))
        ),
        draw(maybe(st.builds(lambda d, g: m.Cop(*span, d, g), sizes, above_zero))),
    )  # fmt: skip


@st.composite
def figures(draw: st.DrawFn, top: float) -> Figure:
    low, value, high = sorted(draw(st.lists(st.floats(1e-3, top), min_size=3, max_size=3)))
    if draw(st.booleans()):
        return Figure(value, value, value, "the design file")
    return Figure(value, low, high, draw(names))


@st.composite
def materials(draw: st.DrawFn, name: str) -> Material:
    some = maybe(figures(1e5))
    return Material(
        name, "cord", draw(some), draw(some), draw(some), draw(some), draw(maybe(figures(1.0))),
        draw(some),
    )  # fmt: skip


@st.composite
def yarns(draw: st.DrawFn) -> m.Yarn:
    count = m.Count(draw(above_zero), draw(st.sampled_from(["Nm", "Ne", "tex", "denier"])))
    twist = draw(st.sampled_from([(None, None), (850.5, None), (None, 133.0)]))
    fibre = draw(st.sampled_from(FIBRES) | names)
    return m.Yarn(count, fibre, draw(st.sampled_from(["S", "Z"])), *twist, draw(maybe(sizes)))


shops = st.builds(
    m.Shop,
    st.lists(names, unique=True, max_size=2).map(
        lambda found: tuple(m.Stock(name, 600.0, 300.5, 3.1) for name in found)
    ),
    st.just(0.0) | sizes, st.just(3.0) | sizes, sizes, sizes, sizes, st.booleans(),
)  # fmt: skip


@st.composite
def designs(draw: st.DrawFn) -> m.Design:
    named = draw(st.lists(names, min_size=2, max_size=3, unique=True))
    on_shafts = [[f"{name} {i}" for i in range(draw(st.integers(1, 2)))] for name in named]
    own = draw(st.lists(names, max_size=1))
    cord = draw(st.sampled_from([c.name for c in CORDS] + own))
    speed = draw(above_zero)
    return m.Design(
        title=draw(names),
        unit=draw(st.sampled_from(["mm", "cm", "m", "in", '"', "ft", "yd"])),
        drive=m.Drive(
            named[0], draw(st.sampled_from(["crank", "treadle", "motor"])), speed,
            draw(st.sampled_from(["clockwise", "counter-clockwise"])), draw(maybe(sizes)),
            draw(maybe(places)),
        ),
        shafts=tuple(draw(shafts(name)) for name in named),
        pulleys=tuple(
            draw(pulleys(p, shaft))
            for shaft, found in zip(named, on_shafts, strict=True) for p in found
        ),
        bands=tuple(
            draw(bands(name, on_shafts, cord))
            for name in draw(st.lists(names, min_size=1, max_size=2, unique=True))
        ),
        spindle=draw(spindles(named[-1])),
        yarn=draw(maybe(yarns())),
        case=draw(maybe(st.builds(m.Case, st.tuples(*3 * [sizes]), st.tuples(*3 * [places])))),
        shop=draw(st.just(m.Shop()) | shops),
        limits=draw(st.dictionaries(st.sampled_from(sorted(LIMITS)), above_zero, max_size=3)),
        materials=tuple(draw(materials(name)) for name in own),
    )  # fmt: skip


SETTINGS = settings(
    max_examples=100,
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),  # to shrink a design takes minutes
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


@given(design=designs())
@SETTINGS
def test_a_design_written_and_read_is_the_same(design: m.Design) -> None:
    text = design_to_toml(design)
    assert parse_design(text) == design
    assert design_to_toml(parse_design(text)) == text


@given(old=designs(), new=designs())
@settings(parent=SETTINGS, max_examples=25)
def test_a_file_can_be_made_to_give_any_design_with_the_same_parts(
    old: m.Design, new: m.Design
) -> None:
    """Everything of another design but its parts' names, and all of its first pulley's groove."""
    wheel = replace(old.pulleys[0], groove=new.pulleys[0].groove, lightening=None, bore_mm=None)
    wheel = replace(wheel, width_mm=None if wheel.build == "layers" else 150.0)
    wanted = replace(
        old, title=new.title, drive=replace(new.drive, shaft=old.drive.shaft), yarn=new.yarn,
        case=new.case, shop=new.shop, limits=new.limits, pulleys=(wheel, *old.pulleys[1:]),
        spindle=replace(new.spindle, shaft=old.spindle.shaft),
    )  # fmt: skip
    text = "# kept\n" + design_to_toml(old)
    changed = rewrite_as(text, wanted)
    assert parse_design(changed) == wanted
    assert "# kept\n" in changed


# --- the rest of the file is kept ----------------------------------------------------------------


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
