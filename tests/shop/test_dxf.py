"""Cut files: units, layers, true curves, order, nothing twice, the same bytes every time."""

from __future__ import annotations

import datetime
import io
import itertools
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
from ezdxf.colors import aci2rgb
from ezdxf.document import Drawing

from wheelgeo.design.model import Design
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import ShapeError
from wheelgeo.shop import dxf
from wheelgeo.shop.drafting import (
    LAYERS,
    AngleMeasure,
    CutSheet,
    Item,
    Measure,
    check_items,
    dimension,
    shape_box,
    table,
)
from wheelgeo.shop.dxf import dxf_bytes, plain_text
from wheelgeo.shop.needed import needed_sizes
from wheelgeo.shop.outlines import Arc, Circle, Label, Line, rectangle
from wheelgeo.shop.plan import plan_sheet
from wheelgeo.shop.pulleys import pulley_sheet
from wheelgeo.shop.section import wheels

VERSIONS = ("R2010", "R12")


def read(content: bytes) -> Drawing:
    return ezdxf.read(io.StringIO(content.decode("utf-8")))


def sheets(design: Design) -> list[CutSheet]:
    return [*(pulley_sheet(design, wheel) for wheel in wheels(design)), plan_sheet(design)]


@pytest.mark.parametrize("version", VERSIONS)
def test_the_header_says_millimetres(bench: Design, version: Any) -> None:
    text = dxf_bytes(plan_sheet(bench), version).decode()
    assert "$INSUNITS\n 70\n     4\n" in text.replace(" 70\n4\n", " 70\n     4\n")
    assert "$MEASUREMENT\n 70\n     1\n" in text.replace(" 70\n1\n", " 70\n     1\n")
    assert read(dxf_bytes(plan_sheet(bench), version)).acad_release == version


@pytest.mark.parametrize("version", VERSIONS)
def test_a_reader_finds_no_fault_in_any_file(bench: Design, version: Any) -> None:
    for sheet in sheets(bench):
        document = read(dxf_bytes(sheet, version))
        assert not document.audit().errors
        assert len(document.modelspace()) == len(sheet.items)


@pytest.mark.parametrize("version", VERSIONS)
def test_nothing_but_closed_cuts_on_a_cutting_layer(bench: Design, version: Any) -> None:
    for sheet in sheets(bench):
        for entity in read(dxf_bytes(sheet, version)).modelspace():
            if "CUT" in entity.dxf.layer:
                assert entity.dxftype() == "CIRCLE" or _closed(entity)
            elif entity.dxf.layer == "DRILL":
                assert entity.dxftype() == "CIRCLE"


def _closed(entity: Any) -> bool:
    return bool(entity.closed if entity.dxftype() == "LWPOLYLINE" else entity.is_closed)


def test_holes_come_before_outlines(bench: Design) -> None:
    for sheet in sheets(bench):
        layers = [e.dxf.layer for e in read(dxf_bytes(sheet)).modelspace()]
        places = [list(LAYERS).index(layer) for layer in layers]
        assert places == sorted(places)
        assert layers[-1] == "CUT_OUTSIDE"


def test_every_layer_has_a_colour_of_its_own(bench: Design) -> None:
    document = read(dxf_bytes(plan_sheet(bench)))
    colours = [document.layers.get(name).color for name in LAYERS]
    assert len(set(colours)) == len(LAYERS)


DICHROMATS = {
    "protanopia": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216),
                   (-0.003882, -0.048116, 1.051998)),
    "deuteranopia": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413),
                     (-0.011820, 0.042940, 0.968881)),
}  # fmt: skip
"""Machado, Oliveira and Fernandes (2009), severity 1.0, on linear RGB: from memory."""


def lab(colour: int, matrix: Any) -> Any:
    """Return CIE L*a*b* of a colour number as somebody with that blindness sees it."""
    srgb = np.array(tuple(aci2rgb(colour))) / 255.0
    linear = np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)
    to_xyz = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
    xyz = np.array(to_xyz) @ np.clip(np.array(matrix) @ linear, 0.0, 1.0) / (0.9505, 1.0, 1.089)
    f = np.where(xyz > 0.008856, np.cbrt(xyz), 7.787 * xyz + 16.0 / 116.0)
    return np.array((116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])))


@pytest.mark.parametrize("blindness", DICHROMATS)
def test_layers_that_a_machine_acts_on_are_told_apart_by_colour_blind_eyes(blindness: str) -> None:
    """Ten times the difference that is just seen (2.3); the old red, green and orange had 14."""
    seen = [lab(LAYERS[n].colour, DICHROMATS[blindness])
            for n in ("CUT_OUTSIDE", "CUT_INSIDE", "DRILL", "ENGRAVE", "PROFILE")]  # fmt: skip
    apart = [float(np.linalg.norm(a - b)) for a, b in itertools.combinations(seen, 2)]
    assert min(apart) > 23.0


def test_every_sheet_has_the_100_mm_square(bench: Design) -> None:
    for sheet in sheets(bench):
        squares = [
            e for e in read(dxf_bytes(sheet)).modelspace().query("LWPOLYLINE")
            if e.dxf.layer == "REFERENCE"
        ]  # fmt: skip
        corners = [(x, y) for x, y, *_ in squares[0].get_points()]
        assert max(x for x, _ in corners) - min(x for x, _ in corners) == pytest.approx(
            100.0, abs=1e-9
        )
        assert max(y for _, y in corners) - min(y for _, y in corners) == pytest.approx(
            100.0, abs=1e-9
        )


@pytest.mark.parametrize("version", VERSIONS)
def test_the_same_sheet_gives_the_same_bytes_on_another_day(
    bench: Design, version: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    import ezdxf.document

    first = [dxf_bytes(sheet, version) for sheet in sheets(bench)]

    class Later(datetime.datetime):
        @classmethod
        def now(cls, tz: datetime.tzinfo | None = None) -> datetime.datetime:
            return datetime.datetime(2040, 5, 6, 7, 8, 9, tzinfo=tz)

    monkeypatch.setattr(ezdxf.document, "datetime", Later)
    assert [dxf_bytes(sheet, version) for sheet in sheets(bench)] == first


@pytest.mark.parametrize("version", VERSIONS)
def test_the_order_of_sets_has_no_say(
    bench: Design, version: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The seed of hashing turns sets round; what the library keeps in one must not show."""
    from ezdxf.entitydb import EntityDB

    kinds = EntityDB.dxf_types_in_use

    def written(backwards: bool) -> bytes:
        def in_use(self: EntityDB) -> Any:
            return sorted(kinds(self), reverse=backwards)

        monkeypatch.setattr(EntityDB, "dxf_types_in_use", in_use)
        return dxf_bytes(plan_sheet(bench), version)

    assert written(backwards=False) == written(backwards=True)


def test_the_writer_leaves_its_library_as_it_found_it(bench: Design) -> None:
    before = dxf.options.write_fixed_meta_data_for_testing
    dxf_bytes(plan_sheet(bench))
    assert dxf.options.write_fixed_meta_data_for_testing == before


def test_no_line_lies_on_another(bench: Design) -> None:
    """Lines drawn twice are quoted and burnt twice; none may cover a stretch of another."""
    for sheet in sheets(bench):
        lines = [i.shape for i in sheet.items if isinstance(i.shape, Line)]
        for i, a in enumerate(lines):
            for b in lines[:i]:
                assert _overlap(a, b) < 1e-6, (sheet.title, a, b)


def _overlap(a: Line, b: Line) -> float:
    (ux, uy), length = a.tangent(False), a.length_mm
    places = []
    for x, y in (b.start, b.end):
        wx, wy = x - a.start[0], y - a.start[1]
        if abs(ux * wy - uy * wx) > 1e-6:
            return 0.0
        places.append(ux * wx + uy * wy)
    return min(max(places), length) - max(min(places), 0.0)


@pytest.mark.parametrize(
    ("items", "says"),
    [
        ([Item("CUT_OUTSIDE", Line((0, 0), (9, 0)))], "closed cuts only, not a line"),
        ([Item("CUT_INSIDE", Label("x", (0, 0)))], "closed cuts only, not text"),
        ([Item("CUT_INSIDE", Arc((0, 0), 5, 0, 90))], "closed cuts only, not an arc"),
        ([Item("DRILL", rectangle((0, 0, 9, 9)))], "round holes only"),
        ([Item("CUTS", Circle((0, 0), 5))], "no layer"),
        ([Item("ENGRAVE", Line((3, 3), (3, 3)))], "without length"),
        ([Item("ENGRAVE", Arc((3, 3), 4, 90, 90))], "without length"),
        ([Item("CUT_INSIDE", Circle((0, 0), 5))] * 2, "drawn twice"),
        ([Item("CUT_INSIDE", Circle((0, 0), 5)), Item("DRILL", Circle((0, 0), 5))], "drawn twice"),
        (
            [Item("ENGRAVE", Line((0, 0), (5, 5))), Item("REFERENCE", Line((5, 5), (0, 0)))],
            "drawn twice: a line on ENGRAVE and REFERENCE",
        ),
        (
            [
                Item("CUT_OUTSIDE", rectangle((0, 0, 9, 9))),
                Item("CUT_OUTSIDE", rectangle((0, 0, 9, 9))),
            ],
            "drawn twice: an outline",
        ),
        (
            [Item("CUT_OUTSIDE", rectangle((0, 0, 9, 9))), Item("CUT_INSIDE", Circle((0, 5), 3))],
            "two cuts touch",
        ),
    ],
)
def test_what_a_shop_complains_of_is_never_written(items: list[Item], says: str) -> None:
    with pytest.raises(ShapeError, match=says):
        dxf_bytes(CutSheet("bad", tuple(items)))


def test_two_arcs_of_one_circle_are_not_taken_for_one() -> None:
    check_items(
        [Item("ENGRAVE", Arc((0, 0), 5, 0, 180)), Item("ENGRAVE", Arc((0, 0), 5, 180, 360))]
    )
    with pytest.raises(ShapeError, match="drawn twice"):
        check_items(
            [Item("ENGRAVE", Arc((0, 0), 5, 0, 90)), Item("ENGRAVE", Arc((0, 0), 5, 90, 0, False))]
        )


def test_a_clockwise_arc_comes_out_on_the_same_side() -> None:
    arc = Arc((0.0, 0.0), 5.0, 90.0, 0.0, counter_clockwise=False)
    sheet = CutSheet("arc", (Item("ENGRAVE", arc), Item("DRILL", Circle((50, 0), 2))))
    found = read(dxf_bytes(sheet)).modelspace().query("ARC")[0]
    assert (found.dxf.start_angle, found.dxf.end_angle) == (0.0, 90.0)


@pytest.mark.parametrize("version", VERSIONS)
def test_names_with_anything_in_them_do_not_break_a_file(version: Any) -> None:
    name = 'a\n0\nEOF %%d ^J \\U+0041 <b>"糸'
    sheet = CutSheet("x", (Item("ENGRAVE", Label(name, (0, 0))), Item("DRILL", Circle((50, 0), 2))))
    document = read(dxf_bytes(sheet, version))
    texts = document.modelspace().query("TEXT")
    assert len(texts) == 1
    assert "\n" not in texts[0].dxf.text
    assert "%%" not in texts[0].dxf.text
    assert len(document.modelspace()) == 2


def test_plain_text_keeps_what_is_plain() -> None:
    assert plain_text("roue à 40°, 100 % hêtre") == "roue à 40°, 100 % hêtre"


@pytest.mark.parametrize("version", VERSIONS)
def test_a_dimension_is_one_that_a_drawing_program_knows(version: Any) -> None:
    items = [
        *dimension((0, 0), (87.5, 3), -10.0, upright=False, words="\u00d8<> H7"),
        *dimension((0, 0), (3, 40), -20.0, upright=True),
        Item("DIMENSION", AngleMeasure((0.0, 0.0), 70.0, 110.0, 30.0)),
    ]
    document = read(dxf_bytes(CutSheet("sizes", tuple(items)), version))
    found = list(document.modelspace())
    assert {e.dxftype() for e in found} == {"DIMENSION"}
    assert sorted(round(e.get_measurement(), 6) for e in found) == [40.0, 40.0, 87.5]
    assert not document.audit().errors
    written = {t.dxf.text for e in found for t in e.virtual_entities() if "TEXT" in t.dxftype()}
    assert any("87.5" in w or "<>" in w for w in written if "H7" in w)


def test_a_dimension_of_an_enlarged_drawing_says_the_true_size() -> None:
    measure = Measure((0.0, 0.0), (48.0, 0.0), -10.0, scale=20.0)
    document = read(dxf_bytes(CutSheet("sizes", (Item("DIMENSION", measure),))))
    (found,) = document.modelspace()
    said = [t.dxf.text if t.dxftype() == "TEXT" else t.text for t in found.virtual_entities()
            if "TEXT" in t.dxftype()]  # fmt: skip
    assert said == ["2.4"]
    assert measure.words == "2.4"


def test_no_dimension_without_a_distance_and_short_ones_clear_their_text() -> None:
    assert dimension((0, 0), (0, 9), -10.0, upright=False) == []
    (short,) = dimension((0, 0), (3, 0), -10.0, upright=False)
    assert isinstance(short.shape, Measure)
    assert short.shape.text_at[0] > 3.0


def test_what_is_turned_is_on_no_layer_that_is_cut(bench: Design) -> None:
    """A machine that cuts all layers named so would burn the lathe's profile out of the sheet."""
    for wheel in wheels(bench):
        items = pulley_sheet(bench, wheel).items
        assert [i.layer for i in items if i.layer == "PROFILE"] == ["PROFILE"]
        cuts = [i.shape for i in items if "CUT" in i.layer]
        assert all(isinstance(shape, Circle) for shape in cuts)


def test_the_sizes_that_matter_are_marked(bench: Design) -> None:
    close = replace(bench, limits={"twist_error_fraction": 0.01})
    needed = needed_sizes(solve_drive(close))
    wheel = next(w for w in wheels(bench) if w.name == "hub")
    said = [
        i.shape.text for i in pulley_sheet(bench, wheel, needed).items
        if isinstance(i.shape, Measure | AngleMeasure)
    ]  # fmt: skip
    size = needed["hub.depth"]
    assert size.critical
    assert f"<> \u00b1{size.within:.2g} critical" in said
    assert "bore \u00d8<> (+0.03 / -0.03)" in said


def test_no_text_of_a_table_leaves_its_cell() -> None:
    items = table(["a", "much longer head"], [["a cell that is long", "b"], ["c", ""]], (0, 0))
    uprights = sorted({i.shape.start[0] for i in items if isinstance(i.shape, Line)} - {0.0})
    for item in items:
        if isinstance(item.shape, Label):
            left, _, right, _ = shape_box(item.shape)
            assert not any(left < x < right for x in uprights)


def test_nothing_is_read_or_left_in_folders_that_nobody_named(tmp_path: Path) -> None:
    settings = tmp_path / ".config" / "ezdxf" / "ezdxf.ini"
    settings.parent.mkdir(parents=True)
    for place in (settings, tmp_path / "ezdxf.ini"):
        place.write_text("[core]\nlog_unprocessed_tags = true\n")
    code = (
        "from wheelgeo.shop.ezdxf_alone import options; import os\n"
        "print(options.loaded_config_files, options.log_unprocessed_tags, os.environ['HOME'])"
    )
    here = {**os.environ, "HOME": str(tmp_path), "XDG_CACHE_HOME": str(tmp_path / "cache")}
    said = subprocess.run(
        [sys.executable, "-c", code], env=here, cwd=tmp_path, check=True, capture_output=True
    )
    assert (said.stdout.decode(), said.stderr) == (f"() False {tmp_path}\n", b"")
    assert sorted(p.name for p in tmp_path.rglob("*") if p.is_file()) == ["ezdxf.ini"] * 2
