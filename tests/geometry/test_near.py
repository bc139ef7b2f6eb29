"""Bodies that may be near: no near pair is missed, and of many spread apart few are named."""

import math
from itertools import combinations, product

from hypothesis import given, settings
from hypothesis import strategies as st

from wheelgeo.geometry.convex import Capsule, Cylinder, gap_mm
from wheelgeo.geometry.near import box_of, near_pairs

places = st.tuples(*[st.floats(-100.0, 100.0)] * 3)
axes = st.sampled_from([(0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.6, 0.0, 0.8), (0.0, -0.6, 0.8)])
bodies = st.lists(
    st.one_of(
        st.builds(Cylinder, places, axes, st.floats(0.5, 40.0), st.floats(0.5, 40.0)),
        st.builds(Capsule, places, places, st.floats(0.2, 3.0)),
    ),
    max_size=8,
)


@given(bodies, st.floats(0.0, 10.0))
@settings(max_examples=150, deadline=None)
def test_every_near_pair_is_named(made, within):
    near = {(i, j) for i, j in combinations(range(len(made)), 2)
            if gap_mm(made[i], made[j]) < within - 1e-6}  # fmt: skip
    named = near_pairs(made, within)
    assert near <= set(named)
    assert named == sorted(set(named))
    assert all(i < j for i, j in named)


@given(bodies, bodies, st.floats(0.0, 10.0))
@settings(max_examples=150, deadline=None)
def test_every_near_pair_of_two_lists_is_named(one, other, within):
    near = {(i, j) for i, j in product(range(len(one)), range(len(other)))
            if gap_mm(one[i], other[j]) < within - 1e-6}  # fmt: skip
    assert near <= set(near_pairs(one, within, other))


def test_a_leaning_cylinder_just_fits_its_box():
    # half-length 3 and radius 4 at 45 degrees: (3 + 4) / sqrt 2 along x and z, 4 along y
    half = math.sqrt(0.5)
    low, high = box_of(Cylinder((0.0, 0.0, 0.0), (half, 0.0, half), 4.0, 3.0))
    assert all(math.isclose(a, -b) for a, b in zip(low, high, strict=True))
    assert [round(c, 9) for c in high] == [round(7.0 * half, 9), 4.0, round(7.0 * half, 9)]


def test_of_many_bodies_in_a_row_only_neighbours_are_named():
    row = [Cylinder((10.0 * i, 0.0, 0.0), (0.0, 0.0, 1.0), 5.2, 1.0) for i in range(200)]
    assert near_pairs(row, 0.5) == [(i, i + 1) for i in range(199)]
