"""A rubber of one's own by its Shore A hardness, as catalogues give it."""

from pathlib import Path

import pytest

from wheelgeo.design.materials import modulus_from_shore_a
from wheelgeo.design.reader import parse_design
from wheelgeo.drive.running import load_wheel
from wheelgeo.errors import DesignError

BOX = Path(__file__).resolve().parents[2] / "designs" / "box-wheel.toml"


def with_material(lines):
    text = BOX.read_text(encoding="utf-8").replace('material = "cotton cord"', 'material = "x"', 1)
    return f'{text}\n[[material]]\nname = "x"\nkind = "cord"\n{lines}\n'


def test_hardness_becomes_a_modulus_with_its_doubt():
    design = parse_design(with_material("shore = 60\nfriction = 0.35\ndensity = 1200"))
    figure = design.materials[0].modulus_mpa
    assert figure.value == modulus_from_shore_a(60.0)
    assert figure.low == pytest.approx(0.7 * figure.value)
    assert figure.high == pytest.approx(1.3 * figure.value)
    band = load_wheel(design).rest[0]
    assert band.rest_n == pytest.approx(figure.value * band.section_mm2 * band.stretch)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ("shore = 95", "from 20 to 90"),
        ("shore = 10", "from 20 to 90"),
        ('shore = "soft"', "shore"),
        ("shore = 60\nmodulus = 5", "both"),
    ],
)
def test_what_cannot_be(lines, says):
    with pytest.raises(DesignError, match=says):
        parse_design(with_material(lines))
