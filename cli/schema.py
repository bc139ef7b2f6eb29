"""``wheelgeo schema``: the JSON schema of the design file, for editors."""

from __future__ import annotations

from wheelgeo_cli.common import print_json


def schema() -> None:
    """Print the JSON schema of the design file, so that an editor can complete and check it."""
    from wheelgeo.design.json_schema import json_schema

    print_json(json_schema())
