"""Wind-on: how a flyer wheel takes yarn in, for a band or a brake on flyer and bobbin.

A flyer puts one turn into the yarn with each of its own; yarn is taken in by the *difference* of
bobbin and flyer. The faster of the two *leads*. Turns are per turn of the drive, positive as the
flyer turns, and without the bands' slip. ``take_in`` is what the wheel would take in if nothing
slipped; the spinner holds the rest back, and the lead that is too much must slip somewhere.
"""

from __future__ import annotations

import math
from typing import ClassVar, Literal

from wheelgeo.design.counts import checked_positive
from wheelgeo.drive.yarn_hold import EQUAL_SPEEDS, take_in_mm
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass

Leads = Literal["bobbin", "flyer", "neither"]
WindOnBy = Literal["double band", "two bands", "bobbin brake", "flyer brake"]
WindOnTrouble = Literal["equal speeds", "takes in too slowly", "bobbin must turn backwards"]


@dataclass(frozen=True)
class WindOn:
    """Wind-on at one diameter of the bobbin.

    Attributes:
        by: what makes flyer and bobbin differ.
        leads: which of the two is faster.
        bobbin_diameter_mm: over the yarn.
        flyer_turns_per_drive_turn: turns of the flyer (of its whorl where both are driven).
        bobbin_turns_per_drive_turn: turns of the bobbin (or its whorl); None with a brake and
            no wanted twist.
        take_in_mm_per_flyer_turn: yarn taken in; None as above.
        least_turns_per_metre: least twist that can come out; None with a brake.
        slip_share: part of the lead that must slip for the wanted twist; below 0 the wheel
            cannot take in as fast as that twist asks; None with a brake or no wanted twist.
        yarn_pull_n: the brake's torque over half the bobbin's diameter; None without a brake.
        trouble: why it cannot work, or None.
        turns_per_metre: twist that comes out with as many turns of the drive to a metre as give
            the wanted one on the empty bobbin; None where none is wanted.
    """

    json_keys: ClassVar[tuple[str, ...]] = (
        "bobbin_diameter_mm", "flyer_turns_per_drive_turn", "bobbin_turns_per_drive_turn",
        "take_in_mm_per_flyer_turn", "least_turns_per_metre", "slip_share", "yarn_pull_n",
        "turns_per_metre",
    )  # fmt: skip

    by: WindOnBy
    leads: Leads
    bobbin_diameter_mm: float
    flyer_turns_per_drive_turn: float
    bobbin_turns_per_drive_turn: float | None
    take_in_mm_per_flyer_turn: float | None
    least_turns_per_metre: float | None
    slip_share: float | None
    yarn_pull_n: float | None
    trouble: WindOnTrouble | None
    turns_per_metre: float | None = None


def both_driven(
    by: Literal["double band", "two bands"],
    flyer_turns: float,
    bobbin_turns: float,
    bobbin_diameter_mm: float,
    turns_per_metre: float | None = None,
) -> WindOn:
    """Return the wind-on of a wheel whose bands drive flyer and bobbin both.

    Args:
        by: one band over both whorls, or a band for each.
        flyer_turns: turns of the flyer's whorl per drive turn.
        bobbin_turns: turns of the bobbin's whorl per drive turn, signed against the flyer's.
        bobbin_diameter_mm: over the yarn.
        turns_per_metre: wanted twist; None where none is wanted.

    Returns:
        Wind-on.

    Raises:
        QuantityError: the flyer does not turn, or a number is not above 0.
    """
    flyer = checked_positive(abs(flyer_turns), "the flyer's turns per drive turn")
    # Everything is told as the flyer turns: a wheel turned the other way reads the same.
    bobbin = bobbin_turns / math.copysign(1.0, flyer_turns)
    take_in = take_in_mm(flyer, bobbin, bobbin_diameter_mm)
    if abs(bobbin / flyer - 1.0) <= EQUAL_SPEEDS:
        return WindOn(
            by, "neither", bobbin_diameter_mm, flyer, bobbin, 0.0, None, None, None, "equal speeds"
        )
    slip = None
    if turns_per_metre is not None:
        wanted = 1000.0 / checked_positive(turns_per_metre, "the twist in turns per metre")
        slip = 1.0 - wanted / take_in
    slow = slip is not None and slip < 0.0
    return WindOn(
        by,
        _leads(flyer, bobbin),
        bobbin_diameter_mm,
        flyer,
        bobbin,
        take_in,
        1000.0 / take_in,
        slip,
        None,
        "takes in too slowly" if slow else None,
    )


def bobbin_braked(
    flyer_turns: float,
    bobbin_diameter_mm: float,
    turns_per_metre: float | None,
    brake_nm: float | None,
) -> WindOn:
    """Return the wind-on of a wheel that drives the flyer and holds the bobbin back.

    The flyer leads. The bobbin falls behind by just what the spinner lets in: t/(π d) of a turn.

    Args:
        flyer_turns: turns of the flyer per drive turn.
        bobbin_diameter_mm: over the yarn.
        turns_per_metre: wanted twist; None where none is wanted.
        brake_nm: the brake's torque on the bobbin; None where it is not known.

    Returns:
        Wind-on.

    Raises:
        QuantityError: a number is not above 0.
    """
    flyer = checked_positive(abs(flyer_turns), "the flyer's turns per drive turn")
    part = _part(bobbin_diameter_mm, turns_per_metre)
    bobbin = None if part is None else flyer * (1.0 - part)
    backwards = part is not None and part > 1.0
    return WindOn(
        "bobbin brake",
        "flyer",
        bobbin_diameter_mm,
        flyer,
        bobbin,
        None if turns_per_metre is None else 1000.0 / turns_per_metre,
        None,
        None,
        pull_n(brake_nm, bobbin_diameter_mm),
        # A brake holds; it cannot turn the bobbin backwards, which less than one flyer turn to
        # the bobbin's own girth of yarn would ask.
        "bobbin must turn backwards" if backwards else None,
    )


def flyer_braked(
    bobbin_turns: float,
    bobbin_diameter_mm: float,
    turns_per_metre: float | None,
    brake_nm: float | None,
) -> WindOn:
    """Return the wind-on of a wheel that drives the bobbin and holds the flyer back.

    The bobbin leads and draws the flyer after it by the yarn.

    Args:
        bobbin_turns: turns of the bobbin per drive turn.
        bobbin_diameter_mm: over the yarn.
        turns_per_metre: wanted twist; None where none is wanted (the flyer is then told as fast
            as the bobbin, which it is while nothing is let in).
        brake_nm: the brake's torque on the flyer; None where it is not known.

    Returns:
        Wind-on.

    Raises:
        QuantityError: a number is not above 0.
    """
    bobbin = checked_positive(abs(bobbin_turns), "the bobbin's turns per drive turn")
    part = _part(bobbin_diameter_mm, turns_per_metre)
    return WindOn(
        "flyer brake",
        "bobbin",
        bobbin_diameter_mm,
        bobbin if part is None else bobbin / (1.0 + part),
        bobbin,
        None if turns_per_metre is None else 1000.0 / turns_per_metre,
        None,
        None,
        pull_n(brake_nm, bobbin_diameter_mm),
        None,
    )


def pull_n(brake_nm: float | None, bobbin_diameter_mm: float) -> float | None:
    """Return the pull on the yarn: the brake's torque over half the bobbin's diameter, N."""
    if brake_nm is None:
        return None
    if not (math.isfinite(brake_nm) and brake_nm >= 0.0):
        raise QuantityError(f"the brake's torque is {brake_nm:g} N m; it must be 0 or more")
    half_m = checked_positive(bobbin_diameter_mm, "the bobbin's diameter in mm") / 2000.0
    return brake_nm / half_m


def _part(bobbin_diameter_mm: float, turns_per_metre: float | None) -> float | None:
    """Return the turns of the bobbin against the flyer, per flyer turn, that the twist asks."""
    round_mm = math.pi * checked_positive(bobbin_diameter_mm, "the bobbin's diameter in mm")
    if turns_per_metre is None:
        return None
    return 1000.0 / checked_positive(turns_per_metre, "the twist in turns per metre") / round_mm


def _leads(flyer: float, bobbin: float) -> Leads:
    """Return which is faster in size; a bobbin that turns the other way is held by its size."""
    if math.isclose(abs(bobbin), flyer, rel_tol=EQUAL_SPEEDS):
        return "neither"
    return "bobbin" if abs(bobbin) > flyer else "flyer"
