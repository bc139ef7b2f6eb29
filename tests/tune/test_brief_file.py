"""Reading a brief: what it gives, and every fault of a bad one at once."""

import math
from importlib import resources
from pathlib import Path

import pytest

from wheelgeo.design.model import Stock
from wheelgeo.errors import DesignError
from wheelgeo.tune.brief import Cord
from wheelgeo.tune.brief_file import parse_brief, read_brief
from wheelgeo.tune.brief_tables import json_schema

BRIEFS = Path(__file__).parents[2] / "designs" / "briefs"

TEXT = """\
title = "Box"
unit = "mm"
stages = 2
matters = ["ratio", "wood"]

[hand]
speed = "60 rpm"
crank = 60
seconds_per_draw = 3.6

[yarn]
count = "44 Nm"
fibre = "cotton"
twist = "Z"
turns_per_metre = 900
draw = 600

[case]
inside = [385, 190, 70]

[[cord]]
name = "thin"
material = "cotton cord"
diameter = 1.2
slip = "2 %"
stretch = "1 %"

[sizes]
wheel = { from = 150, to = 154, step = 2 }
hub = [16, 14]
accelerator = { from = 60, to = 61, step = 0.5 }
whorl = ["3/8 in", 10]
place = 5

[spindle]
lies = "horizontal"
diameter = 4
ends = [-20, 175]
bearings = [{ at = -14, kind = "brass" }]
"""


def test_a_brief_is_read_whole():
    brief = parse_brief(TEXT)
    assert brief.sizes.wheel == (150.0, 152.0, 154.0)
    assert brief.sizes.hub == (14.0, 16.0)
    assert brief.sizes.accelerator == (60.0, 60.5, 61.0)
    assert brief.sizes.whorl == (9.525, 10.0)
    assert brief.cords == (Cord("thin", "cotton cord", 1.2, 0.02, 0.01),)
    assert (brief.rods.main, brief.rods.middle, brief.rods.spindle) == (8.0, 6.0, 4.0)
    assert brief.matters == ("ratio", "wood")
    assert brief.wheels == 4


def test_the_ratio_is_the_turns_of_a_draw_over_the_turns_of_the_hand():
    # 900 turns a metre, 0.6 m a draw: 540 turns in 3.6 s, in which the hand turns 3.6 times
    assert parse_brief(TEXT).ratio == pytest.approx(540.0 / 3.6, rel=1e-12)
    given = TEXT.replace("seconds_per_draw = 3.6\n", "").replace("stages", "ratio = 99\nstages")
    assert parse_brief(given).ratio == 99.0


def test_a_twist_factor_gives_the_ratio_too():
    factor = TEXT.replace("turns_per_metre = 900", f"twist_factor = {900 / math.sqrt(44)!r}")
    assert parse_brief(factor).ratio == pytest.approx(150.0, rel=1e-12)


def test_bare_lengths_are_in_the_unit_of_the_file():
    brief = parse_brief(TEXT.replace('unit = "mm"', 'unit = "cm"'))
    assert brief.inside_mm == (3850.0, 1900.0, 700.0)
    assert brief.sizes.whorl == (9.525, 100.0)


def test_sheets_and_stock_limit_the_sizes():
    sheet = '[[sheet]]\nname = "ply"\nlength = 400\nwidth = 162\nthickness = 9\n'
    brief = parse_brief(TEXT.replace("place = 5", "place = 5\nrod = 15") + sheet)
    assert brief.sheets == (Stock("ply", 400.0, 162.0, 9.0, None),)
    assert brief.disc_mm == 9.0
    assert brief.sizes.wheel == (150.0, 152.0)  # 162 less 5 at either edge
    assert brief.sizes.hub == (14.0,)


@pytest.mark.parametrize("path", sorted(BRIEFS.glob("*.toml")), ids=lambda p: p.stem)
def test_shipped_briefs_can_be_read(path):
    assert read_brief(path).title


def test_at_least_three_briefs_are_shipped_with_the_designs():
    shipped = resources.files("wheelgeo_designs") / "briefs"
    assert len([f for f in shipped.iterdir() if f.name.endswith(".toml")]) >= 3


FAULTS = {
    "stages = 2": ("stages = 3", "stages", "1 or 2"),
    'matters = ["ratio", "wood"]': ('matters = ["ratoi"]', "ratoi", 'did you mean "ratio"'),
    "seconds_per_draw = 3.6": ("", "either a ratio or the time", "seconds_per_draw"),
    "turns_per_metre = 900": ("", "yarn", "twist"),
    "draw = 600": ("", "no draw is given", "draw = 600"),
    'count = "44 Nm"': ('count = "44"', "yarn: count", "40 Nm"),
    "inside = [385, 190, 70]": ("inside = [385, 190]", "case: inside", "3 values"),
    'material = "cotton cord"': ('material = "coton cord"', "cord 1", 'did you mean "cotton cord"'),
    "hub = [16, 14]": ("", "sizes: hub", "it is missing"),
    'whorl = ["3/8 in", 10]': ('whorl = ["3/8 inn", 10]', "inn", "no unit"),
    "accelerator = { from = 60, to = 61, step = 0.5 }": (
        "accelerator = { from = 60, to = 61 }", "sizes: accelerator", "from, to and step",
    ),
    "wheel = { from = 150, to = 154, step = 2 }": (
        "wheel = { from = 154, to = 150, step = 2 }", "sizes: wheel", "lower end first",
    ),
    "place = 5": ("place = 0", "sizes: place", "more than 0"),
    'lies = "horizontal"': ('lies = "upright"', "spindle: lies", "horizontal, flat"),
    "ends = [-20, 175]": ("ends = [175, -20]", "spindle: ends", "lower end first"),
    'kind = "brass"': ('kind = "cheese"', "bearings", "cheese"),
    'title = "Box"': ('titel = "Box"', "titel", 'did you mean "title"'),
    "crank = 60": ("crank = -60", "hand: crank", "more than 0"),
}  # fmt: skip


@pytest.mark.parametrize("line", FAULTS)
def test_one_fault_is_named_by_place_and_remedy(line):
    bad, *words = FAULTS[line]
    with pytest.raises(DesignError) as caught:
        parse_brief(TEXT.replace(line, bad))
    message = str(caught.value)
    assert all(word in message for word in words), message


def test_all_faults_come_at_once_in_the_order_of_the_file():
    text = TEXT
    lines = ["stages = 2", "crank = 60", "inside = [385, 190, 70]", "place = 5"]
    for line in lines:
        text = text.replace(line, FAULTS[line][0])
    with pytest.raises(DesignError) as caught:
        parse_brief(text, "box.toml")
    places = [fault.place for fault in caught.value.faults]
    assert places == ["stages", "hand: crank", "case: inside", "sizes: place"]
    assert caught.value.source == "box.toml"


def test_faults_between_tables_come_at_once_too():
    text = TEXT.replace("hub = [16, 14]", "").replace('"cotton cord"', '"rope"')
    text = text.replace("seconds_per_draw = 3.6", "")
    with pytest.raises(DesignError) as caught:
        parse_brief(text)
    assert len(caught.value.faults) == 3


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"stages = 2": "stages = 1"}, "a wheel of one stage has none"),
        ({"stages = 2": "stages = 2\nratio = 100"}, "either a ratio or the time of a draw"),
        ({"turns_per_metre = 900": "turns_per_metre = 900\ntwist_factor = 100"}, "keep one"),
        ({'"ratio", "wood"': '"ratio", "ratio"'}, "twice"),
        ({"hub = [16, 14]": "hub = { sizes = [16], step = 1 }"}, "a list and a range stand both"),
        ({"hub = [16, 14]": "hub = []"}, "no size is left"),
        ({"step = 2": "step = 0.001"}, "sizes between"),
        ({"place = 5": "place = 5\nrod = 12"}, "no size is left: the stock"),
        ({"place = 5": "place = 0.5"}, "makes 292600 places"),
        (
            {
                "from = 150, to = 154, step = 2": "from = 100, to = 160, step = 0.1",
                "from = 60, to = 61, step = 0.5": "from = 40, to = 90, step = 0.1",
            },
            "these make 301101 pairs",
        ),
    ],
)
def test_what_does_not_go_together(changes, words):
    text = TEXT
    for line, other in changes.items():
        assert line in text
        text = text.replace(line, other)
    if "sizes between" in words:
        text = text.replace("from = 150, to = 154", "from = 15, to = 184")
    with pytest.raises(DesignError, match=words):
        parse_brief(text)


def test_a_sheet_too_thin_for_every_cord_says_how_thick_it_must_be():
    sheet = '[[sheet]]\nname = "ply"\nlength = 400\nwidth = 200\nthickness = 3\n'
    with pytest.raises(DesignError, match=r"3 mm hold the groove of no cord at hand.*take a sheet"):
        parse_brief(TEXT + sheet)


def test_two_cords_of_one_name():
    again = '[[cord]]\nname = "thin"\nmaterial = "hemp cord"\ndiameter = 2\n'
    with pytest.raises(DesignError, match="another cord has that name"):
        parse_brief(TEXT + again)


def test_the_schema_names_every_table():
    schema = json_schema()
    assert {"hand", "yarn", "case", "cord", "sizes", "spindle"} <= set(schema["properties"])
