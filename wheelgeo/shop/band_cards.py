"""The cards of a wheel's bands: one page for each, to hang where it is cut and tied."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelgeo.check.answer import Answer
from wheelgeo.check.answer_parts import BandAnswer
from wheelgeo.design.joints import CLOSED_RING, growth_of
from wheelgeo.shop import old_wheel_words as words
from wheelgeo.shop.band_words import stretch_known
from wheelgeo.shop.bench_set import BAND_CARDS, Job, MadeFile
from wheelgeo.shop.old_wheel_card import strip
from wheelgeo.shop.sheet import Block, Heading, Listing, Notice, Pairs, Picture, Sheet, Table
from wheelgeo.units.in_full import figures
from wheelgeo.units.written import LengthUnit, length_with_unit, with_lengths


def band_cards(answer: Answer) -> Sheet:
    """Return the cards of all bands of a wheel, a page for each.

    Args:
        answer: what ``solve`` says of it; every band has a path.

    Raises:
        ValueError: there is no band, or one has no path.
    """
    if not answer.bands or any(band.length_mm is None for band in answer.bands):
        raise ValueError("a band without a path has no card")
    blocks: list[Block] = []
    for count, band in enumerate(answer.bands):
        blocks += [Heading(band.name, new_page=count > 0), *_card(answer, band)]
    many = "A page for each band" if len(answer.bands) > 1 else "The card of its band"
    return Sheet(answer.design.title, f"{many}, to hang where it is cut and joined.", tuple(blocks))


def _card(answer: Answer, band: BandAnswer) -> Iterator[Block]:
    design = answer.design
    unit: LengthUnit = "in/64" if design.unit == "in" else "mm"
    said = length_with_unit(unit)
    joint, growth = words.joint_in(design, band.name), growth_of(design.band(band.name).material)
    ring = joint.name == CLOSED_RING
    take = words.to_take(band, design, said)
    yield Notice("What to take" if ring else "What to cut", (f"{take[0].upper()}{take[1:]}.",))
    yield Pairs(tuple(_figures(answer, band, unit)))
    wraps = tuple(
        (stop.name, words.shown(stop.pitch_diameter_mm, said), f"{stop.wrap_deg:.0f}°")
        for stop in band.pulleys if stop.wrap_deg is not None
    )  # fmt: skip
    yield Table("It runs over", ("Pulley", "Pitch diameter", "Wrap"), wraps, (2.0, 1.0, 1.0))
    yield Heading("Order of fitting" if ring else "Order of tying")
    yield Listing(tuple(_order(answer, band, unit)), numbered=True)
    faults = (f for f in answer.findings if f.level == "fault" and f'"{band.name}"' in
              (f.where + f.says))  # fmt: skip
    when = "when the slide stands at its far end" if band.slide else "when it begins to slip"
    then = f"Change it for a smaller one {when}" if ring else f"Shorten it {when}"
    assert band.length_mm is not None
    yield Notice(
        "When to worry",
        (
            *(f"{with_lengths(f.says, said)}." for f in faults),
            f"{joint.name.capitalize()}: {joint.caution}",
            f"In its first months it grows by about {said(growth.creep * band.length_mm)}; "
            f"{growth.says}. {then}.",
            "Keep fingers, hair and sleeves clear, and never lift a band while it runs.",
        ),
    )
    yield Picture(
        strip(),
        "Print at 100 %. Strip: cut it out, wrap it round a whorl, read the diameter at zero. "
        "Tongue: a groove's depth.",
    )


def _figures(answer: Answer, band: BandAnswer, unit: LengthUnit) -> Iterator[tuple[str, str]]:
    said, cord = length_with_unit(unit), answer.design.band(band.name)
    crossed = ", crossed" if cord.crossed else ""
    thick = words.bored_size((band.bought_diameter_mm,), answer.design.unit)
    yield ("Cord", f"{cord.material}, {thick} thick{crossed}")
    assert band.length_mm is not None
    along = "along its centre-line" if band.joint == CLOSED_RING else "without its joint"
    yield ("Lengths", f"{words.shown(band.cut_length_mm, said)} {along}, "
                      f"{said(band.length_mm)} in place")  # fmt: skip
    assumed = " (assumed)" if band.stretch_assumed else ""
    yield ("Stretch", f"put on by {figures(100.0 * band.stretch, 3)} %{assumed}")
    if band.from_measuring_mm is not None and band.from_stretch_mm is not None:
        stretch = "none" if stretch_known(band) else f"± {said(band.from_stretch_mm)}"
        yield ("How sure (95 %)", f"cut ± {words.shown(band.cut_length_uncertainty_mm, said)}: ± "
               f"{said(band.from_measuring_mm)} from measuring, {stretch} from stretch")


def _order(answer: Answer, band: BandAnswer, unit: LengthUnit) -> Iterator[str]:
    said, cord = length_with_unit(unit), answer.design.band(band.name)
    joint = words.joint_in(answer.design, band.name)
    if (slide := band.slide) is not None:
        ends = [(path, at) for path, at in ((slide.path_at_from_mm, slide.from_mm),
                                            (slide.path_at_to_mm, slide.to_mm))
                if path is not None]  # fmt: skip
        path, at = min(ends, default=(None, 0.0))
        near = math.isclose(at, 0.0, abs_tol=1e-9)
        if path is None:
            yield f"Set {slide.shaft} as it is drawn, 0 on its slide."
        else:
            where = "at" if near else f"{said(abs(at))} from"
            yield f"Set {slide.shaft} {where} the end of its slide where the band is shortest."
        if path is not None and not near and joint.name != CLOSED_RING:
            cut = band.cut_over_mm(path)
            yield (
                "Or, for most growth, set it at that end: then cut "
                f"{said(cut)}{joint.to_tie_by(cut, said)}."
            )
    if joint.name != CLOSED_RING:
        yield words.cutting(band, joint, said)
    route = ", ".join(stop.pulley for stop in cord.route)
    crosses = ", crossed once as a figure of eight," if cord.crossed else ""
    yield f"Lay it over {route}{crosses} and back to {cord.route[0].pulley}, before it is closed."
    yield joint.made if joint.name == CLOSED_RING else f"Join it: {joint.name}. {joint.made}"
    yield "Turn the wheel slowly by hand, forwards and back: the band must stay in its grooves."


def make_cards(job: Job) -> list[MadeFile]:
    """Return the cards of a wheel's bands as a PDF."""
    from wheelgeo.shop.sheet_pdf import sheet_pdf

    page = sheet_pdf(band_cards(job.answer), "A4")
    return [MadeFile(BAND_CARDS, page, "cards of the bands", "cards")]
