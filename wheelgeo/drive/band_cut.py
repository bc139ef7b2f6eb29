"""How a band is cut: its stretch and its joint, and what of both is assumed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wheelgeo.design.model import Band, Design
from wheelgeo.drive.assume import Assumption, Notes, cord_figure

JOINT_DIAMETERS: Mapping[str, float] = {
    "cotton cord": 10.0,
    "hemp cord": 10.0,
    "leather cord": 10.0,
    "rubber cord": 0.0,
    "nitrile ring": 0.0,
    "silicone cord": 0.0,
    "polyurethane cord": 1.0,
}
"""Cord that the usual joint takes, in cord diameters: the overlap of whipped or sewn ends, none of
a butt joint or a closed ring, the bead of a weld. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class BandCut:
    """How the cord of a band is cut.

    Attributes:
        stretch: installed stretch, a fraction.
        stretch_assumed: the file is silent about it.
        joint_mm: length of cord that the joint takes.
        joint_assumed: the file is silent about it.
        assumed: what was assumed, and why.
    """

    stretch: float
    stretch_assumed: bool
    joint_mm: float
    joint_assumed: bool
    assumed: tuple[Assumption, ...]

    def length_mm(self, path_mm: float) -> float:
        """Return the length of cord, slack and without its joint, that makes a path."""
        return path_mm / (1.0 + self.stretch)


def band_cut(design: Design, band: Band) -> BandCut:
    """Return how a band is cut: what the file says, and what is usual where it is silent."""
    notes, assumed = Notes(), []
    stretch = band.stretch
    if stretch is None:
        usual = cord_figure(band, "stretch", design, notes)
        stretch = usual.value
        what = f'stretch of band "{band.name}"'
        assumed.append(Assumption(what, f"{100.0 * stretch:g} %", usual.source))
    joint = band.joint_mm
    if joint is None:
        joint = JOINT_DIAMETERS.get(band.material, 0.0) * band.diameter_mm
        what = f'joint of band "{band.name}"'
        assumed.append(Assumption(what, f"{joint:g} mm", "common practice, no source"))
    return BandCut(
        stretch, band.stretch is None, joint, band.joint_mm is None,
        (*notes.all(), *assumed),
    )  # fmt: skip
