"""Random sound wheels against a second solver of another method, from file to JSON.

The peer knows none of the program's geometry: a run is what makes both conditions of the tangent
zero (its radius at either end square to it), found by scipy's general solver in the two angles
from many starts; a pitch radius is the seat of a cord in a vee by hand; the ratio is the product of
pitch diameters. Where a pair has several runs, the longest is the band's, as documented.
"""

import math
import random
import warnings

import numpy as np
import pytest
from scipy.optimize import root

import wheelgeo

SHORT, LONG = 20, 10_000


def across(axis):
    seed = np.eye(3)[np.argmin(np.abs(axis))]
    u = np.cross(seed, axis)
    u /= np.linalg.norm(u)
    return u, np.cross(axis, u)


def every_run(one, other):
    """Lengths and directions of all runs from one turning circle to another."""
    (c1, a1, r1, s1), (c2, a2, r2, s2) = one, other
    (u1, v1), (u2, v2) = across(a1), across(a2)

    def parts(angles):
        e1 = np.cos(angles[0]) * u1 + np.sin(angles[0]) * v1
        e2 = np.cos(angles[1]) * u2 + np.sin(angles[1]) * v2
        return e1, e2, c2 + r2 * e2 - c1 - r1 * e1

    def off(angles):
        e1, e2, run = parts(angles)
        return run @ e1, run @ e2

    found = []
    for start in np.ndindex(6, 6):
        said = root(off, np.array(start) * math.tau / 6, tol=1e-13)
        e1, e2, run = parts(said.x)
        length = np.linalg.norm(run)
        if not said.success or max(map(abs, off(said.x))) > 1e-9 * length:
            continue
        way = run / length
        if way @ (s1 * np.cross(a1, e1)) > 0.0 and way @ (s2 * np.cross(a2, e2)) > 0.0:
            found.append((length, e1, e2, way))
    return found


def band_by_hand(circles):
    """Length of a band and the lead angles at which it arrives and leaves; None: no run."""
    runs = []
    for i, circle in enumerate(circles):
        found = every_run(circle, circles[(i + 1) % len(circles)])
        if not found:
            return None
        runs.append(max(found, key=lambda run: run[0]))
    total, leads = sum(run[0] for run in runs), []
    for i, (_, axis, radius, sense) in enumerate(circles):
        arrives, leaves = runs[i - 1], runs[i]
        e_in, e_out = arrives[2], leaves[1]
        turn = math.atan2(axis @ np.cross(e_in, e_out), e_in @ e_out) * sense % math.tau
        total += radius * turn
        leads.append([math.degrees(math.asin(way @ axis)) for way in (arrives[3], leaves[3])])
    return total, leads


def random_wheel(chance):
    """Two stages, the second at any angle; returns its file and what the peer needs."""
    def direction():
        v = np.array([chance.gauss(0.0, 1.0) for _ in range(3)])
        return v / np.linalg.norm(v)

    rims = [chance.uniform(120, 300), chance.uniform(14, 40), chance.uniform(50, 120),
            chance.uniform(9, 25)]  # fmt: skip
    cords = [chance.uniform(1.2, 2.2), chance.uniform(0.8, 1.5)]
    main = direction()
    lean = main if chance.random() < 0.5 else direction()
    aside = np.cross(main, direction())
    aside /= np.linalg.norm(aside)
    middle = aside * (rims[0] + rims[1]) / 2 * chance.uniform(1.2, 2.0)
    tip = direction()
    away = np.cross(lean, tip)
    away /= np.linalg.norm(away)
    spindle = middle + 30 * lean + away * (rims[2] + rims[3]) / 2 * chance.uniform(1.3, 2.5)
    spindle += lean * chance.uniform(-8, 8)
    places = [(np.zeros(3), main), (middle, lean), (middle + 30 * lean, lean), (spindle, tip)]
    pitches = [rim - 6 + cord / math.sin(math.radians(20))  # r / sin(angle / 2) above the bottom
               for rim, cord in zip(rims, (cords[0], cords[0], cords[1], cords[1]), strict=True)]
    against = [chance.random() < 0.4, chance.random() < 0.4]
    turns = ["against" if one else "with" for one in against]

    def shaft(name, at, axis):
        return (f'[[shaft]]\nname = "{name}"\nat = {list(map(float, at))}\n'
                f"axis = {list(map(float, axis))}\ndiameter = 3\n")

    def pulley(name, on, offset, rim):
        return (f'[[pulley]]\nname = "{name}"\nshaft = "{on}"\noffset = {offset}\ngroove = '
                f'{{ shape = "vee", rim = {rim!r}, depth = 3, angle = 40, bottom = 0 }}\n')

    def band(name, one, other, way, cord):
        return (f'[[band]]\nname = "{name}"\nroute = ["{one}", {{ pulley = "{other}", turns = '
                f'"{way}" }}]\nmaterial = "cotton cord"\ndiameter = {cord!r}\n')

    text = "\n".join((
        'title = "Chance"\nunit = "mm"\n',
        '[drive]\nshaft = "main"\nby = "crank"\nspeed = "60 rpm"\nturns = "clockwise"\n',
        shaft("main", np.zeros(3), main), shaft("middle", middle, lean),
        shaft("spindle", spindle, tip),
        pulley("wheel", "main", 0, rims[0]), pulley("hub", "middle", 0, rims[1]),
        pulley("accelerator", "middle", 30, rims[2]), pulley("whorl", "spindle", 0, rims[3]),
        band("first", "wheel", "hub", turns[0], cords[0]),
        band("second", "accelerator", "whorl", turns[1], cords[1]),
        '[spindle]\nshaft = "spindle"\nkind = "tip"\n',
    ))  # fmt: skip
    senses = [-1, 1 if against[0] else -1]
    senses += [senses[1], -senses[1] if against[1] else senses[1]]
    circles = [(c, a, p / 2, s) for (c, a), p, s in zip(places, pitches, senses, strict=True)]
    return text, circles, pitches, senses


@pytest.mark.parametrize(
    ("count", "seed"), [(SHORT, 11), pytest.param(LONG, 12, marks=pytest.mark.long)]
)
def test_random_wheels_by_another_solver(count, seed):
    chance = random.Random(seed)
    bands = none = 0
    for number in range(count):
        text, circles, pitches, senses = random_wheel(chance)
        answer = wheelgeo.read(text).solve()
        where = f"seed {seed}, wheel {number}"
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the peer's trials that come to nothing
            peers = [band_by_hand(circles[:2]), band_by_hand(circles[2:])]
        for told, peer in zip(answer.bands, peers, strict=True):
            if told.length_mm is None:
                none += 1
                assert peer is None, where
                continue
            bands += 1
            assert peer is not None, where
            length, leads = peer
            assert told.length_mm == pytest.approx(length, rel=1e-9), where
            for stop, (arriving, leaving) in zip(told.pulleys, leads, strict=True):
                assert stop.arriving_deg == pytest.approx(arriving, abs=1e-6), where
                assert stop.leaving_deg == pytest.approx(leaving, abs=1e-6), where
        ratio = pitches[0] / pitches[1] * pitches[2] / pitches[3]
        if answer.ratio is not None:
            assert answer.ratio == pytest.approx(ratio, rel=1e-12), where
            # about the outward axis counter-clockwise makes S, clockwise Z (ISO 2)
            assert answer.twist.direction == ("S" if senses[3] > 0 else "Z"), where
    assert bands > 1.5 * count
    assert none < 0.2 * count
