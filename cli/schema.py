"""``wheelgeo schema``: the JSON schema of the design file and of a brief, for editors."""

from __future__ import annotations

from typing import Annotated

from wheelgeo_cli.arguments import Option
from wheelgeo_cli.common import print_json


def schema(
    brief: Annotated[
        bool, Option("--brief", help="Of a brief for `wheelgeo size`, instead.")
    ] = False,
) -> None:
    """Print the JSON schema of the design file, so that an editor can complete and check it."""
    if brief:
        from wheelgeo.tune.brief_tables import json_schema as brief_schema

        print_json(brief_schema())
        return
    from wheelgeo.design.json_schema import json_schema

    print_json(json_schema())
