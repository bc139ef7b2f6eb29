"""The rule on what the file says was measured of an old wheel."""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.check.band_uncertainty import with_usual_stretch
from wheelgeo.check.finding import Finding, advice
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.errors import QuantityError, SearchError
from wheelgeo.units.in_full import full
from wheelgeo.units.quantity import INCHES

_SOURCE = "W. Baarda, A testing procedure for use in geodetic networks (1968), from memory"


def measurements_together(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where what was measured disagrees, or is not in the numbers of the file yet."""
    design = wheel.design
    if not design.measured:
        return
    from wheelgeo.numbers.agreeing import DISAGREES, agreement_of  # for old wheels alone

    try:
        found = agreement_of(with_usual_stretch(design))
    except (QuantityError, SearchError) as error:
        yield Finding(
            "measured-unusable", "warning", "measured", None, None, "", str(error), "",
            advice("write the measurement so that it can be used, or take it out"),
        )  # fmt: skip
        return
    if found is None or found.fits:
        return
    name, result = found.reading.name, found.reading.result
    read, made = (_told(x, result.unit, design.unit) for x in (found.reading.value, found.made))
    apart = f'"{name}" was measured as {read}, and the numbers of the file make it {made}'
    if found.disagrees:
        yield Finding(
            "measurements-disagree", "warning", name, found.normalised, DISAGREES, "",
            f"measurements disagree: {apart}, more than their +- explains; bands and ratio told "
            "here go by those numbers alone, and one of the measurements is wrong",
            _SOURCE,
            advice("run `wheelgeo measure` on this file: it says which may be wrong, to be "
                   "measured again"),
        )  # fmt: skip
        return
    yield Finding(
        "measurements-not-fitted", "note", name, found.normalised, DISAGREES, "",
        f"{apart}: they agree within their +-, but bands and ratio told here go by those numbers "
        "alone, and `wheelgeo measure`, which goes by all, knows better",
        _SOURCE,
        advice("run `wheelgeo measure` on this file with `--write NEW`: bands and ratio of NEW are "
               "those that fit all measurements"),
    )  # fmt: skip


def _told(value: float, unit: str, of_file: str) -> str:
    """Return a result with its unit, a length in that of the file."""
    from wheelgeo.units import in_inches

    if unit != "mm":
        return f"{value:.4g} {unit}".rstrip()
    return in_inches(value) if of_file in INCHES else f"{full(value, 1)} mm"
