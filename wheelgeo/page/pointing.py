"""Where a finding points: the parts that it names, and where each of them stands in a view."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from operator import itemgetter

from wheelgeo.check.finding import Finding
from wheelgeo.design.model import Design
from wheelgeo.drawing.scene import Scene, TurnedBody
from wheelgeo.drawing.view import View
from wheelgeo.drive.train import Solution
from wheelgeo.geometry.vectors import Vector, add, along, norm, scale, sub
from wheelgeo.page.seen import sideways

_FROM_TO = re.compile(r' from ".*?" to ".*?"(?=,|$)')
"""The ends of a run, which say which of the band's runs it is."""


def parts_of(finding: Finding, design: Design) -> list[str]:
    """Return the names of the parts that a finding speaks of: bands, pulleys, shafts, bodies.

    Args:
        finding: the finding.
        design: the wheel that it is of.
    """
    if not finding.where:
        return _named(design, finding.says)
    where = _FROM_TO.sub("", finding.where)
    things = finding.things
    pieces = [p.name for p in design.pulleys if any(p.name in thing.grooves for thing in things)]
    bodies = [thing.says for thing in things if '"' not in thing.says]
    return list(dict.fromkeys([*_named(design, where), *pieces, *bodies]))


def _named(design: Design, text: str) -> list[str]:
    """Return the names of bands, pulleys and shafts in a text; the spindle may be called so."""
    names = [band.name for band in design.bands]
    names += [pulley.name for pulley in design.pulleys] + [shaft.name for shaft in design.shafts]
    quoted = [name for name in names if f'"{name}"' in text]
    if not quoted and {"spindle", "cop"} & set(text.replace(",", "").split()):
        return [design.spindle.shaft]
    return quoted or [name for name in names if text == name]


def places(solution: Solution, scene: Scene, view: View) -> dict[str, list[float]]:
    """Return where the name of each part may be pointed at in a view, and how large the part is.

    Of the parts that a finding speaks of it is the smallest that tells where: a run meets a whorl
    at the whorl, and a wall meets a bearing at the bearing. A band without a path is missed at the
    smallest pulley that it should go over.

    Args:
        solution: the solved wheel.
        scene: what is seen of it.
        view: the view.

    Returns:
        Of each part x, y (down) and its size, mm, by its name.
    """
    found = {name: (point, size) for name, point, size in _around(scene)}
    for body in scene.of_kind("shaft"):
        low, high = body.ends_mm
        found[body.name] = (body.point(0.5 * (low + high)), high - low)
    for body in scene.of_kind("pulley"):
        edge = along(body.point(0.0), sideways(body.axis, view), -0.5 * body.radius_mm)
        found[body.name] = (edge, 2.0 * body.radius_mm)
    for cord in scene.cords:
        found[cord.name] = (cord.runs[0].at(0.35), math.fsum(c.length_mm for c in cord.curves))
    for name in solution.pathless:
        route = (found[stop.pulley] for stop in solution.band(name).band.route)
        found[name] = min(route, key=itemgetter(1))
    seen_at = {name: (*view.place(point), size) for name, (point, size) in found.items()}
    return {n: [round(x, 3), round(-y, 3), round(size, 3)] for n, (x, y, size) in seen_at.items()}


def _around(scene: Scene) -> Iterable[tuple[str, Vector, float]]:
    """Yield name, middle and greatest measure of what holds the drive and is turned by it."""
    for body in scene.around:
        if isinstance(body, TurnedBody):
            low, high = body.ends_mm
            middle, size = body.point(0.5 * (low + high)), max(high - low, 2.0 * body.radius_mm)
        else:
            corners = (*body.low, *body.high)
            total = (0.0, 0.0, 0.0)
            for corner in corners:
                total = add(total, corner)
            middle = scale(total, 1.0 / len(corners))
            size = 2.0 * max(norm(sub(corner, middle)) for corner in corners)
        yield body.name, middle, size
