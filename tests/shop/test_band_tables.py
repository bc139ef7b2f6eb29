"""The band-length table: lengths, joints, slides, and cells no spreadsheet runs."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import wheelgeo
from wheelgeo.design.model import Design, FlatRim, Pulley, Slide
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import OutputError
from wheelgeo.shop.drafting import Label
from wheelgeo.shop.jigs import banding_board
from wheelgeo.shop.sheet_content import shop_sheet
from wheelgeo.shop.sheet_html import sheet_html
from wheelgeo.shop.tables import BAND_HEADER, band_rows, bands_csv, safe_cell, tables_sheet
from wheelgeo.units.written import grouped


def read(design: Design) -> list[dict[str, str]]:
    content = bands_csv(band_rows(solve_drive(design))).decode("utf-8")
    return list(csv.DictReader(io.StringIO(content)))


def test_the_cut_length_is_the_path_unstretched(bench: Design) -> None:
    first, second = read(bench)
    assert float(first["cut_length_mm"]) * 1.05 == pytest.approx(
        float(first["path_length_mm"]), abs=2e-3
    )
    assert float(second["cut_length_mm"]) * 1.01 == pytest.approx(
        float(second["path_length_mm"]), abs=2e-3
    )


def test_an_open_band_of_equal_pulleys_has_the_textbook_length(bench: Design) -> None:
    pulleys = (Pulley("wheel", "main", 14.0, FlatRim(57.0, 9.0)),
               Pulley("hub", "middle", 14.0, FlatRim(57.0, 9.0)), *bench.pulleys[2:])  # fmt: skip
    row = read(replace(bench, pulleys=pulleys))[0]
    # two runs of the centre distance, 140 mm, and one full pitch circle of 57 + 3 mm
    assert float(row["path_length_mm"]) == pytest.approx(280.0 + 60.0 * math.pi, abs=1e-3)


def test_the_joint_is_added_once(bench: Design) -> None:
    band = replace(bench.bands[0], joint_mm=25.0)
    row = read(replace(bench, bands=(band, bench.bands[1])))[0]
    assert float(row["joint_mm"]) == 25.0
    assert float(row["cut_with_joint_mm"]) == pytest.approx(float(row["cut_length_mm"]) + 25.0)


def test_the_travel_of_a_slide_gives_a_range(bench: Design) -> None:
    moved = replace(bench.shafts[2], slide=Slide((1.0, 0.0, 0.0), -3.0, 6.0))
    first, second = read(replace(bench, shafts=(*bench.shafts[:2], moved)))
    assert first["path_at_slide_from_mm"] == ""
    low, high = float(second["path_at_slide_from_mm"]), float(second["path_at_slide_to_mm"])
    assert low < float(second["path_length_mm"]) < high
    # far apart, the path grows by nearly twice the travel
    assert high - low == pytest.approx(2.0 * 9.0, rel=0.35)


def test_a_travel_that_leaves_no_path_is_left_open(bench: Design) -> None:
    moved = replace(bench.shafts[2], slide=Slide((1.0, 0.0, 0.0), -90.0, 6.0))
    design = replace(bench, shafts=(*bench.shafts[:2], moved))
    assert read(design)[1]["path_at_slide_from_mm"] == ""
    texts = [i.shape.text for i in tables_sheet(solve_drive(design)).items
             if isinstance(i.shape, Label)]  # fmt: skip
    assert any("no path to" in text for text in texts)


def test_a_band_without_a_path_stops_everything_and_names_its_pulleys(bench: Design) -> None:
    near = replace(bench.shafts[1], at_mm=(110.0, 90.0, 0.0))
    design = replace(bench, shafts=(bench.shafts[0], near, bench.shafts[2]))
    with pytest.raises(OutputError, match='band "first" on pulleys "wheel", "hub" has no path'):
        band_rows(solve_drive(design))


OLD = wheelgeo.old_wheel(
    wheel="22 in", groove="1/4 in", whorl="2 in", whorl_groove="3/16 in", apart="19 in",
    cord="3 mm cotton cord", groove_shape="vee",
)  # fmt: skip


def test_what_is_made_tells_how_sure_the_lengths_are_as_solve_does(bench: Design) -> None:
    """In the table, the drawing and on the board; where nothing was measured there is no sign."""
    (band,), solution = OLD.answer.bands, solve_drive(OLD.wheel.design)
    (row,) = read(OLD.wheel.design)
    for key, known in (("path_length_uncertainty_mm", band.length_uncertainty_mm),
                       ("cut_length_uncertainty_mm", band.cut_length_uncertainty_mm)):  # fmt: skip
        assert float(row[key]) == pytest.approx(known, abs=6e-4)
        assert all(measured_not[key] == "" for measured_not in read(bench))
    drawn, bare = (
        [i.shape.text for i in tables_sheet(each).items if isinstance(i.shape, Label)]
        for each in (solution, solve_drive(bench))
    )
    in_place, cut = band.length_uncertainty_mm, band.cut_length_uncertainty_mm
    assert [t for t in drawn if "±" in t and "95" not in t] == [
        f"{band.length_mm:.3f} ± {in_place:.1f}", f"{band.cut_length_mm:.3f} ± {cut:.1f}",
        f"{band.cut_with_joint_mm:.3f} ± {cut:.1f}",
    ]  # fmt: skip
    (label,) = banding_board(solution).labels
    assert f"{band.cut_length_mm:.1f} ± {cut:.1f} mm joined" in label.text
    assert bare
    assert not any("±" in words for words in bare)


def test_the_shop_sheet_tells_how_sure_bands_and_ratio_are() -> None:
    answer = OLD.wheel.check()
    (band,) = answer.bands
    text = sheet_html(shop_sheet(answer), False)
    for mm, half in ((band.length_mm, band.length_uncertainty_mm),
                     (band.cut_length_mm, band.cut_length_uncertainty_mm),
                     (band.cut_with_joint_mm, band.cut_length_uncertainty_mm)):  # fmt: skip
        assert f"{grouped(mm, 1)} mm ± {half:.1f} mm" in text
    assert f"{answer.ratio:.2f} ± {answer.ratio_uncertainty:.2f}" in text


def test_the_header_names_units() -> None:
    for head in BAND_HEADER:
        if "length" in head or "joint" in head or "diameter" in head or "slide" in head:
            assert head.endswith("_mm")


@pytest.mark.parametrize(
    "cell", ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "=HYPERLINK(1)"]
)
def test_a_cell_that_a_spreadsheet_would_run_is_defused(cell: str) -> None:
    assert safe_cell(cell) == "'" + cell


@pytest.mark.parametrize("cell", ["first band", "12.5", "-3.25", "+4", "1e-3", "", "a=b"])
def test_other_cells_stay(cell: str) -> None:
    assert safe_cell(cell) == cell


@given(st.text())
def test_no_cell_begins_like_a_formula(cell: str) -> None:
    made = safe_cell(cell)
    if made[:1] in ("=", "+", "-", "@", "\t", "\r"):
        assert math.isfinite(float(made))


def test_a_band_named_like_a_formula_is_defused_in_the_file(bench: Design) -> None:
    band = replace(bench.bands[0], name="=1+1")
    assert read(replace(bench, bands=(band, bench.bands[1])))[0]["band"] == "'=1+1"


def test_a_joint_that_the_file_does_not_say_is_the_usual_one_of_the_material(bench: Design) -> None:
    # the sheet's own advice: ends of cotton overlap by ten cord diameters
    cotton = replace(bench.bands[0], material="cotton cord", diameter_mm=2.5, joint_mm=None)
    row = read(replace(bench, bands=(cotton, *bench.bands[1:])))[0]
    assert float(row["joint_mm"]) == 25.0
    assert float(row["cut_with_joint_mm"]) == pytest.approx(float(row["cut_length_mm"]) + 25.0)


@pytest.mark.parametrize("sign", ["=", "+", "@", "\uff1d", "\uff0b", "\uff20", "\ufe66", "\u2212"])
@pytest.mark.parametrize(
    "before",
    ["", " ", "\u00a0", "\u3000", "\u200b", "\ufeff", "\u2060", "\u202e", "\u3164", "\x00"],
)
def test_a_formula_behind_what_is_not_seen_is_defused(before: str, sign: str) -> None:
    assert safe_cell(f"{before}{sign}HYPERLINK(1)") == f"'{before}{sign}HYPERLINK(1)"


def test_a_formula_far_behind_blanks_is_defused() -> None:
    assert safe_cell(" " * 5000 + "=1").startswith("'")


@pytest.mark.parametrize("cell", [" -3", "ba\u0308r", "a=b", " plain", "\u0628\u0646", "3 mm"])
def test_what_is_no_formula_stays(cell: str) -> None:
    assert safe_cell(cell) == cell
