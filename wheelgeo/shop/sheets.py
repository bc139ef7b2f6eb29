"""Lay flat parts out on the sheets at hand.

The packing itself is rectpack's (Apache-2.0): rectangles round the parts, kerf and spacing added.
Parts whose grain matters lie along the sheet's length; the others may be turned by 90 degrees.
Several orders of packing are tried and the best is kept, the same one every time.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from rectpack import (
    MaxRectsBaf,
    MaxRectsBssf,
    PackingBin,
    PackingMode,
    SkylineMwfl,
    newPacker,
)

from wheelgeo.design.model import Design, Shop, Stock
from wheelgeo.errors import ShapeError
from wheelgeo.immutable import dataclass
from wheelgeo.shop.drafting import (
    CutSheet,
    Item,
    part_items,
    reference_square,
    text_block,
    wrapped,
)
from wheelgeo.shop.offset import with_kerf
from wheelgeo.shop.outlines import Part, Place, rectangle

DEFAULT_SHEETS_MM = ((600.0, 300.0), (1220.0, 610.0), (2440.0, 1220.0))
"""Sheets assumed where the file names none: of each material and thickness the smallest that takes
all, mm."""
SAME_THICKNESS_MM = 0.05
AS_WISHED = "any that is stiff"
"""The material of a sheet for gauges and boards that no force bends."""
_GRID = 1000
"""Steps of the packer's whole numbers in a millimetre."""


@dataclass(frozen=True)
class PieceToPlace:
    """One part to place; a part of which several are needed makes several pieces."""

    part: Part
    number: int


@dataclass(frozen=True)
class LaidSheet:
    """One sheet with the parts on it.

    Attributes:
        stock: the sheet.
        parts: the parts where they lie, kerf included; the sheet's lower left corner is the origin.
        kerf_mm: kerf that is in the outlines.
        usage: area of the parts over the area of the sheet.
    """

    stock: Stock
    parts: tuple[Part, ...]
    kerf_mm: float
    usage: float

    @property
    def material(self) -> str | None:
        """What it is of: what the stock names, else what its parts are of; None: as wished."""
        return self.stock.material or next((p.material for p in self.parts if p.material), None)


@dataclass(frozen=True)
class SheetLayout:
    """All sheets, and what fits on none.

    Attributes:
        sheets: the sheets, by material and thickness; on each lie parts of one material.
        unplaced: parts that fit no sheet, with the reason, one sentence each.
        assumed: sheets that the file does not name and that were assumed.
    """

    sheets: tuple[LaidSheet, ...]
    unplaced: tuple[str, ...]
    assumed: tuple[Stock, ...]


def lay_out(design: Design, parts: Iterable[Part]) -> SheetLayout:
    """Lay parts out on the design's sheets.

    Args:
        design: gives sheets, kerf, spacing and margin.
        parts: flat parts, each with a thickness.

    Returns:
        The layout; as many sheets of each stock as are needed.
    """
    listed = list(parts)
    assumed = () if design.shop.sheets else _assumed(listed, design.shop)
    stocks = design.shop.sheets or assumed
    # A sheet is of one wood: a stock that names none is taken once for each wood that lies on it.
    groups: dict[tuple[tuple[Stock, ...], str | None], list[Part]] = {}
    unplaced: list[str] = []
    for part in sorted(listed, key=lambda p: p.material is None):  # those as wished join others
        fitting = tuple(stock for stock in stocks if _suits(part, stock))
        if fitting:
            groups.setdefault(_group(part, fitting, groups, design.shop), []).append(part)
        else:
            unplaced.append(_no_stock(part))
    sheets: list[LaidSheet] = []
    for (fitting, _), group in groups.items():
        laid, left = nest(group, fitting, design.shop)
        sheets += laid
        unplaced += [_too_large(part, fitting, design.shop) for part in left]
    sheets.sort(key=lambda one: (one.material or "~", one.stock.thickness_mm))
    return SheetLayout(tuple(sheets), tuple(unplaced), assumed)


_Group = tuple[tuple[Stock, ...], str | None]


def _group(part: Part, fitting: tuple[Stock, ...], known: Iterable[_Group], shop: Shop) -> _Group:
    """Return with what a part is laid out; one of any material with parts of its thickness."""
    own = fitting, part.material
    if part.material is not None:
        return own
    cut = with_kerf(part, shop.kerf_mm)
    joined = (
        (stocks, material) for stocks, material in known
        if set(stocks) <= set(fitting) and any(_fits(cut, s, shop) for s in stocks)
    )
    # plywood first: what may be of anything is spared the better wood
    return min(joined, key=lambda one: (one[1] != "plywood", one[1] or "~"), default=own)


def _assumed(parts: Sequence[Part], shop: Shop) -> tuple[Stock, ...]:
    """Return a sheet of each material and thickness that is needed.

    What may be of any material is cut from a sheet of its thickness that is there anyway.
    """
    needed: dict[tuple[str | None, float], list[Part]] = {}
    woods: dict[float, str] = {}
    for part in sorted(parts, key=lambda p: p.material is None):
        thick = part.thickness_mm
        if thick is None:
            continue
        wood = part.material
        if wood is not None:
            woods[thick] = "plywood" if "plywood" in (wood, woods.get(thick)) else wood
        needed.setdefault((wood or woods.get(thick), thick), []).append(part)
    return tuple(
        _assumed_sheet(wood, thick, group, shop)
        for (wood, thick), group in sorted(needed.items(), key=lambda n: (n[0][0] or "~", n[0][1]))
    )


def _assumed_sheet(
    wood: str | None, thickness: float, parts: Sequence[Part], shop: Shop
) -> Stock:
    name = f"{wood or 'stock'} {thickness:g} mm"
    sizes = [Stock(name, *size, thickness, wood) for size in DEFAULT_SHEETS_MM]
    cut = [with_kerf(part, shop.kerf_mm) for part in parts]
    good = (s for s in sizes if all(_fits(part, s, shop) for part in cut))
    return next(good, sizes[-1])


def _suits(part: Part, stock: Stock) -> bool:
    """Return whether thickness and, where both name one, material are the same."""
    if part.thickness_mm is None:
        return False
    same = abs(part.thickness_mm - stock.thickness_mm) <= SAME_THICKNESS_MM
    return same and (part.material is None or stock.material in (None, part.material))


def _no_stock(part: Part) -> str:
    of = f" of {part.material}" if part.material else ""
    if part.thickness_mm is None:
        return f"{part.name}: it has no thickness."
    return f"{part.name}: no sheet {part.thickness_mm:g} mm thick{of} is at hand."


def _too_large(part: Part, stocks: Sequence[Stock], shop: Shop) -> str:
    x1, y1, x2, y2 = part.box
    names = ", ".join(
        f'"{s.name}" ({s.length_mm:g} x {s.width_mm:g} mm, margin {shop.margin_mm:g} mm)'
        for s in stocks
    )
    grain = " with its grain along the sheet" if part.grain == "along" else ""
    return f"{part.name}: {x2 - x1:.4g} x {y2 - y1:.4g} mm does not fit {names}{grain}."


def nest(
    parts: Sequence[Part], stocks: Sequence[Stock], shop: Shop
) -> tuple[list[LaidSheet], list[Part]]:
    """Lay parts out on as many sheets of some stocks as are needed.

    Args:
        parts: parts of one thickness.
        stocks: sheets of that thickness.
        shop: kerf, spacing and margin.

    Returns:
        The sheets, and the parts that fit none of them.

    Raises:
        ShapeError: kerf, spacing or margin is below nothing, or a cut is too fine for the kerf.
    """
    if min(shop.kerf_mm, shop.spacing_mm, shop.margin_mm) < 0.0:
        raise ShapeError("kerf, spacing and margin cannot be less than nothing")
    cut = {id(part): with_kerf(part, shop.kerf_mm) for part in parts}
    left = [p for p in parts if not any(_fits(cut[id(p)], s, shop) for s in stocks)]
    pieces = [
        PieceToPlace(cut[id(part)], number)
        for part in parts if part not in left
        for number in range(part.quantity)
    ]
    trials = [
        _pack(pieces, stocks, shop, algorithm, lie)
        for algorithm in (MaxRectsBssf, MaxRectsBaf, SkylineMwfl)
        for lie in ("as drawn", "long side along", "long side across")
    ]
    whole = [t for t in trials if sum(len(s.parts) for s in t) == len(pieces)]
    if not whole:
        raise ShapeError("the parts fit the sheets one by one, but no packing of all was found")
    return min(whole, key=_cost), left


def _cost(sheets: list[LaidSheet]) -> tuple[float, float]:
    """Return the area of the sheets used, then the length taken up on them: less is better."""
    area = math.fsum(s.stock.length_mm * s.stock.width_mm for s in sheets)
    reach = math.fsum(max(p.box[2] for p in s.parts) for s in sheets)
    return area, reach


def _fits(part: Part, stock: Stock, shop: Shop) -> bool:
    length = stock.length_mm - 2.0 * shop.margin_mm
    width = stock.width_mm - 2.0 * shop.margin_mm
    long, tall = _size(part)
    flat = long <= length and tall <= width
    return flat or (part.grain == "any" and tall <= length and long <= width)


def _size(part: Part) -> tuple[float, float]:
    x1, y1, x2, y2 = part.box
    return x2 - x1, y2 - y1


def _turned(piece: PieceToPlace, lie: str, stocks: Sequence[Stock], shop: Shop) -> bool:
    """Return whether a piece is laid down turned by 90 degrees."""
    if piece.part.grain == "along":
        return False
    long, tall = _size(piece.part)
    turned = {"as drawn": False, "long side along": tall > long}.get(lie, long > tall)
    room = [(s.length_mm - 2 * shop.margin_mm, s.width_mm - 2 * shop.margin_mm) for s in stocks]
    across, up = (tall, long) if turned else (long, tall)
    fits = any(across <= length and up <= width for length, width in room)
    return turned if fits else not turned


def _pack(
    pieces: Sequence[PieceToPlace], stocks: Sequence[Stock], shop: Shop, algorithm: type, lie: str
) -> list[LaidSheet]:
    gap = shop.spacing_mm
    packer = newPacker(
        mode=PackingMode.Offline, bin_algo=PackingBin.BFF, pack_algo=algorithm, rotation=False
    )
    turns = [_turned(piece, lie, stocks, shop) for piece in pieces]
    for i, (piece, turned) in enumerate(zip(pieces, turns, strict=True)):
        long, tall = _size(piece.part)
        across, up = (tall, long) if turned else (long, tall)
        packer.add_rect(_whole(across + gap), _whole(up + gap), rid=i)
    for i, stock in enumerate(stocks):
        room = 2.0 * shop.margin_mm - gap
        packer.add_bin(
            math.floor((stock.length_mm - room) * _GRID + 1e-6),
            math.floor((stock.width_mm - room) * _GRID + 1e-6),
            count=float("inf"), bid=i,
        )  # fmt: skip
    packer.pack()
    return [_laid(bin_, stocks[bin_.bid], pieces, turns, shop) for bin_ in packer if len(bin_) > 0]


def _whole(length_mm: float) -> int:
    return math.ceil(length_mm * _GRID - 1e-6)


def _laid(
    bin_: Iterable[object],
    stock: Stock,
    pieces: Sequence[PieceToPlace],
    turns: Sequence[bool],
    shop: Shop,
) -> LaidSheet:
    """Return a packed bin as a sheet, its pieces in the order of the list."""
    spots = sorted((rect.rid, rect.x, rect.y) for rect in bin_)  # type: ignore[attr-defined]
    parts = []
    for i, x, y in spots:
        corner = (shop.margin_mm + x / _GRID, shop.margin_mm + y / _GRID)
        parts.append(_put(pieces[i].part, corner, turns[i]))
    area = math.fsum(part.area_mm2 for part in parts)
    return LaidSheet(stock, tuple(parts), shop.kerf_mm, area / (stock.length_mm * stock.width_mm))


def _put(part: Part, corner: tuple[float, float], turned: bool) -> Part:
    """Return a part with the lower left corner of its box at a point."""
    lying = part.moved(Place(turn_deg=90.0)) if turned else part
    x, y, _, _ = lying.box
    return lying.moved(Place((corner[0] - x, corner[1] - y)))


def kerf_words(kerf_mm: float) -> str:
    """Return what a sheet says of its kerf."""
    if kerf_mm == 0.0:
        return "Kerf: none taken off; the outlines are the parts' own. The shop adds its kerf."
    return f"Kerf of {kerf_mm:g} mm IS IN these outlines: do not take it off again."


def sheet_drawing(laid: LaidSheet, number: int, of: int, assumed: bool = False) -> CutSheet:
    """Return a laid-out sheet as a cut file: parts, the sheet's edge, what it is, the square.

    Args:
        laid: the sheet.
        number: its number, from 1.
        of: how many sheets there are.
        assumed: whether the file names no sheets and its size was assumed.
    """
    stock = laid.stock
    right = stock.length_mm + 20.0
    names = ", ".join(part.name for part in laid.parts)
    notes = [
        f"Sheet {number} of {of}: {stock.name}, {stock.length_mm:g} x {stock.width_mm:g} x "
        f"{stock.thickness_mm:g} mm; material: {laid.material or AS_WISHED}.",
        f"{100.0 * laid.usage:.1f} % of the sheet becomes parts. Grain runs along x, "
        "the length of the sheet.",
        kerf_words(laid.kerf_mm),
        f"Parts: {names}.",
        *(["The design names no sheets: the size of this one is assumed."] if assumed else []),
        "All sizes in millimetres.",
    ]
    lines = [line for note in notes for line in wrapped(note)]
    items = [
        *(item for part in laid.parts for item in part_items(part)),
        Item("REFERENCE", rectangle((0.0, 0.0, stock.length_mm, stock.width_mm))),
        *reference_square((right, stock.width_mm)),
        *text_block(lines, (0.0, -10.0)),
    ]
    return CutSheet(f"sheet {number}", tuple(items))
