"""Random designs: what is written reads back as exactly the same design, in every unit."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from wheelgeo.design import model as m
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.material import Figure, Material
from wheelgeo.design.materials import BEARINGS, CORDS, FIBRES, MATERIALS
from wheelgeo.design.reader import parse_design
from wheelgeo.design.writer import design_to_toml, rewrite_as
from wheelgeo.units.kinds import unit_vector

places = st.floats(-1e4, 1e4)
sizes = st.floats(0.01, 1e4)
above_zero = st.floats(1e-5, 1e6)
fractions = st.floats(0.0, 0.99)
names = st.text(
    st.characters(exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp")), min_size=1, max_size=12
).filter(str.strip)
# Hypothesis takes words from the modules that are loaded, other ones after other tests: a material
# of one's own called "steel" is no wood or metal any more, and such a wheel is rightly refused.
own_names = names.filter(lambda name: name not in {m.name for m in MATERIALS})
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
    reel_round_mm=st.floats(200.0, 5000.0),
)  # fmt: skip


@st.composite
def designs(draw: st.DrawFn) -> m.Design:
    named = draw(st.lists(names, min_size=2, max_size=3, unique=True))
    on_shafts = [[f"{name} {i}" for i in range(draw(st.integers(1, 2)))] for name in named]
    own = draw(st.lists(own_names, max_size=1))
    cord = draw(st.sampled_from([c.name for c in CORDS] + own))
    speed = draw(above_zero)
    yarn = draw(maybe(yarns()))
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
        yarn=yarn,
        fibres=(m.OwnFibre(yarn.fibre),) if yarn and yarn.fibre not in FIBRES else (),
        case=draw(maybe(st.builds(m.Case, st.tuples(*3 * [sizes]), st.tuples(*3 * [places])))),
        shop=draw(st.just(m.Shop()) | shops),
        limits=draw(st.dictionaries(st.sampled_from(sorted(LIMITS)), above_zero, max_size=3)),
        materials=tuple(draw(materials(name)) for name in own),
    )  # fmt: skip


SETTINGS = settings(
    max_examples=40,
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
        fibres=new.fibres,
        case=new.case, shop=new.shop, limits=new.limits, pulleys=(wheel, *old.pulleys[1:]),
        spindle=replace(new.spindle, shaft=old.spindle.shaft),
    )  # fmt: skip
    text = "# kept\n" + design_to_toml(old)
    changed = rewrite_as(text, wanted)
    assert parse_design(changed) == wanted
    assert "# kept\n" in changed
