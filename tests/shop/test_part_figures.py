"""Paper alone tells where every hole, notch and slope of a board is."""

import io
import math

import pdfplumber
import pytest

from wheelgeo.design.library import design_text
from wheelgeo.design.reader import parse_design
from wheelgeo.drawing.strokes import Text
from wheelgeo.drive.train import solve_drive
from wheelgeo.shop.part_figures import hole_places, part_figures, told_by_figure
from wheelgeo.shop.parts import parts_of
from wheelgeo.shop.plan import raised_places
from wheelgeo.shop.templates import template_parts, template_pdf

FARM = parse_design(design_text("farm-wheel"))
SHEET = parse_design(design_text("sheet-wheel"))
BOX = parse_design(design_text("box-wheel"))


def texts(design, unit="mm"):
    return [[i for i in f.ink if isinstance(i, Text)] for f in part_figures(design, unit, 180.0)]


def part(design, name):
    return next(p for p in parts_of(design) if p.name == name)


def test_the_hole_of_an_axles_post_is_told_as_its_axle_stands_over_the_table():
    """The axle lies at 520; the rim of 600 leaves 220, less 20 of room: a table top at 200."""
    said = hole_places(part(FARM, "post axle 1 to 2"))
    assert "(bottom and right): 18 mm at 320 and 30 mm." in said
    shown = {t.text for plate in texts(FARM) for t in plate}
    assert {"320", "30", "⌀ 18 mm"} <= shown


def test_a_sloped_end_carries_its_angle():
    """The flyer slides along [-1, 0, 0.64]: a slope of arctan 0.64."""
    angle = f"{math.degrees(math.atan(0.64)):.1f}° off square"
    shown = [t.text for plate in texts(FARM) for t in plate]
    assert shown.count(angle) == 2  # the maidens' feet and the head of the flyer's post


def test_boards_higher_up_have_their_height_told():
    """A maiden's hole is at the height of the flyer, 860, over the table's top at 200."""
    heights = {name: high for name, _, high in raised_places(FARM)}
    maiden = part(FARM, "maiden flyer 1 to 2")
    assert heights["maiden flyer 1"] + maiden.drills[0].centre[0] == pytest.approx(660.0)
    assert {"bridge main", "bridge middle"} <= {name for name, _, _ in raised_places(BOX)}


@pytest.mark.parametrize("design", [FARM, SHEET, BOX], ids=lambda d: d.title)
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_no_word_of_a_figure_lies_on_another(design, unit):
    for plate in texts(design, unit):
        boxes = [_box(t) for t in plate]
        for i, (a, b, c, d) in enumerate(boxes):
            for j, (e, f, g, h) in enumerate(boxes[:i]):
                apart = a >= g or e >= c or b >= h or f >= d
                assert apart, (plate[i].text, plate[j].text)


def _box(text):
    (x, y), half, tall = text.at, 0.5 * text.width, 0.5 * text.height
    half, tall = (tall, half) if text.turn_deg else (half, tall)
    return x - half, y - tall, x + half, y + tall


@pytest.mark.parametrize("design", [FARM, SHEET, BOX], ids=lambda d: d.title)
def test_every_board_with_a_hole_a_notch_or_a_slope_is_told_and_plain_ones_are_not(design):
    heads = [t.text for plate in texts(design) for t in plate if t.bold]
    for one in parts_of(design):
        told = any(head.startswith(one.name) for head in heads)
        assert told == told_by_figure(one), one.name
    assert not told_by_figure(part(FARM, "leg 1 to 4"))


def test_the_head_of_a_tile_says_to_its_end_how_the_board_lies():
    content = template_pdf([part(FARM, "post axle 1 to 2")], FARM.title)
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        for page in pdf.pages:
            assert "seen from the front: bottom at left, right below" in page.extract_text()


def test_sawn_boards_with_holes_have_templates_and_plain_ones_have_none():
    names = {p.name for p in template_parts(solve_drive(FARM))}
    assert {"post axle 1 to 2", "maiden flyer 1 to 2", "crank", "footman"} <= names
    assert not names & {"leg 1 to 4", "trestle foot 1 to 2", "treadle"}
