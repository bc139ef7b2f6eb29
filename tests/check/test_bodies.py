"""The wheel as built: each way in which it cannot be built or spun is named, the near miss is not.

Every wrong wheel is a shipped one with one line changed.
"""

from dataclasses import replace
from functools import cache
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


def of_rule(findings, rule, *words):
    """Return the findings of a rule, faults and warnings, whose place names all the words."""
    return [
        f for f in findings
        if f.rule == rule and f.level != "note" and all(w in f.where for w in words)
    ]  # fmt: skip


_HEMP = """material = "hemp cord"
diameter = 2.5
slip = "2 %"
stretch = "1.5 %"
"""
_RING = _HEMP.replace("hemp cord", "nitrile ring").replace("1.5 %", "1 %")
SPINDLE = (
    'bearings = [{ at = -14, kind = "brass", split = true }, '
    '{ at = 24, kind = "brass", split = true }]'
)
BOX_MAIN = "at = [293, 95, 0]\naxis = [0, 0, 1]\ndiameter = 8"
ONE_HIGH = 'bearings = [{ at = 40, kind = "brass" }]'
BOX_ENDS = "ends = [-20, 175]"
BOX_COP = "cop = { from = 65, to = 120, diameter = 24"
BOX_SLIDE = "from = -6, to = 4 }"
FRONT = "inside = [388, 190, 70]"


def bearings(first, second):
    return f'bearings = [{{ at = {first}, kind = "brass" }}, {{ at = {second}, kind = "brass" }}]'


_TROD = '[drive]\nshaft = "axle"\nby = "treadle"\n'


_ON_FLOOR = "treadle = { pivot_below = 520, footman = 430 }"


def by_crank(deep):
    """Return the drive by a crank, on a stand whose feet reach so far: no rail lengthens them."""
    return f'[stand]\ndeep = {deep}\n\n[drive]\nshaft = "axle"\nby = "crank"\n'


# name: shipped wheel, what is changed to be wrong, the near miss, rule, words of its place
CASES = {
    "an upright rod that nothing carries": (
        "box-wheel", (BOX_MAIN, f"{BOX_MAIN}\nends = [2, 50]\n{ONE_HIGH}"),
        (BOX_MAIN, f"{BOX_MAIN}\nends = [0, 50]\n{ONE_HIGH}"), "rod-sinks", ('shaft "main"',)),
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
    "a ring that outgrows its slide": (
        "floor-wheel", (_HEMP, _RING), (_HEMP, _RING.replace("1 %", "4 %")), "no-take-up",
        ("drive band",)),
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
    "a crank in its own bearing": (
        "box-wheel", ("offset = 46 ", "offset = 24 "), ("offset = 46 ", "offset = 36 "),
        "bodies-collide", ("bearing main 2", "crank")),
    "a cop over the whorl": (
        "box-wheel", (BOX_COP, "cop = { from = 0, to = 55, diameter = 24"),
        (BOX_COP, "cop = { from = 10, to = 65, diameter = 24"), "bodies-collide",
        ('pulley "whorl"', "cop")),
    "a wall as thick as the tip is long": (
        "box-wheel", (FRONT, FRONT + "\nwall = 25"), (FRONT, FRONT + "\nwall = 22.9"),
        "tip-inside", ('spindle "spindle"',)),
    "a crank into the rod of another shaft": (
        "box-wheel", ("at = [168, 147, 0]", "at = [250, 147, 0]"),
        ("at = [168, 147, 0]", "at = [225, 147, 0]"), "bodies-collide",
        ('shaft "middle"', "crank")),
    "a lid on a bridge": (
        "box-wheel", (FRONT, "inside = [388, 190, 44]"), (FRONT, "inside = [388, 190, 45]"),
        "lid-does-not-close", ("bridge middle",)),
    "a bearing inside the accelerator": (
        "box-wheel", ("diameter = 6\n", "diameter = 6\n" + bearings(5, 30) + "\n"),
        ("diameter = 6\n", "diameter = 6\n" + bearings(5, 22) + "\n"), "bodies-collide",
        ('pulley "accelerator"', "bearing middle 2")),
    "a band through a bridge": (
        "box-wheel", ("diameter = 6\n", "diameter = 6\n" + bearings(5, 30) + "\n"),
        ("diameter = 6\n", "diameter = 6\n" + bearings(5, 22) + "\n"), "run-hits-body",
        ('"second band"', "bridge middle")),
    "a band on a bearing": (
        "sheet-wheel", ("at = 36, kind", "at = 25, kind"), ("at = 36, kind", "at = 30, kind"),
        "run-hits-body", ('"second band"', "bearing spindle 2")),
    "a middle shaft in one bearing": (
        "box-wheel", ("diameter = 6\n", 'diameter = 6\nbearings = [{ at = 5, kind = "brass" }]\n'),
        ("diameter = 6\n", "diameter = 6\n" + bearings(5, 40) + "\n"), "bearings-too-few",
        ('shaft "middle"',)),
    "a bearing in the floor": (
        "sheet-wheel", ("at = 8, kind", "at = 1, kind"), ("at = 8, kind", "at = 3, kind"),
        "bodies-collide", ("bearing spindle 1", "floor")),
    "a wheel through the back wall": (
        "sheet-wheel", ("inside = [165, 110, 52]", "inside = [165, 104, 52]"),
        ("inside = [165, 110, 52]", "inside = [165, 107, 52]"), "bodies-collide",
        ('pulley "wheel"', "wall back")),
    "a slide that carries a pulley through the wall": (
        "sheet-wheel", ("from = -2, to = 3 }", "from = -2, to = 18 }"),
        ("from = -2, to = 3 }", "from = -2, to = 15 }"), "bodies-collide",
        ('pulley "accelerator"', "wall right")),
    "a footman through the table": (
        "floor-wheel", ("radius = 55", "radius = 55\noffset = 45"),
        ("radius = 55", "radius = 55\noffset = 60"), "bodies-collide", ("table", "footman")),
    "a stand so narrow that a small slope tips it": (
        "farm-wheel", (_TROD, by_crank(deep=150)), (_TROD, by_crank(deep=160)), "stand-tips",
        ("stand",)),
    "a stand on legs without feet": (
        "floor-wheel", (_TROD, by_crank(deep=50)), (_TROD, by_crank(deep=145)), "stand-tips",
        ("stand",)),
    "a footman far outside the feet, its treadle hinged on the floor": (
        "farm-wheel", ("radius = 60", f"radius = 60\noffset = 320\n{_ON_FLOOR}"),
        ("radius = 60", f"radius = 60\noffset = 270\n{_ON_FLOOR}"), "stand-pulled-over",
        ("stand",)),
    "a rim so near to the floor that no board goes under it": (
        "farm-wheel", ("at = [0, 0, 520]", "at = [0, 0, 345]"),
        ("at = [0, 0, 520]", "at = [0, 0, 351]"), "posts-apart", ("stand",)),
    "a treadle's crank inside its own rim": (
        "flyer-wheel", ("radius = 50", "radius = 50\noffset = 12"),
        ("radius = 50", "radius = 50\noffset = 20"), "bodies-collide",
        ('pulley "back groove, front groove"', "crank")),
    "a bearing in the rim": (
        "farm-wheel", ("ends = [-60, 85] ", bearings(-50, -20) + "\nends = [-62, 85] "),
        ("ends = [-60, 85] ", bearings(-55, -30) + "\nends = [-62, 85] "), "bodies-collide",
        ('pulley "rim"', "bearing axle 2")),
    "bearings in one another": (
        "farm-wheel", ("ends = [-60, 85] ", bearings(30, 45) + "\nends = [-60, 85] "),
        ("ends = [-60, 85] ", bearings(30, 52) + "\nends = [-60, 85] "), "bodies-collide",
        ("bearing axle 1", "bearing axle 2")),
    "a sleeve through the whorl of the rod that it runs on": (
        "flyer-wheel", ("ends = [1, 110]", "ends = [-3, 110]"),
        ("ends = [1, 110]", "ends = [-0.9, 110]"), "bodies-collide",
        ('pulley "flyer whorl"', 'shaft "bobbin"')),
    "a whorl off its sleeve": (
        "flyer-wheel", ("ends = [1, 110]", "ends = [3, 110]"),
        ("ends = [1, 110]", "ends = [0, 110]"), "beyond-rod", ('pulley "bobbin whorl"',)),
}  # fmt: skip


@cache
def wrong_wheel(case):
    return put_under_check(wheel(*CASES[case][:2]))


@pytest.mark.parametrize("case", CASES)
def test_the_wrong_wheel_is_named_the_near_miss_is_not_and_its_remedy_works(case):
    name, _, right, rule, words = CASES[case]
    findings = built_findings(wrong_wheel(case))
    meant = of_rule(findings, rule, *words)
    assert meant, [(f.rule, f.where) for f in findings]
    assert not of_rule(found(wheel(name, right)), rule, *words)
    finding = meant[0]
    assert finding.remedy.edits, finding.remedy.says
    assert finding.remedy.sound, finding.remedy.says
    changed = finding.remedy.apply()
    assert (finding.rule, finding.where) not in {(f.rule, f.where) for f in found(changed)}


def test_every_rule_on_the_wheel_as_built_is_among_the_cases():
    box = wheel("box-wheel")
    old = put_under_check(replace(box, shop=replace(box.shop, old_wheel=True)))
    wheels = [*(wrong_wheel(case) for case in CASES), old]
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


@pytest.mark.parametrize("name", ["box-wheel", "sheet-wheel"])
def test_the_mirror_image_for_the_left_hand_stands_as_well_and_the_right_hand_is_named(name):
    """Left and right changed over, all else as it was: the crank comes to the left of the tip."""
    design = wheel(name)
    long = design.case.inside_mm[0]

    def over(shaft):
        x, *rest = shaft.at_mm
        slide = shaft.slide
        if slide is not None:
            slide = replace(slide, along=(-slide.along[0], *slide.along[1:]))
        return replace(shaft, at_mm=(long - x, *rest), slide=slide)

    shafts = tuple(over(s) for s in design.shafts)
    crank, tip = design.shaft(design.drive.shaft), design.shaft(design.spindle.shaft)
    hand, other = ("right", "left") if crank.at_mm[0] > tip.at_mm[0] else ("left", "right")
    mirrored = replace(design, shafts=shafts, drive=replace(design.drive, hand=other))
    assert [f for f in found(mirrored) if f.level != "note"] == []
    wrong = replace(mirrored, drive=replace(mirrored.drive, hand=hand))
    assert [f.rule for f in found(wrong) if f.level != "note"] == ["other-hand"]
