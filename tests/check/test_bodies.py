"""The wheel as built: each way in which it cannot be built or spun is named, the near miss is not.

Every wrong wheel is a shipped one with one line changed.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.check.every_rule import BUILT_RULES
from wheelgeo.check.report import built_findings, put_under_check
from wheelgeo.design.model import Stand
from wheelgeo.design.reader import parse_design

SHIPPED = Path(__file__).resolve().parents[2] / "designs"
TEXTS = {path.stem: path.read_text(encoding="utf-8") for path in SHIPPED.glob("*-wheel.toml")}


def wheel(name, *changes):
    """Return a shipped wheel with some of its text changed; each must be there once."""
    text = TEXTS[name]
    for old, new in changes:
        assert text.count(old) == 1, (name, old)
        text = text.replace(old, new)
    return parse_design(text)


def found(design):
    return built_findings(put_under_check(design))


def named(design, rule, *words):
    """Return the findings of a rule, faults and warnings, whose place names all the words."""
    return [
        f for f in found(design)
        if f.rule == rule and f.level != "note" and all(w in f.where for w in words)
    ]  # fmt: skip


SPINDLE = "bearings = [{ at = -14, kind = \"brass\" }, { at = 24, kind = \"brass\" }]"
BOX_ENDS = "ends = [-20, 175]"
BOX_COP = "cop = { from = 65, to = 120, diameter = 24"
BOX_SLIDE = "from = -6, to = 4 }"
FRONT = "inside = [388, 190, 70]"


def bearings(first, second):
    return f'bearings = [{{ at = {first}, kind = "brass" }}, {{ at = {second}, kind = "brass" }}]'


# name: shipped wheel, what is changed to be wrong, the near miss, rule, words of its place
CASES = {
    "a pulley beyond its rod's end": (
        "floor-wheel", ("ends = [-60, 80]", "ends = [-60, 0]"), ("ends = [-60, 80]",
        "ends = [-60, 60]"), "beyond-rod", ('shaft "axle"', 'pulley "rim"')),
    "a whorl beyond its rod's end": (
        "box-wheel", (BOX_ENDS, "ends = [2, 175]"), (BOX_ENDS, "ends = [-17.5, 175]"),
        "beyond-rod", ('shaft "spindle"', 'pulley "whorl"')),
    "a bearing beyond the rod": (
        "box-wheel", (SPINDLE, bearings(-30, 24)), (SPINDLE, bearings(-15, 24)), "beyond-rod",
        ("bearing spindle 1",)),
    "a cop beyond the rod": (
        "box-wheel", (BOX_COP, "cop = { from = 125, to = 180, diameter = 24"),
        (BOX_COP, "cop = { from = 70, to = 125, diameter = 24"), "beyond-rod", ("the cop",)),
    "a crank beyond its rod": (
        "box-wheel", ("diameter = 8\n", "diameter = 8\nends = [0, 40]\n"),
        ("diameter = 8\n", "diameter = 8\nends = [0, 50]\n"), "beyond-rod", ("the crank",)),
    "a crank inside its own wheel": (
        "box-wheel", ("offset = 46 ", "offset = 17 "), ("offset = 46 ", "offset = 47 "),
        "bodies-collide", ('pulley "wheel"', "crank")),
    "a bearing inside the whorl": (
        "box-wheel", (SPINDLE, bearings(-2, 24)), (SPINDLE, bearings(-12, 24)),
        "bodies-collide", ("bearing spindle 1", 'pulley "whorl"')),
    "a bearing under the cop": (
        "box-wheel", (SPINDLE, bearings(-14, 80)), (SPINDLE, bearings(-14, 58)),
        "bodies-collide", ("bearing spindle 2", "cop")),
    "a support that overlaps the whorl": (
        "box-wheel", (SPINDLE, bearings(-14, 4)), (SPINDLE, bearings(-14, 12)),
        "bodies-collide", ("support spindle 2", 'pulley "whorl"')),
    "supports that overlap": (
        "box-wheel", (SPINDLE, bearings(20, 24)), (SPINDLE, bearings(18, 30)),
        "bodies-collide", ("support spindle 1", "support spindle 2")),
    "a slide that carries the cop through the wall": (
        "box-wheel", (BOX_SLIDE, "from = -6, to = 12 }"), (BOX_SLIDE, "from = -6, to = 4.5 }"),
        "bodies-collide", ("cop", "wall left")),
    "a slide that carries a support through the wall": (
        "box-wheel", (BOX_SLIDE, "from = -6, to = 14 }"), (BOX_SLIDE, "from = -6, to = 4.5 }"),
        "bodies-collide", ("support spindle 1", "wall left")),
    "a cop through the wall": (
        "box-wheel", (BOX_COP, "cop = { from = 100, to = 155, diameter = 24"),
        (BOX_COP, "cop = { from = 85, to = 140, diameter = 24"), "bodies-collide",
        ("cop", "wall front")),
    "a cop on the floor": (
        "box-wheel", (BOX_COP, "cop = { from = 65, to = 120, diameter = 64"),
        (BOX_COP, "cop = { from = 65, to = 120, diameter = 26"), "bodies-collide",
        ("cop", "floor")),
    "a crank above the lid": (
        "box-wheel", ("offset = 46 ", "offset = 70 "), ("offset = 46 ", "offset = 60 "),
        "lid-does-not-close", ("crank",)),
    "a rod above the lid": (
        "box-wheel", ("diameter = 6\n", "diameter = 6\nends = [0, 90]\n"),
        ("diameter = 6\n", "diameter = 6\nends = [0, 66]\n"), "lid-does-not-close",
        ('shaft "middle"',)),
    "a tip behind the wall": (
        "box-wheel", (BOX_ENDS, "ends = [-20, 140]"), (BOX_ENDS, "ends = [-20, 162]"),
        "tip-inside", ('spindle "spindle"',)),
    "a tip away from the spinner": (
        "box-wheel", (FRONT, 'spinner = "back"\ninside = [388, 190, 70]'),
        (FRONT, 'spinner = "left"\ninside = [388, 190, 70]'), "tip-away", ("spindle",)),
    "an upright tip below the edge": (
        "parallel-box-wheel", ("inside = [290, 190, 60]", "inside = [290, 190, 142]"),
        ("inside = [290, 190, 60]", "inside = [290, 190, 139]"), "tip-inside", ("spindle",)),
    "a spindle in one bearing": (
        "box-wheel", (SPINDLE, 'bearings = [{ at = 24, kind = "brass" }]'),
        (SPINDLE, bearings(-14, 24)), "bearings-too-few", ('shaft "spindle"',)),
    "two bearings at one place": (
        "box-wheel", (SPINDLE, bearings(24, 26)), (SPINDLE, bearings(-14, 24)),
        "bearings-too-few", ('shaft "spindle"',)),
    "a whorl far beyond its bearings": (
        "box-wheel", (SPINDLE, bearings(30, 42)), (SPINDLE, bearings(12, 24)),
        "overhang", ('shaft "spindle"',)),
    "a band without take-up": (
        "box-wheel", ('slip = "1 %"\nstretch = "1 %"', 'slip = "1 %"'),
        ('slip = "1 %"\nstretch = "1 %"', 'slip = "1 %"\ntension = { spring = "8 N" }'),
        "no-take-up", ("first band",)),
    "a crank for the other hand": (
        "box-wheel", ('by = "crank"', 'by = "crank"\nhand = "left"'),
        ('by = "crank"', 'by = "crank"\nhand = "right"'), "other-hand", ("crank",)),
    "posts that pass through each other": (
        "floor-wheel", ("diameter = 14\n", "diameter = 14\n" + bearings(28, 40) + "\n"),
        ("diameter = 14\n", "diameter = 14\n" + bearings(-28, 28) + "\n"), "bodies-collide",
        ("post axle 1", "post axle 2")),
    "a post through the rim": (
        "floor-wheel", ("diameter = 14\n", "diameter = 14\n" + bearings(-28, 10) + "\n"),
        ("diameter = 14\n", "diameter = 14\n" + bearings(-28, 28) + "\n"), "bodies-collide",
        ('pulley "rim"', "post axle 2")),
    "a maiden through the whorl": (
        "floor-wheel", ('kind = "tip"\n', 'kind = "tip"\n' + bearings(-21, 8) + "\n"),
        ('kind = "tip"\n', 'kind = "tip"\n' + bearings(-21, 21) + "\n"), "bodies-collide",
        ('pulley "whorl"', "maiden spindle 2")),
    "a flyer's bearing in its bobbin": (
        "flyer-wheel", ('kind = "flyer"\n', 'kind = "flyer"\n' + bearings(-21, 60) + "\n"),
        ('kind = "flyer"\n', 'kind = "flyer"\n' + bearings(-21, 133) + "\n"), "bodies-collide",
        ("bearing flyer 2", "bobbin")),
    "a maiden through the flyer": (
        "flyer-wheel", ('kind = "flyer"\n', 'kind = "flyer"\n' + bearings(-21, 120) + "\n"),
        ('kind = "flyer"\n', 'kind = "flyer"\n' + bearings(-21, 134) + "\n"), "bodies-collide",
        ("flyer", "maiden flyer 2")),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_the_wrong_wheel_is_named_and_the_near_miss_is_not(case):
    name, wrong, right, rule, words = CASES[case]
    design = wheel(name, wrong)
    findings = named(design, rule, *words)
    assert findings, [(f.rule, f.where) for f in found(design)]
    assert not named(wheel(name, right), rule, *words)


MENDED = [
    "a pulley beyond its rod's end", "a crank inside its own wheel", "a bearing inside the whorl",
    "a slide that carries the cop through the wall", "a crank above the lid",
    "a cop through the wall",
    "a tip behind the wall", "a band without take-up", "a bearing beyond the rod",
    "a rod above the lid", "posts that pass through each other",
]  # fmt: skip


@pytest.mark.parametrize("case", MENDED)
def test_its_remedy_works(case):
    name, wrong, _, rule, words = CASES[case]
    finding = named(wheel(name, wrong), rule, *words)[0]
    assert finding.remedy.edits, finding.remedy.says
    changed = finding.remedy.apply()
    assert (finding.rule, finding.where) not in {(f.rule, f.where) for f in found(changed)}


def test_every_rule_on_the_wheel_as_built_is_among_the_cases():
    wheels = [put_under_check(wheel(c[0], c[1])) for c in CASES.values()]
    silent = [r.asks for r in BUILT_RULES if not any(True for w in wheels for _ in r.find(w))]
    assert silent == []


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_shipped_wheels_stand_without_fault_or_warning(name):
    assert [f for f in found(wheel(name)) if f.level != "note"] == []


def test_a_stand_of_ones_own_is_neither_made_nor_checked():
    from wheelgeo.built.as_built import build
    from wheelgeo.built.bodies import bodies

    design = wheel("floor-wheel")
    own = replace(design, stand=Stand("own"))
    kinds = {b.kind for b in bodies(build(own))}
    assert not kinds & {"post", "table", "leg", "maiden"}
    assert {"post", "table", "leg", "maiden"} <= {b.kind for b in bodies(build(design))}
    low = replace(design, shafts=tuple(
        replace(s, at_mm=(s.at_mm[0], s.at_mm[1], s.at_mm[2] - 300.0)) for s in design.shafts
    ))  # fmt: skip
    assert "table" not in {b.kind for b in bodies(build(low))}
