"""Rings that can be bought as bands: standard sizes, and how a ring thins as it is stretched.

The sizes are inside diameter and section of AS568 (the inch series that ISO 3601-1 took over).
``looked_up`` tells whether the row was seen in a published table; the others follow from the
series' steps, from memory, and so do all tolerances: hold them against a licensed table before you
buy by them.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

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


_INCH_MM = 25.4
_SERIES: tuple[tuple[float, int, float, tuple[tuple[int, float], ...]], ...] = (
    # section mm; number and size of the smallest; then up to which number, in what steps, inches
    (1.78, 6, 0.114, ((8, 0.031), (9, 0.032), (10, 0.031), (28, 1 / 16), (41, 1 / 8), (50, 1 / 4))),
    (2.62, 110, 0.362, ((150, 1 / 16), (151, 1 / 8), (178, 1 / 4))),
    (3.53, 201, 0.171875, (
        (222, 1 / 16), (258, 1 / 8), (274, 1 / 4), (278, 1 / 2), (281, 1.0), (282, 0.971),
        (284, 1.0),
    )),
    (5.33, 309, 0.4125, (
        (324, 1 / 16), (361, 1 / 8), (377, 1 / 4), (381, 1 / 2), (384, 1.0), (385, 0.98),
        (391, 1.0), (392, 0.985), (395, 1.0),
    )),
    (6.99, 425, 4.475, (
        (437, 1 / 8), (445, 1 / 4), (460, 1 / 2), (461, 0.48), (469, 1 / 2), (471, 1.0),
        (472, 0.985), (475, 1.0),
    )),
)  # fmt: skip
"""The inside diameters of AS568 climb in even steps, which are from memory; sizes are printed in
thousandths of an inch, cut off and not rounded. The smallest rings, no bands, are left out."""
_SEEN = frozenset({
    "006", "010", "012", "014", "016", "050", "110", "112", "116", "155", "157", "158", "159",
    "161", "163", "167", "171", "178", "201", "210", "214", "218", "225", "258", "284", "309",
    "395", "475",
})  # fmt: skip
"""Whose size was seen in a published table: rows of a public catalogue, and the ends of the
sections in Global O-Ring and Seal, AS568 O-Ring Size Chart."""
_TOLERANCE_MM = {
    "155": 0.71, "157": 0.76, "158": 0.76, "159": 0.89, "161": 0.89, "163": 0.89, "167": 1.02,
    "171": 1.14, "242": 0.71, "246": 0.76, "248": 0.76, "250": 0.89, "254": 0.89, "258": 0.89,
    "260": 1.02, "262": 1.02, "264": 1.14, "266": 1.14, "270": 1.27, "274": 1.40, "276": 1.65,
    "278": 1.65,
}  # fmt: skip


def _of_series(
    section_mm: float, number: int, inside_in: float, steps: tuple[tuple[int, float], ...]
) -> Iterator[Ring]:
    """Yield the rings of one section, the smallest first."""
    def ring() -> Ring:
        name, printed = f"{number:03d}", math.floor(1000.0 * inside_in + 1e-6) / 1000.0
        inside_mm = round(_INCH_MM * printed, 2)
        return Ring(name, inside_mm, section_mm, _TOLERANCE_MM.get(name), name in _SEEN)

    yield ring()
    for last, step in steps:
        while number < last:
            number, inside_in = number + 1, inside_in + step
            yield ring()


RINGS: tuple[Ring, ...] = tuple(ring for series in _SERIES for ring in _of_series(*series))
"""Every ring known here, by section and then by size."""


_DASH = re.compile(
    r"\s*(?:(?:as\s*-?568[a-z]?|(?:o-?\s?)?ring|size|no\.?|iso\s*3601(?:-1)?)[\s-]*)+(\d{3})\s*"
    r"|\s*-\s*(\d{3})(?:\s+ring)?\s*",
    re.IGNORECASE,
)
"""How a ring is named by its dash number: "-264", "ring -264", "AS568-264"."""


def dash_number(text: str) -> str | None:
    """Return the dash number in a ring's name as people write it; None where it holds none."""
    found = _DASH.fullmatch(text)
    return None if found is None else found[1] or found[2]


def ring_named(number: str) -> Ring | None:
    """Return the ring of a dash number; None where it is not known here."""
    return next((ring for ring in RINGS if ring.name == number), None)


def nearest_ring(slack_length_mm: float, section_mm: float) -> Ring | None:
    """Return the ring of a section whose centre-line comes nearest to a length, slack.

    Args:
        slack_length_mm: length wanted.
        section_mm: diameter of its cord as bought, to a tenth of it.

    Returns:
        The ring; None where no such section is known, or the largest and the smallest are far off.
    """
    alike = [ring for ring in RINGS if abs(ring.section_mm - section_mm) <= 0.1 * section_mm]
    off = [(abs(ring.slack_length_mm - slack_length_mm), ring.name, ring) for ring in alike]
    return min(off)[2] if off and min(off)[0] <= 0.05 * slack_length_mm else None


def stretched_cord_mm(cord_mm: float, stretch: float) -> float:
    """Return the diameter of a long cord of constant volume under a stretch, mm: d / sqrt(1 + e).

    Args:
        cord_mm: diameter as bought.
        stretch: a fraction above -1.
    """
    return cord_mm / math.sqrt(1.0 + stretch)
