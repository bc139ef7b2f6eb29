"""The order of work on the shop sheet: every step from the first cut to the last band."""

from __future__ import annotations

from wheelgeo.built.as_built import build
from wheelgeo.built.assembly import assembly
from wheelgeo.built.bodies import bodies
from wheelgeo.check.answer import Answer
from wheelgeo.shop.board_parts import base_of, boards
from wheelgeo.shop.built_up_parts import built_up_parts
from wheelgeo.shop.flyer_work import brake_steps, flyer_steps, pull_steps
from wheelgeo.shop.notes_in import note_in
from wheelgeo.shop.order_of_work import assembly_steps, bushes_in, stuck_words, wobble_words
from wheelgeo.shop.screw_places import without_place
from wheelgeo.shop.section import wheels
from wheelgeo.shop.sheet import Block, Heading, Listing, Notice
from wheelgeo.shop.sheet_words import BoardWork, after_assembly, before_assembly
from wheelgeo.units.written import LengthUnit


def order(answer: Answer, unit: LengthUnit) -> list[Block]:
    """Return the order of work: what goes before, the computed assembly, what comes after.

    Args:
        answer: the checked wheel.
        unit: how lengths are written.
    """
    design = answer.design
    pieces, all_bodies, found = wheels(design), bodies(build(design)), assembly(build(design))
    based = base_of(design) is not None
    before = before_assembly(
        any(w.layered for w in pieces), any(not w.layered for w in pieces), design.spindle.kind,
        any(built_up_parts(design, w) for w in pieces),
        BoardWork(bool(boards(design)), based, bushes_in(found),
                  any(b.whole is not None for b in all_bodies), without_place(design)),
    )  # fmt: skip
    slides = any(s.slide is not None for s in design.shafts)
    lies = tuple(lay.says for band in answer.bands for lay in band.lies)
    pulls = tuple(pull_steps(answer.solution))
    kind, twist, wobbles = design.spindle.kind, answer.twist.direction, wobble_words(build(design))
    after = after_assembly(kind, twist, slides, lies, pulls, wobbles, based)
    flyer = (*flyer_steps(design),)
    told = (*before, *flyer, *assembly_steps(found), *brake_steps(design), *after)
    steps = tuple(note_in(step, unit) for step in told)
    blocks: list[Block] = [Heading("Order of work"), Listing(steps, numbered=True, boxes=True)]
    stuck = tuple(stuck_words(found))
    return [*blocks, Notice("This cannot be put together as it is", stuck)] if stuck else blocks
