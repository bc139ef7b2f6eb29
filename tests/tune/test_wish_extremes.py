"""A wish that no wheel could meet is refused by name, not tried for ever or run over."""

from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.errors import DesignError, QuantityError

BOX = Path(__file__).parents[2] / "designs" / "box-wheel.toml"


@pytest.mark.parametrize("value", [1e308, 1e-320, 1.1e6, 0.9e-3])
@pytest.mark.parametrize("what", ["ratio", "turns_per_metre"])
def test_a_wish_out_of_range(what: str, value: float) -> None:
    wish = {what: value}
    with pytest.raises(QuantityError, match=r"it must be from 0\.001 to 1 000 000"):
        wheelgeo.load(BOX).retune(
            ratio=wish.get("ratio"), turns_per_metre=wish.get("turns_per_metre")
        )


def test_a_hand_that_hardly_turns() -> None:
    with pytest.raises(QuantityError, match=r"the hand's speed in rpm is 9.99989e-321; it must"):
        wheelgeo.load(BOX).retune(hand_speed="1e-320 rpm")


@pytest.mark.parametrize("number", ["0x" + "f" * 5000, "1" + "0" * 400])
def test_a_whole_number_of_thousands_of_digits(tmp_path: Path, number: str) -> None:
    path = tmp_path / "a.toml"
    path.write_text(BOX.read_text(encoding="utf-8").replace("rim = 181.3", f"rim = {number}"))
    with pytest.raises(DesignError, match="not a finite length"):
        wheelgeo.load(path)


def test_what_no_key_is_known_of_may_have_thousands_of_digits_too() -> None:
    with pytest.raises(DesignError, match="a whole number in it has thousands of digits"):
        wheelgeo.read("a = " + "1" * 5000)
