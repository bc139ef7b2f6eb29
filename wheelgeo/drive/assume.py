"""What is taken where a file is silent: materials, bearings, the cop; each said, none in secret."""

from __future__ import annotations

from dataclasses import dataclass, field

from wheelgeo.design.material import Figure, Material
from wheelgeo.design.materials import BearingPair, find_bearing, find_material
from wheelgeo.design.model import Band, Design, Pulley, Shaft

USUAL_SHAFT = "steel"
USUAL_WHEEL = "maple"
USUAL_WASHER = "brass"
USUAL_BEARING = "brass"
USUAL_CORD = "cotton cord"


@dataclass(frozen=True, slots=True)
class Assumption:
    """One thing taken because the file does not say it.

    Attributes:
        what: what was missing, by its place in the file.
        taken: what was taken.
        source: why that.
    """

    what: str
    taken: str
    source: str


@dataclass(slots=True)
class Notes:
    """Collects assumptions while a wheel is worked out; each is noted once."""

    made: dict[str, Assumption] = field(default_factory=dict)

    def note(self, what: str, taken: str, source: str) -> None:
        """Note an assumption."""
        self.made.setdefault(what, Assumption(what, taken, source))

    def all(self) -> tuple[Assumption, ...]:
        """Return every assumption, in the order in which they were made."""
        return tuple(self.made.values())


def material_of(name: str | None, usual: str, place: str, design: Design, notes: Notes) -> Material:
    """Return the material of a part: the file's, or the usual one with a note.

    Args:
        name: its name in the file, or None.
        usual: what is taken where the file is silent or the name is not known.
        place: the part, by its place in the file.
        design: the wheel, whose own materials come first.
        notes: where an assumption is noted.
    """
    found = None if name is None else find_material(name, design.materials)
    if found is not None:
        return found
    why = "the file names none" if name is None else f'"{name}" is not known'
    notes.note(f"material of {place}", usual, why)
    fallback = find_material(usual, design.materials)
    assert fallback is not None
    return fallback


def figure_of(material: Material, attribute: str, usual: str, notes: Notes) -> Figure:
    """Return a figure of a material, or that of the usual material with a note.

    Args:
        material: the material.
        attribute: ``density_kg_m3``, ``modulus_mpa``, ``friction`` or ``stretch``.
        usual: the shipped material whose figure is taken where this one has none.
        notes: where an assumption is noted.
    """
    figure: Figure | None = getattr(material, attribute)
    if figure is not None:
        return figure
    fallback = find_material(usual)
    assert fallback is not None
    figure = getattr(fallback, attribute)
    assert figure is not None
    notes.note(f"{attribute} of {material.name}", f"{figure.value:g}, as of {usual}", figure.source)
    return figure


def pulley_material(pulley: Pulley, design: Design, notes: Notes) -> Material:
    """Return the material of a pulley."""
    return material_of(pulley.material, USUAL_WHEEL, f'pulley "{pulley.name}"', design, notes)


def pulley_density(pulley: Pulley, design: Design, notes: Notes) -> float:
    """Return the density of a pulley, kg/m3."""
    material = pulley_material(pulley, design, notes)
    return figure_of(material, "density_kg_m3", USUAL_WHEEL, notes).value


def shaft_figure(shaft: Shaft, attribute: str, design: Design, notes: Notes) -> float:
    """Return a figure of a shaft's material."""
    place = f'shaft "{shaft.name}"'
    material = material_of(shaft.material, USUAL_SHAFT, place, design, notes)
    return figure_of(material, attribute, USUAL_SHAFT, notes).value


def cord_figure(band: Band, attribute: str, design: Design, notes: Notes) -> Figure:
    """Return a figure of a band's cord."""
    usual = USUAL_CORD
    material = material_of(band.material, usual, f'band "{band.name}"', design, notes)
    return figure_of(material, attribute, usual, notes)


def bearing_pair(kind: str | None, place: str, notes: Notes) -> BearingPair:
    """Return the bearing pair of that kind, or the usual one with a note."""
    found = None if kind is None else find_bearing(kind)
    if found is not None:
        return found
    why = "the file names none" if kind is None else f'"{kind}" is not known'
    usual = find_bearing(USUAL_BEARING)
    assert usual is not None
    notes.note(f"bearings of {place}", usual.says, why)
    return usual
