"""Exact outlines of what is cut: circles, and closed chains of lines and true arcs.

One model that every product of the shop is taken from: cut files, paper templates, sheets and
solids. Nothing here is ever broken into little lines, except by ``points`` for a plot, which says
how far its chords may run from the true curve.

Glossary: an *outline* is one closed curve, run counter-clockwise; the *outside* of a part is cut
on its waste side, its *holes* within; a *mark* is a centre to be drilled or pricked; a *label* is
engraved text.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from wheelgeo.errors import ShapeError
from wheelgeo.geometry.segments import (
    SAME_MM,
    Arc,
    Box,
    Line,
    Point,
    Segment,
    arc_between,
    boxes_apart,
    corner_points,
    meetings,
    on_circle,
)
from wheelgeo.immutable import dataclass
from wheelgeo.units.in_full import Told, figures

__all__ = [
    "Arc", "Box", "Circle", "Label", "Line", "Loop", "Outline", "Part", "Place", "Point",
    "Segment", "arc_between", "loops_meet", "polygon_outline", "rectangle",
]  # fmt: skip

JOINT_MM = 1e-4
"""Neighbours may only meet within this distance of the corner they share, mm."""


@dataclass(frozen=True)
class Place:
    """A rigid move in the plane: mirror at the y axis first, then turn, then shift.

    Attributes:
        shift_mm: along x and y.
        turn_deg: counter-clockwise about the origin.
        mirror: whether x changes sign first.
    """

    shift_mm: Point = (0.0, 0.0)
    turn_deg: float = 0.0
    mirror: bool = False

    def point(self, p: Point) -> Point:
        """Return where a point goes."""
        x, y = (-p[0] if self.mirror else p[0]), p[1]
        c, s = on_circle((0.0, 0.0), 1.0, self.turn_deg)
        return (c * x - s * y + self.shift_mm[0], s * x + c * y + self.shift_mm[1])

    def angle(self, angle_deg: float) -> float:
        """Return where a direction goes, degrees."""
        return (180.0 - angle_deg if self.mirror else angle_deg) + self.turn_deg

    def segment(self, piece: Segment) -> Segment:
        """Return where a line or an arc goes."""
        if isinstance(piece, Line):
            return Line(self.point(piece.start), self.point(piece.end))
        return Arc(
            self.point(piece.centre),
            piece.radius_mm,
            self.angle(piece.start_deg),
            self.angle(piece.end_deg),
            piece.counter_clockwise != self.mirror,
        )


@dataclass(frozen=True)
class Circle:
    """A full circle, mm."""

    centre: Point
    radius_mm: float

    def __post_init__(self) -> None:
        if not (self.radius_mm > SAME_MM and math.isfinite(self.radius_mm)):
            raise ShapeError(f"a circle needs a radius, not {self.radius_mm:g} mm")

    @property
    def area_mm2(self) -> float:
        """Its area, mm²."""
        return math.pi * self.radius_mm**2

    @property
    def length_mm(self) -> float:
        """Its circumference, mm."""
        return 2.0 * math.pi * self.radius_mm

    @property
    def box(self) -> Box:
        """Its bounding box."""
        (x, y), r = self.centre, self.radius_mm
        return (x - r, y - r, x + r, y + r)

    @property
    def segments(self) -> tuple[Segment, ...]:
        """The circle as two half arcs."""
        return (
            Arc(self.centre, self.radius_mm, 0.0, 180.0),
            Arc(self.centre, self.radius_mm, 180.0, 360.0),
        )

    def moved(self, place: Place) -> Circle:
        """Return it where a move puts it."""
        return Circle(place.point(self.centre), self.radius_mm)

    def points(self, chord_mm: float) -> list[Point]:
        """Return the corners of a polygon on it, its chords never farther off than ``chord_mm``."""
        return [p for s in self.segments for p in s.chords(chord_mm)]


@dataclass(frozen=True)
class Outline:
    """A closed chain of lines and arcs, run counter-clockwise, that nowhere meets itself.

    Raises:
        ShapeError: it has gaps, pieces without length, runs clockwise or meets itself.
    """

    segments: tuple[Segment, ...]

    def __post_init__(self) -> None:
        _check_chain(self.segments)
        if self.area_mm2 <= 0.0:
            raise ShapeError("an outline must run counter-clockwise")
        _check_simple(self.segments)

    @property
    def area_mm2(self) -> float:
        """The area within, mm² (Green's theorem; exact for lines and arcs)."""
        x, y = self.segments[0].start
        home = Place((-x, -y))
        return math.fsum(home.segment(s).swept_mm2 for s in self.segments)

    @property
    def length_mm(self) -> float:
        """Its length, mm."""
        return math.fsum(s.length_mm for s in self.segments)

    @property
    def box(self) -> Box:
        """Its bounding box."""
        return join_boxes([s.box for s in self.segments])

    def moved(self, place: Place) -> Outline:
        """Return it where a move puts it."""
        moved = tuple(place.segment(s) for s in self.segments)
        # a rigid move keeps what has been checked: it is not checked again
        outline = object.__new__(Outline)
        object.__setattr__(outline, "segments", _reversed(moved) if place.mirror else moved)
        return outline

    def points(self, chord_mm: float) -> list[Point]:
        """Return the corners of a polygon, none of its chords farther off than ``chord_mm``."""
        return [p for s in self.segments for p in s.chords(chord_mm)]


Loop = Circle | Outline
"""One closed cut."""


@dataclass(frozen=True)
class Label:
    """Engraved text, its middle (or its left end, at middle height) at a point.

    Attributes:
        text: one line.
        at: the point.
        height_mm: height of a capital.
        turn_deg: direction of writing, counter-clockwise from x.
        anchor: which point of the text stands at ``at``.
    """

    text: str
    at: Point
    height_mm: float = 4.0
    turn_deg: float = 0.0
    anchor: Literal["middle", "left"] = "middle"

    def moved(self, place: Place) -> Label:
        """Return it where a move puts it; a mirrored part still reads from left to right."""
        turn = place.turn_deg - self.turn_deg if place.mirror else self.turn_deg + place.turn_deg
        return replace(self, at=place.point(self.at), turn_deg=turn)


@dataclass(frozen=True)
class Part:
    """One part to be cut.

    Attributes:
        name: its name, unique within a set; made from the names in the file.
        role: what it is: ``face``, ``section``, ``core``, ``cheek``, ``crank arm``, ``floor`` …
        outside: the outline, cut on its outer side; None where only holes are wanted.
        holes: closed cuts within it.
        drills: round holes to drill.
        marks: centre marks.
        engraved: lines and arcs to engrave.
        labels: engraved text.
        thickness_mm: thickness of the sheet; None where it is not cut from sheet.
        quantity: how many to cut.
        grain: whether the grain must run along x (``along``) or does not matter (``any``).
        material: name of the material, or None.
        notes: what to know about it, one sentence each.
        sides: what its edges are called in the wheel: right, upper, left and lower edge as it is
            drawn without a turn, and the side that it is seen from; empty where it may lie anyhow.
        turned_deg: how far it is turned from where its grain and its ``sides`` are told.
    """

    name: str
    role: str
    outside: Loop | None
    holes: tuple[Loop, ...] = ()
    drills: tuple[Circle, ...] = ()
    marks: tuple[Point, ...] = ()
    engraved: tuple[Segment, ...] = ()
    labels: tuple[Label, ...] = ()
    thickness_mm: float | None = None
    quantity: int = 1
    grain: Literal["along", "any"] = "any"
    material: str | None = None
    notes: tuple[str, ...] = ()
    sides: tuple[str, ...] = ()
    turned_deg: float = 0.0

    def __post_init__(self) -> None:
        """Keep the lengths of its notes as they are, and tell them rounded."""
        vars(self)["notes"] = tuple(map(Told, self.notes))

    @property
    def loops(self) -> tuple[Loop, ...]:
        """Every closed cut and drilled hole, holes first."""
        outside = () if self.outside is None else (self.outside,)
        return (*self.drills, *self.holes, *outside)

    @property
    def box(self) -> Box:
        """Bounding box of everything that is cut or engraved."""
        boxes = [item.box for item in (*self.loops, *self.engraved)]
        boxes += [(x, y, x, y) for x, y in self.marks]
        return join_boxes(boxes)

    @property
    def area_mm2(self) -> float:
        """Area of the part less its holes, mm²; negative where only holes are wanted."""
        whole = 0.0 if self.outside is None else self.outside.area_mm2
        return whole - math.fsum(h.area_mm2 for h in (*self.holes, *self.drills))

    @property
    def cut_length_mm(self) -> float:
        """Length of all cuts, mm; drilled holes are not cut."""
        loops = (*self.holes, *(() if self.outside is None else (self.outside,)))
        return math.fsum(loop.length_mm for loop in loops)

    def moved(self, place: Place) -> Part:
        """Return it where a move puts it."""
        return replace(
            self,
            outside=None if self.outside is None else self.outside.moved(place),
            holes=tuple(h.moved(place) for h in self.holes),
            drills=tuple(d.moved(place) for d in self.drills),
            marks=tuple(place.point(m) for m in self.marks),
            engraved=tuple(place.segment(e) for e in self.engraved),
            labels=tuple(label.moved(place) for label in self.labels),
            turned_deg=self.turned_deg + place.turn_deg,
        )


def join_boxes(boxes: Sequence[Box]) -> Box:
    """Return the box round boxes; ShapeError where there are none."""
    if not boxes:
        raise ShapeError("there is nothing to cut")
    return (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )


def polygon_outline(corners: Sequence[Point]) -> Outline:
    """Return the outline through corners, either way round."""
    ring = tuple(Line(p, q) for p, q in zip(corners, [*corners[1:], corners[0]], strict=True))
    anticlockwise = math.fsum(line.swept_mm2 for line in ring) > 0.0
    return Outline(ring if anticlockwise else _reversed(ring))


def rectangle(box: Box) -> Outline:
    """Return the outline of a box."""
    x1, y1, x2, y2 = box
    return polygon_outline([(x1, y1), (x2, y1), (x2, y2), (x1, y2)])


def loops_meet(a: Loop, b: Loop) -> bool:
    """Return whether two closed cuts touch or cross."""
    if boxes_apart(a.box, b.box):
        return False
    return any(meetings(s, t) for s in a.segments for t in b.segments)


def _reversed(segments: Sequence[Segment]) -> tuple[Segment, ...]:
    return tuple(s.reversed() for s in reversed(segments))


def _check_chain(segments: tuple[Segment, ...]) -> None:
    """Raise ShapeError where pieces have no length or do not join end to start."""
    if len(segments) < 2:
        raise ShapeError("an outline needs at least two pieces")
    for piece in segments:
        if not (piece.length_mm > SAME_MM and math.isfinite(piece.length_mm)):
            raise ShapeError(f"a piece of an outline has no length, at {_spot(piece.start)}")
    for piece, following in corner_points(segments):
        gap = math.dist(piece.end, following.start)
        if not gap <= SAME_MM:
            raise ShapeError(f"an outline is open by {figures(gap, 3)} mm at {_spot(piece.end)}")


def _check_simple(segments: tuple[Segment, ...]) -> None:
    """Raise ShapeError where pieces meet elsewhere than at the corner that they share."""
    count = len(segments)
    boxes = [s.box for s in segments]
    for i in range(count):
        for j in range(i + 1, count):
            if boxes_apart(boxes[i], boxes[j]):
                continue
            corners = [segments[i].end] if j == i + 1 else []
            corners += [segments[j].end] if (j + 1) % count == i else []
            for p in meetings(segments[i], segments[j]):
                if not any(math.dist(p, c) <= JOINT_MM for c in corners):
                    raise ShapeError(f"an outline meets itself at {_spot(p)}")


def _spot(p: Point) -> str:
    return f"({p[0]:.3f}, {p[1]:.3f})"
