"""Path lengths of one band of a wheel for many pitch radii at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wheelgeo.design.model import Band, Design
from wheelgeo.drive.train import pitch_circles, solve_drive
from wheelgeo.geometry.path_array import solve_paths

Array = NDArray[np.float64]


def path_lengths(design: Design, band: Band, radii: Array) -> Array:
    """Return the length of a band's path for each row of radii.

    Args:
        design: the wheel that the band runs on.
        band: one of its bands.
        radii: pitch radii along the route, shape (many, stops), mm.

    Returns:
        Lengths, shape (many,), mm; NaN where there is no path.
    """
    motion = solve_drive(design).band(band.name)
    circles = pitch_circles(design, band, motion.seats, motion.senses[0])
    return solve_paths(
        [c.centre_mm for c in circles],
        [c.axis for c in circles],
        radii,
        [c.sense for c in circles],
    ).length_mm
