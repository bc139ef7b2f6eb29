"""Write cut files: DXF in millimetres, true circles and arcs, the same bytes every time."""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any, Literal

from wheelgeo.geometry.segments import Arc, Line
from wheelgeo.shop.drafting import (
    DRAWING_LAYERS,
    LAYERS,
    TEXT_MM,
    AngleMeasure,
    Chain,
    CutSheet,
    Item,
    Measure,
    check_items,
    in_order,
)
from wheelgeo.shop.ezdxf_alone import Drawing, TextEntityAlignment, new, options
from wheelgeo.shop.outlines import Circle, Label, Outline

DxfVersion = Literal["R2010", "R12"]

_MILLIMETRES = 4
_METRIC = 1
_R12_UNITS = f"  9\n$INSUNITS\n 70\n{_MILLIMETRES:6d}\n  9\n$MEASUREMENT\n 70\n{_METRIC:6d}\n"


def dxf_bytes(sheet: CutSheet, version: DxfVersion = "R2010") -> bytes:
    """Return a cut file.

    Args:
        sheet: its shapes.
        version: release of the format; R12 for old machines.

    Returns:
        The file's bytes; the same for the same sheet, whatever the day.

    Raises:
        ShapeError: the shapes are not fit to be cut; see ``check_items``.
    """
    check_items(sheet.items)
    items = in_order(sheet.items)
    with _fixed_metadata():
        document = _document(version, {item.layer for item in items})
        space = document.modelspace()
        for item in items:
            _draw(space, item, version, _line_type(document, item.dashes))
        _set_extents(document, space, sheet)
        _name_classes(document)
        stream = io.StringIO()
        document.write(stream)
    written = _with_units(stream.getvalue()) if version == "R12" else stream.getvalue()
    return bytes(document.encode(written))


def _document(version: DxfVersion, used: set[str]) -> Drawing:
    document = new(version, setup=False)
    if version != "R12":
        document.header["$INSUNITS"] = _MILLIMETRES
        document.header["$MEASUREMENT"] = _METRIC
    named = DRAWING_LAYERS if used <= DRAWING_LAYERS.keys() else LAYERS
    for layer in named.values():
        document.layers.add(layer.name, color=layer.colour)
    return document


def _name_classes(document: Drawing) -> None:
    """Register the classes in use by name: the writer would take them in the order of a set."""
    for name in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(name)


def _line_type(document: Drawing, dashes: Sequence[float]) -> str:
    """Return the name of the line type with these dashes, made where the file has none yet."""
    if not dashes:
        return "BYLAYER"
    name = "DASHES_" + "_".join(f"{dash:g}".replace(".", "P") for dash in dashes)
    if name not in document.linetypes:
        signed = [dash if i % 2 == 0 else -dash for i, dash in enumerate(dashes)]
        document.linetypes.add(name, [sum(dashes), *signed], description="dashes, mm")
    return name


def _draw(space: Any, item: Item, version: DxfVersion, line_type: str) -> None:
    shape, attributes = item.shape, {"layer": item.layer, "linetype": line_type}
    if isinstance(shape, Line):
        space.add_line(shape.start, shape.end, dxfattribs=attributes)
    elif isinstance(shape, Arc):
        _draw_arc(space, shape, attributes)
    elif isinstance(shape, Circle):
        space.add_circle(shape.centre, shape.radius_mm, dxfattribs=attributes)
    elif isinstance(shape, Outline):
        _draw_outline(space, shape, attributes, version)
    elif isinstance(shape, Chain):
        _draw_chain(space, shape, attributes, version)
    elif isinstance(shape, Measure):
        _draw_measure(space, shape, item.layer)
    elif isinstance(shape, AngleMeasure):
        _draw_angle(space, shape, item.layer)
    else:
        _draw_text(space, shape, attributes)


def _draw_arc(space: Any, arc: Arc, attributes: dict[str, Any]) -> None:
    """Draw an arc; the format knows counter-clockwise ones only."""
    first, last = (
        (arc.start_deg, arc.end_deg) if arc.counter_clockwise else (arc.end_deg, arc.start_deg)
    )
    space.add_arc(arc.centre, arc.radius_mm, first % 360.0, last % 360.0, dxfattribs=attributes)


def _draw_outline(
    space: Any, outline: Outline, attributes: dict[str, Any], version: DxfVersion
) -> None:
    """Draw an outline as one closed polyline, its arcs as bulges."""
    corners = [(*piece.start, piece.bulge) for piece in outline.segments]
    if version == "R12":
        space.add_polyline2d(corners, format="xyb", close=True, dxfattribs=attributes)
    else:
        space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs=attributes)


def _draw_chain(space: Any, chain: Chain, attributes: dict[str, Any], version: DxfVersion) -> None:
    if version == "R12":
        space.add_polyline2d(chain.points, dxfattribs=attributes)
    else:
        space.add_lwpolyline(chain.points, dxfattribs=attributes)


def _draw_text(space: Any, label: Label, attributes: dict[str, Any]) -> None:
    entity = space.add_text(
        plain_text(label.text), height=label.height_mm, rotation=label.turn_deg,
        dxfattribs=attributes,
    )  # fmt: skip
    left = label.anchor == "left"
    align = TextEntityAlignment.MIDDLE_LEFT if left else TextEntityAlignment.MIDDLE_CENTER
    entity.set_placement(label.at, align=align)


def _draw_measure(space: Any, measure: Measure, layer: str) -> None:
    """Draw a dimension that a drawing program knows as one, its picture beside it."""
    base = (measure.at, measure.start[1]) if measure.upright else (measure.start[0], measure.at)
    space.add_linear_dim(
        base, measure.start, measure.end, measure.text_at, _signs(measure.text),
        90.0 if measure.upright else 0.0,
        override={
            **_STYLE, "dimse1": int(not measure.first), "dimlfac": 1.0 / measure.scale,
        },
        dxfattribs={"layer": layer},
    ).render()  # fmt: skip


def _draw_angle(space: Any, angle: AngleMeasure, layer: str) -> None:
    words = angle.text.replace("<>", f"{angle.to_deg - angle.from_deg:g}\u00b0")
    space.add_angular_dim_cra(
        angle.centre, angle.radius_mm, angle.from_deg, angle.to_deg, 0.0, text=_signs(words),
        override={**_STYLE, "dimadec": 1, "dimse1": 1, "dimse2": 1}, dxfattribs={"layer": layer},
    ).render()  # fmt: skip


def _signs(words: str) -> str:
    """Return text of a dimension, its signs in the codes that every drawing program knows."""
    plain = plain_text(words)
    for sign, code in (("\u00d8", "%%c"), ("\u00b0", "%%d"), ("\u00b1", "%%p")):
        plain = plain.replace(sign, code)
    return plain


_STYLE = {
    "dimtxt": TEXT_MM, "dimtsz": 1.5, "dimexo": 0.6, "dimexe": 1.0, "dimgap": 1.0, "dimdec": 2,
    "dimscale": 1.0, "dimdsep": ord("."), "dimzin": 8, "dimtad": 1,
}  # fmt: skip
"""Look of dimensions: ticks for arrows, two decimals and no zeros behind, text above the line."""


def plain_text(words: str) -> str:
    r"""Return text that a drawing program shows as it is written.

    Control characters become spaces; the codes that such programs act on (``%%``, ``^``, ``\U+``)
    are parted so that they show as letters.
    """
    visible = "".join(letter if letter.isprintable() else " " for letter in words)
    return visible.replace("%%", "% %").replace("^", "^ ").replace("\\U+", "\\ U+")


def _set_extents(document: Drawing, space: Any, sheet: CutSheet) -> None:
    x1, y1, x2, y2 = sheet.box
    low, high = (x1, y1, 0.0), (x2, y2, 0.0)
    if hasattr(space, "reset_extents"):
        space.reset_extents(low, high)
        space.reset_limits((x1, y1), (x2, y2))
    document.header["$EXTMIN"], document.header["$EXTMAX"] = low, high


def _with_units(written: str) -> str:
    """Put the units into an R12 header, for the readers that look for them there.

    The release has no variable for units; programs of today read the later ones all the same,
    and old ones pass over what they do not know.
    """
    head, mark, tail = written.partition("  0\nENDSEC\n")
    return head + _R12_UNITS + mark + tail


@contextmanager
def _fixed_metadata() -> Iterator[None]:
    """Keep dates and random identifiers out of the files written within."""
    before = options.write_fixed_meta_data_for_testing
    log = logging.getLogger("ezdxf")
    level = log.level
    options.write_fixed_meta_data_for_testing = True
    log.setLevel(logging.ERROR)
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
        log.setLevel(level)
