"""A round cord in a vee seats as a measuring wire does between two threads.

Source: F. D. Jones, Turning and Boring, p. 88: over wires of diameter w on a thread of outside
diameter d, pitch p and included angle a, the sharp roots' diameter E gives
M = E + w (1 + 1/sin(a/2)), where the wire's centre stands w / (2 sin(a/2)) above the sharp root.
Here the wire is the cord, and the vee runs from the rim to its sharp bottom.
"""

import math

import pytest

from wheelgeo.design.model import VeeGroove


def over_wires(sharp_root: float, angle_deg: float, wire: float) -> float:
    """Measure over two wires, from where the groove module seats a cord of the wire's size."""
    groove = VeeGroove(rim_mm=sharp_root + 8 * wire, depth_mm=4 * wire, angle_deg=angle_deg)
    return groove.seat(wire).pitch_diameter_mm + wire


def height_mm(groove: VeeGroove, wire: float) -> float:
    """How high above the bottom of the groove the wire's centre stands."""
    return 0.5 * (groove.seat(wire).pitch_diameter_mm - groove.rim_mm) + groove.depth_mm


def sharp_root_of(outside: float, pitch: float, angle_deg: float, truncated: float) -> float:
    """Diameter at the sharp bottom of a thread whose sharp top is cut off by ``truncated``."""
    height = pitch / (2.0 * math.tan(math.radians(angle_deg) / 2.0))
    return outside + 2.0 * truncated - 2.0 * height


def test_jones_us_standard_thread_over_wires():
    # 1 1/2 in, 6 threads to the inch, wires of 0.140 in, 60 degrees; printed 1.6674 in.
    # The US standard thread is flat on top by an eighth of its sharp height.
    pitch = 1.0 / 6.0
    truncated = pitch * math.sqrt(3.0) / 2.0 / 8.0
    measured = over_wires(sharp_root_of(1.5, pitch, 60.0, truncated), 60.0, 0.140)
    assert measured == pytest.approx(1.6674, abs=5e-5)
    assert measured == pytest.approx(1.66741, abs=5e-6)


def test_jones_whitworth_constants():
    # Printed: d - 1.6008 p + 3.1657 w for 55 degrees; the top is cut by a sixth of the height.
    outside, wire, pitch = 1.0, 0.075, 0.125
    truncated = pitch / (2.0 * math.tan(math.radians(27.5))) / 6.0
    root = sharp_root_of(outside, pitch, 55.0, truncated)
    by_pitch = (root - outside) / pitch
    by_wire = (over_wires(root, 55.0, wire) - root) / wire
    assert by_pitch == pytest.approx(-1.6008, abs=5e-5)
    assert by_pitch == pytest.approx(-1.60082, abs=5e-6)
    # printed 3.1657; exact 3.16568
    assert by_wire == pytest.approx(3.1657, abs=5e-5)
    assert by_wire == pytest.approx(3.16568, abs=5e-6)


@pytest.mark.parametrize(
    ("outside", "pitch", "measured"),
    [(8.0, 1.25, 8.27063), (10.0, 1.5, 10.32476), (12.0, 1.75, 12.37889)],
)
def test_metric_threads_over_best_wires(outside, pitch, measured):
    """No printed value was found: recomputed from the formula, with the best wire's size.

    The best wire touches at the pitch line, where groove and ridge are equally wide; ISO 68-1
    cuts the sharp top by an eighth of the height.
    """
    wire = pitch / (2.0 * math.cos(math.radians(30.0)))
    height = pitch * math.sqrt(3.0) / 2.0
    root = sharp_root_of(outside, pitch, 60.0, height / 8.0)
    assert over_wires(root, 60.0, wire) == pytest.approx(measured, abs=5e-6)
    touches = height_mm(VeeGroove(99.0, 9.0, 60.0), wire) - wire / 4.0
    assert touches == pytest.approx(height / 2.0, rel=1e-12)  # half way up the sharp flank


def test_flat_bottom_lowers_the_seat_as_a_truncated_vee_does():
    """A flat of width b cuts off (b/2)/tan(a/2) of the sharp vee: derived from the same figure."""
    sharp = height_mm(VeeGroove(99.0, 9.0, 40.0), 4.0)
    flat = height_mm(VeeGroove(99.0, 9.0, 40.0, bottom_mm=1.0), 4.0)
    assert sharp - flat == pytest.approx(0.5 / math.tan(math.radians(20.0)), rel=1e-12)
