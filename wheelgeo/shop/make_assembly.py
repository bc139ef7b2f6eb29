"""Maker of the assembly as data: where every part of the set goes, and in which order.

Boards and pulleys name their cut file; its own x and y are told in the wheel's axes, so that what
was cut can be put in its place by who never saw the model.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from wheelgeo.built.as_built import build
from wheelgeo.built.assembly import assembly
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BoardShape, BuiltBody, TurnedShape
from wheelgeo.design.model import Design
from wheelgeo.geometry.vectors import Vector, along, scale
from wheelgeo.shop.bench_set import Job, MadeFile
from wheelgeo.shop.board_parts import board_part, boards, laid_down, same_part
from wheelgeo.shop.file_names import safe_stems
from wheelgeo.shop.order_of_work import slides_in, step_words
from wheelgeo.shop.part_files import single_parts
from wheelgeo.shop.section import faces_mm, wheels


def make_assembly(job: Job) -> list[MadeFile]:
    """Return places and order of everything as JSON (UTF-8), millimetres in the wheel's axes."""
    design = job.design
    found = assembly(build(design))
    slides = slides_in(found)
    document = {
        "unit": "mm",
        "boards": list(_boards(design)),
        "pulleys": list(_pulleys(design)),
        "turned": [_turned(b) for b in bodies(build(design)) if _by_itself(b)],
        "steps": [
            {"put": s.what, "kind": s.kind, "bodies": s.parts, "says": step_words(s, slides),
             "drawn_out_along": s.along}
            for s in found.together
        ],
        "cannot_be_put_together": [s.what for s in found.stuck],
    }  # fmt: skip
    text = json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    what = "where each part goes, and in which order"
    return [MadeFile("assembly.json", text.encode("utf-8"), what, "assembly")]


def _by_itself(body: BuiltBody) -> bool:
    return isinstance(body.shape, TurnedShape) and body.kind not in ("pulley", "cop")


def _boards(design: Design) -> Iterator[dict[str, Any]]:
    """Yield every board: its cut file, and where that file's origin and axes go."""
    parts = single_parts(design)
    stems = safe_stems(part.name for part in parts)
    for body in bodies(build(design)):
        # the halves of a split board come from one file: it is sawn through at its hole
        shape = body.whole or body.shape
        if not isinstance(shape, BoardShape):
            continue
        if body.kind in ("floor", "table"):
            left, front, *_ = shape.flat_box
            frame = shape.point(left, front, 0.0), shape.x_axis, shape.y_axis
            file = "floor.dxf"
        else:
            whole = body if body.kind != "cap" else next(
                b for b in boards(design) if body.name in b.fits_in
            )
            whole = replace(whole, shape=shape)
            part = next(p for p in parts if same_part(board_part(design, whole), p))
            frame, file = _frame(whole, shape), f"part-{stems[part.name]}.dxf"
        origin, x_axis, y_axis = frame
        told = {"name": body.name, "file": file, "origin": origin, "x_axis": x_axis,
                "y_axis": y_axis, "low": shape.low, "high": shape.high}  # fmt: skip
        if body.whole is not None:
            told["half"] = "upper" if body.kind == "cap" else "lower"
        yield told


def _frame(body: BuiltBody, shape: BoardShape) -> tuple[Vector, Vector, Vector]:
    """Return where a cut file's origin, x and y go: the board's own, turned back as it was laid."""
    place = laid_down(body)
    dx, dy = place.shift_mm
    if place.turn_deg == 0.0:
        return shape.point(-dx, -dy, 0.0), shape.x_axis, shape.y_axis
    # laid at -90 degrees: the file's x runs along the board's y, its y against the board's x
    return shape.point(dy, -dx, 0.0), shape.y_axis, scale(shape.x_axis, -1.0)


def _pulleys(design: Design) -> Iterator[dict[str, Any]]:
    """Yield every pulley piece: its cut file, where its left face stands, its groove middles."""
    pieces = wheels(design)
    stems = safe_stems(wheel.name for wheel in pieces)
    for wheel in pieces:
        shaft = design.shaft(wheel.pulleys[0].shaft)
        left = min(faces_mm(design, p)[0] for p in wheel.pulleys)
        yield {
            "name": "pulley " + ", ".join(p.name for p in wheel.pulleys),
            "file": f"pulley-{stems[wheel.name]}.dxf",
            "shaft": shaft.name,
            "left_face": along(shaft.at_mm, shaft.axis, left),
            "axis": shaft.axis,
            "grooves": {p.name: p.offset_mm - left for p in wheel.pulleys},
        }


def _turned(body: BuiltBody) -> dict[str, Any]:
    """Return what is turned or bought round: its axis, and its outline as place and radius."""
    shape = body.shape
    assert isinstance(shape, TurnedShape)
    return {"name": body.name, "origin": shape.origin, "axis": shape.axis,
            "outline": shape.outline}  # fmt: skip
