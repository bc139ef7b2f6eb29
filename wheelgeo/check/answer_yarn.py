"""What an answer says of the yarn that a wheel is to spin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import get_args

from wheelgeo.as_json import AsJson
from wheelgeo.check.answer_spinning import SpinningAnswer, spinning_answer
from wheelgeo.design.counts import (
    TradeCount,
    convert,
    diameter_mm,
    metric_count,
    ply,
    trade_number,
    wraps_on_a_ruler,
    wraps_per_inch,
)
from wheelgeo.design.limits import limit_value
from wheelgeo.design.model import Cop, Count, CountSystem, OwnFibre, Yarn
from wheelgeo.design.twist import factor_from_turns, metres_per_hour, wanted_turns_per_metre
from wheelgeo.drive.train import Solution
from wheelgeo.immutable import dataclass
from wheelgeo.yarn.cloth import Threads, cloth_mass_g_m2, sett_per_inch
from wheelgeo.yarn.fibre import (
    LEAST_FIBRES,
    FibreName,
    YarnUse,
    density_g_cm3,
    fibres_in_section,
    fineness_dtex,
    finest_count_nm,
    singles_strength_n,
    usual_twist_per_metre,
    volume_cm3_g,
)
from wheelgeo.yarn.helix import (
    BALANCE_SHARE,
    contraction_factor,
    ply_yarn,
    resulting_count,
    twist_angle_deg,
)
from wheelgeo.yarn.wheel_wind_on import mean_ratio
from wheelgeo.yarn.winders import COTTON_HANK_M, HANK_M, reel_turns, yarn_length_m, yarn_mass_g

PER_SKEIN_G = 100.0
"""What yarn is sold by: its length is told for so many grams."""


@dataclass(frozen=True)
class CountAnswer:
    """A number of a yarn in one system or convention: a count, or a twist factor."""

    system: str
    value: float


@dataclass(frozen=True)
class PlyAnswer:
    """The count of two such yarns plied."""

    value: float
    system: str


@dataclass(frozen=True)
class CopAnswer:
    """What a full cop holds: metres, metric hanks, and turns of the usual reel."""

    length_m: float
    metric_hanks: float
    reel_turns: float


@dataclass(frozen=True)
class CottonAnswer:
    """Thickness and plain cloth of a cotton yarn, the cloth without crimp or finish."""

    diameter_mm: float
    wraps_per_inch: float
    plain_sett_per_inch: float
    plain_cloth_g_m2: float


@dataclass(frozen=True)
class PliedAnswer:
    """The yarn plied against its own twist.

    Attributes:
        plies: how many strands.
        direction: S or Z of the plying twist.
        turns_per_metre: plying twist: the file's share of the singles', or what balances two
            strands, or gives more of them and their singles one helix angle.
        strand_turns_per_metre: twist that is left in each strand.
        length_share: plied length over that of its singles; above 1 it has grown.
        count: resulting count, in the system of the file, with that length.
        system: that system.
        diameter_mm: of the plied yarn.
        wraps_per_inch: of the plied yarn.
        twist_angle_deg: of the strands at its outside.
        balance_from: least plying twist of a balanced two-ply by the textbooks (0.65 of the
            singles', from memory), turns per metre; None of more strands.
        balance_to: the most, 0.70.
    """

    plies: int
    direction: str
    turns_per_metre: float
    strand_turns_per_metre: float
    length_share: float
    count: float
    system: str
    diameter_mm: float
    wraps_per_inch: float
    twist_angle_deg: float
    balance_from: float | None
    balance_to: float | None


@dataclass(frozen=True)
class TogetherAnswer:
    """A yarn of several strands, as a whole.

    Attributes:
        count: its count.
        system: the system of that.
        counts_plying: what plying takes up or gives is counted in; False where no twist is told.
        metres_per_100_g: its length.
        diameter_mm: its thickness.
        wraps_per_inch: as it lies.
    """

    count: float
    system: CountSystem
    counts_plying: bool
    metres_per_100_g: float
    diameter_mm: float
    wraps_per_inch: float


@dataclass(frozen=True)
class FibresAnswer:
    """The fibres in the section of one strand.

    Attributes:
        fineness_dtex: their fineness.
        in_section: how many lie side by side, on average.
        least: how few still hold together, as the yarn is spun.
        finest_count_nm: the count at which so few are left.
    """

    fineness_dtex: float
    in_section: float
    least: float
    finest_count_nm: float


@dataclass(frozen=True)
class UseAnswer:
    """Usual twist of a singles yarn for a use, turns per metre; common practice, no source."""

    use: str
    least_turns_per_metre: float
    most_turns_per_metre: float


@dataclass(frozen=True)
class YarnAnswer(AsJson):
    """The yarn that is wanted.

    Attributes:
        fibre: its fibre.
        plies: how many strands are plied; 1 of a single yarn. All else is told of one strand.
        together: the yarn of all its strands; None of a single.
        plied: how it is plied; None of a single, or where no twist is wanted.
        fibres: the fibres in its section; None where their fineness is not given.
        diameter_mm: thickness of a strand, with as much fibre in it as in spun cotton (Peirce).
        wraps_per_inch: of a strand.
        wraps_on_a_ruler: least and most to the inch where they are laid side by side and not
            pressed, of a lofty yarn and a smooth one (common practice).
        twist_angle_deg: angle of its outer fibres; None where no twist is wanted.
        contraction: fibre length over yarn length; None likewise.
        strength_n: least and most force that a strand is likely to bear; None for an own fibre.
        usual_twist: by use; empty for an own fibre.
        counts: its count in every system, those of a design file first.
        two_ply: the count of two of it plied.
        twist_factors: its twist as a factor in each convention; denier has that of tex. Empty
            where no twist is wanted.
        metres_per_100_g: its length.
        metric_hank_g: mass of a hank of 1 000 m.
        cotton_hank_g: mass of a hank of 840 yards.
        metres_per_hour: yield of drafting alone at the hand speed of the file, over a whole bobbin;
            None where twist or ratio are not known.
        full_cop: what a full cop, or the full bobbin of a flyer, holds; None where the file has
            neither. Of a yarn of several strands: of one strand, as it is spun.
        full_cop_plied: what it holds of all strands plied, the same mass; None of a single, too.
        bobbins_to_ply: bobbins or cops that plying takes: one of each strand, and one to ply on;
            None of a single.
        as_cotton: diameter and cloth by rules for spun cotton (Peirce, Ashenhurst); None for other
            fibres.
        spinning: what spinning it takes, all of the cycle counted; None where twist, ratio or draw
            are not known.
    """

    fibre: str
    plies: int
    together: TogetherAnswer | None
    plied: PliedAnswer | None
    fibres: FibresAnswer | None
    diameter_mm: float
    wraps_per_inch: float
    wraps_on_a_ruler: tuple[float, float]
    twist_angle_deg: float | None
    contraction: float | None
    strength_n: tuple[float, float] | None
    usual_twist: tuple[UseAnswer, ...]
    counts: tuple[CountAnswer, ...]
    two_ply: PlyAnswer
    twist_factors: tuple[CountAnswer, ...]
    metres_per_100_g: float
    metric_hank_g: float
    cotton_hank_g: float
    metres_per_hour: float | None
    full_cop: CopAnswer | None
    full_cop_plied: CopAnswer | None
    bobbins_to_ply: int | None
    as_cotton: CottonAnswer | None
    spinning: SpinningAnswer | None


def yarn_answer(solution: Solution) -> YarnAnswer | None:
    """Return what is to be said of the yarn of a solved wheel; None where its file names none."""
    design = solution.design
    yarn, ratio = design.yarn, mean_ratio(solution)
    if yarn is None:
        return None
    turns, facts = wanted_turns_per_metre(yarn), yarn_facts(yarn, design.limits, design.fibres)
    one = facts.together
    whole = None if one is None else Count(one.count, one.system)
    return replace(
        facts,
        metres_per_hour=None
        if turns is None or ratio is None
        else metres_per_hour(turns, ratio, design.drive.speed_rpm),
        full_cop=_full_cop(solution, yarn.count),
        full_cop_plied=None if whole is None else _full_cop(solution, whole),
        spinning=spinning_answer(solution),
    )


def yarn_facts(
    yarn: Yarn, limits: Mapping[str, float] | None = None, own: tuple[OwnFibre, ...] = ()
) -> YarnAnswer:
    """Return what is to be said of a yarn without a wheel.

    Args:
        yarn: the yarn.
        limits: limits that differ from practice.
        own: fibres of one's own, of which no more is known than they say.
    """
    count, turns = yarn.count, wanted_turns_per_metre(yarn)
    mine = any(fibre.name == yarn.fibre for fibre in own)
    known: FibreName | None = None if mine else yarn.fibre  # type: ignore[assignment]
    volume = volume_cm3_g(density_g_cm3(yarn.fibre, own))
    thick = diameter_mm(count, volume)
    angle = None if turns is None else twist_angle_deg(turns, thick)
    return YarnAnswer(
        fibre=yarn.fibre,
        plies=count.plies,
        together=None if count.plies == 1 else _together(yarn, turns, volume),
        plied=None if turns is None or count.plies == 1 else _plied(yarn, turns, volume),
        fibres=fibres_of(yarn, limits or {}, own),
        diameter_mm=thick,
        wraps_per_inch=wraps_per_inch(count, volume),
        wraps_on_a_ruler=wraps_on_a_ruler(count, yarn.fibre),
        twist_angle_deg=angle,
        contraction=None if angle is None else contraction_factor(angle),
        strength_n=singles_strength_n(count, known) if known else None,
        usual_twist=_usual_twist(count, known) if known else (),
        counts=_counts(count),
        two_ply=PlyAnswer(ply([count, count]).value, count.system),
        twist_factors=() if turns is None else _factors(turns, count),
        metres_per_100_g=yarn_length_m(PER_SKEIN_G, count),
        metric_hank_g=yarn_mass_g(HANK_M, count),
        cotton_hank_g=yarn_mass_g(COTTON_HANK_M, count),
        metres_per_hour=None,
        full_cop=None,
        full_cop_plied=None,
        bobbins_to_ply=None if count.plies == 1 else count.plies + 1,
        as_cotton=_cotton(yarn) if yarn.fibre == "cotton" else None,
        spinning=None,
    )


def _together(yarn: Yarn, turns_per_metre: float | None, volume: float) -> TogetherAnswer:
    made = resulting_count(yarn.count, turns_per_metre, yarn.ply_share, volume)
    return TogetherAnswer(
        made.value, made.system, turns_per_metre is not None, yarn_length_m(PER_SKEIN_G, made),
        diameter_mm(made, volume), wraps_per_inch(made, volume),
    )  # fmt: skip


def _plied(yarn: Yarn, turns_per_metre: float, volume: float) -> PliedAnswer:
    count = yarn.count
    made = ply_yarn(
        replace(count, plies=1), turns_per_metre, yarn.twist, count.plies, yarn.ply_share, volume
    )
    thick = diameter_mm(made.count, volume)
    balance = [share * turns_per_metre if made.plies == 2 else None for share in BALANCE_SHARE]
    return PliedAnswer(
        made.plies, made.direction, made.ply_turns_per_metre, made.strand_turns_per_metre,
        made.length_share, made.count.value, made.count.system, thick,
        wraps_per_inch(made.count, volume), twist_angle_deg(made.ply_turns_per_metre, thick),
        balance[0], balance[1],
    )  # fmt: skip


def fibres_of(
    yarn: Yarn, limits: Mapping[str, float], own: tuple[OwnFibre, ...] = ()
) -> FibresAnswer | None:
    """Return the fibres in a yarn's section; None where their fineness is not known."""
    dtex = None if yarn.fineness is None else fineness_dtex(yarn.fineness, yarn.fibre, own)
    if dtex is None:
        return None
    hand = yarn.method == "hand"
    least = limit_value("least_fibres", limits) if hand else float(LEAST_FIBRES[yarn.method])
    return FibresAnswer(
        dtex, fibres_in_section(yarn.count, dtex), least,
        finest_count_nm(dtex, yarn.method, least),
    )  # fmt: skip


def _usual_twist(count: Count, fibre: FibreName) -> tuple[UseAnswer, ...]:
    uses: tuple[YarnUse, ...] = get_args(YarnUse)
    nm = metric_count(count)
    return tuple(UseAnswer(use, *usual_twist_per_metre(nm, fibre, use)) for use in uses)


def _counts(count: Count) -> tuple[CountAnswer, ...]:
    systems: tuple[CountSystem, ...] = get_args(CountSystem)
    trades: tuple[TradeCount, ...] = get_args(TradeCount)
    ours = (CountAnswer(s, convert(count, s).value) for s in systems)
    return (*ours, *(CountAnswer(t, trade_number(count, t)) for t in trades))


def _factors(turns_per_metre: float, count: Count) -> tuple[CountAnswer, ...]:
    systems: tuple[CountSystem, ...] = ("Nm", "Ne", "tex")
    return tuple(
        CountAnswer(s, factor_from_turns(turns_per_metre, convert(count, s))) for s in systems
    )


def _full_cop(solution: Solution, count: Count) -> CopAnswer | None:
    design, spindle = solution.design, solution.built.spindle
    on_bobbin = spindle.flyer_plan is not None and design.bobbin is not None
    if design.spindle.cop is None and not on_bobbin:
        return None
    return _cop(spindle.cop.value, count) if spindle.cop.value.mass_g > 0.0 else None


def _cop(cop: Cop, count: Count) -> CopAnswer:
    metres = yarn_length_m(cop.mass_g, count)
    return CopAnswer(metres, metres / HANK_M, reel_turns(metres))


def _cotton(yarn: Yarn) -> CottonAnswer:
    sett = sett_per_inch(yarn.count)
    threads = Threads(yarn.count, sett)
    return CottonAnswer(
        diameter_mm(yarn.count), wraps_per_inch(yarn.count), sett,
        cloth_mass_g_m2(threads, threads),
    )  # fmt: skip
