"""What the slides of a wheel do to its bands: the length of a path anywhere on their travel."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from wheelgeo.design.model import Shaft, Slide
from wheelgeo.drive.train import Solution, pitch_circles, try_path
from wheelgeo.geometry.vectors import along
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class SlideRange:
    """A band's path at both ends of the travel of the sliding shafts that it meets.

    Attributes:
        shaft: the shaft that slides; the first of them that the band meets.
        from_mm: where its travel begins.
        to_mm: where it ends.
        path_at_from_mm: length of the path there; None where there is none.
        path_at_to_mm: likewise at the other end.
    """

    shaft: str
    from_mm: float
    to_mm: float
    path_at_from_mm: float | None
    path_at_to_mm: float | None


def slide_range(solution: Solution, name: str) -> SlideRange | None:
    """Return what path lengths the slides of a band give it; None where no shaft of it slides.

    Shafts that slide on one carriage (flyer and bobbin) are each written with the slide, so all
    that the band meets go to the same end together.

    Args:
        solution: the solved wheel.
        name: the band.
    """
    first = next((shaft for shaft in _met(solution, name) if shaft.slide is not None), None)
    if first is None or first.slide is None:
        return None
    begin, end = first.slide.from_mm, first.slide.to_mm
    length_at = length_on_slide(solution, name)
    return SlideRange(first.name, begin, end, length_at(begin), length_at(end))


def length_on_slide(solution: Solution, name: str) -> Callable[[float], float | None]:
    """Return the length of a band's path, mm, as a function of the place on its slide, mm.

    Args:
        solution: the solved wheel.
        name: the band; where no shaft of it slides its length is the same everywhere.

    Returns:
        The function; None where there is no path at that place. The place counts along the slide
        of the first sliding shaft that the band meets, 0 where the file has it; the others that
        slide go the same share of their own travel.
    """
    design, motion, met = solution.design, solution.band(name), _met(solution, name)
    slides = {s.name: s.slide for s in met if s.slide is not None}
    first = next(iter(slides.values()), None)

    def length_at(place_mm: float) -> float | None:
        def slid(shaft: Shaft) -> Shaft:
            slide = slides.get(shaft.name)
            if slide is None or first is None:
                return shaft
            travel = _same_share(first, slide, place_mm)
            return replace(shaft, at_mm=along(shaft.at_mm, slide.along, travel))

        moved = replace(design, shafts=tuple(slid(s) for s in design.shafts))
        path, _ = try_path(pitch_circles(moved, motion.band, motion.seats, motion.senses[0]))
        return None if path is None else path.length_mm

    return length_at


def _met(solution: Solution, name: str) -> list[Shaft]:
    """Return the shafts that a band meets, in route order."""
    design = solution.design
    return [design.shaft(design.pulley(s.pulley).shaft) for s in solution.band(name).band.route]


def _same_share(first: Slide, other: Slide, place_mm: float) -> float:
    """Return where a shaft stands on its slide when the first stands at ``place_mm`` on its own."""
    way = first.to_mm - first.from_mm
    share = (place_mm - first.from_mm) / way if way else 0.0
    return other.from_mm + share * (other.to_mm - other.from_mm)
