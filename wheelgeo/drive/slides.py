"""What the slides of a wheel do to its bands: the length of a path anywhere on their travel."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from wheelgeo.design.model import Shaft, Slide
from wheelgeo.drive.train import Solution, pitch_circles, try_path
from wheelgeo.geometry.vectors import along
from wheelgeo.immutable import dataclass

FARTHEST_MM = 400.0
"""No slide is looked for that goes farther than this from where it stands."""
_WITHIN_MM = 0.01


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


@dataclass(frozen=True)
class TakeUp:
    """What takes up a band as it grows longer: its slide, and the stretch that it may lose.

    Attributes:
        longest_mm: its path where the slide makes it longest; as it is where nothing slides.
        room: by what fraction it may grow until, there, it hangs at the least right stretch.
        growth: by how much it grows in its first months and over the seasons, a fraction.
        least_stretch: the least right stretch, a fraction.
        path_mm: its path as it is.
    """

    longest_mm: float
    room: float
    growth: float
    least_stretch: float
    path_mm: float

    @property
    def room_mm(self) -> float:
        """The same as ``room``, mm; 0 where it hangs slack already."""
        return max(self.room, 0.0) * self.path_mm

    @property
    def growth_mm(self) -> float:
        """The same as ``growth``, mm."""
        return self.growth * self.path_mm

    @property
    def enough(self) -> bool:
        """Whether it need never be shortened and joined anew."""
        return self.room >= self.growth


def take_up(solution: Solution, name: str) -> TakeUp | None:
    """Return what takes up a band as it grows; None where it has no path.

    Args:
        solution: the solved wheel.
        name: the band, cut for where the file has its slides.
    """
    path, made = solution.band(name).path, solution.built.bands[name]
    if path is None:
        return None
    slide = slide_range(solution, name)
    ends = () if slide is None else (slide.path_at_from_mm, slide.path_at_to_mm)
    longest = max((end for end in ends if end is not None), default=path.length_mm)
    room = made.room_to_grow(longest, made.cut_length_mm(path.length_mm))
    return TakeUp(
        longest, room, made.growth.in_all, made.least_stretch, path.length_mm
    )


def far_enough_mm(solution: Solution, name: str) -> tuple[float, bool] | None:
    """Return how far a band's slide must go to take up all its growth.

    Returns:
        The place on the slide of the first sliding shaft that it meets, mm, and whether that is at
        the slide's ``to``; None where nothing slides, or no place within ``FARTHEST_MM`` is far
        enough.
    """
    path, made = solution.band(name).path, solution.built.bands[name]
    slide = slide_range(solution, name)
    if path is None or slide is None or slide.from_mm == slide.to_mm:
        return None
    at_to = (slide.path_at_to_mm or 0.0) >= (slide.path_at_from_mm or 0.0)
    start, other = (slide.to_mm, slide.from_mm) if at_to else (slide.from_mm, slide.to_mm)
    way = 1.0 if start > other else -1.0
    slack = made.cut_length_mm(path.length_mm)
    length_at = length_on_slide(solution, name)

    def enough(more: float) -> bool:
        length = length_at(start + way * more)
        return length is not None and made.room_to_grow(length, slack) >= made.growth.in_all

    near, far = 0.0, 1.0
    while not enough(far):
        near, far = far, 2.0 * far
        if far > FARTHEST_MM:
            return None
    # Halving needs no slope: beyond where it is first enough, the path only becomes longer.
    while far - near > _WITHIN_MM:
        middle = 0.5 * (near + far)
        near, far = (near, middle) if enough(middle) else (middle, far)
    return start + way * far, at_to


def robbed(solution: Solution, name: str, place_mm: float) -> tuple[str, ...]:
    """Return the bands that hang slacker where a band's slide takes it up.

    A shaft between two bands that moves to tighten the one slackens the other; a flyer and its
    bobbin on one carriage tighten both.

    Args:
        solution: the solved wheel.
        name: the band that is taken up.
        place_mm: the place on the slide of the first sliding shaft that it meets, mm.
    """
    design = solution.design
    first = next((s for s in _met(solution, name) if s.slide is not None), None)
    if first is None or first.slide is None:
        return ()
    moved = tuple(
        replace(s, at_mm=along(s.at_mm, s.slide.along, _same_share(first.slide, s.slide, place_mm)))
        if s.slide is not None and s in _met(solution, name) else s
        for s in design.shafts
    )
    there = replace(design, shafts=moved)
    slacker = []
    for motion in solution.bands:
        if motion.band.name != name and motion.path is not None:
            path, _ = try_path(pitch_circles(there, motion.band, motion.seats, motion.senses[0]))
            if path is None or path.length_mm < motion.path.length_mm - _WITHIN_MM:
                slacker.append(motion.band.name)
    return tuple(slacker)


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
