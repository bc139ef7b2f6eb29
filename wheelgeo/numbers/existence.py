"""Why a wheel cannot exist: what a design file that held it would be refused for."""

from __future__ import annotations

from wheelgeo.design.model import Design
from wheelgeo.design.reader import parse_design
from wheelgeo.design.writer import design_to_toml
from wheelgeo.errors import DesignError, Fault


def faults_of_existence(design: Design) -> tuple[Fault, ...]:
    """Return every reason why no design file may hold such a wheel; empty where one may."""
    try:
        parse_design(design_to_toml(design))
    except DesignError as error:
        return error.faults
    except (TypeError, ValueError, AttributeError) as error:
        return (Fault("", f"a value has no form in a file: {error}"),)
    return ()
