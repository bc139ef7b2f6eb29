"""Materials known by name, each figure with its spread and its source.

Cords, shafts, wheels and bearing pairs stand here and nowhere else. A source that names a book or
a sheet was looked up; "from memory" was not; "common practice" has no printed source.
"""

from __future__ import annotations

from collections.abc import Iterable

from wheelgeo.design.material import Figure, Material, MaterialKind
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class BearingPair:
    """What a shaft runs in.

    Attributes:
        name: as a design file writes it (``kind`` of a bearing).
        says: what runs in what.
        friction: coefficient of friction at the shaft's surface.
        stiffness_n_mm: how stiffly it holds the shaft sideways, N/mm.
    """

    name: str
    says: str
    friction: Figure
    stiffness_n_mm: Figure


MEMORY = "from memory"
PRACTICE = "common practice, no source"

_SHORE_SLOPE = 0.0235
_SHORE_SHIFT = -0.6403
SHORE_SOURCE = (
    "log10 E = 0.0235 S - 0.6403, Shore A to MPa (after Qi, Joyce & Boyce, Rubber Chemistry and "
    "Technology 76 (2003), 419-435; from memory)"
)
SHORE_SPREAD = 0.3
"""How far a single rubber may lie off the relation, as a fraction: common practice, no source."""

_KHURMI = "Khurmi & Gupta, Theory of Machines, table of belt friction; from memory"
_KHURMI_DENSITY = "Khurmi & Gupta, Theory of Machines, table of belt densities; from memory"
_APPLE = "Apple Rubber Seal Design Guide, drive-belt page"
_HANDBOOK = "USDA Wood Handbook, 2010"


def modulus_from_shore_a(hardness: float) -> float:
    """Return the modulus of an elastomer, MPa, from its Shore A hardness.

    Args:
        hardness: Shore A, from 20 to 90.

    Returns:
        The modulus at small strain, MPa, by ``log10 E = 0.0235 S - 0.6403``; the coefficients are
        from memory. Some copies have e in place of 10, a quarter of it at 70A. An older relation
        (A. N. Gent, Rubber Chemistry and Technology 31 (1958), 896) gives about half as much at
        70A, so that ``SHORE_SPREAD`` holds for this relation only: a measured pull says more.

    Raises:
        ValueError: hardness outside 20 to 90.
    """
    if not 20.0 <= hardness <= 90.0:
        raise ValueError(f"Shore A {hardness:g}: the relation holds from 20 to 90")
    return float(10.0 ** (_SHORE_SLOPE * hardness + _SHORE_SHIFT))


def shore_figure(hardness: float, softer: float = 0.0, harder: float = 0.0) -> Figure:
    """Return the modulus of an elastomer of a Shore A hardness, with its uncertainty.

    Args:
        hardness: Shore A.
        softer: by how much the rubber may be softer.
        harder: by how much it may be harder.
    """
    low, value, high = (
        modulus_from_shore_a(h) for h in (hardness - softer, hardness, hardness + harder)
    )
    spread = f" ({hardness - softer:g}A to {hardness + harder:g}A)" if softer or harder else ""
    return Figure(
        value,
        low * (1.0 - SHORE_SPREAD),
        high * (1.0 + SHORE_SPREAD),
        f"{SHORE_SOURCE}, at {hardness:g}A{spread}, with 30 % of uncertainty",
    )


_ORING_BEND = Figure(4.0, 4.0, 6.0, _APPLE)
_ORING_STRETCH = Figure(0.10, 0.08, 0.12, _APPLE + ", stretch of the inside diameter")
_FIBRES_BEND = Figure(
    0.10, 0.04, 0.26,
    "0.26 of a tarred hemp rope, a fiftieth of its load on an axis twelve times as thick: Coulomb, "
    "in J. Gwilt, An Encyclopaedia of Architecture, art. 1340; 0.04 where the loss goes with the "
    "square of the diameter, 0.018 d2/R after Eytelwein, in a cord of 1 mm, from memory; the usual "
    "between them, for no measurement of thin cord is known to us",
)  # fmt: skip
_RUBBER_LOSS = Figure(0.10, 0.05, 0.30, MEMORY + ", tan delta of soft rubber 0.05 to 0.3")
_TEXTILE_STRETCH = Figure(0.02, 0.01, 0.03, PRACTICE)
_TEXTILE_BEND = Figure(3.0, 2.0, 4.0, PRACTICE)

CORDS: tuple[Material, ...] = (
    Material(
        "cotton cord",
        "cord",
        density_kg_m3=Figure(1000.0, 800.0, 1170.0, "single woven belt 1170, " + _KHURMI_DENSITY),
        modulus_mpa=Figure(300.0, 100.0, 800.0, PRACTICE),
        strength_mpa=Figure(80.0, 50.0, 150.0, MEMORY),
        friction=Figure(0.25, 0.22, 0.30, _KHURMI + ", cotton on wood 0.25, on iron 0.22"),
        stretch=_TEXTILE_STRETCH,
        bend_ratio=_TEXTILE_BEND,
        bending_share=_FIBRES_BEND,
    ),
    Material(
        "hemp cord",
        "cord",
        density_kg_m3=Figure(1000.0, 800.0, 1200.0, MEMORY),
        modulus_mpa=Figure(500.0, 200.0, 1500.0, PRACTICE),
        strength_mpa=Figure(100.0, 60.0, 200.0, MEMORY),
        friction=Figure(
            0.23,
            0.18,
            0.28,
            "A Text-Book of Mechanical Engineering, hemp rope on an iron pulley, no wedge",
        ),
        stretch=Figure(0.015, 0.01, 0.03, PRACTICE),
        bend_ratio=_TEXTILE_BEND,
        bending_share=_FIBRES_BEND,
    ),
    Material(
        "leather cord",
        "cord",
        density_kg_m3=Figure(1000.0, 900.0, 1100.0, _KHURMI_DENSITY),
        modulus_mpa=Figure(100.0, 50.0, 250.0, MEMORY),
        strength_mpa=Figure(20.0, 12.0, 30.0, MEMORY),
        friction=Figure(0.30, 0.25, 0.45, _KHURMI + ", leather on wood 0.30, on iron 0.25"),
        stretch=_TEXTILE_STRETCH,
        bend_ratio=Figure(4.0, 3.0, 6.0, PRACTICE),
        bending_share=Figure(0.10, 0.04, 0.26, "taken as a twisted cord's"),
    ),
    Material(
        "rubber cord",
        "cord",
        density_kg_m3=Figure(1000.0, 930.0, 1140.0, "rubber belt 1140, " + _KHURMI_DENSITY),
        modulus_mpa=shore_figure(50.0, 10.0, 10.0),
        strength_mpa=Figure(15.0, 10.0, 25.0, MEMORY),
        friction=Figure(
            0.32,
            0.30,
            0.80,
            _KHURMI + ", rubber on wood 0.32; up to 0.8 on rubber-coated belts, from memory",
        ),
        stretch=Figure(0.10, 0.05, 0.15, PRACTICE),
        bend_ratio=_ORING_BEND,
        loss_factor=_RUBBER_LOSS,
    ),
    Material(
        "nitrile ring",
        "cord",
        density_kg_m3=Figure(1250.0, 1150.0, 1350.0, MEMORY),
        modulus_mpa=shore_figure(70.0, 5.0, 5.0),
        strength_mpa=Figure(12.0, 10.0, 18.0, MEMORY),
        friction=Figure(0.32, 0.30, 0.80, "taken as rubber: " + _KHURMI),
        stretch=_ORING_STRETCH,
        bend_ratio=_ORING_BEND,
        loss_factor=_RUBBER_LOSS,
    ),
    Material(
        "silicone cord",
        "cord",
        density_kg_m3=Figure(1200.0, 1100.0, 1300.0, MEMORY),
        modulus_mpa=shore_figure(60.0, 10.0, 10.0),
        strength_mpa=Figure(7.0, 5.0, 10.0, MEMORY),
        friction=Figure(0.40, 0.30, 0.80, PRACTICE),
        stretch=_ORING_STRETCH,
        bend_ratio=_ORING_BEND,
        loss_factor=_RUBBER_LOSS,
    ),
    Material(
        "polyurethane cord",
        "cord",
        density_kg_m3=Figure(1180.0, 1100.0, 1250.0, MEMORY + ", TPU 1.10 to 1.25 g/cm3"),
        modulus_mpa=Figure(
            25.0,
            20.0,
            40.0,
            "TPU 20 to 400 MPa, the soft end; Shore relation at "
            "85A gives 22.7 MPa; its pull at 100 % strain is some 7 MPa; from memory",
        ),
        strength_mpa=Figure(30.0, 20.0, 45.0, MEMORY),
        friction=Figure(
            0.30,
            0.25,
            0.45,
            MEMORY + ", plastic belt on steel: static 0.25 to 0.45, sliding 0.25",
        ),
        stretch=Figure(0.06, 0.05, 0.10, PRACTICE),
        bend_ratio=Figure(6.0, 5.0, 10.0, PRACTICE),
        loss_factor=_RUBBER_LOSS,
    ),
)


def _metal(name: str, kind: MaterialKind, density: float, gpa: float, strength: float) -> Material:
    return Material(
        name,
        kind,
        density_kg_m3=Figure(density, 0.97 * density, 1.03 * density, MEMORY),
        modulus_mpa=Figure(1000.0 * gpa, 960.0 * gpa, 1040.0 * gpa, MEMORY),
        strength_mpa=Figure(strength, 0.7 * strength, 1.5 * strength, MEMORY),
    )


SHAFTS: tuple[Material, ...] = (
    _metal("steel", "shaft", 7850.0, 205.0, 400.0),
    _metal("brass", "shaft", 8450.0, 100.0, 350.0),
    _metal("aluminium", "shaft", 2700.0, 70.0, 200.0),
)
"""Metals; any of them may be a wheel too."""

GREEN_TO_DRY = 1.12
"""Density at 12 % moisture is specific gravity (oven-dry mass) times 1.12 times 1000 kg/m3."""


def _wood(name: str, gravity: float, across: float | None, note: str = "") -> Material:
    density = 1000.0 * GREEN_TO_DRY * gravity
    strength = None
    if across is not None:
        source = f"{_HANDBOOK}, tension perpendicular to the grain{note}"
        strength = Figure(across, 0.6 * across, 1.4 * across, source)
    return Material(
        name,
        "wheel",
        density_kg_m3=Figure(
            density,
            0.9 * density,
            1.1 * density,
            f"{_HANDBOOK}, specific gravity {gravity:g} at 12 % moisture, times 1.12",
        ),
        strength_mpa=strength,
    )


def _sheet(name: str, density: float, strength: float, note: str) -> Material:
    return Material(
        name,
        "wheel",
        density_kg_m3=Figure(density, 0.92 * density, 1.08 * density, MEMORY),
        strength_mpa=Figure(strength, 0.6 * strength, 1.3 * strength, f"{MEMORY}, {note}"),
    )


PLYWOOD = _sheet("plywood", 680.0, 25.0, "in its plane, at 45 degrees to the face grain")
WHEELS: tuple[Material, ...] = (
    _wood("maple", 0.63, 4.6, " (black maple; sugar maple is not listed)"),
    _wood("beech", 0.64, 7.0),
    _wood("birch", 0.62, 6.3),
    _wood("oak", 0.68, 5.5, ", white oak"),
    _wood("white oak", 0.68, 5.5),
    _wood("red oak", 0.63, 5.5),
    _wood("teak", 0.55, None),
    _wood("ash", 0.60, 6.5, ", white ash, from memory"),
    _wood("walnut", 0.55, 4.8, ", black walnut, from memory"),
    _wood("cherry", 0.50, 3.9, ", black cherry, from memory"),
    PLYWOOD,
    _sheet("MDF", 750.0, 12.0, "in its plane"),
    _sheet("acrylic", 1190.0, 60.0, "short time, without scratches"),
)

MATERIALS: tuple[Material, ...] = (*CORDS, *SHAFTS, *WHEELS)
"""Every shipped material."""

BEARINGS: tuple[BearingPair, ...] = (
    BearingPair(
        "brass",
        "steel on brass, oiled",
        Figure(0.08, 0.03, 0.16, "oiled, boundary to mixed lubrication; from memory"),
        Figure(5000.0, 1000.0, 20000.0, PRACTICE),
    ),
    BearingPair(
        "leather",
        "steel in oiled leather",
        Figure(0.15, 0.10, 0.25, PRACTICE + ", oiled"),
        Figure(150.0, 50.0, 500.0, PRACTICE),
    ),
    BearingPair(
        "cord",
        "steel in oiled cotton cord",
        Figure(0.15, 0.10, 0.25, PRACTICE),
        Figure(50.0, 15.0, 150.0, PRACTICE),
    ),
    BearingPair(
        "ball",
        "ball bearing",
        Figure(0.0015, 0.001, 0.01, "deep-groove ball bearing; from memory"),
        Figure(5000.0, 1000.0, 20000.0, PRACTICE),
    ),
    BearingPair(
        "wood",
        "steel in waxed wood",
        Figure(0.20, 0.10, 0.30, PRACTICE + ", waxed or tallowed"),
        Figure(1000.0, 300.0, 5000.0, PRACTICE),
    ),
)
"""What shafts run in."""

MOST_LIKE = {"linen": "hemp cord", "flax": "hemp cord", "jute": "hemp cord"}
"""Cords of bast fibres that are not known here, and the known one; common practice, no source."""

FIBRES: tuple[str, ...] = ("cotton", "wool", "flax", "hemp", "silk")
"""Fibres known by name."""


def find_material(name: str, own: Iterable[Material] = ()) -> Material | None:
    """Return the material of that name, a design's own before the shipped ones, or None."""
    return next((m for m in (*own, *MATERIALS) if m.name == name), None)


def find_bearing(kind: str) -> BearingPair | None:
    """Return the bearing pair of that name ("brass") or in its own words ("steel on brass")."""
    words = kind.casefold()
    for pair in BEARINGS:
        what = pair.says.partition(",")[0]
        if words in (pair.name, pair.says, what, what.removeprefix("steel in ")):
            return pair
    return None
