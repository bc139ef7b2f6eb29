"""From a tape to a band: what ``wheelgeo.old_wheel`` does."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wheelgeo.tune.old_wheel import OldWheelAnswer


def old_wheel(*, title: str = "Old wheel", **measured: str | bool) -> OldWheelAnswer:
    """Return the band of an old wheel from a few measurements, and how sure it is.

    Args:
        title: title of the wheel.
        measured: what was measured, as written on the rule: ``wheel`` or ``girth``, ``groove``,
            ``whorl`` or ``whorl_girth``, ``whorl_groove``, ``apart`` (or ``edge_to_edge``, or
            ``over_axles`` with ``axle`` and ``rod``), ``cord`` ("3 mm cotton cord"), ``crossed``,
            ``double``, ``slide``; of an untrue wheel ``least`` (diameter of an oval rim, ``wheel``
            being its greatest), ``wobble``, ``eccentric``, ``aside``. Each may tell its
            uncertainty: ``"21 1/2 +- 1/8 in"``.

    Returns:
        The band; ``.wheel`` holds the wheel, ``.answer`` what ``solve`` says of it.

    Raises:
        DesignError: something is missing, cannot be read, or makes no wheel; holds every fault.
    """
    from wheelgeo.design.model import Design
    from wheelgeo.tune.old_wheel import old_wheel as reckon
    from wheelgeo.tune.old_wheel_design import OldWheelMeasured
    from wheelgeo.wheel import Wheel

    def as_wheel(design: Design) -> Wheel:
        return Wheel(design)

    return reckon(OldWheelMeasured(**measured), as_wheel, title)  # type: ignore[arg-type]
