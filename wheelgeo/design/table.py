"""What the models of all tables of a design file share."""

from typing import Any

from pydantic import BaseModel, ConfigDict, Field


def key(means: str, example: str = "", default: Any = ..., alias: str | None = None) -> Any:
    """Return a field: what the key means, an example as written in the file, and its default."""
    examples = [example] if example else None
    return Field(default, alias=alias, description=means, examples=examples)


class Table(BaseModel):
    """A table of the file; keys that it does not know are faults."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, arbitrary_types_allowed=True, defer_build=True
    )
