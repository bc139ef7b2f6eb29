"""Broken design files: each fault named by its place, its value and what would be right.

Each row breaks the faultless file of ``conftest.py`` in one place: its
name, the text, what takes its place, and words that the message must hold, between bars.
"""

from __future__ import annotations

import re
from functools import cache

import pytest

from wheelgeo.design.reader import parse_design
from wheelgeo.errors import DesignError, Fault, WheelError

# fmt: off
BROKEN: tuple[tuple[str, str, str, str], ...] = (
    ("title missing", 'title = "Garden wheel"\n', "", 'title|missing|title = "'),
    ("title empty", '"Garden wheel"', '"  "', "title|empty"),
    ("title is a number", '"Garden wheel"', "7", "title|7|quotation"),
    ("title with line break", '"Garden wheel"', '"Garden\\nwheel"', "title|line break"),
    ("unknown unit", 'unit = "mm"', 'unit = "mmm"', 'unit|"mmm"|mm'),
    ("unit is a number", 'unit = "mm"', "unit = 1", "unit"),
    ("unknown top key", 'unit = "mm"', 'units = "mm"', 'file|"units"|did you mean "unit"'),
    ("unknown table", "[case]", "[csae]", '"csae"|"case"'),
    ("top key below a table", 'by = "crank"', 'by = "crank"\ntitle = "x"', "drive|title|above"),
    ("misspelt key", "diameter = 8\n", "diametre = 8\n",
     'shaft 1 "main"|"diametre"|did you mean "diameter"|diameter: it is missing'),
    ("key of another groove", "radius = 2 }", "radius = 2, angle = 40 }",
     'pulley 2 "hub": groove|angle'),
    ("speed missing", 'speed = "60 rpm"              # one turn a second\n', "",
     'drive: speed|missing|"60 rpm"'),
    ("bare speed", '"60 rpm"', "60", 'drive: speed|unit|"60 rpm"'),
    ("speed zero", '"60 rpm"', '"0 rpm"', "drive: speed|more than 0"),
    ("speed in mm", '"60 rpm"', '"60 mm"', "drive: speed|mm|rpm"),
    ("by misspelt", '"crank"', '"crnak"', 'drive: by|"crnak"|"crank"'),
    ("turns misspelt", '"clockwise"', '"clockwise "', "drive: turns|counter-clockwise"),
    ("drive shaft unknown", 'shaft = "main"\nby', 'shaft = "mian"\nby',
     'drive: shaft|"mian"|"main"'),
    ("spindle shaft unknown", 'shaft = "spindle"\nkind', 'shaft = "spindel"\nkind',
     'spindle: shaft|"spindel"|"spindle"'),
    ("pulley shaft unknown", 'shaft = "middle"\noffset = 12', 'shaft = "midle"\noffset = 12',
     'pulley 2 "hub": shaft|"middle"'),
    ("route pulley unknown", '["wheel", "hub"]', '["wheel", "hubb"]',
     'band 1 "first band": route 2|"hub"'),
    ("route stop unknown in a table", 'pulley = "whorl"', 'pulley = "whirl"',
     'band 2 "second band": route 2|"whorl"'),
    ("route of one", '["wheel", "hub"]', '["wheel"]', 'band 1 "first band": route|two'),
    ("route empty", '["wheel", "hub"]', "[]", 'band 1 "first band": route|two'),
    ("route is text", '["wheel", "hub"]', '"wheel"', 'band 1 "first band": route|list'),
    ("route of numbers", '["wheel", "hub"]', "[1, 2]", 'band 1 "first band": route 1|route 2'),
    ("first against", '["accelerator", {', '[{ pulley = "accelerator", turns = "against" }, {',
     'band 2 "second band": route 1|first'),
    ("same shaft", '["wheel", "hub"]', '["wheel", "hub", "accelerator"]',
     'band 1 "first band": route 3|same shaft'),
    ("same shaft round the end", '["wheel", "hub"]', '["hub", "wheel", "accelerator"]',
     'band 1 "first band": route 1|same shaft'),
    ("turns word", 'turns = "against"', 'turns = "aganst"',
     'band 2 "second band": route 2 turns|"against"'),
    ("crossed not parallel", 'route = ["accelerator", { pulley = "whorl", turns = "against" }]',
     'route = ["accelerator", "whorl"]\ncrossed = true', 'band 2 "second band": crossed|parallel'),
    ("crossed with turns",
     'route = ["wheel", "hub"]      # in the order in which it meets them\ncrossed = false',
     'route = ["wheel", { pulley = "hub", turns = "with" }]\ncrossed = true',
     'band 1 "first band": crossed|turns'),
    ("crossed of none",
     'route = ["wheel", "hub"]      # in the order in which it meets them\ncrossed = false',
     'route = []\ncrossed = true', 'band 1 "first band": route|0 pulleys'),
    ("crossed of three",
     'route = ["wheel", "hub"]      # in the order in which it meets them\ncrossed = false',
     'route = ["wheel", "hub", "whorl"]\ncrossed = true', 'band 1 "first band": crossed|3 pulleys'),
    ("crossed is text", "crossed = false", 'crossed = "no"',
     'band 1 "first band": crossed|true or false'),
    ("cord unknown", '"rubber cord"', '"ruber cord"',
     'band 1 "first band": material|did you mean "rubber cord"'),
    ("cord is a wood", '"rubber cord"', '"birch"', 'band 1 "first band": material|no cord'),
    ("pulley of cord", 'material = "plywood"\nbuild', 'material = "hemp cord"\nbuild',
     'pulley 1 "wheel": material|a cord'),
    ("shaft material unknown", '"steel"', '"steal"', 'shaft 1 "main": material|"steel"'),
    ("fibre unknown", 'fibre = "alpaca"', 'fibre = "alpacca"', 'yarn: fibre|"alpaca"'),
    ("bearing unknown", 'kind = "brass"', 'kind = "bras"', 'spindle: bearings 1 kind|"brass"'),
    ("limit unknown", "wrap_deg", "wrp_deg", 'limits|"wrp_deg"|"wrap_deg"'),
    ("limit negative", "wrap_deg = 100", "wrap_deg = -1", "limits: wrap_deg|0 or more"),
    ("limit in wrong unit", "wrap_deg = 100", 'wrap_deg = "100 mm"', "limits: wrap_deg|mm"),
    ("shaft name twice", 'name = "middle"', 'name = "main"', 'shaft 2 "main": name|shaft 1'),
    ("pulley name twice", 'name = "hub"', 'name = "wheel"', 'pulley 2 "wheel": name|pulley 1'),
    ("band name twice", 'name = "second band"', 'name = "first band"',
     'band 2 "first band": name|band 1'),
    ("name empty", 'name = "middle"', 'name = ""', "shaft 2: name|empty"),
    ("name missing", 'name = "hub"\n', "", "pulley 2: name|missing"),
    ("name with a tab", 'name = "middle"', 'name = "mid\\tdle"', "shaft 2|control"),
    ("negative diameter", "diameter = 8\n", "diameter = -8\n",
     'shaft 1 "main": diameter|-8|more than 0'),
    ("zero rim", "rim = 20", "rim = 0", 'pulley 2 "hub": rim|more than 0'),
    ("diameter is true", "diameter = 8\n", "diameter = true\n", 'shaft 1 "main": diameter|true'),
    ("diameter is nan", "diameter = 8\n", "diameter = nan\n",
     'shaft 1 "main": diameter|nan|finite'),
    ("diameter is inf", "diameter = 8\n", "diameter = inf\n",
     'shaft 1 "main": diameter|inf|finite'),
    ("diameter is a date", "diameter = 8\n", "diameter = 1979-05-27\n",
     'shaft 1 "main": diameter|1979-05-27'),
    ("diameter is a list", "diameter = 8\n", "diameter = [8]\n", 'shaft 1 "main": diameter|[8]'),
    ("diameter is a table", "diameter = 8\n", "diameter = { mm = 8 }\n",
     'shaft 1 "main": diameter|a table'),
    ("unknown unit of length", '"1/4 in"', '"1/4 inch"', 'shaft 2 "middle": diameter|"inch"|in'),
    ("division by nothing", '"1/4 in"', '"1/0 in"', 'shaft 2 "middle": diameter|divides'),
    ("length not a number", '"1/4 in"', '"a quarter"', 'shaft 2 "middle": diameter|"a quarter"'),
    ("point of two", "at = [0, 0, 0] ", "at = [0, 0] ", 'shaft 1 "main": at|3'),
    ("point of words", "at = [0, 0, 0] ", 'at = [0, "up", 0] ', 'shaft 1 "main": at 2|"up"'),
    ("point is a number", "at = [0, 0, 0] ", "at = 0 ", 'shaft 1 "main": at|0'),
    ("axis zero", "axis = [0, 0, 1]\ndiameter = 8", "axis = [0, 0, 0]\ndiameter = 8",
     'shaft 1 "main": axis|nowhere'),
    ("axis nan", "axis = [0, 0, 1]\ndiameter = 8", "axis = [0, nan, 1]\ndiameter = 8",
     'shaft 1 "main": axis 2|finite'),
    ("axis with units", "axis = [0, 0, 1]\ndiameter = 8", 'axis = [0, 0, "1 mm"]\ndiameter = 8',
     'shaft 1 "main": axis 3'),
    ("slide backwards", "from = -2, to = 6", "from = 6, to = -2",
     'shaft 1 "main": slide from|beyond'),
    ("slide half", "from = -2, to = 6", "from = -2", 'shaft 1 "main": slide to|missing'),
    ("ends backwards", "[-5, 45]", "[45, -5]", 'shaft 1 "main": ends|lower'),
    ("rim beside the pulley", "pitch = 9.6\n", "rim = 12\n",
     'pulley 4 "whorl": unknown key "rim"|belongs to the groove|rim = …'),
    ("no groove", "pitch = 9.6\n", "", 'pulley 4 "whorl": groove|missing|pitch'),
    ("groove and pitch", "pitch = 9.6\n",
     'pitch = 9.6\ngroove = { shape = "flat", rim = 9, width = 3 }\n',
     'pulley 4 "whorl": pitch|both'),
    ("groove and pitch in one table", "pitch = 9.6\n", "groove = { pitch = 9.6, rim = 10 }\n",
     'pulley 4 "whorl": groove|"rim"'),
    ("shape misspelt", '"vee"', '"ve"', 'pulley 1 "wheel": shape|"vee"'),
    ("shape missing", 'shape = "vee", ', "", 'pulley 1 "wheel": shape|missing|"vee"'),
    ("groove is a number", '{ shape = "flat", rim = 76, width = 8 }', "76",
     'pulley 3 "accelerator": groove|76'),
    ("depth too deep", "rim = 20, depth = 3", "rim = 20, depth = 10",
     'pulley 2 "hub": depth|10 mm'),
    ("angle straight", "angle = 40", "angle = 180", 'pulley 1 "wheel": angle|180'),
    ("angle zero", "angle = 40", "angle = 0", 'pulley 1 "wheel": angle|0'),
    ("bottom negative", "bottom = 0", "bottom = -1", 'pulley 1 "wheel": bottom|-1'),
    ("no wood left", "rim = 20, depth = 3", "rim = 12, depth = 3",
     'pulley 2 "hub": groove|6 mm|6.35 mm'),
    ("pitch inside the shaft", "pitch = 9.6", "pitch = 3", 'pulley 4 "whorl": pitch|3 mm|4 mm'),
    ("bore too large", "bore = 8", "bore = 172", 'pulley 1 "wheel": bore|172 mm'),
    ("width below the groove", "width = 12", "width = 2", 'pulley 1 "wheel": width|2 mm'),
    ("width of a layered pulley", 'build = "layers"', 'build = "layers"\nwidth = 9',
     'pulley 3 "accelerator": width|layered'),
    ("core of a turned pulley", 'build = "layers"', 'build = "turned"',
     'pulley 3 "accelerator": core|accelerator": cheek'),
    ("build misspelt", '"layers"', '"layer"', 'pulley 3 "accelerator": build|"layers"'),
    ("holes run out", "circle = 110", "circle = 150", 'pulley 1 "wheel": lightening|180 mm'),
    ("holes into the bore", "circle = 110", "circle = 36", 'pulley 1 "wheel": lightening|bore'),
    ("holes into each other", "holes = 5", "holes = 12", 'pulley 1 "wheel": lightening|each other'),
    ("holes not whole", "holes = 5", "holes = 5.5", 'pulley 1 "wheel": lightening holes|5.5'),
    ("holes true", "holes = 5", "holes = true", 'pulley 1 "wheel": lightening holes|true'),
    ("slip as percentage", 'slip = "1 %"', "slip = 1.5", 'band 1 "first band": slip|1.5|"1.5 %"'),
    ("slip whole", 'slip = "1 %"', 'slip = "100 %"', 'band 1 "first band": slip|less than'),
    ("slip negative", 'slip = "1 %"', "slip = -0.01", 'band 1 "first band": slip|-0.01'),
    ("stretch as percentage", 'stretch = "5 %"', "stretch = 5",
     'band 1 "first band": stretch|"5 %"'),
    ("two tensions", 'weight = "300 g"', 'weight = "300 g", spring = "3 N"',
     'band 1 "first band": tension|weight and spring'),
    ("no tension", '{ weight = "300 g" }', "{ }", 'band 1 "first band": tension|nothing'),
    ("bare weight", 'weight = "300 g"', "weight = 300", 'band 1 "first band": tension weight|unit'),
    ("spring as length", 'weight = "300 g"', 'spring = "300 mm"',
     'band 1 "first band": tension spring|"mm"'),
    ("bare count", 'count = "40 Nm"', "count = 40", 'yarn: count|40|"40 Nm"'),
    ("count without unit", 'count = "40 Nm"', 'count = "40"', 'yarn: count|"40"|Ne'),
    ("count of unknown unit", 'count = "40 Nm"', 'count = "40 nm"', 'yarn: count|"40 nm"|Nm'),
    ("count zero", 'count = "40 Nm"', 'count = "0 Nm"', "yarn: count|more than 0"),
    ("twist by hand", 'twist = "Z"', 'twist = "right"', 'yarn: twist|"right"|S, Z'),
    ("twist twice", "turns_per_metre = 850", "turns_per_metre = 850\ntwist_factor = 120",
     "yarn: twist_factor|both"),
    ("turns negative", "turns_per_metre = 850", "turns_per_metre = -850",
     "yarn: turns_per_metre|-850"),
    ("draw zero", "draw = 650", "draw = 0", "yarn: draw"),
    ("case of two", "inside = [340, 170, 60]", "inside = [340, 170]", "case: inside"),
    ("case flat", "inside = [340, 170, 60]", "inside = [340, 0, 60]", "case: inside 2"),
    ("kind misspelt", 'kind = "tip"', 'kind = "top"', 'spindle: kind|"tip"'),
    ("section backwards", "from = 20, to = 90", "from = 90, to = 20", "spindle: sections 1 from"),
    ("cop empty", "from = 22, to = 80", "from = 22, to = 22", "spindle: cop from"),
    ("bare mass", 'mass = "15 g"', "mass = 15", "spindle: cop mass|unit"),
    ("washers one table",
     'washers = [{ at = 20, diameter = 26, thickness = 1.5, material = "birch" }]',
     "washers = { at = 20 }", "spindle: washers|list"),
    ("kerf negative", "kerf = 0.2", "kerf = -0.2", "shop: kerf"),
    ("reel text", "reel = true", 'reel = "yes"', "shop: reel|true or false"),
    ("sheet thickness missing", "thickness = 6\n", "", "shop: sheet 1 thickness|missing"),
    ("spread upside down", "low = 1500, high = 3000", "low = 3000, high = 1500",
     'material 1 "linen cord": modulus'),
    ("spread upside down, in two units", 'value = "2 GPa", low', 'value = "1 GPa", low',
     'material 1 "linen cord": modulus'),
    ("groove beyond all measure", "depth = 3, radius = 2", "depth = 3, radius = 1e308",
     'pulley 2 "hub": radius|1 km'),
    ("material kind", 'kind = "cord"', 'kind = "rope"', 'material 1 "linen cord": kind|cord'),
    ("density text", "density = 1400", 'density = "heavy"',
     'material 1 "linen cord": density|"heavy"'),
    ("single brackets", "[[fibre]]", "[fibre]", "fibre|[[fibre]]"),
    ("double brackets", "[case]", "[[case]]", "case|[case]"),
    ("sheet without its table", "[[fibre]]", "[[sheet]]", "sheet|[[shop.sheet]]"),
    ("cop without its table", "[case]", "[cop]", "cop|[spindle]"),
    ("huge length", "draw = 650", "draw = 1e300", "yarn: draw|1 km"),
    ("huge whole number", "draw = 650", "draw = 1" + 400 * "0", "yarn: draw"),
)
# fmt: on


@cache
def found_in(text: str) -> tuple[Fault, ...]:
    """The faults of a text; several tests ask of the same."""
    with pytest.raises(DesignError) as caught:
        parse_design(text)
    return caught.value.faults


def faults_of(text: str) -> list[str]:
    return [str(fault) for fault in found_in(text)]


def test_the_file_that_is_broken_here_is_faultless(good_text: str) -> None:
    assert parse_design(good_text).title == "Garden wheel"


@pytest.mark.parametrize(
    ("old", "new", "words"), [row[1:] for row in BROKEN], ids=[row[0] for row in BROKEN]
)
def test_broken_file(good_text: str, old: str, new: str, words: str) -> None:
    assert good_text.count(old) == 1, "the row no longer fits the file"
    message = "\n".join(faults_of(good_text.replace(old, new)))
    for word in words.split("|"):
        assert word in message


JARGON = re.compile(
    r"Input should|\bvalid\b|type=|pydantic|\bField\b|Traceback|validation|\bdict\b|\bNone\b"
    r"|\blist\[|\btuple\b|\bint\b|\bfloat\b|\bstr\b|groove:(vee|round|flat|pitch)|datetime"
)


@pytest.mark.parametrize("row", BROKEN, ids=[row[0] for row in BROKEN])
def test_a_message_is_plain_and_whole(good_text: str, row: tuple[str, str, str, str]) -> None:
    for fault in found_in(good_text.replace(row[1], row[2])):
        assert fault.place
        assert fault.says
        assert not JARGON.search(str(fault))
        assert len(str(fault)) < 400


def test_one_fault_is_reported_once(good_text: str) -> None:
    single = ("negative diameter", "drive shaft unknown", "slip as percentage", "build misspelt",
              "single brackets", "double brackets", "material kind", "shape misspelt")  # fmt: skip
    for name, old, new, _ in BROKEN:
        if name in single:
            assert len(faults_of(good_text.replace(old, new))) == 1, name


def test_all_faults_of_a_file_come_together_in_the_order_of_the_file(good_text: str) -> None:
    text = good_text
    for old, new in (
        ('"Garden wheel"', '""'),
        ('"crank"', '"crnak"'),
        ("diameter = 8\n", "diameter = -8\n"),
        ("rim = 20, depth = 3", "rim = 20, depth = 30, widht = 1"),
        ('shape = "flat", rim = 76', 'shape = "falt", rim = -76'),
        ('["wheel", "hub"]', '["wheel", "hubb"]'),
        ('slip = "1 %"', "slip = 2"),
        ('kind = "tip"', 'kind = "tap"'),
        ("turns_per_metre = 850", "turns_per_metre = 850\ntwist_factor = 1"),
        ("wrap_deg", "warp_deg"),
    ):
        assert text.count(old) == 1
        text = text.replace(old, new)
    places = [line.rpartition(" - ")[0] or line for line in faults_of(text)]
    expected = (
        "title", "drive: by", 'shaft 1 "main": diameter', 'pulley 2 "hub": groove',
        'pulley 2 "hub": depth', 'pulley 3 "accelerator": shape', 'pulley 3 "accelerator": rim',
        'band 1 "first band": route 2', 'band 1 "first band": slip', "spindle: kind",
        "yarn: twist_factor", "limits",
    )  # fmt: skip
    assert len(places) == len(expected)
    found = [next((e for e in expected if p.startswith(f"{e}: ")), p) for p in places]
    assert sorted(found) == sorted(expected)
    tables = [f.split(":")[0].split(" ")[0] for f in found]
    assert tables == sorted(
        tables,
        key=["title", "drive", "shaft", "pulley", "band", "spindle", "yarn", "limits"].index,
    )


NOT_IN_CASE = [row for row in BROKEN if row[1] != "[case]"]


@pytest.mark.parametrize("row", NOT_IN_CASE, ids=[row[0] for row in NOT_IN_CASE])
def test_no_fault_hides_another(good_text: str, row: tuple[str, str, str, str]) -> None:
    alone = faults_of(good_text.replace(row[1], row[2]))
    both = faults_of(good_text.replace(row[1], row[2]).replace("-85, -10]", '"low", -10]'))
    assert len(both) == len(alone) + 1
    assert set(alone) < set(both)
    assert any(line.startswith("case: corner 2: ") for line in both)


def test_cross_references_are_checked_in_a_file_with_other_faults(good_text: str) -> None:
    text = good_text.replace('offset = 12\ngroove = { shape = "round"', "groove = { shape = 7")
    text = text.replace('shaft = "middle"\ngroove', 'shaft = "midle"\ngroove')
    lines = faults_of(text)
    assert any(line.startswith('pulley 2 "hub": offset') for line in lines)
    assert any(line.startswith('pulley 2 "hub": shape') for line in lines)
    assert any('there is no shaft "midle"' in line for line in lines)


def test_a_fault_is_one_of_our_errors_and_a_value_error() -> None:
    assert issubclass(DesignError, WheelError)
    assert issubclass(DesignError, ValueError)


def test_a_long_value_does_not_flood_the_message(good_text: str) -> None:
    for value in (f'"{"x" * 5000}"', "[" + "1, " * 3000 + "1]", "1" * 3000):
        lines = faults_of(good_text.replace("diameter = 8\n", f"diameter = {value}\n"))
        assert len(lines) == 1
        assert len(lines[0]) < 250
