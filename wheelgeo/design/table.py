"""What the models of all tables of a design file share."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema


def key(
    means: str,
    example: str = "",
    default: Any = ...,
    alias: str | None = None,
    schema: dict[str, Any] | None = None,
) -> Any:
    """Return a field: what the key means, an example as written in the file, and its default.

    ``schema`` holds what the JSON schema says besides, for editors; the reader has its own words.
    """
    examples = [example] if example else None
    return Field(
        default, alias=alias, description=means, examples=examples, json_schema_extra=schema
    )


class Table(BaseModel):
    """A table of the file; keys that it does not know are faults."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, arbitrary_types_allowed=True, defer_build=True
    )


@dataclass(frozen=True, slots=True)
class Short:
    """Annotation: a bare value may stand for the table that holds it under ``key``.

    Attributes:
        key: the key that the bare value takes.
        schema: JSON schema of the bare value.
    """

    key: str
    schema: Mapping[str, Any] = field(hash=False)

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_before_validator_function(self._widen, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return {"anyOf": [dict(self.schema), handler(schema)]}

    def _widen(self, value: object) -> object:
        return value if isinstance(value, dict) else {self.key: value}
