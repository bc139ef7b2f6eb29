"""What is taken where a file is silent, and how it is said: once, in the same words everywhere."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Generic, Literal, TypeVar

from wheelgeo.design.material import Figure, Material
from wheelgeo.design.materials import PRACTICE, BearingPair, find_bearing, find_material
from wheelgeo.immutable import dataclass
from wheelgeo.units.in_full import Told

USUAL_SHAFT = "steel"
USUAL_WHEEL = "maple"
USUAL_SHEET = "plywood"
USUAL_SLEEVE = "maple"
USUAL_WASHER = "brass"
USUAL_BEARING = "brass"
USUAL_CORD = "cotton cord"

FigureName = Literal["density_kg_m3", "modulus_mpa", "friction", "stretch", "bending_share"]
"""A figure of a material that the mechanics cannot do without."""


@dataclass(frozen=True)
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

    def __post_init__(self) -> None:
        """Keep the lengths of what was taken as they are, and tell them rounded."""
        vars(self)["taken"] = Told(self.taken)


_T = TypeVar("_T")


USUAL_ONE = f"the usual one; {PRACTICE}"
"""Where a material or a bearing comes from that nobody named."""


@dataclass(frozen=True)
class Chosen(Generic[_T]):
    """A value, and what was assumed to get it: nothing where the file gives it."""

    value: _T
    assumed: tuple[Assumption, ...] = ()

    @property
    def given(self) -> bool:
        """Whether the file gives it."""
        return not self.assumed


def each_once(assumed: Iterable[Assumption]) -> tuple[Assumption, ...]:
    """Return assumptions in their order, each thing that was missing once."""
    made: dict[str, Assumption] = {}
    for one in assumed:
        made.setdefault(one.what, one)
    return tuple(made.values())


def chosen_material(
    name: str | None, usual: str, place: str, own: tuple[Material, ...]
) -> Chosen[Material]:
    """Return the material of a part: the file's, or the usual one.

    Args:
        name: its name in the file, or None.
        usual: what is taken where the file is silent or the name is not known.
        place: the part, by its place in the file.
        own: the wheel's own materials, which come first.
    """
    found = None if name is None else find_material(name, own)
    if found is not None:
        return Chosen(found)
    why = USUAL_ONE if name is None else f'"{name}" is not known: the usual one'
    fallback = find_material(usual, own)
    assert fallback is not None
    return Chosen(fallback, (Assumption(f"material of {place}", usual, why),))


def chosen_figure(material: Chosen[Material], name: FigureName, usual: str) -> Chosen[Figure]:
    """Return a figure of a material, or that of the usual material where it has none.

    Args:
        material: the material, with what was assumed in choosing it.
        name: which figure.
        usual: the shipped material whose figure is taken instead.
    """
    figure: Figure | None = getattr(material.value, name)
    if figure is not None:
        return Chosen(figure, material.assumed)
    fallback = find_material(usual)
    assert fallback is not None
    figure = getattr(fallback, name)
    assert figure is not None
    what, taken = f"{name} of {material.value.name}", f"{figure.value:g}, as of {usual}"
    return Chosen(figure, (*material.assumed, Assumption(what, taken, figure.source)))


def chosen_bearing(kind: str | None, place: str) -> Chosen[BearingPair]:
    """Return the bearing pair of that kind, or the usual one."""
    found = None if kind is None else find_bearing(kind)
    if found is not None:
        return Chosen(found)
    why = USUAL_ONE if kind is None else f'"{kind}" is not known: the usual one'
    usual = find_bearing(USUAL_BEARING)
    assert usual is not None
    return Chosen(usual, (Assumption(f"bearings of {place}", usual.says, why),))
