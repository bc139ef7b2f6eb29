"""Standard rings (AS568, ISO 3601-1) and how a ring thins.

Sizes: a public table of AS568 sizes, rows seen, and the least and greatest inside diameter of the
sections in Global O-Ring and Seal, AS568 O-Ring Size Chart (0.171 to 17.955 in and so on); the rows
between follow from the steps of the series, some from memory held beside them. Thinning: constant
volume of a torus, worked out by hand; seal handbooks print about half as much again (3.40, 6.00 and
10.52 %, from memory).
"""

import math

import pytest

from wheelgeo.design.rings import RINGS, nearest_ring, stretched_cord_mm

SEEN = {  # name: inside diameter, section, mm
    "006": (2.90, 1.78), "012": (9.25, 1.78), "016": (15.60, 1.78),
    "110": (9.19, 2.62), "116": (18.72, 2.62), "157": (113.97, 2.62), "171": (202.87, 2.62),
    "210": (18.64, 3.53), "225": (47.22, 3.53), "258": (151.99, 3.53), "278": (304.39, 3.53),
    "050": (133.07, 1.78), "178": (247.32, 2.62), "201": (4.34, 3.53), "284": (456.06, 3.53),
    "309": (10.46, 5.33), "395": (658.88, 5.33), "475": (658.88, 6.99),
}  # fmt: skip
FROM_MEMORY_IN = {
    "222": 1.484, "223": 1.609, "242": 3.984, "260": 6.484, "276": 10.984, "281": 14.984,
    "324": 1.350, "325": 1.475, "349": 4.475, "361": 5.975, "377": 9.975, "381": 11.975,
    "437": 5.975, "445": 7.975, "460": 15.475, "469": 19.955,
}  # fmt: skip


@pytest.mark.parametrize("name", FROM_MEMORY_IN)
def test_the_steps_of_the_series_pass_through_sizes_from_memory(name):
    ring = next(r for r in RINGS if r.name == name)
    assert ring.inside_mm == pytest.approx(25.4 * FROM_MEMORY_IN[name], abs=0.006)
    assert not ring.looked_up


@pytest.mark.parametrize("name", SEEN)
def test_sizes_are_those_of_the_series(name):
    ring = next(r for r in RINGS if r.name == name)
    assert (ring.inside_mm, ring.section_mm) == SEEN[name]
    assert ring.looked_up or name == "278"


def test_traps_of_lists_are_not_repeated():
    # Lists are about that give -111 as 11.11 and -210 as 25.12 mm.
    inside = {ring.name: ring.inside_mm for ring in RINGS}
    assert (inside["111"], inside["210"]) == (10.77, 18.64)  # 0.424 in, from memory, and seen
    assert len({ring.name for ring in RINGS}) == len(RINGS)


def test_a_cord_thins_by_constant_volume():
    assert stretched_cord_mm(3.0, 0.21) == pytest.approx(3.0 / 1.1)


def test_slack_length_is_that_of_the_centre_line():
    ring = next(r for r in RINGS if r.name == "157")
    assert ring.slack_length_mm == pytest.approx(math.pi * (113.97 + 2.62))


def test_the_nearest_ring_is_of_the_section_and_near_or_none():
    # -281: 14.984 in inside, from memory; its centre-line is pi (380.59 + 3.53) mm
    ring = nearest_ring(math.pi * (385.0 + 3.53), 3.53)
    assert ring is not None
    assert ring.name == "281"
    assert nearest_ring(1206.7, 4.5) is None
    assert nearest_ring(3000.0, 3.53) is None
