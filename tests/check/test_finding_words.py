"""How findings write their numbers."""

import pytest

from wheelgeo.units.in_full import figures


@pytest.mark.parametrize(
    ("number", "digits", "text"),
    [(112.0, 2, "110"), (4.66, 2, "4.7"), (1234.0, 3, "1230"), (0.00123, 2, "0.0012"),
     (-1e-14, 2, "0"), (96000.0, 2, "96000")],
)  # fmt: skip
def test_figures_are_no_powers_of_ten(number, digits, text):
    assert figures(number, digits) == text
