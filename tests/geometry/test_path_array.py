"""The array paths: the same numbers as the scalar path, the same refusals, no warnings."""

import math

import numpy as np
import pytest

from wheelgeo.errors import PathError
from wheelgeo.geometry import path_array
from wheelgeo.geometry.path import PitchCircle, solve_path
from wheelgeo.geometry.path_array import solve_paths, solve_runs


def arrays(drives):
    """Centres, axes, radii and senses of drives of one size."""
    return (
        np.array([[c.centre_mm for c in d] for d in drives]),
        np.array([[c.axis for c in d] for d in drives]),
        np.array([[c.radius_mm for c in d] for d in drives]),
        np.array([[c.sense for c in d] for d in drives]),
    )


def random_drives(seed, n, k, spread):
    """Drives of k pulleys; a third on parallel shafts, a third of those in one plane."""
    rng = np.random.default_rng(seed)
    centres = rng.normal(size=(n, k, 3)) * spread
    axes = rng.normal(size=(n, k, 3))
    axes /= np.linalg.norm(axes, axis=-1, keepdims=True)
    axes[: n // 3] = (0.0, 0.0, 1.0)
    centres[: n // 9, :, 2] = 0.0
    radii, senses = rng.uniform(0.1, 1.0, (n, k)), rng.choice((-1, 1), (n, k))
    return [
        [
            PitchCircle(
                str(j), tuple(map(float, centres[i, j])), tuple(map(float, axes[i, j])),
                float(radii[i, j]), int(senses[i, j]),
            )
            for j in range(k)
        ]
        for i in range(n)
    ]  # fmt: skip


def scalar(drive):
    try:
        return solve_path(drive)
    except PathError:
        return None


@pytest.mark.parametrize(("k", "spread"), [(2, 0.5), (2, 1.2), (3, 2.0), (5, 8.0)])
def test_same_as_one_by_one(k, spread):
    drives = random_drives(k, 500, k, spread)
    many = solve_paths(*arrays(drives))
    refused = 0
    for i, drive in enumerate(drives):
        path = scalar(drive)
        assert bool(many.valid[i]) == (path is not None)
        if path is None:
            refused += 1
            continue
        assert many.length_mm[i] == pytest.approx(path.length_mm, rel=1e-13)
        assert many.run_mm[i] == pytest.approx([r.length_mm for r in path.runs], abs=1e-10)
        assert many.wrap_rad[i] == pytest.approx(np.radians(path.wraps_deg), abs=1e-10)
        leads = np.radians([[path.leaving_deg(j), path.arriving_deg(j)] for j in range(k)])
        assert many.leaving_rad[i] == pytest.approx(leads[:, 0], abs=1e-10)
        assert many.arriving_rad[i] == pytest.approx(leads[:, 1], abs=1e-10)
        assert list(many.unique[i]) == [r.choices == 1 for r in path.runs]
    assert 0 < refused < len(drives) or spread == 8.0


def test_a_drive_without_a_path_is_marked_and_nothing_else_is():
    good = [
        PitchCircle("a", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 60.0, 1),
        PitchCircle("b", (200.0, 0.0, 0.0), (0.0, 0.0, 1.0), 20.0, 1),
    ]
    bad = [good[0], PitchCircle("b", (25.0, 0.0, 0.0), (0.0, 0.0, 1.0), 20.0, 1)]
    coaxial = [good[0], PitchCircle("b", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 60.0, 1)]
    many = solve_paths(*arrays([good, bad, good, coaxial]))
    assert list(many.valid) == [True, False, True, False]
    for numbers in (many.length_mm, many.run_mm, many.wrap_rad, many.leaving_rad):
        rows = numbers.reshape(4, -1)
        assert np.all(np.isfinite(rows[[0, 2]]))
        assert np.all(np.isnan(rows[[1, 3]]))
    assert np.all(np.isnan(many.arriving_rad[1]))


def test_runs_are_the_runs_of_the_paths():
    drives = random_drives(7, 300, 2, 1.5)
    paths, runs = solve_paths(*arrays(drives)), solve_runs(*arrays(drives))
    good = paths.valid
    assert good.sum() > 100
    assert np.all(runs.valid[good])
    assert runs.length_mm[good] == pytest.approx(paths.run_mm[good, 0], rel=1e-12)
    assert runs.leaving_rad[good] == pytest.approx(paths.leaving_rad[good, 0], abs=1e-12)
    assert runs.arriving_rad[good] == pytest.approx(paths.arriving_rad[good, 1], abs=1e-12)
    assert np.all(np.isnan(runs.length_mm[~runs.valid]))
    assert list(runs.unique[good]) == list(paths.unique[good, 0])


def test_what_is_common_to_all_drives_may_be_given_once():
    radii = np.linspace(20.0, 60.0, 7)[:, None] * (1.0, 0.2)
    centres, axes = [[0.0, 0.0, 0.0], [300.0, 0.0, 20.0]], [[0.0, 0.0, 1.0], [0.0, 0.6, 0.8]]
    once = solve_paths(centres, axes, radii, [1, -1])
    full = solve_paths(
        np.broadcast_to(centres, (7, 2, 3)), np.broadcast_to(axes, (7, 2, 3)), radii,
        np.broadcast_to([1, -1], (7, 2)),
    )  # fmt: skip
    assert once.length_mm.shape == (7,)
    assert once.run_mm.shape == once.wrap_rad.shape == once.unique.shape == (7, 2)
    assert np.array_equal(once.length_mm, full.length_mm)
    assert np.all(np.diff(once.length_mm) > 0.0)


def test_blocks_join_without_a_seam(monkeypatch):
    drives = random_drives(11, 60, 3, 2.0)
    whole = solve_paths(*arrays(drives))
    monkeypatch.setattr(path_array, "BLOCK", 21)
    pieces = solve_paths(*arrays(drives))
    assert np.array_equal(whole.valid, pieces.valid)
    assert pieces.length_mm == pytest.approx(whole.length_mm, rel=1e-14, nan_ok=True)
    assert pieces.arriving_rad == pytest.approx(whole.arriving_rad, abs=1e-12, nan_ok=True)


@pytest.mark.parametrize("factor", [1e-3, 25.4, 1e6])
def test_any_unit(factor):
    centres, axes, radii, senses = arrays(random_drives(5, 200, 3, 4.0))
    one = solve_paths(centres, axes, radii, senses)
    other = solve_paths(centres * factor, axes, radii * factor, senses)
    assert np.array_equal(one.valid, other.valid)
    assert other.length_mm == pytest.approx(one.length_mm * factor, rel=1e-12, nan_ok=True)


def test_nonsense_numbers_are_refused_quietly():
    centres, axes, radii, senses = arrays(random_drives(5, 6, 2, 4.0))
    assert solve_paths(centres, axes, radii, senses).valid[2]
    centres[2, 1, 0], radii[3, 0] = math.nan, math.nan
    many = solve_paths(centres, axes, radii, senses)
    assert not many.valid[2]
    assert not many.valid[3]


def test_no_drives_at_all():
    many = solve_paths(np.empty((0, 2, 3)), np.empty((0, 2, 3)), np.empty((0, 2)), [1, 1])
    assert many.length_mm.shape == (0,)
    assert many.run_mm.shape == (0, 2)


@pytest.mark.parametrize(
    ("centres", "radii", "senses"),
    [
        (np.zeros((4, 1, 3)), np.ones((4, 1)), [1]),
        (np.zeros((4, 2, 2)), np.ones((4, 2)), [1, 1]),
        (np.zeros((4, 2, 3)), np.ones((4, 3)), [1, 1]),
        (np.zeros((2, 4, 2, 3)), np.ones((4, 2)), [1, 1]),
    ],
)
def test_shapes_that_do_not_fit(centres, radii, senses):
    axes = np.zeros_like(centres)
    axes[..., -1] = 1.0
    with pytest.raises(ValueError, match=r"pulleys|shape|components|axes"):
        solve_paths(centres, axes, radii, senses)


def test_a_run_has_two_pulleys():
    with pytest.raises(ValueError, match="two pulleys"):
        solve_runs(np.zeros((1, 3, 3)), np.ones((1, 3, 3)), np.ones((1, 3)), [1, 1, 1])


def test_hundreds_of_pulleys_in_one_drive():
    count = 300
    drive = [
        PitchCircle(
            str(i),
            (5000 * math.cos(t), 5000 * math.sin(t), 0.0),
            (0.0, 0.0, 1.0),
            12.0,
            1,
        )
        for i in range(count)
        for t in [2 * math.pi * i / count]
    ]
    many = solve_paths(*arrays([drive]))
    assert many.length_mm[0] == pytest.approx(solve_path(drive).length_mm, rel=1e-13)
    assert np.sum(many.wrap_rad) == pytest.approx(2 * math.pi, rel=1e-9)
