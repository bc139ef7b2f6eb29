"""Lengths in sentences: rounded once, for the unit in which they are told."""

import copy
import json
import pickle
import re
from pathlib import Path

import pytest

import wheelgeo
import wheelgeo_cli
from wheelgeo.design.file_kinds import read_count
from wheelgeo.errors import QuantityError
from wheelgeo.units.in_full import Told, figures, full, part_of
from wheelgeo.units.written import told_in


def test_a_sentence_is_rounded_in_millimetres_and_not_before_it_is_told_in_inches():
    """19.45 mm are 49.01/64 in, the 19 mm that are told 47.9/64 in."""
    told = Told(f"grows by some {full(19.45, 0)} mm, from {full(-2.54, 1)} to {full(12.5)} mm")
    assert told == "grows by some 19 mm, from -2.5 to 12.5 mm"
    assert told_in(told, "in/64") == "grows by some 49/64 in, from -0.100 to 0.492 in"
    assert told_in(told, "mm") == told


@pytest.mark.parametrize("kept", [Told, copy.deepcopy, lambda t: pickle.loads(pickle.dumps(t)),
                                  lambda t: Told(f"{part_of(t)}")])  # fmt: skip
def test_it_stays_so_copied_pickled_and_made_part_of_another(kept):
    told = kept(Told(f"{full(19.45, 0)} mm"))
    assert (str(told), told_in(told, "in/64"), json.dumps(told)) == ("19 mm", "49/64 in", '"19 mm"')


@pytest.mark.parametrize(("text", "told"), [
    ("at 5192 rpm, 3818.75 mm of it", "at 5 192 rpm, 3 818.75 mm of it"),
    ("from 4839 to 5658.5 rpm", "from 4 839 to 5 658.5 rpm"),
    ("1181 turns per metre of 12345 m", "1 181 turns per metre of 12 345 m"),
    ('"wheel 2000 mm" to ISO 2768, 899 mm', '"wheel 2000 mm" to ISO 2768, 899 mm'),
])  # fmt: skip
def test_thousands_are_set_apart_in_numbers_of_a_unit_and_in_no_name(text, told):
    assert told_in(text, "mm") == told
    assert told_in(told, "mm") == told


def test_no_text_has_a_power_of_ten():
    assert [figures(x) for x in (112.0, 1.25e8, 0.0000123, 9.96)] == [
        "110", "120000000", "0.000012", "10"
    ]  # fmt: skip
    with pytest.raises(QuantityError, match=r"about .* Nm, a lofty one up to [0-9]+ Nm"):
        read_count("80 wpi")
    rooms = Path(wheelgeo.__file__).parent, Path(wheelgeo_cli.__file__).parent
    for path in (p for room in rooms for p in room.rglob("*.py")):
        for line in path.read_text(encoding="utf-8").splitlines():
            written = re.search(r"\{[^{}]+:\.[23]g\}", line) and "float(f" not in line
            assert not written, f"{path.name}: units.in_full.figures does it: {line}"
