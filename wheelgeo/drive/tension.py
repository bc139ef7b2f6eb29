"""Pull in every band at rest: from its stretch, from a weight or spring, or as measured.

Glossary: the *rest pull* is the pull of every strand of a band with the wheel at rest; a band of
*fixed length* keeps its mean pull under load (what one run gains others lose, weighted by their
lengths); a band held by a weight or spring on a sliding shaft keeps the balance of that shaft
instead. The *shares* are the weights of the runs in that rule.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

from wheelgeo.built.as_built import Built
from wheelgeo.built.band import BuiltBand
from wheelgeo.built.kept import KeptOf, kept_with
from wheelgeo.design.model import Band, Design, Slide
from wheelgeo.drive.belt import centrifugal_n, tension_ratio
from wheelgeo.drive.bending import elastic_loss_n, fibre_share
from wheelgeo.drive.train import BandMotion, Solution
from wheelgeo.geometry.groove import Seat
from wheelgeo.geometry.path import Path
from wheelgeo.geometry.vectors import Vector, dot, sub, unit
from wheelgeo.immutable import dataclass

Held = Literal["stretch", "measured", "weight", "spring"]

AGAINST_SLIDE = 1e-6
"""A band whose strands pull along the slide by less than this share is not tightened by it."""
_CONTACTS: KeptOf[tuple[PulleyContact, ...]] = KeptOf(256)


@dataclass(frozen=True)
class PulleyContact:
    """One pulley of a band.

    Attributes:
        pulley: its name.
        radius_mm: pitch radius.
        wrap_deg: arc of contact.
        grip: how the groove holds the cord.
        friction: coefficient of friction, without the wedge.
        ratio: greatest tension ratio, friction with its wedge over the whole wrap.
        least_ratio: the same with the least friction of the cord's spread.
        bending_share: part of the pull that bending takes there.
        bending_n: what bending takes besides, whatever the pull, N.
    """

    pulley: str
    radius_mm: float
    wrap_deg: float
    grip: Seat
    friction: float
    ratio: float
    least_ratio: float
    bending_share: float
    bending_n: float


@dataclass(frozen=True)
class RestBand:
    """A band at rest, made ready for its load.

    Attributes:
        motion: the band and its path.
        held: what keeps it tight.
        stretch: installed stretch; None where a weight, a spring or a measured pull is given.
        rest_n: pull of every strand at rest; None where it cannot be had.
        trouble: why it cannot be had; empty where it can.
        stiffness_n: modulus times section: pull per unit of stretch.
        least_stiffness_n: the same with the least modulus of the cord's spread.
        section_mm2: section of the cord.
        centrifugal_n: centrifugal part at working speed; 0 where nothing drives it.
        contacts: its pulleys, in route order.
        directions: unit vector of each run, in the order of the path.
        shares: weight of each run in the rule that holds the pulls together.
    """

    motion: BandMotion
    held: Held
    stretch: float | None
    rest_n: float | None
    trouble: str
    stiffness_n: float
    least_stiffness_n: float
    section_mm2: float
    centrifugal_n: float
    contacts: tuple[PulleyContact, ...]
    directions: tuple[Vector, ...]
    shares: tuple[float, ...]

    @property
    def band(self) -> Band:
        """The band of the design."""
        return self.motion.band

    @property
    def net_n(self) -> float | None:
        """Rest pull that presses on the pulleys at working speed.

        A weight or spring gives way until the shaft is in balance again, so that the centrifugal
        part adds to the pull; a band of fixed length has no more pull to give.
        """
        if self.rest_n is None:
            return None
        yields = self.held in ("weight", "spring")
        return self.rest_n if yields else self.rest_n - self.centrifugal_n

    @property
    def least_net_n(self) -> float | None:
        """The same for the softest cord of the material's spread; only stretch depends on it."""
        if self.stretch is None:
            return self.net_n
        return self.least_stiffness_n * self.stretch - self.centrifugal_n

    @property
    def running_n(self) -> float | None:
        """Pull of every strand at working speed without load."""
        return None if self.net_n is None else self.net_n + self.centrifugal_n


End = Literal["value", "low", "high"]
"""Which of a figure's range is taken: the usual, the least or the greatest."""


def rest_bands(
    solution: Solution, end: End = "value", measured_n: Mapping[str, float] | None = None
) -> tuple[RestBand, ...]:
    """Return every band of a solved wheel that has a path, with its pull at rest.

    Args:
        solution: the solved wheel.
        end: which modulus of each cord, and which stretch where the file gives none: the usual,
            the least or the greatest.
        measured_n: pulls of strands by band, taken as if they had been measured.
    """
    known = measured_n or {}
    bands = [
        _rest_band(solution.built, m, end, known.get(m.band.name))
        for m in solution.bands
        if m.path is not None
    ]
    return tuple(_with_shaft_pull(solution.design, b, bands) for b in bands)


def _rest_band(
    built: Built, motion: BandMotion, end: End, measured_n: float | None
) -> RestBand:
    band, made, path = motion.band, built.bands[motion.band.name], motion.path
    assert path is not None
    section, density = made.section_mm2, made.density.value.value
    stiffness = getattr(made.modulus.value, end) * section
    least = made.modulus.value.low * section
    held: Held = "stretch" if band.tension is None else band.tension.kind
    if measured_n is not None:
        held = "measured"
    put_on = made.stretch.value if made.stretch.given else getattr(made.usual_stretch.value, end)
    stretch = put_on if held == "stretch" else None
    rest = None if stretch is None else stiffness * stretch
    if measured_n is not None:
        rest = measured_n
    elif band.tension is not None and band.tension.kind == "measured":
        rest = band.tension.pull_n
    return RestBand(
        motion, held, stretch, rest, "", stiffness, least, section,
        centrifugal_n(density, band.diameter_mm, motion.speed_m_s or 0.0),
        _CONTACTS.get((made, path, *motion.seats), lambda: _contacts(made, motion, path, end), end),
        kept_with(path, "directions", lambda: _directions(path)),
        kept_with(path, "shares", lambda: _shares_of_length(path)),
    )  # fmt: skip


def _directions(path: Path) -> tuple[Vector, ...]:
    return tuple([unit(sub(r.end_mm, r.start_mm)) for r in path.runs])


def _contacts(
    made: BuiltBand, motion: BandMotion, path: Path, end: End
) -> tuple[PulleyContact, ...]:
    cord = motion.band.diameter_mm
    friction = made.friction.value
    share, loss, modulus = (
        getattr(figure, end)
        for figure in (made.bending_share.value, made.loss_factor, made.modulus.value)
    )
    contacts = []
    for i, stop in enumerate(motion.band.route):
        held, wrap = motion.seats[i], path.wraps_deg[i]
        ratio, least = (
            float(tension_ratio(f * held.wedge, math.radians(wrap), math))
            for f in (friction.value, friction.low)
        )
        radius = held.pitch_radius_mm
        lost = fibre_share(share, cord, 2.0 * radius)
        besides = elastic_loss_n(loss, modulus, cord, 2.0 * radius)
        contacts.append(
            PulleyContact(
                stop.pulley, radius, wrap, held, friction.value, ratio, least, lost, besides
            )
        )
    return tuple(contacts)


def _shares_of_length(path: Path) -> tuple[float, ...]:
    """Return each run's share of the band's length, half of the arcs at its ends counted to it.

    The pull along an arc lies between those of the runs at its ends; their mean is taken.
    """
    arcs = [
        c.radius_mm * math.radians(w) for c, w in zip(path.circles, path.wraps_deg, strict=True)
    ]
    return tuple(
        (r.length_mm + 0.5 * (arcs[r.first] + arcs[r.second])) / path.length_mm for r in path.runs
    )


def _with_shaft_pull(design: Design, band: RestBand, bands: list[RestBand]) -> RestBand:
    """Return the band with the pull that a weight or spring on a sliding shaft gives it."""
    if band.held not in ("weight", "spring"):
        return band
    for shaft in design.shafts:
        if shaft.slide is not None and any(_stops_on(design, band, shaft.name)):
            return _on_slide(design, band, bands, shaft.name, shaft.slide)
    trouble = f"its {band.held} pulls on no shaft that slides"
    return replace(band, trouble=trouble)


def _stops_on(design: Design, band: RestBand, shaft: str) -> list[bool]:
    return [design.pulley(s.pulley).shaft == shaft for s in band.band.route]


def _along_slide(design: Design, band: RestBand, shaft: str, slide: Slide) -> tuple[float, ...]:
    """Return, for each run, the pull along the slide on that shaft per newton in the run."""
    on = _stops_on(design, band, shaft)
    count = len(on)
    return tuple(
        dot(band.directions[j], slide.along) * (on[j] - on[(j + 1) % count]) for j in range(count)
    )


def _on_slide(
    design: Design, band: RestBand, bands: list[RestBand], shaft: str, slide: Slide
) -> RestBand:
    """Balance a sliding shaft: bands with a weight or spring share one pull, others keep theirs."""
    shares = _along_slide(design, band, shaft, slide)
    together, pull, others = 0.0, 0.0, 0.0
    for other in bands:
        along = sum(_along_slide(design, other, shaft, slide))
        if other.held in ("weight", "spring") and along != 0.0:
            together += along
            pull += other.band.tension.pull_n if other.band.tension else 0.0
        else:
            others += along * (other.rest_n or 0.0)
    if abs(together) < AGAINST_SLIDE:
        trouble = f'the slide of shaft "{shaft}" does not tighten it'
        return replace(band, trouble=trouble, shares=shares)
    rest = (pull - math.copysign(1.0, together) * others) / abs(together)
    if rest <= 0.0:
        trouble = f'other bands pull shaft "{shaft}" harder the other way'
        return replace(band, trouble=trouble, shares=shares)
    return replace(band, rest_n=rest, shares=shares)
