"""A wheel as an answer of the page: what is told at once, and a view when it is finished."""

from __future__ import annotations

from wheelgeo.check.answer import Answer
from wheelgeo.design.model import Design
from wheelgeo.drawing.drive_drawing import describe
from wheelgeo.drawing.scene import Scene
from wheelgeo.drawing.scene_of_wheel import scene_of
from wheelgeo.drawing.view import View
from wheelgeo.page import seen, told
from wheelgeo.page.handles import Known, handles
from wheelgeo.page.labels import labels, sizes
from wheelgeo.page.open_wheel import OpenWheel
from wheelgeo.page.pointing import places
from wheelgeo.page.reading import Ask, Said, height_in, unit_in, views_in
from wheelgeo.units.written import LengthUnit
from wheelgeo.wheel import Wheel


def at_once(opened: OpenWheel, wheel: Wheel, was: Wheel, ask: Ask) -> Said:
    """Return what is told within a blink: speeds, paths, findings without remedies, lines."""
    unit, answer = unit_in(ask), opened.solved(wheel)
    scene = scene_in(answer, ask)
    known: Known = {}
    twist = told.twist_line(answer, ask.get("back") is True)
    drawn = f"{answer.cannot_run}." if answer.pathless else "Drawn with its bands running:"
    return {
        "names": names_of(wheel.design),
        "cannot_run": answer.cannot_run,
        "twist": twist,
        "winding_on": told.winding_on(answer),
        "described": f"{describe(answer.solution)} {drawn} {twist}.",
        "numbers": told.numbers(answer, opened.solved(was), unit),
        "findings": told.findings(answer.findings, wheel.design, unit),
        "views": {
            one["name"]: {
                "words": seen.words_of(view),
                "lines": seen.lines_at_once(scene, view),
                "frame": seen.frame_lines(scene, view, height_in(one)),
                "marks": seen.turning_marks(scene, view, height_in(one)),
                "box": seen.box_of(scene, view) if ask.get("fit") is True else None,
                **held_in(answer, scene, view, unit, known),
            }
            for one, view in views_in(ask, scene)
        },
    }


def names_of(design: Design) -> list[str]:
    """Return the names that a file gives, of the wheel and of its parts and materials."""
    return [
        design.title,
        *(shaft.name for shaft in design.shafts),
        *(pulley.name for pulley in design.pulleys),
        *(band.name for band in design.bands),
        *(material.name for material in design.materials),
        *(fibre.name for fibre in design.fibres),
    ]


def scene_in(answer: Answer, ask: Ask) -> Scene:
    """Return the scene of a wheel as it runs, forwards or back."""
    scene = scene_of(answer.solution)
    return seen.backwards(scene) if ask.get("back") is True else scene


def held_in(answer: Answer, scene: Scene, view: View, unit: LengthUnit, known: Known) -> Said:
    """Return what moves in a view, what can be taken hold of, and where each part is."""
    design = answer.design
    speeds = {band.name: band.speed_m_s for band in answer.bands}
    found = [
        {**vars(handle), "pulls": [dict(vars(pull)) for pull in handle.pulls]}
        for handle in handles(design, scene, view, known)
    ]
    for handle in found:
        for pull in handle["pulls"]:
            part, field = pull["key"].partition(":")[0], pull["key"].rpartition(".")[2]
            text = told.input_text(part, field, pull["value"], "mm", unit)
            half = design.uncertainties.get(pull["key"])
            pull["text"] = told.with_half(text, half, "mm", unit)
        handle["text"] = ", ".join(pull["text"] for pull in handle["pulls"])
    return {
        "running": seen.running(scene, view, speeds),
        "handles": found,
        "sizes": sizes(scene, unit),
        "places": places(answer.solution, scene, view),
    }


def finished(design: Design, scene: Scene, view: View, one: Ask, unit: LengthUnit) -> Said:
    """Return a view with what hides what, arrows and, where they are wanted, labels."""
    left, top, right, bottom = seen.box_of(scene, view)
    height = height_in(one, max(right - left, bottom - top))
    pieces = seen.drawn(scene, view)
    drawn: Said = {
        "lines": seen.lines_of(pieces),
        "frame": seen.frame_lines(scene, view, height),
        "marks": seen.turning_marks(scene, view, height),
    }
    if one.get("labels", True):
        rank = 1 if one.get("labels") == "few" else 2 if one.get("labels") == "sizes" else 3
        rings = [handle.at for handle in handles(design, scene, view, {})]
        drawn["labels"] = labels(scene, pieces, view, height, unit, rank, rings)
    return drawn
