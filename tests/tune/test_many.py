"""Many wheels at once come out as each does by itself."""

from dataclasses import replace as with_changes
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.design.model import FlatRim, RoundGroove, VeeGroove
from wheelgeo.design.reader import read_design
from wheelgeo.drive.train import solve_drive
from wheelgeo.geometry.groove import SquareGroove
from wheelgeo.numbers.inputs import get, put
from wheelgeo.tune.wheels_at_once import Cases, length_keys, length_of, ratio_keys, ratio_of

DESIGNS = sorted((Path(__file__).parents[2] / "designs").glob("*.toml"))
COUNT = 8
HELD = ("wear", "cut_length")


def _scattered(design, keys, seed):
    """Random values of the keys, and the wheels that have them, each built by itself."""
    generator = np.random.default_rng(seed)
    values = {}
    for key in sorted(keys):
        if key.rsplit(".", 1)[-1] in HELD or _steep(key):
            continue
        middle = get(design, key)
        width = 0.03 * abs(middle) + (0.5 if ".at." in key or ".offset" in key else 0.0)
        values[key] = middle + width * generator.uniform(-1.0, 1.0, COUNT)
    wheels = []
    for i in range(COUNT):
        wheel = design
        for key, column in values.items():
            for name in _with_its_axis(design, key):
                wheel = put(wheel, {name: float(column[i])})
        wheels.append(wheel)
    return Cases(values), wheels


def _steep(key):
    return ".lean." in key and not key.endswith(".lean.y")


def _with_its_axis(design, key):
    """A shaft's place, and that of the shafts which share its axis."""
    if not key.startswith("shaft:"):
        return [key]
    name = next(s.name for s in design.shafts if key.startswith(f"shaft:{s.name}."))
    shaft, rest = design.shaft(name), key.removeprefix(f"shaft:{name}.")
    same = [s.name for s in design.shafts if (s.at_mm, s.axis) == (shaft.at_mm, shaft.axis)]
    return [f"shaft:{other}.{rest}" for other in same]


@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_ratios(path):
    design = read_design(path)
    solution = solve_drive(design)
    keys = {k for k in ratio_keys(solution) if not k.endswith(".core")}
    cases, wheels = _scattered(design, keys, seed=1)
    found = ratio_of(solution)(cases)
    assert found == pytest.approx([solve_drive(w).ratio for w in wheels], rel=1e-12)


@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_lengths_of_bands(path):
    design = read_design(path)
    solution = solve_drive(design)
    for motion in solution.bands:
        keys = {
            k
            for k in length_keys(solution, motion)
            if not k.endswith(".core") and not (".lean." in k and _lies_there(design, k))
        }
        cases, wheels = _scattered(design, keys, seed=2)
        found = length_of(solution, motion)(cases)
        expected = [solve_drive(w).band(motion.band.name).path.length_mm for w in wheels]
        assert found == pytest.approx(expected, rel=1e-10)


def _lies_there(design, key):
    """Whether a shaft points along the direction, so that it has no way to lean from it."""
    name = next(s.name for s in design.shafts if key.startswith(f"shaft:{s.name}."))
    return abs(design.shaft(name).axis["xyz".index(key[-1])]) == 1.0


def test_a_shaft_that_leans(box_wheel):
    solution = solve_drive(box_wheel)
    motion = solution.band("second band")
    leans = np.array([-3.0, 0.5, 4.0])
    found = length_of(solution, motion)(Cases({"shaft:spindle.lean.z": leans}))
    for lean, length in zip(leans, found, strict=True):
        wheel = put(box_wheel, {"spindle.lean.z": float(lean)})
        assert length == pytest.approx(solve_drive(wheel).band("second band").path.length_mm)


def test_wear_makes_a_cord_thinner(box_wheel):
    solution = solve_drive(box_wheel)
    worn = ratio_of(solution)(Cases({"band:first band.wear": np.array([0.0, 0.1])}))
    thinner = solve_drive(put(box_wheel, {"first band.diameter": 2.7})).ratio
    assert worn == pytest.approx([solution.ratio, thinner], rel=1e-12)


def test_a_case_without_a_path_is_not_a_number(box_wheel):
    solution = solve_drive(box_wheel)
    motion = solution.band("second band")
    places = np.array([165.0, 5.0])
    found = length_of(solution, motion)(Cases({"shaft:spindle.at.y": places}))
    assert found[0] == pytest.approx(motion.path.length_mm, rel=1e-12)
    assert np.isnan(found[1])


def test_numbers_without_a_part_are_left_out(box_wheel):
    solution = solve_drive(box_wheel)
    keys = ratio_keys(solution)
    assert "pulley:wheel.angle" in keys
    assert not any(".offset" in k or ".at." in k or "cheek" in k for k in keys)
    alone = with_changes(box_wheel, bands=box_wheel.bands[:1])
    assert ratio_keys(solve_drive(alone)) == set()


@given(
    st.lists(
        st.tuples(
            st.floats(10.0, 200.0), st.floats(0.5, 4.5), st.floats(1.0, 170.0),
            st.floats(0.0, 3.0), st.floats(0.2, 6.0),
        ),
        min_size=1, max_size=8,
    )
)  # fmt: skip
def test_vee_seats_as_each_by_itself(rows):
    rim, depth, angle, bottom, cord = np.array(rows).T
    found = VeeGroove(rim, depth, angle, bottom).pitch_radius_mm(cord)
    expected = [VeeGroove(r, d, a, b).seat(c).pitch_radius_mm for r, d, a, b, c in rows]
    assert found == pytest.approx(expected, rel=1e-9)


@given(
    st.lists(
        st.tuples(
            st.floats(10.0, 200.0), st.floats(0.5, 4.5), st.floats(0.3, 4.0), st.floats(0.2, 7.0)
        ),
        min_size=1, max_size=8,
    )
)  # fmt: skip
def test_round_flat_and_square_seats_as_each_by_itself(rows):
    rim, depth, size, cord = np.array(rows).T
    cases = [
        (RoundGroove(rim, depth, size).pitch_radius_mm(cord),
         [RoundGroove(r, d, s) for r, d, s, _ in rows]),
        (SquareGroove(rim, depth, size).pitch_radius_mm(cord),
         [VeeGroove(r, d, 0.0, s) for r, d, s, _ in rows]),
        (FlatRim(rim, size).pitch_radius_mm(cord), [FlatRim(r, s) for r, _, s, _ in rows]),
    ]  # fmt: skip
    for found, grooves in cases:
        expected = [
            g.seat(c).pitch_radius_mm for g, c in zip(grooves, (r[3] for r in rows), strict=True)
        ]
        assert found == pytest.approx(expected, rel=1e-9)
