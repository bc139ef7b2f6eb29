from __future__ import annotations

import math
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.design.model import Count
from wheelgeo.errors import QuantityError
from wheelgeo.yarn.cloth import Threads, cloth_mass_g_m2, diameters_per_inch, sett_per_inch

DESIGNS = Path(__file__).parents[2] / "designs"
YARN = Count(25.0, "tex")


def test_mass_of_a_metre_square_counted_by_hand():
    # 25.4 threads per inch are 1 000 per metre: 1 km each way of 25 tex, and a tenth more of weft.
    cloth = cloth_mass_g_m2(Threads(YARN, 25.4), Threads(YARN, 25.4, 0.1))
    assert cloth == pytest.approx(25.0 + 27.5, rel=1e-13)


def test_warp_and_weft_may_change_places():
    a, b = Threads(YARN, 60.0, 0.03), Threads(Count(8.0, "Nm"), 20.0, 0.08)
    assert cloth_mass_g_m2(a, b) == cloth_mass_g_m2(b, a)


def test_fewer_intersections_let_threads_lie_closer():
    plain, twill = sett_per_inch(YARN), sett_per_inch(YARN, ends=4, intersections=2)
    assert plain < twill < sett_per_inch(YARN, ends=8, intersections=2) < diameters_per_inch(YARN)


@pytest.mark.parametrize("crimp", [-0.01, math.nan, math.inf])
def test_crimp_below_nothing_is_refused(crimp):
    with pytest.raises(QuantityError, match="crimp"):
        cloth_mass_g_m2(Threads(YARN, 60.0, crimp), Threads(YARN, 60.0))


@pytest.mark.parametrize("per_inch", [0.0, -5.0, math.nan])
def test_a_cloth_without_threads_is_refused(per_inch):
    with pytest.raises(QuantityError, match="threads per inch"):
        cloth_mass_g_m2(Threads(YARN, 60.0), Threads(YARN, per_inch))


@pytest.mark.parametrize(("ends", "intersections"), [(0, 2), (2, -1)])
def test_a_repeat_that_is_no_weave_is_refused(ends, intersections):
    with pytest.raises(QuantityError, match="no weave"):
        sett_per_inch(YARN, ends, intersections)


def test_a_share_of_nothing_is_refused():
    with pytest.raises(QuantityError, match="share"):
        diameters_per_inch(YARN, share=0.0)


def test_woollen_threads_lie_wider_than_cotton():
    # Ashenhurst, from memory: of the root of yards per pound 16 % less for woollen yarn, 10 % less
    # for worsted. By hand, 8 Nm: 3 968 yards per pound, of which half the root is 31.50.
    wool, cotton = (wheelgeo.cloth("8 Nm", ends_per_cm=5, fibre=f) for f in ("wool", "cotton"))
    assert wool.closest_sett_per_inch == pytest.approx(0.84 * 31.50, abs=0.01)
    assert cotton.closest_sett_per_inch == pytest.approx(0.90 * 31.50, abs=0.01)
    assert (wool.fibre, wheelgeo.cloth("8 Nm", ends_per_cm=5).fibre) == ("wool", "cotton")
    spun = wheelgeo.load(DESIGNS / "flyer-wheel.toml")
    assert wheelgeo.cloth("6 Nm", ends_per_cm=5, wheel=spun).fibre == "wool"
    told = [a.what for a in wheelgeo.cloth("8 Nm", ends_per_cm=5).assumed]
    assert "fibre" in told
    assert "fibre" not in [a.what for a in wool.assumed]
    with pytest.raises(QuantityError, match="no fibre"):
        wheelgeo.cloth("8 Nm", ends_per_cm=5, fibre="nettle")
