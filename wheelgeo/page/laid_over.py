"""Other wheels laid over the one on the board: remedies, ways, places, and whole wheels."""

from __future__ import annotations

from wheelgeo.design.model import Design
from wheelgeo.drawing.scene import Scene
from wheelgeo.drawing.strokes import Box, Point
from wheelgeo.drawing.view import View
from wheelgeo.errors import SearchError
from wheelgeo.page import seen, told
from wheelgeo.page.open_wheel import Ghost, OpenWheel
from wheelgeo.page.reading import (
    Ask,
    BadAskError,
    Said,
    height_in,
    number_in,
    text_in,
    unit_in,
    views_in,
)
from wheelgeo.page.shown import names_of, scene_in
from wheelgeo.units.written import told_in
from wheelgeo.wheel import Wheel


def ghost_in(opened: OpenWheel, ask: Ask) -> Ghost:
    """Return the ghost that a question names.

    Raises:
        SearchError: it was of the wheel before it was changed.
        BadAskError: there never was one of that name.
    """
    name = text_in(ask, "ghost")
    if (ghost := opened.ghosts.get(name)) is not None:
        return ghost
    if name.isdecimal() and 0 < int(name[:9]) <= opened.laid:
        raise SearchError("the wheel is another one now than when this was asked: ask once more")
    raise BadAskError("no such ghost")


def at_once_over(opened: OpenWheel, laid: Ghost, ask: Ask) -> Said:
    """Return what is told at once of a ghost: numbers beside the wheel's own, findings, lines.

    It is seen from where the wheel on the board is. A whole wheel is laid with its spindle's end
    on that of the other: it stands wherever its own file counts from.
    """
    unit, ghost = unit_in(ask), laid.wheel
    answer, mine = opened.solved(ghost), opened.solved(opened.now)
    scene, own = scene_in(answer, ask), scene_in(mine, ask)
    views = {}
    for one, view in views_in(ask, own):
        x, y = _apart(own, mine.design, scene, answer.design, view) if laid.whole else (0.0, 0.0)
        box = seen.box_of(scene, view) if ask.get("fit") is True else None
        views[one["name"]] = {
            "lines": seen.lines_at_once(scene, view),
            "frame": seen.frame_lines(scene, view, height_in(one)),
            "shift": [x, y],
            "box": box and _moved(box, x, y),
        }
    return {
        "whole": laid.whole,
        "name": ghost.title,
        "names": names_of(ghost.design),
        "cannot_run": answer.cannot_run,
        "twist": told.twist_line(answer, ask.get("back") is True),
        "winding_on": told.winding_on(answer),
        "numbers": told.numbers(answer, mine, unit),
        "findings": told.findings(answer.findings, ghost.design, unit),
        "views": views,
    }


def _apart(own: Scene, design: Design, other: Scene, others: Design, view: View) -> Point:
    """Return how far another wheel is moved in a view to bring the spindles' ends together."""
    ends = [
        view.place(rod.point(rod.ends_mm[1]))
        for scene, of in ((own, design), (other, others))
        for rod in scene.of_kind("shaft") if rod.name == of.spindle.shaft
    ]  # fmt: skip
    (x, y), (x_other, y_other) = ends
    return (round(x - x_other, 3), round(y_other - y, 3))


def _moved(box: Box, x: float, y: float) -> Box:
    return (box[0] + x, box[1] + y, box[2] + x, box[3] + y)


def rest_over(opened: OpenWheel, laid: Ghost, ask: Ask) -> Said:
    """Return the rest of a ghost: its mechanics beside the wheel's own, and every finding."""
    unit, ghost = unit_in(ask), laid.wheel
    checked = opened.checked(ghost)
    return {
        "mechanics": told.mechanics(opened.run(ghost), opened.run(opened.now), unit),
        "findings": told.findings(checked.findings, ghost.design, unit),
        "assumed": told.assumed(checked.assumed, unit),
        "results": told.results(ghost, unit),
    }


def take(opened: OpenWheel, ask: Ask) -> None:
    """Take a ghost: the wheel on the board becomes as it is, in one step."""
    ghost = ghost_in(opened, ask)
    if ghost.whole:
        raise BadAskError("a whole wheel is not taken")
    wheel = Wheel(ghost.wheel.design, opened.now.text, opened.now.source)
    opened.become(wheel, ghost.sets)


def lay_remedy(opened: OpenWheel, ask: Ask) -> Said:
    """Make a ghost of a finding's remedy."""
    rule, where, way = text_in(ask, "rule"), text_in(ask, "where"), int(number_in(ask, "way", 0))
    for finding in opened.checked(opened.now).findings:
        if (finding.rule, finding.where) == (rule, where):
            ways = told.ways_to_try(finding)
            if 0 <= way < len(ways):
                sets = tuple(edit.key for edit in ways[way].edits)
                ghost = opened.lay_over(Ghost(ways[way].apply(), sets=sets))
                return {"ghost": ghost, "says": told_in(ways[way].says, unit_in(ask))}
    raise BadAskError("no such remedy")


def lay_whole(opened: OpenWheel, other: OpenWheel) -> Said:
    """Make a ghost of another wheel on the board."""
    return {"ghost": opened.lay_over(Ghost(other.now, whole=True)), "says": other.now.title}
