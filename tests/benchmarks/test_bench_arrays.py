"""Speed of the array of runs beside the same maths written two other ways, as ratios in one run.

Peers, on the pairs of ``test_bench_paths``, one core each, from the same inputs to the same
results:

- the formulas of ``tangent``, one run after the other, compiled by numba (where it is installed:
  ``pip install numba``), which stop at the step that each run needs;
- Newton's rule on the two equations of a run, all runs at once in plain numpy, with the
  derivatives taken by differences, as one would write it without the closed forms.
"""

import ast
import inspect
import math
import sys

import numpy as np
import pytest

from wheelgeo.geometry import tangent
from wheelgeo.geometry.path import RESIDUAL
from wheelgeo.geometry.path_array import solve_runs

from .test_bench_paths import random_pairs, timed, unit_rows

pytestmark = pytest.mark.benchmark
MANY = 400_000


def test_arrays_beside_the_same_formulas_compiled(record_property, capsys):
    numba = pytest.importorskip("numba")
    pairs = random_pairs(MANY)
    compiled = compiled_runs(numba)
    lengths, found = np.empty(MANY), np.empty(MANY, dtype=bool)
    leads = np.empty((2, MANY))
    compiled(*(v[:9] for v in pairs), lengths[:9], leads[:, :9], found[:9])
    peer_s, _ = timed(lambda: compiled(*pairs, lengths, leads, found))
    array_s, array = timed(lambda: solve_runs(*pairs))
    tell(capsys, record_property, "the same formulas compiled by numba", peer_s / array_s)
    assert found.mean() > 0.999
    assert np.max(np.abs(lengths / array.length_mm - 1.0)[found]) < 1e-12
    assert np.max(np.abs(leads[0] - array.leaving_rad)[found]) < 1e-9
    assert peer_s / array_s >= 0.95


def compiled_runs(numba):
    """The formulas of ``tangent`` as they stand, each compiled, and a loop over the pairs."""
    tree = ast.parse(inspect.getsource(tangent))
    tree.body = [
        Scalar().visit(part)
        for part in tree.body
        if not (isinstance(part, ast.ImportFrom) and part.module == "__future__")
        and getattr(part, "name", "") != "wrap_angle"  # is given a function
    ]
    f = {"jit": numba.njit, "math": math, "__name__": "compiled"}
    exec(compile(ast.fix_missing_locations(tree), "compiled", "exec"), f)
    frame, pairing, certificate, guess = (
        f[name] for name in ("frame", "pairing", "certificate", "first_guess")
    )
    arrive, leave, newton, both, settle, rise = (
        f[name] for name in ("arrive", "leave", "newton", "newton_both", "settle", "rise")
    )
    near, tolerance = tangent.NEAR, RESIDUAL

    @numba.njit
    def runs(centres, axes, radii, senses, lengths, leads, found):
        for i in range(len(lengths)):
            a = (axes[i, 0, 0], axes[i, 0, 1], axes[i, 0, 2])
            b = (axes[i, 1, 0], axes[i, 1, 1], axes[i, 1, 2])
            x, y, z = centres[i, 1] - centres[i, 0]
            between = (x, y, z)
            radius_a, radius_b = radii[i]
            frame_a, frame_b = frame(a, senses[i, 0]), frame(b, senses[i, 1])
            pair = pairing(frame_a, frame_b, between, radius_a, radius_b)
            e_b, _ = arrive(pair, guess(pair))
            moved = 1.0
            while abs(moved) >= near:
                e_b, moved = newton(pair, e_b)
            e_a, _ = leave(pair, e_b)
            e_a, e_b = both(pair, e_a, e_b)
            run = settle(pair, e_a, e_b)
            size = math.sqrt(x * x + y * y + z * z) + radius_a + radius_b
            found[i] = certificate(pair, 0.0) and run.off <= tolerance * size
            at_a = rise(between, a, frame_b, e_b, radius_b)
            at_b = rise(between, b, frame_a, e_a, -radius_a)
            lengths[i] = math.sqrt(at_a * at_a + run.length_a * run.length_a)
            leads[0, i] = math.atan2(at_a, run.length_a)
            leads[1, i] = math.atan2(at_b, run.length_b)

    return runs


class Scalar(ast.NodeTransformer):
    """Takes ``xp`` out of the formulas: it is ``math`` here; and has each of them compiled."""

    def visit_FunctionDef(self, node):
        self.generic_visit(node)
        node.returns = None
        node.args.args = [a for a in node.args.args if a.arg != "xp"]
        for argument in node.args.args:
            argument.annotation = None
        node.decorator_list = [ast.Name("jit", ast.Load())]
        return node

    def visit_Call(self, node):
        node.args = [a for a in node.args if not (isinstance(a, ast.Name) and a.id == "xp")]
        return self.generic_visit(node)

    def visit_Name(self, node):
        return ast.Name("math", node.ctx) if node.id == "xp" else node


def test_arrays_beside_newton_without_the_closed_forms(record_property, capsys):
    pairs = random_pairs(MANY // 4)
    peer_s, lengths = timed(lambda: plain_newton(*pairs))
    array_s, array = timed(lambda: solve_runs(*pairs))
    tell(capsys, record_property, "Newton's rule in plain numpy", peer_s / array_s)
    assert np.mean(np.abs(lengths / array.length_mm - 1.0) < 1e-6) > 0.9
    assert peer_s / array_s >= 5.0


def plain_newton(centres, axes, radii, senses):
    """Lengths of all runs, by Newton's rule on (q - p) . radius = 0 at both ends."""
    seed = np.where(np.abs(axes[..., :1]) < 0.9, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    u = unit_rows(np.cross(seed, axes))
    v = np.cross(axes, u) * senses[..., None]
    between = centres[:, 1] - centres[:, 0]

    def arms(angles):
        return np.cos(angles)[..., None] * u + np.sin(angles)[..., None] * v

    def run(arm):
        return between + radii[:, 1, None] * arm[:, 1] - radii[:, 0, None] * arm[:, 0]

    def off(angles):
        arm = arms(angles)
        return np.einsum("nc,nkc->nk", run(arm), arm)

    angles = np.arctan2(*(np.einsum("nc,nkc->nk", between, w) for w in (v, u))) - math.pi / 2
    step = 1e-6
    for _ in range(12):
        here = off(angles)
        slopes = np.stack([(off(angles + step * e) - here) / step for e in np.eye(2)], axis=-1)
        turn = np.linalg.solve(slopes, here[..., None])[..., 0]
        angles = angles - np.clip(turn, -0.5, 0.5)
        if np.quantile(np.abs(turn), 0.999) < 1e-9:
            break
    return np.linalg.norm(run(arms(angles)), axis=-1)


def tell(capsys, record_property, peer, ratio):
    with capsys.disabled():
        sys.stdout.write(f"\narray of runs, times the speed of {peer}: {ratio:.2f}\n")
    record_property("ratio", ratio)
