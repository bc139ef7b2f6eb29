"""The shape of a design file: one pydantic model for each table, and the JSON schema of it all.

Each model reads one table and builds the plain data of :mod:`wheelgeo.design.model` from it. What
concerns several tables or keys at once (names that must exist, keys that exclude each other) is
in :mod:`wheelgeo.design.crosscheck`. The models are built when the first file is read, and
without postponed annotations, so that a command which reads none starts faster.
"""

import tomllib
from typing import TYPE_CHECKING, Any

from pydantic import create_model

from wheelgeo.design import fields as f
from wheelgeo.design import model
from wheelgeo.design.drive_tables import BandFile, DriveFile, PulleyFile, ShaftFile
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.other_tables import (
    CaseFile,
    FibreFile,
    MaterialFile,
    ShopFile,
    SpindleFile,
    YarnFile,
)
from wheelgeo.design.table import Table, key


class _LimitsBase(Table):
    """Limits that findings hold the wheel against, where they differ from practice."""

    def given(self) -> dict[str, float]:
        """Return the limits that the file sets."""
        return {name: getattr(self, name) for name in LIMITS if name in self.model_fields_set}


def _limits_model() -> type[_LimitsBase]:
    """Return the model of ``[limits]``: one key for each limit of the table of limits."""
    keys: dict[str, Any] = {
        limit.name: (f.limit_type(limit.unit), key(limit.means, f"{limit.default:g}", None))
        for limit in LIMITS.values()
    }
    return create_model("LimitsFile", __base__=_LimitsBase, __doc__=_LimitsBase.__doc__, **keys)


if TYPE_CHECKING:

    class LimitsFile(_LimitsBase):
        """Limits by their keys; the table of limits gives them."""
else:
    LimitsFile = _limits_model()


class DesignFile(Table):
    """A design file: one wheel."""

    title: f.Name = key("title of the wheel", '"Picnic box wheel"')
    unit: f.FileUnit = key("unit of every bare length", '"mm"', default="mm")
    drive: DriveFile = key("what a person turns")
    shaft: list[ShaftFile] = key("the shafts")
    pulley: list[PulleyFile] = key("the pulleys")
    band: list[BandFile] = key("the bands")
    spindle: SpindleFile = key("what puts in the twist")
    yarn: YarnFile | None = key("the yarn that is wanted", default=None)
    case: CaseFile | None = key("the case that the wheel stands in", default=None)
    shop: ShopFile | None = key("how the parts are to be made", default=None)
    limits: LimitsFile | None = key("limits that findings hold the wheel against", default=None)
    material: list[MaterialFile] = key("materials of one's own", default=[])
    fibre: list[FibreFile] = key("fibres of one's own", default=[])

    def build(self) -> model.Design:
        """Return the design; its names must have been checked."""
        return model.Design(
            title=self.title, unit=self.unit, drive=self.drive.build(),
            shafts=tuple(s.build() for s in self.shaft),
            pulleys=tuple(p.build() for p in self.pulley),
            bands=tuple(b.build() for b in self.band),
            spindle=self.spindle.build(),
            yarn=self.yarn.build() if self.yarn else None,
            case=self.case.build() if self.case else None,
            shop=self.shop.build() if self.shop else model.Shop(),
            limits=self.limits.given() if self.limits else {},
            materials=tuple(own.build() for own in self.material),
        )  # fmt: skip


def json_schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of a design file, for editors.

    What one table alone cannot tell (names that must exist, routes, sizes that must fit each
    other) is left to the reader.
    """
    schema = _tidy(DesignFile.model_json_schema(by_alias=True))
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def _tidy(node: Any) -> Any:
    """Return a schema without what TOML has not (null), with examples as values."""
    if isinstance(node, list):
        return [_tidy(item) for item in node if item != {"type": "null"}]
    if not isinstance(node, dict):
        return node
    tidy = {key: _tidy(value) for key, value in node.items() if (key, value) != ("default", None)}
    return _one_choice(_named(_with_examples(tidy)))


def _with_examples(node: dict[str, Any]) -> dict[str, Any]:
    """Return the node with its examples as values; they are given as TOML text."""
    texts = node.get("examples")
    if not isinstance(texts, list):
        return node
    return {**node, "examples": [tomllib.loads(f"x = {text}")["x"] for text in texts]}


def _named(node: dict[str, Any]) -> dict[str, Any]:
    """Return the node with its tables named as the file's owner knows them."""
    renamed = dict(node)
    if isinstance(node.get("$defs"), dict):
        renamed["$defs"] = {name.removesuffix("File"): item for name, item in node["$defs"].items()}
    for word in ("$ref", "title"):
        if isinstance(node.get(word), str):
            renamed[word] = node[word].removesuffix("File")
    return renamed


def _one_choice(node: dict[str, Any]) -> dict[str, Any]:
    """Return the node without a choice between a single kind of value."""
    choices = node.get("anyOf")
    if not isinstance(choices, list) or len(choices) != 1:
        return node
    return {**choices[0], **{key: value for key, value in node.items() if key != "anyOf"}}
