"""Lines and true arcs in the plane, millimetres: the pieces that every outline is made of.

An arc is directed: it runs from ``start_deg`` to ``end_deg``, counter-clockwise or clockwise as
it says, through less than a full turn. Angles are in degrees, counter-clockwise from x.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from wheelgeo.immutable import dataclass

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""Least x, least y, largest x, largest y, mm."""

SAME_MM = 1e-9
"""Two points closer than this are the same point, mm."""


@dataclass(frozen=True)
class Line:
    """A straight piece from ``start`` to ``end``, mm."""

    start: Point
    end: Point

    @property
    def length_mm(self) -> float:
        """Its length, mm."""
        return math.dist(self.start, self.end)

    @property
    def swept_mm2(self) -> float:
        """Signed area between the line and the origin: its share of the area of an outline."""
        return 0.5 * (self.start[0] * self.end[1] - self.end[0] * self.start[1])

    @property
    def box(self) -> Box:
        """Its bounding box."""
        (x1, y1), (x2, y2) = self.start, self.end
        return (min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))

    @property
    def bulge(self) -> float:
        """Tangent of a quarter of the angle swept; 0, since it is straight."""
        return 0.0

    def reversed(self) -> Line:
        """Return the same line run the other way."""
        return Line(self.end, self.start)

    def moved(self, dx: float, dy: float) -> Line:
        """Return the same line elsewhere."""
        (x1, y1), (x2, y2) = self.start, self.end
        return Line((x1 + dx, y1 + dy), (x2 + dx, y2 + dy))

    def flipped(self) -> Line:
        """Return its image in the x axis, run from the image of its start."""
        return Line((self.start[0], -self.start[1]), (self.end[0], -self.end[1]))

    def tangent(self, at_end: bool) -> Point:  # noqa: ARG002 - the same at both ends
        """Return the unit direction of travel at one end."""
        length = self.length_mm
        return (
            (self.end[0] - self.start[0]) / length,
            (self.end[1] - self.start[1]) / length,
        )

    def chords(self, chord_mm: float) -> list[Point]:  # noqa: ARG002 - exact already
        """Return the points of a chain of chords, without the end point."""
        return [self.start]

    def split(self, count: int) -> list[Point]:  # noqa: ARG002 - exact already
        """Return the points of a chain of so many chords, without the end point; here of one."""
        return [self.start]


@dataclass(frozen=True)
class Arc:
    """A directed arc of a circle, mm and degrees."""

    centre: Point
    radius_mm: float
    start_deg: float
    end_deg: float
    counter_clockwise: bool = True

    @property
    def sweep_deg(self) -> float:
        """Angle swept, positive counter-clockwise, less than a full turn."""
        if self.counter_clockwise:
            return (self.end_deg - self.start_deg) % 360.0
        return -((self.start_deg - self.end_deg) % 360.0)

    @property
    def start(self) -> Point:
        """Where it begins."""
        return on_circle(self.centre, self.radius_mm, self.start_deg)

    @property
    def end(self) -> Point:
        """Where it ends."""
        return on_circle(self.centre, self.radius_mm, self.end_deg)

    @property
    def length_mm(self) -> float:
        """Its length, mm."""
        return self.radius_mm * math.radians(abs(self.sweep_deg))

    @property
    def swept_mm2(self) -> float:
        """Signed area between the arc and the origin: its share of the area of an outline."""
        (sx, sy), (ex, ey) = self.start, self.end
        cx, cy = self.centre
        sector = 0.5 * self.radius_mm**2 * math.radians(self.sweep_deg)
        return sector + 0.5 * (cx * (ey - sy) - cy * (ex - sx))

    @property
    def box(self) -> Box:
        """Its bounding box."""
        corners = [self.start, self.end]
        corners += [
            on_circle(self.centre, self.radius_mm, quarter)
            for quarter in (0.0, 90.0, 180.0, 270.0)
            if self.holds_angle(quarter)
        ]
        xs, ys = [p[0] for p in corners], [p[1] for p in corners]
        return (min(xs), min(ys), max(xs), max(ys))

    @property
    def bulge(self) -> float:
        """Tangent of a quarter of the angle swept, as polylines of a drawing file keep an arc."""
        return math.tan(math.radians(self.sweep_deg) / 4.0)

    def holds_angle(self, angle_deg: float, slack_deg: float = 1e-12) -> bool:
        """Return whether a direction from the centre lies within the arc."""
        turned = (
            angle_deg - self.start_deg if self.counter_clockwise else self.start_deg - angle_deg
        )
        turned %= 360.0
        return turned <= abs(self.sweep_deg) + slack_deg or turned >= 360.0 - slack_deg

    def reversed(self) -> Arc:
        """Return the same arc run the other way."""
        return Arc(
            self.centre, self.radius_mm, self.end_deg, self.start_deg, not self.counter_clockwise
        )

    def moved(self, dx: float, dy: float) -> Arc:
        """Return the same arc elsewhere."""
        return replace(self, centre=(self.centre[0] + dx, self.centre[1] + dy))

    def flipped(self) -> Arc:
        """Return its image in the x axis, run from the image of its start."""
        centre, turns = (self.centre[0], -self.centre[1]), not self.counter_clockwise
        return Arc(centre, self.radius_mm, -self.start_deg, -self.end_deg, turns)

    def tangent(self, at_end: bool) -> Point:
        """Return the unit direction of travel at one end."""
        angle = math.radians(self.end_deg if at_end else self.start_deg)
        sign = 1.0 if self.counter_clockwise else -1.0
        return (-sign * math.sin(angle), sign * math.cos(angle))

    def chords(self, chord_mm: float) -> list[Point]:
        """Return the points of a chain of chords, without the end point.

        Args:
            chord_mm: farthest that a chord may run from the arc, mm.
        """
        return self.split(chord_count(self.radius_mm, self.sweep_deg, chord_mm))

    def split(self, count: int) -> list[Point]:
        """Return the points of a chain of so many equal chords, without the end point."""
        return [
            on_circle(self.centre, self.radius_mm, self.start_deg + self.sweep_deg * i / count)
            for i in range(count)
        ]


Segment = Line | Arc


def comparable(point: Sequence[float]) -> Point:
    """Return a point to a millionth of a millimetre: those that lie on one another are equal."""
    return (round(point[0], 6) + 0.0, round(point[1], 6) + 0.0)  # + 0.0: no -0.0


def on_circle(centre: Point, radius_mm: float, angle_deg: float) -> Point:
    """Return the point of a circle in a direction; exact at the quarter turns."""
    quarters, rest = divmod(angle_deg % 360.0, 90.0)
    if rest == 0.0:
        x, y = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters) % 4]
    else:
        x, y = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return (centre[0] + radius_mm * x, centre[1] + radius_mm * y)


def chain(*points: Point) -> tuple[Line, ...]:
    """Return the lines from point to point, none where two points are the same."""
    return tuple(Line(p, q) for p, q in pairwise(points) if math.dist(p, q) > SAME_MM)


def chord_count(radius_mm: float, sweep_deg: float, chord_mm: float) -> int:
    """Return how many equal chords keep within ``chord_mm`` of an arc."""
    if chord_mm >= radius_mm:
        return max(3, math.ceil(abs(sweep_deg) / 120.0))
    step = 2.0 * math.acos(1.0 - chord_mm / radius_mm)
    return max(1, math.ceil(math.radians(abs(sweep_deg)) / step))


def arc_between(centre: Point, start: Point, end: Point, counter_clockwise: bool) -> Arc:
    """Return the arc round a centre from one point to another; the radius is the start's."""
    start_deg = math.degrees(math.atan2(start[1] - centre[1], start[0] - centre[0]))
    end_deg = math.degrees(math.atan2(end[1] - centre[1], end[0] - centre[0]))
    return Arc(centre, math.dist(centre, start), start_deg, end_deg, counter_clockwise)


def boxes_apart(a: Box, b: Box) -> bool:
    """Return whether two bounding boxes have no point in common."""
    return (
        a[2] < b[0] - SAME_MM or b[2] < a[0] - SAME_MM
        or a[3] < b[1] - SAME_MM or b[3] < a[1] - SAME_MM
    )  # fmt: skip


def meetings(a: Segment, b: Segment) -> list[Point]:
    """Return the points that two segments have in common.

    Where they run along one another for a stretch, the ends of that stretch are returned.
    """
    if boxes_apart(a.box, b.box):
        return []
    if isinstance(a, Line):
        return _line_line(a, b) if isinstance(b, Line) else _line_arc(a, b)
    return _line_arc(b, a) if isinstance(b, Line) else _arc_arc(a, b)


def _line_line(a: Line, b: Line) -> list[Point]:
    (ux, uy), (vx, vy) = a.tangent(False), b.tangent(False)
    wx, wy = b.start[0] - a.start[0], b.start[1] - a.start[1]
    turn = ux * vy - uy * vx
    if abs(turn) < 1e-12:
        ends = [b.start, b.end, a.start, a.end]
        return [p for p in ends if _on_line(a, p) and _on_line(b, p)]
    s, t = (wx * vy - wy * vx) / turn, (wx * uy - wy * ux) / turn
    inside_a = -SAME_MM <= s <= a.length_mm + SAME_MM
    inside_b = -SAME_MM <= t <= b.length_mm + SAME_MM
    return [(a.start[0] + ux * s, a.start[1] + uy * s)] if inside_a and inside_b else []


def _on_line(line: Line, p: Point) -> bool:
    (ux, uy), length = line.tangent(False), line.length_mm
    wx, wy = p[0] - line.start[0], p[1] - line.start[1]
    return abs(ux * wy - uy * wx) <= SAME_MM and -SAME_MM <= ux * wx + uy * wy <= length + SAME_MM


def _line_arc(line: Line, arc: Arc) -> list[Point]:
    (ux, uy), length = line.tangent(False), line.length_mm
    wx, wy = arc.centre[0] - line.start[0], arc.centre[1] - line.start[1]
    along, aside = ux * wx + uy * wy, ux * wy - uy * wx
    if abs(aside) > arc.radius_mm + SAME_MM:
        return []
    half = math.sqrt(max(arc.radius_mm**2 - aside**2, 0.0))
    places = [along - half, along + half]
    points = [
        (line.start[0] + ux * s, line.start[1] + uy * s)
        for s in places
        if -SAME_MM <= s <= length + SAME_MM
    ]
    return [p for p in points if _on_arc(arc, p)]


def _on_arc(arc: Arc, p: Point) -> bool:
    angle = math.degrees(math.atan2(p[1] - arc.centre[1], p[0] - arc.centre[0]))
    return arc.holds_angle(angle, math.degrees(SAME_MM / arc.radius_mm) + 1e-12)


def _arc_arc(a: Arc, b: Arc) -> list[Point]:
    apart = math.dist(a.centre, b.centre)
    if apart <= SAME_MM:
        if abs(a.radius_mm - b.radius_mm) > SAME_MM:
            return []
        return [p for p in (a.start, a.end, b.start, b.end) if _on_arc(a, p) and _on_arc(b, p)]
    if not abs(a.radius_mm - b.radius_mm) - SAME_MM <= apart <= a.radius_mm + b.radius_mm + SAME_MM:
        return []
    along = (apart**2 + a.radius_mm**2 - b.radius_mm**2) / (2.0 * apart)
    aside = math.sqrt(max(a.radius_mm**2 - along**2, 0.0))
    ux, uy = (b.centre[0] - a.centre[0]) / apart, (b.centre[1] - a.centre[1]) / apart
    points = [
        (a.centre[0] + ux * along - uy * side, a.centre[1] + uy * along + ux * side)
        for side in (aside, -aside)
    ]
    return [p for p in points if _on_arc(a, p) and _on_arc(b, p)]


def corner_points(segments: tuple[Segment, ...]) -> Iterator[tuple[Segment, Segment]]:
    """Yield each segment with the one after it, round the chain."""
    for i, segment in enumerate(segments):
        yield segment, segments[(i + 1) % len(segments)]
