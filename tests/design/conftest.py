"""A faultless design file in which every table stands, for tests that break or rewrite it."""

from __future__ import annotations

import pytest

GOOD = """\
title = "Garden wheel"
unit = "mm"

[drive]                       # what the hand turns
shaft = "main"
by = "crank"
speed = "60 rpm"              # one turn a second
turns = "clockwise"
radius = 65
offset = 40

[[shaft]]
name = "main"
at = [0, 0, 0]                # a point on the axis
axis = [0, 0, 1]
diameter = 8
slide = { along = [1, 0, 0], from = -2, to = 6 }
ends = [-5, 45]
material = "steel"

[[shaft]]
name = "middle"
at = ["5 1/2 in", 0, 0]
axis = [0, 0, 1]
diameter = "1/4 in"

[[shaft]]
name = "spindle"
at = [139.7, 100, 20]
axis = [1, 0, 0]
diameter = 4

[[pulley]]
name = "wheel"
shaft = "main"
offset = 12
groove = { shape = "vee", rim = 180, depth = 4, angle = 40, bottom = 0 }
width = 12
material = "plywood"
build = "turned"
bore = 8
lightening = { holes = 5, diameter = 30, circle = 110 }

[[pulley]]
name = "hub"
shaft = "middle"
offset = 12
groove = { shape = "round", rim = 20, depth = 3, radius = 2 }

[[pulley]]
name = "accelerator"
shaft = "middle"
offset = 20
groove = { shape = "flat", rim = 76, width = 8 }
build = "layers"
core = 4
cheek = "1/8 in"

[[pulley]]
name = "whorl"
shaft = "spindle"
offset = 0
pitch = 9.6

[[band]]
name = "first band"
route = ["wheel", "hub"]      # in the order in which it meets them
crossed = false
material = "rubber cord"
diameter = 3
slip = "1 %"
stretch = "5 %"
tension = { weight = "300 g" }
joint = 12

[[band]]
name = "second band"
route = ["accelerator", { pulley = "whorl", turns = "against" }]
material = "linen cord"
diameter = 1.2

[spindle]
shaft = "spindle"
kind = "tip"
bearings = [{ at = -40, kind = "brass" }, { at = 0, kind = "leather", stiffness = 120 }]
sections = [{ from = 20, to = 90, diameter = 3.5 }]
washers = [{ at = 20, diameter = 26, thickness = 1.5, material = "birch" }]
cop = { from = 22, to = 80, diameter = 24, mass = "15 g" }

[yarn]
count = "40 Nm"
fibre = "alpaca"
twist = "Z"
turns_per_metre = 850
draw = 650

[case]
inside = [340, 170, 60]
corner = [-85, -85, -10]

[shop]
kerf = 0.2
reel = true

[[shop.sheet]]
name = "birch ply"
length = 600
width = 300
thickness = 6
material = "plywood"

[limits]
wrap_deg = 100
clearance_mm = "1/16 in"

[[material]]
name = "linen cord"
kind = "cord"
density = 1400
modulus = { value = "2 GPa", low = 1500, high = 3000, source = "pulled on a bench" }
stretch = "2 %"
bend_ratio = 3

[[fibre]]
name = "alpaca"
"""


@pytest.fixture(scope="session")
def good_text() -> str:
    """The text of a faultless design file."""
    return GOOD
