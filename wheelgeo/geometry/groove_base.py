"""What every groove of a pulley can be asked, and how a cord lies in it.

Glossary: the *bottom* is the deepest part of the groove; the *flanks* are its straight sides; the
*mouth* is its opening at the rim, between two *edges*; the *catch angle* is the largest lead angle
at which an arriving cord's centre-line crosses the rim within the mouth; the *wedge factor*
multiplies the coefficient of friction.

Every size of a groove may be a numpy array instead of a float (one value a wheel):
``pitch_radius_mm`` is one formula for both. The rest is for floats.
"""


from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import fields, replace
from functools import cache
from typing import Any, ClassVar, Literal, NamedTuple, Self

from wheelgeo.geometry.segments import Segment, chain
from wheelgeo.units.keys import record, size

EPSILON_MM = 1e-9
"""Two lengths closer than this are the same length, mm."""

Contact = Literal["flanks", "edges", "bottom", "not known"]
"""What of a groove a cord touches; the edges are those of the mouth."""

Number = Any
"""A float, or a numpy array of floats."""


@record
class Seat:
    """How a cord lies on a pulley.

    Attributes:
        pitch_radius_mm: from the axis to the centre-line of the cord.
        contact: what it touches.
        trouble: why it does not get in; empty where it does.
        rim_radius_mm: radius of the rim; None where only the pitch is known.
        bottom_radius_mm: radius of the groove's bottom; None where only the pitch is known.
        mouth_mm: width of the mouth at the rim; None for a flat rim and a given pitch.
        catch_deg: largest lead angle that the mouth catches; None where there is no mouth or the
            cord's centre-line lies at the rim or above it.
        wedge: the wedge factor; 1 where nothing wedges the cord.
    """

    pitch_radius_mm: float
    contact: Contact
    trouble: str = ""
    rim_radius_mm: float | None = None
    bottom_radius_mm: float | None = None
    mouth_mm: float | None = None
    catch_deg: float | None = None
    wedge: float = 1.0

    @property
    def seated(self) -> bool:
        """Whether the cord gets in; otherwise it rides on the edges of the mouth."""
        return not self.trouble

    @property
    def pitch_diameter_mm(self) -> float:
        """Twice the pitch radius."""
        return 2.0 * self.pitch_radius_mm


class Growth(NamedTuple):
    """How a size of a groove may grow: by at most so much, in steps; mm or degrees.

    Attributes:
        number: what it is called among the numbers of its pulley.
        start: what it is.
        most: by how much it may grow.
        step: the least change worth making.
        digits: decimals that it is given with.
    """

    number: str
    start: float
    most: float
    step: float = 0.1
    digits: int = 2


@record
class Groove(ABC):
    """What a pulley offers to a cord; lengths in mm, angles in degrees.

    Attributes:
        shape: its word in a design file and on a sheet.
        size_name: by which diameter a file gives its size.
        can_be_cut: whether a tool can make it as it is given.
        has_mouth: whether the cord lies in it, between two edges.
        of_any_width: whether no more is known of its width than that the cord lies on it.
        lies_free: whether a cord always lies on its bottom, wedged between no flanks.
    """

    shape: ClassVar[str]
    size_name: ClassVar[Literal["rim", "pitch"]] = "rim"
    can_be_cut: ClassVar[bool] = True
    has_mouth: ClassVar[bool] = False
    of_any_width: ClassVar[bool] = False
    lies_free: ClassVar[bool] = False

    @property
    def size_mm(self) -> float:
        """The diameter that a file names: of the rim, or of the pitch circle."""
        size: float = getattr(self, self._names()[self.size_name])
        return size

    @abstractmethod
    def pitch_radius_mm(self, cord_mm: Number) -> Number:
        """Return the radius at which the centre-line of a round cord lies; floats or arrays."""

    @abstractmethod
    def seat(self, cord_mm: float) -> Seat:
        """Seat a round cord of that diameter."""

    @abstractmethod
    def to_cut(self, cord_mm: float) -> CutGroove:
        """Return the groove that is cut for the thickest cord that runs on the pulley."""

    @property
    def deep_mm(self) -> float:
        """How far below the rim its bottom lies; 0 where none is known."""
        return 0.0

    @property
    def least_width_mm(self) -> float:
        """How wide its pulley is at the least; 0 where that is not known."""
        return 0.0

    def in_width(self, width_mm: float) -> Self:  # noqa: ARG002 - only a flat rim can give way
        """Return the groove on a pulley of that width."""
        return self

    def alike(self, cord_mm: float, vee_deg: float) -> Groove | None:  # noqa: ARG002
        """Return the groove of another shape that rim and depth cannot tell from it, or None.

        Args:
            cord_mm: diameter of the cord that lies in it.
            vee_deg: the angle that a vee has where nobody measured it.
        """
        return None

    @property
    def opening(self) -> Growth | None:
        """The size that opens its mouth, or None."""
        return None

    @property
    def room(self) -> Growth | None:
        """The size that makes room for a thicker cord, or None."""
        return None

    @property
    def sharpens_from_deg(self) -> float | None:
        """The angle below which a vee in its place grips harder; None where none can be cut."""
        return None

    @classmethod
    def seat_sizes(cls) -> tuple[str, ...]:
        """Return the names of the sizes that a cord's seat hangs on."""
        return tuple(cls._names())

    def sizes(self) -> dict[str, float]:
        """Return its sizes by their names in a design file; lengths in mm, angles in degrees."""
        return {name: getattr(self, attribute) for name, attribute in self._names().items()}

    def put(self, **sizes: Number) -> Self:
        """Return the groove with other sizes, by their names; KeyError where it has none such."""
        names = self._names()
        return replace(self, **{names[name]: size for name, size in sizes.items()})

    @classmethod
    @cache
    def _names(cls) -> dict[str, str]:
        return {each.name.rpartition("_")[0]: each.name for each in fields(cls)}

    def with_size(self, size_mm: float) -> Self:
        """Return the groove with its rim (or the pitch that is given) that large."""
        return self.put(**{self.size_name: size_mm})


@record
class CutGroove(Groove):
    """A groove that a tool can make: it has a rim."""

    rim_mm: float = size("diameter of the rim", '"180 mm"', "linear")

    @property
    def flanks_deg(self) -> Number:
        """The included angle of the flanks; 0 where they are parallel."""
        return 0.0

    @property
    def flat_mm(self) -> Number:
        """Width of the flat that the bottom is; 0 where it is round or sharp."""
        return 0.0

    @property
    def arc_mm(self) -> Number:
        """Radius of the arc that the bottom is; 0 where it is flat or sharp."""
        return 0.0

    @property
    @abstractmethod
    def mouth_mm(self) -> float:
        """How wide it is at the rim."""

    @property
    def least_width_mm(self) -> float:
        """Its mouth."""
        return self.mouth_mm

    @property
    def bottom_diameter_mm(self) -> float:
        """Diameter of the pulley at the bottom of the groove."""
        return self.rim_mm - 2.0 * self.deep_mm

    @abstractmethod
    def words(self) -> str:
        """Return its shape and sizes for a sheet of the shop."""

    def to_cut(self, cord_mm: float) -> CutGroove:  # noqa: ARG002 - it is known
        """Return the groove itself."""
        return self

    def hollow(self, half_width_mm: float = math.inf) -> tuple[Segment, ...]:  # noqa: ARG002
        """Return the outline of the groove below the rim, from its right edge to its left one.

        Args:
            half_width_mm: half the width of the pulley; a wider groove ends at the faces.

        Returns:
            Lines and true arcs; x from the mid-plane along the axis, y from the rim outward, so
            that the groove lies below 0. Nothing for a flat rim.
        """
        return ()

    def profile(self, half_width_mm: float) -> tuple[Segment, ...]:
        """Return the outside of a pulley from its right face to its left one; y from the axis.

        Args:
            half_width_mm: half the width of the pulley.
        """
        rim = 0.5 * self.rim_mm
        hollow = tuple(piece.moved(0.0, rim) for piece in self.hollow(half_width_mm))
        first, last = (half_width_mm, rim), (-half_width_mm, rim)
        if not hollow:
            return chain(first, last)
        return (*chain(first, hollow[0].start), *hollow, *chain(hollow[-1].end, last))

    def half_section(self, half_width_mm: float) -> tuple[Segment, ...]:
        """Return the closed half-section of a pulley of full material, from its axis outward."""
        half, rim = half_width_mm, 0.5 * self.rim_mm
        return (
            *chain((-half, rim), (-half, 0.0), (half, 0.0), (half, rim)), *self.profile(half)
        )  # fmt: skip

    @abstractmethod
    def layered(self, core_mm: float) -> CutGroove:
        """Return what a core disc between two cheeks makes of it."""


def catch_angle_deg(rim_radius: float, pitch_radius: float, mouth: float) -> float | None:
    """Return the largest lead angle at which the mouth catches an arriving cord, degrees.

    The centre-line comes in along a line that touches the pitch cylinder; on its way in it
    crosses the rim cylinder where it still has ``sqrt(rim^2 - pitch^2)`` to go in the mid-plane,
    and ``tan(lead)`` times that to go sideways: that must be within half the mouth.

    Args:
        rim_radius: radius of the rim, mm.
        pitch_radius: pitch radius, mm.
        mouth: width of the mouth, mm.

    Returns:
        The angle, or None where the centre-line lies at the rim or above it.
    """
    if pitch_radius >= rim_radius:
        return None
    to_go = math.sqrt(rim_radius**2 - pitch_radius**2)
    return math.degrees(math.atan2(mouth / 2.0, to_go))


def functions_for(*numbers: Number) -> Any:
    """Return numpy where any number is an array; for floats alone, the few functions of it."""
    if all(isinstance(number, float | int) for number in numbers):
        return Floats
    import numpy

    return numpy


class Floats:
    """The functions of numpy that a seat takes, for floats; numpy itself is slow to import."""

    sin, cos, tan, sqrt = math.sin, math.cos, math.tan, math.sqrt
    maximum = max

    @staticmethod
    def where(condition: bool, then: float, otherwise: float) -> float:
        """Return one or the other."""
        return then if condition else otherwise
