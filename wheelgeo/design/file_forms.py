"""In what the tables of a design file differ from the dataclasses that hold their values.

Most tables are their dataclass, field by field. What is here is the rest: a pitch beside a groove,
``crossed`` as short for a route, a pull under the name of what pulls, a sleeve without a place of
its own, a modulus given as a hardness.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from wheelgeo.design import model as m
from wheelgeo.design.drive_parts import grooves
from wheelgeo.design.key_places import NameOf
from wheelgeo.design.material import OWN_SOURCE, Figure, Material
from wheelgeo.design.materials import shore_figure
from wheelgeo.geometry.groove import GROOVE_KINDS
from wheelgeo.units import FORCE_N
from wheelgeo.units.keys import Form, Key, form_of, shaped, values_of
from wheelgeo.units.kind import RefusedError
from wheelgeo.units.kinds import SIZE, TEXT, ChoiceKind
from wheelgeo.units.number_kinds import NUMBER, POSITIVE, Bounds, NumberKind
from wheelgeo.units.unknown import UNKNOWN, UnknownError

Report = Callable[..., None]
Raw = dict[str, Any]

_FORCE = NumberKind(FORCE_N, None, POSITIVE)


def _optional(name: str, means: str, kind: Any, example: str) -> Key:
    return Key(means, kind, example, name, attribute=name, default=None)


def _but(key: str, owner: type) -> Callable[..., Any]:
    """Return what makes a part of all its keys but one, which only the file has."""
    return lambda **values: owner(**{k: value for k, value in values.items() if k != key})


# --- grooves and pulleys -------------------------------------------------------------------------


def _shape_first(word: str, owner: type) -> Callable[[Form], Form]:
    """Return the change that puts ``shape`` before the keys of a groove."""
    kind = ChoiceKind(tuple(kind.shape for kind in GROOVE_KINDS if kind.can_be_cut))
    shape = Key(word, kind, f'"{word}"', "shape", attribute="shape", extra={"enum": [word]})

    def change(form: Form) -> Form:
        return replace(
            form,
            keys=(shape, *form.keys),
            make=_but("shape", owner),
            parts=lambda groove: {"shape": word, **form.parts(groove)},
        )

    return change


for _kind in GROOVE_KINDS:
    if _kind.can_be_cut:
        shaped(_kind, _shape_first(_kind.shape, _kind))


def _groove_or_pitch(raw: Raw, report: Report) -> Raw:
    if "groove" in raw and "pitch" in raw:
        report(
            ("pitch",), "groove and pitch are both given",
            "keep the groove; pitch is for where only that is known",
        )  # fmt: skip
    if "groove" in raw:
        return {key: value for key, value in raw.items() if key != "pitch"}
    if "pitch" in raw:
        rest = {key: value for key, value in raw.items() if key != "pitch"}
        return {**rest, "groove": {"pitch": raw["pitch"]}}
    report(
        ("groove",), "it is missing",
        'add for example groove = { shape = "vee", rim = "180 mm", depth = "4 mm", '
        'angle = 40 }, or pitch = "178.2 mm" where only that is known',
    )  # fmt: skip
    return {**raw, "groove": UNKNOWN}


def _pitch_beside(table: Raw, pulley: m.Pulley) -> Raw:
    """Return a pulley's table with a given pitch beside the other keys, not in a groove."""
    del pulley
    if "pitch" not in table.get("groove", {}):
        return table
    return {
        ("pitch" if key == "groove" else key): value["pitch"] if key == "groove" else value
        for key, value in table.items()
    }


def _belongs_to_groove(key: str) -> str:
    if key not in {k.name for owner in grooves().values() for k in form_of(owner).keys}:
        return ""
    return 'it belongs to the groove: groove = { shape = "vee", rim = …, depth = …, angle = … }'


def _pulley(form: Form) -> Form:
    pitch = _optional("pitch", "pitch diameter, instead of a groove", SIZE, '"178.2 mm"')
    keys: list[Key] = []
    for key in form.keys:
        one = replace(key, default=None) if key.name == "groove" else key
        keys += [one, pitch] if key.name == "groove" else [one]
    return replace(
        form,
        keys=tuple(keys),
        make=_but("pitch", m.Pulley),
        parts=lambda pulley: {**form.parts(pulley), "pitch": None},
        before=_groove_or_pitch,
        after=_pitch_beside,
        belongs=_belongs_to_groove,
        extra={"oneOf": [{"required": ["groove"]}, {"required": ["pitch"]}]},
    )


shaped(m.Pulley, _pulley)

# --- bands ---------------------------------------------------------------------------------------


def _crossed_or_with(raw: Raw, report: Report) -> Raw:
    route = raw.get("route")
    stops = route[1:] if isinstance(route, list) else []
    explicit = any(isinstance(stop, dict) and stop.get("turns") == "with" for stop in stops)
    if raw.get("crossed") is True and explicit:
        report(
            ("crossed",), 'crossed = true and turns = "with" contradict each other',
            "keep one of the two",
        )  # fmt: skip
    return raw


def crossed_route(band: m.Band) -> m.Band:
    """Return a band of two whose second pulley turns against the first where it is crossed."""
    first, second = band.route
    return replace(band, route=(first, replace(second, turns="against")))


def _make_band(**values: Any) -> m.Band:
    band = m.Band(**values)
    if band.crossed is not True or band.route is UNKNOWN or len(band.route) != 2:
        return band
    return band if any(stop is UNKNOWN for stop in band.route) else crossed_route(band)


def _band_parts(band: m.Band) -> dict[str, Any]:
    """Return a band's values as written: ``crossed`` says how its second pulley turns."""
    values = values_of(band)
    if band.crossed is True and band.route is not UNKNOWN and len(band.route) == 2:
        values["route"] = (band.route[0], replace(band.route[1], turns="with"))
    return values


shaped(
    m.Band,
    lambda form: replace(form, make=_make_band, parts=_band_parts, before=_crossed_or_with),
)
shaped(m.Stop, lambda form: replace(form, short="pulley"))

_PULLS = ("measured", "weight", "spring")


def _one_pull(raw: Raw, report: Report) -> Raw:
    given = [name for name in _PULLS if name in raw]
    if len(given) != 1:
        report(
            (), f"{' and '.join(given)} are given together" if given else "nothing pulls",
            'give one of measured, weight and spring, as in { weight = "300 g" }',
        )  # fmt: skip
    return raw


def _make_pull(**pulls: Any) -> Any:
    given = [(kind, pull) for kind, pull in pulls.items() if pull is not None]
    return m.Tensioner(*given[0]) if len(given) == 1 else UNKNOWN  # type: ignore[arg-type]


def _tensioner(form: Form) -> Form:
    keys = (
        _optional("measured", "pull of the strand at rest", _FORCE, '"4 N"'),
        _optional("weight", "weight that pulls on the shaft that slides", _FORCE, '"300 g"'),
        _optional(
            "spring", "force of the spring that pulls on the shaft that slides", _FORCE, '"5 N"'
        ),
    )
    return replace(
        form,
        keys=keys,
        make=_make_pull,
        parts=lambda pull: {**dict.fromkeys(_PULLS), pull.kind: pull.pull_n},
        before=_one_pull,
        extra={"minProperties": 1, "maxProperties": 1},
    )


shaped(m.Tensioner, _tensioner)

# --- shafts and the rest -------------------------------------------------------------------------


def _of_its_own(raw: Raw, report: Report) -> Raw:
    if "runs_on" not in raw:
        return raw
    for name in ("at", "axis", "slide"):
        if name in raw:
            report(
                (name,), "a sleeve is where the shaft is that it runs on",
                f"leave {name} out, or runs_on",
            )  # fmt: skip
    return {key: value for key, value in raw.items() if key not in ("at", "axis", "slide")}


def _make_shaft(**values: Any) -> m.Shaft:
    if values["runs_on"] is not None:
        values = {**values, "at_mm": (0.0, 0.0, 0.0), "axis": (0.0, 0.0, 1.0)}
    if values["diameter_mm"] is None:
        return m.Shaft(**{**values, "diameter_mm": 0.0}, diameter_given=False)
    return m.Shaft(**values)


def _shaft_parts(shaft: m.Shaft) -> dict[str, Any]:
    """Return a shaft's values as written: a sleeve has no place of its own."""
    values = values_of(shaft)
    if shaft.runs_on is not None:
        values.update(at_mm=None, axis=None, slide=None)
    if not shaft.diameter_given:
        values["diameter_mm"] = None
    return values


shaped(
    m.Shaft, lambda form: replace(form, make=_make_shaft, parts=_shaft_parts, before=_of_its_own)
)


class _Hardness(NumberKind):
    """A hardness, held to its bounds as it is read: of it the design keeps the modulus alone."""

    def read_measured(self, value: object, unit: str) -> tuple[float, float | None]:
        """Return the hardness."""
        read = super().read_measured(value, unit)
        wrong = self.wrong(read[0], value)
        if wrong is not None:
            raise RefusedError(*wrong)
        return read


_SHORE = _Hardness(NUMBER, "", Bounds(20.0, 90.0, "from 20 to 90 (Shore A)", low_allowed=True))


def _modulus_or_shore(raw: Raw, report: Report) -> Raw:
    if "modulus" in raw and "shore" in raw:
        report(
            ("shore",), "modulus and shore are both given", "keep the modulus, if it was measured"
        )
    return raw


def _make_material(shore: Any, source: Any, **values: Any) -> Material:
    if shore is UNKNOWN:
        values["modulus_mpa"] = UNKNOWN
    elif shore is not None and values["modulus_mpa"] is None:
        values["modulus_mpa"] = shore_figure(shore)
    own = source if isinstance(source, str) else OWN_SOURCE
    for name, value in values.items():
        if isinstance(value, Figure) and value.source == "":
            values[name] = replace(value, source=own)
    return Material(**values)


def _material(form: Form) -> Form:
    shore = _optional(
        "shore", "hardness of a rubber, Shore A, in place of its modulus", _SHORE, "70"
    )
    source = _optional("source", "where the figures come from", TEXT, '"measured"')
    return replace(
        form,
        keys=(*form.keys, shore, source),
        make=_make_material,
        parts=lambda material: {**form.parts(material), "shore": None, "source": None},
        before=_modulus_or_shore,
        extra={"not": {"required": ["modulus", "shore"]}},
    )


shaped(Material, _material)
shaped(
    m.Yarn,
    lambda form: replace(form, extra={"not": {"required": ["turns_per_metre", "twist_factor"]}}),
)

_ORDER = (
    "title", "unit", "drive", "shaft", "pulley", "band", "spindle", "bobbin", "drag", "yarn",
    "habits", "case", "stand", "shop", "limits", "material", "fibre", "measured",
)  # fmt: skip
SLEEVE_WALL_MM = 2.0
"""Wall of a sleeve whose file gives no diameter, mm; common practice, no source."""


def settled(design: m.Design) -> m.Design:
    """Return a design whose sleeves stand where the shafts stand on which they run.

    The spindle's bearings are gathered with the spindle, wherever the file has them.
    """
    shafts = [s for s in design.shafts if s is not UNKNOWN]
    if all(s.runs_on is None for s in shafts):
        return design
    by_name = {s.name: s for s in shafts if isinstance(s.name, str)}
    placed = (s if s is UNKNOWN else _sleeve(s, by_name) for s in design.shafts)
    return replace(design, shafts=tuple(placed))


def _sleeve(shaft: m.Shaft, by_name: Mapping[str, m.Shaft]) -> m.Shaft:
    """Return a sleeve with place, axis and slide of the shaft on which it runs at last."""
    under, seen = shaft, {id(shaft)}
    first = by_name.get(shaft.runs_on) if isinstance(shaft.runs_on, str) else None
    while isinstance(under.runs_on, str):
        other = by_name.get(under.runs_on)
        if other is None or id(other) in seen:
            return shaft  # a fault of its own: an unknown name, or sleeves in a circle
        seen.add(id(other))
        under = other
    if under is shaft or first is None:
        return shaft
    diameter = shaft.diameter_mm
    if not shaft.diameter_given:
        diameter = first.diameter_mm + 2.0 * SLEEVE_WALL_MM
    return replace(
        shaft, at_mm=under.at_mm, axis=under.axis, slide=under.slide, diameter_mm=diameter
    )


def _make_design(**values: Any) -> m.Design:
    design = m.Design(**values)
    for step in (settled, _bearings_gathered):
        try:
            design = step(design)
        except UnknownError:
            continue  # what cannot be read is a fault already; the design goes no further
    return design


def _bearings_gathered(design: m.Design) -> m.Design:
    """Return a design in which the bearings of the spindle's shaft stand with the spindle."""
    spindle = design.spindle
    if spindle is UNKNOWN or not isinstance(spindle.shaft, str) or spindle.bearings:
        return design
    for shaft in design.shafts:
        if shaft is not UNKNOWN and shaft.name == spindle.shaft and shaft.bearings:
            bare = tuple(replace(s, bearings=()) if s is shaft else s for s in design.shafts)
            with_them = replace(spindle, bearings=shaft.bearings)
            return replace(design, shafts=bare, spindle=with_them)
    return design


def _design(form: Form) -> Form:
    by_name = {key.name: key for key in form.keys}
    by_name["unit"] = replace(by_name["unit"], default="mm", always=True)
    return replace(
        form,
        means="A design file: one wheel.",
        keys=tuple(by_name[name] for name in _ORDER),
        make=_make_design,
    )


shaped(m.Design, _design)
DESIGN: Form = form_of(m.Design)
"""How a whole wheel stands in a file."""


def part_names(design: m.Design) -> NameOf:
    """Return what tells the name of a part by its list in the file and its index there."""
    lists = {key.name: key.attribute for key in DESIGN.keys}

    def name_of(key: str, index: int) -> str | None:
        parts = getattr(design, lists[key], ()) if key in lists else ()
        return getattr(parts[index], "name", None) if isinstance(parts, tuple) else None

    return name_of
