"""Rings that can be bought as bands: standard sizes, and how a ring thins as it is stretched.

The sizes are inside diameter and section of AS568 (the inch series that ISO 3601-1 took over).
``looked_up`` tells whether the row was seen in a published table; the others are the series' inch
size times 25.4, from memory, and so are all tolerances: hold them against a licensed table before
you buy by them.
"""

from __future__ import annotations

import math

from wheelgeo.immutable import dataclass

SOURCE = "AS568 / ISO 3601-1, inside diameter and section"


@dataclass(frozen=True)
class Ring:
    """A closed ring, as bought.

    Attributes:
        name: its dash number in AS568.
        inside_mm: inside diameter.
        section_mm: diameter of its cord.
        tolerance_mm: of the inside diameter, plus or minus, from memory; None where not known.
        looked_up: whether its size was seen in a published table; otherwise it is from memory.
    """

    name: str
    inside_mm: float
    section_mm: float
    tolerance_mm: float | None
    looked_up: bool

    @property
    def slack_length_mm(self) -> float:
        """Length of its centre-line, slack."""
        return math.pi * (self.inside_mm + self.section_mm)


_SMALL = (  # 1.78 mm section: seen; tolerances not known to us
    ("006", 2.90), ("010", 6.07), ("012", 9.25), ("014", 12.42), ("016", 15.60),
)  # fmt: skip
_SECTION_262 = (
    ("110", 9.19, None), ("112", 12.37, None), ("116", 18.72, None),
    ("155", 101.27, 0.71), ("157", 113.97, 0.76), ("158", 120.32, 0.76), ("159", 126.67, 0.89),
    ("161", 139.37, 0.89), ("163", 152.07, 0.89), ("167", 177.47, 1.02), ("171", 202.87, 1.14),
)  # fmt: skip
_SECTION_353_SEEN = (("210", 18.64), ("214", 24.99), ("218", 31.34), ("225", 47.22))
_SECTION_353 = (
    ("242", 3.984, 0.71), ("246", 4.484, 0.76), ("248", 4.734, 0.76), ("250", 4.984, 0.89),
    ("254", 5.484, 0.89), ("258", 5.984, 0.89), ("260", 6.484, 1.02), ("262", 6.984, 1.02),
    ("264", 7.484, 1.14), ("266", 7.984, 1.14), ("270", 8.984, 1.27), ("274", 9.984, 1.40),
    ("276", 10.984, 1.65), ("278", 11.984, 1.65),
)  # fmt: skip
_INCH_MM = 25.4

RINGS: tuple[Ring, ...] = (
    *(Ring(name, inside, 1.78, None, looked_up=True) for name, inside in _SMALL),
    *(Ring(name, inside, 2.62, off, looked_up=True) for name, inside, off in _SECTION_262),
    *(Ring(name, inside, 3.53, None, looked_up=True) for name, inside in _SECTION_353_SEEN),
    *(
        Ring(name, round(_INCH_MM * inch, 2), 3.53, off, looked_up=name == "258")
        for name, inch, off in _SECTION_353
    ),
)
"""Every ring known here, by section and then by size."""


def stretched_section_mm(inside_mm: float, section_mm: float, stretch: float) -> float:
    """Return the section of a ring stretched on: its volume stays, so it thins.

    The volume of a torus is pi^2/4 w^2 (ID + w); with the inside diameter stretched to ID' the new
    section w' solves w'^2 (ID' + w') = w^2 (ID + w). Rubber hardly changes its volume. Seal
    handbooks print about half as much again.

    Args:
        inside_mm: inside diameter, slack.
        section_mm: diameter of the cord, slack.
        stretch: stretch of the inside diameter, a fraction above -1.

    Raises:
        ValueError: a size is not positive, or the stretch is -1 or less.
    """
    if inside_mm <= 0.0 or section_mm <= 0.0 or stretch <= -1.0:
        raise ValueError("a ring has positive sizes and is stretched by more than -100 %")
    wide, volume = inside_mm * (1.0 + stretch), section_mm**2 * (inside_mm + section_mm)
    here = section_mm
    for _ in range(60):
        # Newton's rule on a function that rises and is convex for w > 0: after the first step it
        # comes from above and never leaves.
        step = (here**2 * (wide + here) - volume) / (here * (2.0 * wide + 3.0 * here))
        here -= step
        if abs(step) <= 1e-15 * section_mm:
            break
    return here


def stretched_cord_mm(cord_mm: float, stretch: float) -> float:
    """Return the diameter of a long cord of constant volume under a stretch, mm: d / sqrt(1 + e).

    Args:
        cord_mm: diameter as bought.
        stretch: a fraction above -1.
    """
    return cord_mm / math.sqrt(1.0 + stretch)
