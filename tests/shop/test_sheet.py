"""The shop sheet: it says what the wheel is, escapes every name, and is the same every time."""

from __future__ import annotations

import io
import itertools
import os
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, NamedTuple

import pdfplumber
import pytest
from jinja2 import UndefinedError

from wheelgeo.check.answer import Answer
from wheelgeo.check.answer_parts import TwistAnswer
from wheelgeo.check.answering import answer_of
from wheelgeo.check.finding import Finding, advice
from wheelgeo.check.report import check_design
from wheelgeo.design.joints import GROWTH_OF, JOINTS_OF, OTHER, joint_of
from wheelgeo.design.materials import CORDS
from wheelgeo.design.model import Design, Stock, Vector, VeeGroove
from wheelgeo.design.reader import read_design
from wheelgeo.drawing.figure import PaperFigure, markup
from wheelgeo.drawing.strokes import InkArc, Pen, Stroke
from wheelgeo.drive.running import load_wheel
from wheelgeo.shop.bench_set import Job, MakeOptions
from wheelgeo.shop.board_parts import from_sheet
from wheelgeo.shop.built_up_parts import swing_mm
from wheelgeo.shop.fixing_words import flange_screw_mm
from wheelgeo.shop.make_sheet import make_sheet
from wheelgeo.shop.notes_in import note_in
from wheelgeo.shop.paper import PAPERS_MM
from wheelgeo.shop.part_files import make_sheets
from wheelgeo.shop.parts import held_on_rods, parts_of
from wheelgeo.shop.section import wheels
from wheelgeo.shop.sheet import (
    Block,
    Heading,
    Listing,
    Notice,
    Pairs,
    Paragraph,
    Picture,
    Sheet,
    Table,
)
from wheelgeo.shop.sheet_content import shop_sheet
from wheelgeo.shop.sheet_cut import grooves
from wheelgeo.shop.sheet_html import sheet_html
from wheelgeo.shop.sheet_pdf import sheet_pdf
from wheelgeo.shop.sheet_words import BoardWork, after_assembly, before_assembly, joining
from wheelgeo.shop.sheets import AS_WISHED
from wheelgeo.units.written import (
    LengthUnit,
    bought_length,
    length_with_unit,
    length_writer,
    told_in,
    unit_note,
)
from wheelgeo.wheel import Wheel
from wheelgeo.yarn.head_at_work import flyer_at_work

DESIGNS = Path(__file__).parents[2] / "designs"
Checked = Callable[[str], Answer]
Sheets = Callable[..., Sheet]
HOSTILE = '</style><script>alert("x")</script><img src=x onerror=alert(1)> & \x07 ]]> -->'
VOID = {"meta", "col", "rect", "path", "circle", "polygon", "br"}


class Page(HTMLParser):
    """Reads a page: its elements with their attributes, its text, and whether its tags nest."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[tuple[str, str]] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append((self.open[-1] if self.open else "", data))

    def named(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.elements if name == tag]

    def text_of(self, tag: str) -> list[str]:
        return [data for name, data in self.words if name == tag]


@pytest.fixture(scope="module")
def sheet_of(checked: Checked) -> Sheets:
    """The sheet of a shipped design, made once for all that look at it."""

    @cache
    def of(name: str, unit: LengthUnit) -> Sheet:
        return shop_sheet(checked(name), unit)

    return lambda name, unit="mm": of(name, unit)


@pytest.fixture(scope="module")
def box(sheet_of: Sheets) -> Sheet:
    return sheet_of("box-wheel")


def blocks(sheet: Sheet, kind: type[Any]) -> list[Any]:
    return [block for block in sheet.blocks if isinstance(block, kind)]


def table(sheet: Sheet, first: str) -> Table:
    (found,) = [t for t in blocks(sheet, Table) if t.head[0] == first]
    assert isinstance(found, Table)
    return found


def every_text(sheet: Sheet) -> str:
    parts: list[str] = [sheet.title, sheet.lead]
    for block in sheet.blocks:
        if isinstance(block, Heading | Paragraph):
            parts.append(block.text)
        elif isinstance(block, Pairs):
            parts += [x for row in block.rows for x in row]
        elif isinstance(block, Table):
            parts += [block.caption, *block.head, *(x for row in block.rows for x in row)]
        elif isinstance(block, Listing | Notice):
            parts += block.items
        else:
            parts.append(block.caption)
    return "\n".join(parts)


# What it says


def test_it_opens_with_ratio_speed_and_twist(box: Sheet, checked: Checked) -> None:
    found = checked("box-wheel")
    assert f"{found.ratio:.1f}" in box.lead
    assert f"twist {found.twist.direction}, as wanted" in box.lead


def plates(sheet: Sheet) -> list[Picture]:
    """Return the figures of the parts: they follow their heading."""
    heading = Heading("Holes, notches and slopes of the parts")
    after = sheet.blocks[sheet.blocks.index(heading) + 1 :]
    return list(itertools.takewhile(lambda b: isinstance(b, Picture), after))  # type: ignore[arg-type]


def test_the_sections_stand_in_the_order_of_the_work(box: Sheet) -> None:
    heads = [h.text for h in blocks(box, Heading)]
    assert heads == [
        "The drive", "Every part in its place", "Facts", "Findings", "Cut list",
        "Holes, notches and slopes of the parts", "To buy, tools and time",
        "Drilling and places", "Bands",
        "Order of work", "Acceptance test", "What was assumed",
    ]  # fmt: skip
    assert isinstance(box.blocks[0], Notice)
    assert len(blocks(box, Picture)) == 6 + len(plates(box))


def test_every_part_of_the_wheel_is_on_it(box: Sheet, checked: Checked) -> None:
    design = checked("box-wheel").design
    assert [row[0] for row in table(box, "Pulley").rows] == [p.name for p in design.pulleys]
    assert [row[0] for row in table(box, "Rod").rows] == [s.name for s in design.shafts]
    assert [row[0] for row in table(box, "Band").rows] == [b.name for b in design.bands]
    turning = table(box, "Shaft")
    assert [row[0] for row in turning.rows] == [s.name for s in design.shafts]
    standing = {row[0] for row in table(box, "What").rows}
    assert {"block main", "block middle", "slide spindle"} <= standing
    sawn = {row[0] for row in table(box, "Sawn part").rows}
    assert {"bridge main", "bridge middle", "support spindle 1 to 2", "crank"} <= sawn


def test_the_sheets_it_lists_are_the_sheets_of_the_set(box: Sheet, checked: Checked) -> None:
    found = checked("box-wheel")
    made = make_sheets(Job(found, MakeOptions()))
    listed = table(box, "Sheet").rows
    assert [f.name for f in made if f.name.endswith(".dxf")] == [
        f"sheet-{number}-{'stock' if of == AS_WISHED else of}-{thick.replace(' ', '-')}.dxf"
        for number, of, _, thick, *_ in listed
    ]
    flat = {row[0] for row in table(box, "Flat part").rows}
    assert {part for row in listed for part in row[5].split(", ")} == flat


def test_blanks_are_whole_millimetres_and_large_enough(box: Sheet) -> None:
    for row in table(box, "Turned piece").rows:
        rim, width = (float(cell.removesuffix(" mm")) for cell in (row[2], row[3]))
        across, thick = (float(size) for size in re.findall(r"([\d.]+) mm", row[5]))
        assert across == int(across) >= rim + 6.0
        assert thick == int(thick) >= round(width, 1) + 5.9


def test_where_a_groove_stands_is_said_from_the_floor_or_the_end_of_its_rod(box: Sheet) -> None:
    # box-wheel.toml: offsets 14, 14, 30 on upright shafts that stand on the floor; the whorl at 0
    # on a spindle that begins at -20 and points to the back
    upright = "{0} mm from the rod's lower end; then {0} mm above the floor"
    assert [row[7] for row in table(box, "Pulley").rows] == [
        *(upright.format(place) for place in ("14.00", "14.00", "30.00")),
        "20.00 mm from the rod's back end",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("axis", "end"),
    [((0, 1, 0), "front"), ((0, -1, 0), "back"), ((1, 0, 0), "left"), ((-1, 0, 0), "right"),
     ((0, 0.6, 0.8), "lower"), ((0.6, 0, -0.8), "upper")],
)  # fmt: skip
def test_the_end_of_a_rod_is_named_as_seen_from_the_front(
    checked: Checked, axis: Vector, end: str
) -> None:
    design = checked("box-wheel").design
    shafts = tuple(replace(s, axis=axis) if s.name == "spindle" else s for s in design.shafts)
    (turned,) = grooves(replace(design, shafts=shafts), "mm")
    assert isinstance(turned, Table)
    assert turned.rows[3][7] == f"20.00 mm from the rod's {end} end"


def test_every_row_has_a_cell_for_each_head(sheet_of: Sheets) -> None:
    for name in ("box-wheel", "travel-wheel", "flyer-wheel"):
        for found in blocks(sheet_of(name), Table):
            assert len(found.shares) == len(found.head)
            assert all(len(row) == len(found.head) for row in found.rows)


def test_bands_are_cut_to_the_length_before_stretching(box: Sheet, checked: Checked) -> None:
    solution = checked("box-wheel").solution
    for row, motion in zip(table(box, "Band").rows, solution.bands, strict=True):
        assert motion.path is not None
        stretch = 1.0 + (motion.band.stretch or 0.0)
        assert row[3] == f"{motion.path.length_mm:.1f} mm"
        assert float(row[5].removesuffix(" mm")) == pytest.approx(
            motion.path.length_mm / stretch, abs=0.06
        )


def test_a_joint_that_is_known_is_added(checked: Checked) -> None:
    design = checked("box-wheel").design
    bands = tuple(replace(b, joint_mm=25.0) for b in design.bands)
    report = check_design(replace(design, bands=bands))
    rows = table(shop_sheet(answer_of(report)), "Band").rows
    for row, motion in zip(rows, report.solution.bands, strict=True):
        assert motion.path is not None
        slack = motion.path.length_mm / (1.0 + (motion.band.stretch or 0.0))
        assert row[6] == "25.0 mm"
        assert row[7] == f"{slack + 25.0:.1f} mm"


def test_a_size_that_is_turned_is_told_in_the_unit_of_the_sheet_alone(checked: Checked) -> None:
    """139.7 mm are 5 1/2 in exactly, which nobody asked for; what is bought is told by both."""
    wheel = Wheel(checked("box-wheel").design).put("accelerator.rim", 139.7)
    rows = table(shop_sheet(wheel.solve()), "Size").rows
    (drawn,) = (row[1] for row in rows if row[0] == "accelerator.rim")
    assert drawn == "139.70 mm"


def test_drilling_is_measured_from_two_edges(bench: Design) -> None:
    report = check_design(bench)
    sheet = shop_sheet(answer_of(report))
    (found,) = [t for t in blocks(sheet, Table) if "left" in t.head[1]]
    places = {row[0]: (row[1], row[2]) for row in found.rows}
    main, middle = places["main"], places["middle"]
    apart = [float(b.split()[0]) - float(a.split()[0]) for a, b in zip(main, middle, strict=True)]
    assert apart == pytest.approx([140.0, 0.0], abs=0.011)  # shafts at x = 100 and 240, y = 90


def test_stock_is_listed_with_what_lies_on_it_and_the_kerf(
    checked: Checked, sheet_of: Sheets
) -> None:
    found, sheet = checked("travel-wheel"), sheet_of("travel-wheel")
    rows = table(sheet, "Sheet").rows
    lying = sorted(name for row in rows for name in row[5].split(", "))
    flat = [p for p in parts_of(found.design) if from_sheet(p)]
    wanted = sorted(p.name for p in flat for _ in range(p.quantity))
    assert [n for n in wanted if ", " not in n] == [n for n in lying if n in wanted]
    assert "Kerf: none in any file" in every_text(sheet)
    cut = replace(found.design, shop=replace(found.design.shop, kerf_mm=0.2))
    with_kerf = check_design(cut)
    assert "Kerf: 0.2 mm is taken off" in every_text(shop_sheet(answer_of(with_kerf)))


def test_a_part_that_fits_no_sheet_is_named(checked: Checked) -> None:
    design = checked("box-wheel").design
    scrap = Stock("scrap", 90.0, 60.0, 9.0)
    small = replace(design, shop=replace(design.shop, sheets=(scrap,)))
    report = check_design(small)
    notices = blocks(shop_sheet(answer_of(report)), Notice)
    assert any("floor" in item for notice in notices[1:] for item in notice.items)


def test_bores_holes_and_rods_have_their_sizes(bench: Design) -> None:
    """Holes of the floor are 0.2 mm wider than the 8, 6 and 4 mm shafts; bores are push fits."""
    spindle = replace(bench.shafts[2], ends_mm=(-30.0, 170.0))
    report = check_design(replace(bench, shafts=(*bench.shafts[:2], spindle)))
    sheet = shop_sheet(answer_of(report))
    turned = {row[0]: row for row in table(sheet, "Turned piece").rows}
    assert turned["wheel"][2] == "160.0 mm"
    assert turned["wheel"][4] == "8.0 mm"
    assert turned["wheel"][5].startswith("166.0 mm diameter")
    assert table(sheet, "Rod").rows[2][2:4] == ("4 mm", "200.0 mm")
    (holes,) = [t for t in blocks(sheet, Table) if t.head[1] == "From left"]
    assert [row[3] for row in holes.rows] == ["drill 8.2 mm", "drill 6.2 mm", "drill 4.2 mm"]


def test_senses_go_with_the_signs_of_the_speeds(bench: Design) -> None:
    report = check_design(bench)
    sheet = shop_sheet(answer_of(report))
    (turning,) = [t for t in blocks(sheet, Table) if t.caption == "Shafts"]
    assert turning.rows[0][1:] == ("60", "1.000", "clockwise, seen from above")  # as the file says
    for row, motion in zip(turning.rows, report.solution.shafts, strict=True):
        assert motion.speed_rpm is not None
        assert row[1] == f"{abs(motion.speed_rpm):,.0f}".replace(",", "\N{THIN SPACE}")
        sense, seen = row[3].split(", ")
        assert sense == ("clockwise" if motion.speed_rpm < 0.0 else "counter-clockwise")
        assert seen.startswith("seen from ")


def test_inches_are_the_same_lengths(sheet_of: Sheets) -> None:
    metric, decimal, fraction = (sheet_of("box-wheel", u) for u in ("mm", "in", "in/64"))
    rows = zip(*(table(s, "Pulley").rows for s in (metric, decimal, fraction)), strict=True)
    for mm, inch, parts in rows:
        length = float(mm[2].removesuffix(" mm"))
        assert float(inch[2].removesuffix(" in")) == pytest.approx(length / 25.4, abs=1e-4)
        assert float(parts[2].removesuffix(" in")) == pytest.approx(length / 25.4, abs=6e-4)
    for mm, parts in zip(*(table(s, "Rod").rows for s in (metric, fraction)), strict=True):
        whole = sum(float(Fraction(x)) for x in parts[3].removesuffix(" in").split())  # 7 9/64
        assert whole == pytest.approx(float(mm[3].removesuffix(" mm")) / 25.4, abs=1 / 128 + 2e-3)


@pytest.mark.parametrize("unit", ["mm", "in", "in/64"])
def test_a_whorl_turned_as_the_sheet_says_gives_the_ratio_to_a_per_cent(
    checked: Checked, sheet_of: Sheets, unit: Any
) -> None:
    """The pitch diameter from the printed rim and depth alone is that of the design."""
    found = checked("book-wheel")
    row = next(r for r in table(sheet_of("book-wheel", unit), "Pulley").rows if r[0] == "whorl")
    printed = {"mm": 1.0, "in": 25.4, "in/64": 25.4}[unit]
    rim, depth, bottom = (printed * float(row[i].split()[0]) for i in (2, 3, 5))
    whorl = found.design.pulley("whorl")
    assert isinstance(whorl.groove, VeeGroove)
    cut = VeeGroove(rim, depth, whorl.groove.angle_deg, bottom)
    cord = found.design.cord_on("whorl")
    pitch = cut.seat(cord).pitch_diameter_mm
    assert pitch == pytest.approx(whorl.groove.seat(cord).pitch_diameter_mm, rel=0.01)


@pytest.mark.parametrize(
    ("unit", "bare", "full"),
    [("mm", "25.4", "25.4 mm"), ("in", "1.000", "1.000 in"), ("in/64", "1 in", "1 in")],
)
def test_an_inch_is_written_in_every_unit(unit: Any, bare: str, full: str) -> None:
    assert length_writer(unit)(25.4) == bare
    assert length_with_unit(unit)(25.4) == full
    assert unit_note(unit)


def test_findings_are_listed_with_remedy_and_source(bench: Design) -> None:
    finding = Finding(
        "wrap",
        "fault",
        'pulley "hub"',
        80.0,
        90.0,
        "deg",
        "too little wrap",
        "a book",
        advice("move it"),
    )
    report = check_design(bench)
    sheet = shop_sheet(replace(answer_of(report), findings=(finding,)))
    assert table(sheet, "Level").rows == (
        ("fault", 'pulley "hub"', "too little wrap", "move it", "a book"),
    )
    assert "do not build it yet" in sheet.lead


def test_what_is_not_known_is_said(bench: Design) -> None:
    report = check_design(bench)
    nothing = TwistAnswer(None, None, None, None, None)
    found = replace(answer_of(report), ratio=None, ratio_without_slip=None, twist=nothing)
    text = every_text(shop_sheet(found))
    assert "not known" in text
    assert "None" not in text
    assert "nan" not in text.lower().split()


def test_the_yarn_is_told_in_every_count_with_its_hank_and_cop(box: Sheet) -> None:
    text = every_text(box)
    # 44 Nm: 1 000/44 g to the kilometre; 9 g of cop on the spindle
    for said in ("44 Nm", "22.73 tex", "204.5 denier", "weigh 22.7 g", "396 m, 0.40 metric hanks"):
        assert said in text


def test_a_wheel_of_which_no_yarn_is_known_has_no_count(bench: Design) -> None:
    report = check_design(bench)
    assert "Count of the yarn" not in every_text(shop_sheet(answer_of(report)))


def test_wrong_twist_is_said_first(bench: Design) -> None:
    report = check_design(bench)
    answer = answer_of(report)
    found = replace(answer, twist=replace(answer.twist, direction="S", wanted="Z"))
    assert "twist S, but Z is wanted" in shop_sheet(found).lead


def test_cautions_name_every_danger_and_defer_to_codes(box: Sheet) -> None:
    notice = box.blocks[0]
    assert isinstance(notice, Notice)
    assert "codes" in notice.items[0]
    assert "licensed" in notice.items[0]
    said = " ".join(notice.items).lower()
    for danger in ("spindle tip", "pinch", "burst", "lathe", "laser", "dust"):
        assert danger in said


def test_cautions_are_those_of_the_wheel(box: Sheet, sheet_of: Sheets) -> None:
    flyer = sheet_of("flyer-wheel").blocks[0]
    tip = box.blocks[0]
    assert isinstance(flyer, Notice)
    assert isinstance(tip, Notice)
    assert "flyer's arms" in " ".join(flyer.items)
    assert "spike" not in " ".join(flyer.items)
    assert "treadle" in " ".join(flyer.items)
    assert "treadle" not in " ".join(tip.items)
    assert "motor starts" not in " ".join((*flyer.items, *tip.items))


BARE_MM = re.compile(r"\d mm(?! \([\d.]+ in\))(?![/²³\w])")


@pytest.mark.parametrize("unit", ["in", "in/64"])
def test_a_sheet_in_inches_is_in_inches_everywhere(sheet_of: Sheets, unit: Any) -> None:
    """Only what is bought or bored by its metric size keeps it, with inches beside it."""
    said = every_text(sheet_of("box-wheel", unit))
    left = [line for line in said.splitlines() if BARE_MM.search(re.sub(r'"[^"]*"', "", line))]
    assert not left
    assert "millimetre" not in said
    assert "8 mm (0.315 in)" in said


def test_what_is_bought_or_bored_keeps_its_size_in_a_note() -> None:
    """Screws by their numbers, ASME B18.6.1: 4 mm is No 8, 3 mm No 4; lengths down to eighths."""
    said = note_in(
        'by 2 wood screws 4 x 45 mm, 12 mm off "wood screws 4 x 45 mm"; 2 of M5 x 12 mm. Holes: '
        "14 mm at 30 and 15 mm, holes of 3 mm, a 2.5 mm pin", "in",
    )
    assert said == (
        'by 2 wood screws No 8 × 1.750 in, 0.472 in off "wood screws 4 x 45 mm"; 2 of M5 x 12 mm '
        "(0.472 in). Holes: 14 mm (0.551 in) at 1.181 and 0.591 in, holes of 3 mm (0.118 in), a "
        "2.5 mm (0.098 in) pin"
    )
    assert note_in("wood screws 4 x 45 mm", "mm") == "wood screws 4 x 45 mm"


@pytest.mark.parametrize(
    ("said", "inches"),
    [
        ("ends at -6 to 4 mm", "ends at -0.236 to 0.157 in"),
        ("12 N/mm, 3 g mm, 30 mm/s, 3 mm2", "12 N/mm, 3 g mm, 30 mm/s, 3 mm2"),
        ('pulley "9 mm x" is 9 mm off', 'pulley "9 mm x" is 0.354 in off'),
        ("8 mm (0.315 in) rod", "8 mm (0.315 in) rod"),
        ("+0.015 / 0 mm", "+0.0006 / 0.000 in"),
        ("20 turns, 25.4 mm.", "20 turns, 1.000 in."),
        ("on two 4 mm dowels, 4 mm long", "on two 4 mm (0.157 in) dowels, 0.157 in long"),
        ("a rod of 9.525 mm", "a rod of 3/8 in"),
        ("0.5 to 2 mm rods", "0.020 to 0.079 in rods"),
    ],
)
def test_notes_are_told_in_the_unit_of_the_sheet(said: str, inches: str) -> None:
    assert told_in(said, "in") == inches
    assert told_in(said, "mm") == said


@pytest.mark.parametrize(
    ("said", "inches"),
    [
        ("make the case larger by 25.3 mm at the back", "make the case larger by 1 in at the back"),
        ("move it 445.1 mm to the right", "move it 17 17/32 in to the right"),  # 1121.5 / 64
        ("only 0.75 mm lie between", "only 0.030 in lie between"),  # 2/64 in are 0.79 mm
        ("from -2 to 16 mm", "from -5/64 to 5/8 in"),
        ("inside 340 × 170 × 60 mm", "inside 13 25/64 × 6 11/16 × 2 23/64 in"),
        ("larger, rim 30.48 mm", "larger, rim 1.200 in"),  # no tape reads a groove's rim
        ("larger, rim 38.1 mm", "larger, rim 1 1/2 in"),
        ("take a rod of 8 mm", "take a rod of 8 mm (0.315 in)"),
    ],
)
def test_a_finding_is_told_as_a_tape_shows_it_and_what_is_turned_in_decimals(
    said: str, inches: str
) -> None:
    assert told_in(said, "in/64") == inches
    assert "/" not in told_in(said, "in/64", fits=True).replace("1 1/2", "")


@pytest.mark.parametrize(
    ("mm", "metric", "imperial"),
    [
        (8.0, "8 mm", "8 mm (0.315 in)"),
        (9.525, "3/8 in (9.53 mm)", "3/8 in"),
        (12.7, "1/2 in (12.70 mm)", "1/2 in"),
        (3.1415, "3.14 mm", "0.124 in"),
    ],
)
def test_what_is_bought_keeps_its_own_size(mm: float, metric: str, imperial: str) -> None:
    assert bought_length("mm")(mm) == metric
    assert bought_length("in")(mm) == imperial
    assert bought_length("in/64")(mm) == imperial


def test_every_shipped_cord_has_its_joint() -> None:
    assert set(JOINTS_OF) == set(GROWTH_OF) == {cord.name for cord in CORDS}
    assert OTHER.made in joining(joint_of("horsehair"))


def test_order_of_work_leaves_out_what_there_is_not() -> None:
    full, bare = before_assembly(True, True, "tip"), before_assembly(False, False, "flyer")
    assert len(full) - len(bare) == 3
    assert len(after_assembly("tip", "Z", True)) - len(after_assembly("tip", "Z", False)) == 1


def test_a_bush_of_a_split_board_is_not_glued_and_finish_leaves_glued_places_bare() -> None:
    """Glued in first, it would be sawn through with its board; glue does not hold on varnish."""
    whole, split = before_assembly(True, True, "flyer"), before_assembly(
        True, True, "flyer", wood=BoardWork(split=True)
    )
    assert not any("split" in step for step in whole)
    (pressed,) = (step for step in split if "press each bush" in step)
    assert "none into one that is split" in pressed
    assert pressed.index("loose") < pressed.index("saw the board through")
    (oiled,) = (step for step in whole if step.startswith("Oil or varnish"))
    assert "every place where a step below" in oiled


def test_a_bush_is_reamed_before_a_rod_is_in_it(box: Sheet) -> None:
    """Right through, off the wheel: with the rod in, or on the floor, a reamer cannot pass."""
    steps = next(b.items for b in blocks(box, Listing) if b.numbered)
    reamed = [i for i, step in enumerate(steps) if "ream " in step.lower()]
    rods = [i for i, step in enumerate(steps) if step.startswith("Bring in")]
    assert len(reamed) == 1
    assert reamed[0] < min(rods)
    assert "right through" in steps[reamed[0]]


def test_the_point_is_made_before_the_rod_is_mounted_and_oil_comes_last(box: Sheet) -> None:
    steps = next(b.items for b in blocks(box, Listing) if b.numbered)
    order = [
        next(i for i, step in enumerate(steps) if words in step)
        for words in ("Bore each blank", "Prick out", "Point the spindle", "Set each pulley",
                      'Bring in "rod main"', 'Lay "first band"', 'Put "bridge main"', "thin oil",
                      "full speed")
    ]  # fmt: skip
    assert order == sorted(order)


def test_steps_of_the_order_of_work_say_what_they_must() -> None:
    assert any("letter Z" in step for step in after_assembly("tip", "Z", True))
    assert not any("letter" in step for step in after_assembly("flyer", None, False))
    assert any("backwards" in step for step in after_assembly("flyer", None, False))


def test_what_is_bought_is_listed_by_its_size(box: Sheet) -> None:
    rows = [row for row in table(box, "To buy").rows if not row[0].endswith("blank to turn")]
    bought = {row[3]: row for row in rows}
    assert bought["rod main"][2].startswith("8 mm × ")
    assert bought["bearing spindle 1, bearing spindle 2"][1] == "2"
    assert "for a rod of 3.5 mm" in bought["bearing spindle 1, bearing spindle 2"][2]
    assert bought["under rod main"][2] == "12 mm × 1 mm"
    assert "reamed or lapped to 3.55 mm, 6.05 mm, 8.05 mm" in every_text(box)
    assert bought["wheel"][2] == "brass flange, 24 mm across, 3 mm thick, bore 8 mm"
    knob = {row[0]: row for row in table(box, "Other turned piece").rows}["knob"]
    assert "5.8 mm for 5.3 mm" in knob[-1]
    kept = [(row[0], row[2]) for row in table(box, "To buy").rows if row[3] == "knob"]
    assert ("brass wood screw, round head", "2 × 20 mm") in kept
    assert ("brass washer", "10 mm across, 1 mm thick, for the screw") in kept
    said = every_text(box)
    assert "Drills that not every set has" in said
    assert "lathe that swings 190 mm" in said
    assert "flange of wheel" not in bought  # 4 mm of wood behind it hold no screw
    assert bought["cap spindle 1, cap spindle 2"][1:3] == ("4", "2 × 16 mm")


def test_a_thick_wheel_has_screws_through_its_flange() -> None:
    """Ring 14 mm wide: a third is 4.7, so 4 mm; 4 mm of brass, 18 mm of wood less 2: 20 mm."""
    held = held_on_rods(read_design(DESIGNS / "farm-wheel.toml"))["rim"]
    assert flange_screw_mm(held) == (4.0, 20.0)


def test_of_a_wheel_wholly_from_sheet_nothing_is_turned(sheet_of: Sheets) -> None:
    sheet = sheet_of("sheet-wheel")
    heads = {block.head[0] for block in blocks(sheet, Table)}
    assert not {"Turned piece", "Other turned piece"} & heads
    bought = {row[3].split(":")[0]: row for row in table(sheet, "To buy").rows}
    assert bought["collar spindle 1"][2] == "bore 2.5 mm, outside 6.5 mm, 4.0 mm long"
    knob = next(row for row in table(sheet, "To buy").rows if row[0] == "knob, of wood")
    assert "20.0 mm for 30.0 mm" in knob[2]


def test_a_split_pin_keeps_the_footman_on_its_pin(box: Sheet, sheet_of: Sheets) -> None:
    """ISO 1234: 1.6 mm for pins over 5.5 to 7 mm."""
    sheet = sheet_of("farm-wheel")
    bought = {row[0]: row for row in table(sheet, "To buy").rows}
    assert bought["split pin"] == ("split pin", "1", "1.6 mm × 15 mm", "footman")
    assert "a split pin, through a hole of its size" in every_text(sheet)
    assert "split pin" not in {row[0] for row in table(box, "To buy").rows}


def test_the_lathe_swings_the_corners_of_a_ring_of_segments() -> None:
    """Eight segments round 606 mm: 606 / cos 22.5 degrees = 655.9 mm over the corners."""
    design = read_design(DESIGNS / "farm-wheel.toml")
    rim = next(w for w in wheels(design) if w.name == "rim")
    assert swing_mm(design, rim) == pytest.approx(655.9, abs=0.05)


def test_sizes_that_decide_the_ratio_are_marked(box: Sheet) -> None:
    rows = {row[0]: row for row in table(box, "Size").rows}
    assert rows["whorl.depth"][3].startswith("critical")
    assert rows["wheel.rim"][3] == ""


def test_the_acceptance_test_can_be_counted(box: Sheet, checked: Checked, sheet_of: Sheets) -> None:
    found = checked("box-wheel")
    said = " ".join(item for block in blocks(box, Listing) for item in block.items)
    assert f"1 slow turn of the crank must turn it {found.ratio_without_slip:.1f} times" in said
    assert "Spin for ten minutes" in said
    # by hand: pitch diameters' ratio of each band, whose product is the whole
    stages = re.search(r'Count it by stages: "middle" ([\d.]+) times in a turn of the crank, '
                       r'"spindle" ([\d.]+) times in a turn of "middle"', said)  # fmt: skip
    assert stages is not None
    first, second = (float(n) for n in stages.groups())
    assert first * second == pytest.approx(found.ratio_without_slip, rel=0.01)
    one_band = sheet_of("farm-wheel")
    assert "by stages" not in every_text(one_band)


def test_a_slide_is_told_of_only_where_there_is_one(box: Sheet) -> None:
    lifted, renewed = "its slide lifted for it", "Nothing slides to take up"
    assert lifted in every_text(box)
    assert f'{renewed} "first band" as it grows' in every_text(box)
    still = read_design(DESIGNS / "box-wheel.toml")
    still = replace(still, shafts=tuple(replace(s, slide=None) for s in still.shafts))
    without = every_text(shop_sheet(answer_of(check_design(still))))
    assert "slide" not in without.replace(renewed, "")
    assert f'{renewed} "first band", "second band" as it grows' in without


def test_a_screw_in_a_slot_has_no_countersunk_head(sheet_of: Sheets) -> None:
    sheet = sheet_of("sheet-wheel")
    heads: dict[str, set[str]] = {}
    for row in table(sheet, "To buy").rows:
        heads.setdefault(row[0], set()).update(row[3].split(", "))
    slide = {f"{kind} {rod}" for kind in ("block", "bridge") for rod in ("middle", "spindle")}
    assert heads["wood screws, pan-headed"] == slide
    assert not heads["wood screws, pan-headed"] & heads["wood screws, countersunk"]
    assert "pan-headed, on washers, no glue, in slots" in every_text(sheet)


def test_a_heavy_rim_is_propped_and_its_wobble_has_a_limit(box: Sheet, sheet_of: Sheets) -> None:
    """By hand: the farm wheel's rim is 3 mm off its posts, so 1.5 mm to either side."""
    said = every_text(sheet_of("farm-wheel"))
    assert said.count("prop its rim on a block") == 1
    assert '"rim" has 3 mm beside its post' in said
    assert said.count("it may wobble 1.5 mm to either side") == 1
    assert "prop its rim" not in every_text(box)
    assert "may wobble" not in every_text(box)


def test_no_rod_is_asked_for_more_than_its_length(box: Sheet) -> None:
    caption = table(box, "Rod").caption
    assert "add what" not in caption
    assert "chosen reaches through bearings" in caption


# The page


def renamed(design: Design, name: str) -> Design:
    """Return a wheel whose title, pulleys, shafts and bands all carry a name."""

    def new(old: str) -> str:
        return f"{old} {name}"

    return replace(
        design,
        title=new(design.title),
        drive=replace(design.drive, shaft=new(design.drive.shaft)),
        spindle=replace(design.spindle, shaft=new(design.spindle.shaft)),
        shafts=tuple(replace(s, name=new(s.name)) for s in design.shafts),
        pulleys=tuple(replace(p, name=new(p.name), shaft=new(p.shaft)) for p in design.pulleys),
        bands=tuple(
            replace(
                b,
                name=new(b.name),
                route=tuple(replace(s, pulley=new(s.pulley)) for s in b.route),
            )
            for b in design.bands
        ),
    )


@pytest.fixture(scope="module")
def hostile(request: pytest.FixtureRequest) -> Sheet:
    checked: Checked = request.getfixturevalue("checked")
    report = check_design(renamed(checked("box-wheel").design, HOSTILE))
    return shop_sheet(answer_of(report))


def test_hostile_names_stay_text(hostile: Sheet, box: Sheet) -> None:
    page, plain = Page(sheet_html(hostile)), Page(sheet_html(box))
    assert not page.open
    assert not page.named("script")
    assert not page.named("img")
    assert {tag for tag, _ in page.elements} == {tag for tag, _ in plain.elements}
    for _, attributes in page.elements:
        assert not [name for name in attributes if name.startswith("on")]
    assert len(page.named("style")) == 1
    assert "alert" in "".join(page.text_of("th"))
    assert "\x07" not in sheet_html(hostile)


def test_the_page_needs_nothing_from_elsewhere(hostile: Sheet) -> None:
    text = sheet_html(hostile)
    page = Page(text)
    for _, attributes in page.elements:
        assert not {"src", "href", "xlink:href", "action", "srcset"} & set(attributes)
    assert "http://" not in text
    assert "https://" not in text
    assert "url(" not in text
    assert "@import" not in text
    (policy,) = [m for m in page.named("meta") if m.get("http-equiv")]
    assert "default-src 'none'" in (policy["content"] or "")


def test_the_page_can_be_read_without_eyes(box: Sheet) -> None:
    page = Page(sheet_html(box))
    assert page.named("html")[0]["lang"] == "en"
    assert len(page.named("h1")) == len(page.named("main")) == 1
    assert len(page.named("caption")) == len(page.named("table"))
    assert {a.get("scope") for a in page.named("th")} == {"col", "row"}
    drawings = page.named("svg")
    # plan, side, isometric, the whorl close by, two of the whole wheel, and those of the parts
    assert len(drawings) == 6 + len(plates(box))
    assert all(a.get("role") == "img" for a in drawings)
    assert len(page.text_of("desc")) == len(page.named("svg"))


def test_the_page_is_made_for_paper(box: Sheet) -> None:
    text = sheet_html(box)
    assert "@page" in text
    assert "break-inside: avoid" in text
    colours = set(re.findall(r"#[0-9a-fA-F]{3,6}\b", text))
    assert all(len(set(c[1:])) == 1 for c in colours)  # black, white and greys only


def test_markup_escapes_and_drops_what_xml_forbids() -> None:
    assert markup("<a & 'b'>\x00\x1b\ufffe") == "&lt;a &amp; &#x27;b&#x27;&gt;"
    assert markup("a\tb\n\U0001f9f6") == "a\tb\n\U0001f9f6"


# The PDF


class Printed(NamedTuple):
    """A PDF as another reader reads it, once for all that ask: its title, sizes and lines."""

    sheet: Sheet
    title: str
    sizes: set[tuple[float, float]]
    edges: tuple[float, float]
    lines: list[list[str]]


@pytest.fixture(scope="module")
def printed(sheet_of: Sheets) -> Callable[[str, Any], Printed]:
    @cache
    def read(name: str, paper: Any) -> Printed:
        sheet = sheet_of(name)
        with pdfplumber.open(io.BytesIO(sheet_pdf(sheet, paper))) as pdf:
            letters = [letter for page in pdf.pages for letter in page.chars]
            return Printed(
                sheet, pdf.metadata["Title"],
                {(float(page.width), float(page.height)) for page in pdf.pages},
                (min(c["x0"] for c in letters), max(c["x1"] for c in letters)),
                # without the words that stand on their ends, which come after all others
                [
                    page.filter(lambda o: o.get("upright", True)).extract_text().splitlines()
                    for page in pdf.pages
                ],
            )  # fmt: skip

    return read


ON_PAPER = pytest.mark.parametrize(
    ("name", "paper"),
    [
        ("box-wheel", "A4"), ("flyer-wheel", "Letter"),
        pytest.param("travel-wheel", "A4", marks=pytest.mark.long),
        pytest.param("box-wheel", "Letter", marks=pytest.mark.long),
    ],
)  # fmt: skip


@ON_PAPER
def test_pdf_has_the_size_of_its_paper_and_all_sections(
    printed: Callable[[str, Any], Printed], name: str, paper: Any
) -> None:
    found = printed(name, paper)
    width, height = (side / 25.4 * 72 for side in PAPERS_MM[paper])
    assert found.title == found.sheet.title
    for size in found.sizes:
        assert size == pytest.approx((width, height), abs=0.01)
    assert found.edges[0] >= 0.0
    assert found.edges[1] <= width
    text = " ".join(line for page in found.lines for line in page)
    for heading in blocks(found.sheet, Heading):
        assert heading.text in text


def test_pdf_says_what_the_page_says(printed: Callable[[str, Any], Printed]) -> None:
    def plain(text: str) -> str:
        return re.sub(r"[\s\u2009☐•]+", "", text)

    found_on = printed("box-wheel", "A4")
    box = found_on.sheet
    text = plain(" ".join(line for page in found_on.lines for line in page))
    for found in blocks(box, Table):
        assert plain(found.caption) in text
    for row in blocks(box, Pairs)[0].rows:
        assert plain(row[0] + row[1]) in text
    notice = box.blocks[0]
    assert isinstance(notice, Notice)
    for item in notice.items:
        assert plain(item)[:40] in text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_line_of_100_mm_is_100_mm_long_in_the_pdf(paper: Any) -> None:
    line = Stroke(((10.0, 5.0), (110.0, 5.0)), Pen.OUTLINE)
    ring = InkArc((60.0, 40.0), 25.0, 0.0, 360.0, Pen.OUTLINE)
    picture = Picture(PaperFigure(120.0, 70.0, (line, ring), "a line", "a line"), "a line")
    with pdfplumber.open(io.BytesIO(sheet_pdf(Sheet("t", "l", (picture,)), paper))) as pdf:
        drawn = [*pdf.pages[0].lines, *pdf.pages[0].curves]
    sizes = sorted((e["x1"] - e["x0"]) / 72 * 25.4 for e in drawn)
    assert sizes == pytest.approx([50.0, 100.0], abs=0.1)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_figure_higher_than_any_page_is_drawn_smaller(paper: Any) -> None:
    line = Stroke(((0.0, 0.0), (170.0, 2000.0)), Pen.OUTLINE)
    picture = Picture(PaperFigure(170.0, 2000.0, (line,), "a line", "a line"), "a line")
    with pdfplumber.open(io.BytesIO(sheet_pdf(Sheet("A", "b", (picture,)), paper))) as pdf:
        (drawn,) = [line for page in pdf.pages for line in page.lines]
        page = pdf.pages[-1]
        assert 0.0 < drawn["top"] < drawn["bottom"] < page.height


def test_hostile_names_without_end_do_not_break_the_pdf(checked: Checked) -> None:
    design = renamed(checked("travel-wheel").design, HOSTILE + "x" * 120)
    sheet = shop_sheet(answer_of(check_design(design)))
    text = ""
    with pdfplumber.open(io.BytesIO(sheet_pdf(sheet, "Letter"))) as pdf:
        for page in pdf.pages:
            body = [c for c in page.chars if c["bottom"] < page.height - 30]
            assert max(c["x1"] for c in body) <= page.width - 20
            text += "".join(c["text"] for c in page.chars)
    assert "<script>" in text
    assert "\x07" not in text


# The set


def test_the_set_is_a_page_and_two_pdfs_the_same_every_time(checked: Checked) -> None:
    job = Job(checked("box-wheel"), MakeOptions())
    first, second = make_sheet(job), make_sheet(job)
    assert first == second
    assert [f.name for f in first] == [
        "shop-sheet.html", "shop-sheet-a4.pdf", "shop-sheet-letter.pdf",
    ]  # fmt: skip
    for file in first[1:]:
        assert file.content.startswith(b"%PDF")
        assert b"/CreationDate (D:2000" in file.content


@ON_PAPER
def test_no_heading_stands_alone_at_the_foot_of_a_page(
    printed: Callable[[str, Any], Printed], name: str, paper: Any
) -> None:
    sheet, *_, lines = printed(name, paper)
    headings = {block.text for block in blocks(sheet, Heading)}
    captions = {block.caption for block in blocks(sheet, Table)}
    assert headings <= {line for page in lines for line in page}
    for page in lines:
        assert len(page) > 1, "a page with nothing on it"
        assert page[-1].startswith(sheet.title)  # the foot
        assert page[-2] not in headings | captions


@pytest.mark.long  # the set in the repository is held to the bytes by every run of the suite
def test_chance_and_the_clock_have_no_say() -> None:
    """Another process, with another seed of hashing, gives the same bytes."""
    code = (
        "import hashlib, pathlib, sys\n"
        "from wheelgeo.check.answering import answer_of\n"
        "from wheelgeo.check.report import check_design\n"
        "from wheelgeo.design.reader import read_design\n"
        "from wheelgeo.shop.bench_set import Job, MakeOptions\n"
        "from wheelgeo.shop.make_drawings import make_drawings\n"
        "from wheelgeo.shop.make_sheet import make_sheet\n"
        "from wheelgeo.shop.make_solids import make_solids\n"
        "report = check_design(read_design(pathlib.Path(sys.argv[1])))\n"
        "job = Job(answer_of(report), MakeOptions())\n"
        "made = [*make_sheet(job), *make_drawings(job), *make_solids(job)]\n"
        "print([hashlib.sha256(f.content).hexdigest() for f in made])\n"
    )
    design = Path(__file__).parents[2] / "designs" / "travel-wheel.toml"
    said = {
        subprocess.run(
            [sys.executable, "-c", code, design], capture_output=True, text=True, check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert len(said) == 1
    assert len(next(iter(said))) > 600


def test_blocks_are_all_laid_by_both_backends() -> None:
    from typing import get_args

    from wheelgeo.shop.sheet_pdf import _LAYERS

    assert set(_LAYERS) == set(get_args(Block))
    with pytest.raises(UndefinedError):  # a block that the page does not know is no empty place
        sheet_html(Sheet("t", "l", (object(),)))  # type: ignore[arg-type]


def test_rows_become_cards_on_a_phone() -> None:
    """Each cell carries the head of its column, which a narrow screen shows before it."""
    table = Table("c", ("Part", "Size & kind"), (("a", "b"),), (1, 1))
    text = sheet_html(Sheet("t", "l", (table,)))
    assert '<td data-head="Size &amp; kind">b</td>' in text
    assert "max-width: 700px" in text


@pytest.mark.parametrize(
    ("name", "told"), [("two-band-wheel", True), ("braked-bobbin-wheel", False)]
)
def test_how_slack_the_band_that_slips_is_to_be_is_a_step(
    name: str, told: bool, checked: Checked, sheet_of: Sheets
) -> None:
    answer = checked(name)
    steps = [
        item for block in sheet_of(name).blocks if isinstance(block, Listing)
        for item in block.items if "whorl then slips" in item
    ]  # fmt: skip
    assert len(steps) == told
    if told:
        loaded = load_wheel(answer.design, answer.solution)
        work = flyer_at_work(loaded, answer.wind_on)
        assert '"bobbin band"' in steps[0]
        assert f"about {work.empty.yarn_pull_n:.2g} N" in steps[0]
        assert f"pulls with {work.full.yarn_pull_n:.2g} N" in steps[0]
