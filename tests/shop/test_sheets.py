"""Parts on sheets: apart by kerf and spacing, within the margin, grain kept, all accounted for."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wheelgeo.design.model import Design, Shop, Stock
from wheelgeo.errors import ShapeError
from wheelgeo.shop.drafting import Label
from wheelgeo.shop.outlines import Circle, Part, rectangle
from wheelgeo.shop.sheets import LaidSheet, SheetLayout, lay_out, nest, sheet_drawing

SHEET = Stock("plywood", 600.0, 300.0, 6.0)


def plate(name: str, length: float, width: float, **more: object) -> Part:
    box = rectangle((0.0, 0.0, length, width))
    return Part(name, "plate", box, thickness_mm=6.0, **more)  # type: ignore[arg-type]


def with_shop(design: Design, shop: Shop) -> Design:
    return replace(design, shop=shop)


def check_apart(laid: LaidSheet, shop: Shop) -> None:
    boxes = [part.box for part in laid.parts]
    for i, (x1, y1, x2, y2) in enumerate(boxes):
        assert x1 >= shop.margin_mm - 1e-3
        assert y1 >= shop.margin_mm - 1e-3
        assert x2 <= laid.stock.length_mm - shop.margin_mm + 1e-3
        assert y2 <= laid.stock.width_mm - shop.margin_mm + 1e-3
        for u1, v1, u2, v2 in boxes[:i]:
            gap = max(u1 - x2, x1 - u2, v1 - y2, y1 - v2)
            assert gap >= shop.spacing_mm - 1e-3


SIZES = st.tuples(st.floats(5, 280), st.floats(5, 280), st.sampled_from(["any", "along"]))


@given(sizes=st.lists(SIZES, min_size=1, max_size=14), kerf=st.sampled_from([0.0, 0.2]))
@settings(max_examples=30, deadline=None)
def test_every_part_lies_once_apart_and_within_the_margin(
    sizes: list[tuple[float, float, str]], kerf: float
) -> None:
    shop = Shop((SHEET,), kerf_mm=kerf, spacing_mm=3.0, margin_mm=5.0)
    parts = [plate(f"p{i}", a, b, grain=g) for i, (a, b, g) in enumerate(sizes)]
    sheets, left = nest(parts, [SHEET], shop)
    assert left == []
    placed = [part for laid in sheets for part in laid.parts]
    assert sorted(p.name for p in placed) == sorted(p.name for p in parts)
    for laid in sheets:
        check_apart(laid, shop)
    by_name = {part.name: part for part in placed}
    for part in parts:
        x1, y1, x2, y2 = by_name[part.name].box
        a, b = part.box[2] + kerf, part.box[3] + kerf
        assert {round(x2 - x1, 6), round(y2 - y1, 6)} == {round(a, 6), round(b, 6)}
        if part.grain == "along":
            assert x2 - x1 == pytest.approx(a)


def test_usage_is_the_area_of_the_parts_over_the_sheet() -> None:
    parts = [plate("a", 100.0, 50.0, quantity=3), Part("d", "disc", Circle((0, 0), 40.0),
             holes=(Circle((0, 0), 10.0),), thickness_mm=6.0)]  # fmt: skip
    (laid,), _ = nest(parts, [SHEET], Shop((SHEET,)))
    area = 3 * 5000.0 + math.pi * (1600.0 - 100.0)
    assert laid.usage == pytest.approx(area / 180_000.0, rel=1e-12)
    assert [p.name for p in laid.parts] == ["a", "a", "a", "d"]


def test_what_fits_no_sheet_is_named(bench: Design) -> None:
    parts = [plate("long", 700.0, 20.0), plate("tall", 20.0, 400.0, grain="along"),
             plate("fits", 590.0, 290.0), replace(plate("thick", 20.0, 20.0), thickness_mm=9.0),
             replace(plate("loose", 5.0, 5.0), thickness_mm=None),
             plate("oak", 5.0, 5.0, material="oak")]  # fmt: skip
    stock = replace(SHEET, material="plywood")
    layout = lay_out(with_shop(bench, Shop((stock,))), parts)
    assert [p.name for laid in layout.sheets for p in laid.parts] == ["fits"]
    said = "\n".join(layout.unplaced)
    assert 'long: 700 x 20 mm does not fit "plywood" (600 x 300 mm, margin 5 mm).' in said
    assert "tall: 20 x 400 mm does not fit" in said
    assert "grain along the sheet" in said
    assert "thick: no sheet 9 mm thick is at hand." in said
    assert "loose: it has no thickness." in said
    assert "oak: no sheet 6 mm thick of oak is at hand." in said


def test_a_part_without_grain_may_be_turned_to_fit() -> None:
    (laid,), left = nest([plate("tall", 20.0, 400.0)], [SHEET], Shop((SHEET,)))
    assert left == []
    x1, y1, x2, y2 = laid.parts[0].box
    assert (x2 - x1, y2 - y1) == pytest.approx((400.0, 20.0))


def test_without_sheets_the_smallest_usual_ones_are_assumed_and_said(bench: Design) -> None:
    layout = lay_out(bench, [plate("a", 100.0, 50.0), plate("b", 900.0, 50.0, grain="along")])
    assert [(s.length_mm, s.width_mm) for s in layout.assumed] == [(1220.0, 610.0)]
    words = _words(layout.sheets[0], layout)
    assert "the size of this one is assumed" in words


def woods(layout: SheetLayout) -> list[tuple[str | None, float, list[str]]]:
    return [(s.material, s.stock.thickness_mm, [p.name for p in s.parts]) for s in layout.sheets]


def test_two_woods_never_lie_on_one_sheet(bench: Design) -> None:
    parts = [plate("a", 50.0, 50.0, material="plywood"), plate("b", 50.0, 50.0, material="oak"),
             plate("any", 50.0, 50.0), replace(plate("thin", 9.0, 9.0, material="oak"),
             thickness_mm=2.0), replace(plate("gauge", 9.0, 9.0), thickness_mm=3.0)]  # fmt: skip
    assumed = lay_out(bench, parts)
    wanted = [("oak", 2.0, ["thin"]), ("oak", 6.0, ["b"]), ("plywood", 6.0, ["a", "any"])]
    assert woods(assumed) == [*wanted, (None, 3.0, ["gauge"])]
    assert "material: oak." in _words(assumed.sheets[1], assumed)
    # a sheet at hand whose material the file leaves open is one of each wood
    unnamed = lay_out(with_shop(bench, Shop((replace(SHEET, name="board"),))), parts[:3])
    assert woods(unnamed) == wanted[1:]


def _words(laid: LaidSheet, layout: SheetLayout) -> str:
    items = sheet_drawing(laid, 1, 1, laid.stock in layout.assumed).items
    return " ".join(i.shape.text for i in items if isinstance(i.shape, Label))


def test_more_parts_than_a_sheet_holds_take_more_sheets() -> None:
    sheets, left = nest([plate("a", 290.0, 140.0, quantity=9)], [SHEET], Shop((SHEET,)))
    assert left == []
    assert [len(laid.parts) for laid in sheets] == [4, 4, 1]


def test_the_layout_is_the_same_every_time(bench: Design) -> None:
    parts = [plate(f"p{i}", 20.0 + 13 * i, 80.0 - 7 * i) for i in range(8)]
    assert lay_out(bench, parts) == lay_out(bench, parts)


def test_kerf_is_in_once_and_said(bench: Design) -> None:
    disc = Part("d", "disc", Circle((0, 0), 40.0), holes=(Circle((0, 0), 10.0),), thickness_mm=6.0)
    layout = lay_out(with_shop(bench, Shop((SHEET,), kerf_mm=0.3)), [disc])
    laid = layout.sheets[0]
    assert isinstance(laid.parts[0].outside, Circle)
    assert laid.parts[0].outside.radius_mm == pytest.approx(40.15)
    assert laid.parts[0].holes[0].box[2] - laid.parts[0].holes[0].box[0] == pytest.approx(19.7)
    assert "Kerf of 0.3 mm IS IN these outlines" in _words(laid, layout)
    plain = lay_out(with_shop(bench, Shop((SHEET,))), [disc])
    assert "Kerf: none taken off" in _words(plain.sheets[0], plain)


@pytest.mark.parametrize("shop", [Shop(kerf_mm=-0.1), Shop(spacing_mm=-1.0), Shop(margin_mm=-1.0)])
def test_settings_below_nothing_are_refused(shop: Shop) -> None:
    with pytest.raises(ShapeError, match="less than nothing"):
        nest([plate("a", 10.0, 10.0)], [SHEET], shop)
