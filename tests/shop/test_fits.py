"""Tolerance grade 7 against the standard's own formula."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from wheelgeo.errors import ShapeError
from wheelgeo.shop.fits import IT7_UM, it7_um


@pytest.mark.parametrize(("low", "high"), [(a[0], b[0]) for a, b in pairwise(IT7_UM)])
def test_grade_7_is_the_formula_of_iso_286_1_rounded(low: float, high: float) -> None:
    # ISO 286-1, from memory: IT7 = 16 i, i = 0.45 D^(1/3) + 0.001 D, D the geometric mean.
    # The standard rounds its table by rules of its own: within 5 % of the formula here.
    mean = math.sqrt(low * high)
    formula = 16.0 * (0.45 * mean ** (1.0 / 3.0) + 0.001 * mean)
    assert it7_um(high) == pytest.approx(formula, rel=0.05)


def test_a_diameter_on_the_edge_of_a_step_belongs_to_the_lower_one() -> None:
    assert it7_um(18.0) == 18.0
    assert it7_um(18.001) == 21.0


@pytest.mark.parametrize("diameter", [0.0, -3.0, 500.1, math.nan])
def test_beyond_the_table_there_is_no_tolerance(diameter: float) -> None:
    with pytest.raises(ShapeError, match="no tolerance is tabled"):
        it7_um(diameter)
