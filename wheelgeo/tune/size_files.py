"""The wheels found for a brief as design files, whose comments say why their numbers are so."""

from __future__ import annotations

import math
import shutil
import tempfile
import textwrap
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from wheelgeo.design.model import Design
from wheelgeo.design.whole_file import folder_made, put_in_place
from wheelgeo.design.writer import design_to_toml, retitle
from wheelgeo.drive.train import BandMotion, Solution, solve_drive
from wheelgeo.errors import OutputError
from wheelgeo.tune.brief import MATTERS, Brief
from wheelgeo.tune.brief_quality import Quality
from wheelgeo.tune.sized_wheels import Sized, Sizing
from wheelgeo.tune.wheel_from_choice import apart_mm

WIDE = 96
"""Letters in a line of a file's comments."""


def wheel_texts(found: Sizing) -> dict[str, str]:
    """Return the text of a design file for each wheel, by file name."""
    names = file_names(len(found.wheels))
    return {
        name: _text(found, wheel, number)
        for number, (name, wheel) in enumerate(zip(names, found.wheels, strict=True), start=1)
    }


def _text(found: Sizing, wheel: Sized, number: int) -> str:
    solution = solve_drive(wheel.design)
    why = dict(_reasons(found.brief, wheel.design, solution))
    titled = retitle(design_to_toml(wheel.design), f"{found.brief.title}, wheel {number}")
    body: list[str] = []
    for line in titled.splitlines():
        name = line.removeprefix('name = "').removesuffix('"')
        body += [line, f"# {why[name]}"] if line == f'name = "{name}"' and name in why else [line]
    head = [f"# {line}".rstrip() for line in _head(found, wheel)]
    return "\n".join([*head, "", *body]) + "\n"


def _head(found: Sizing, wheel: Sized) -> Iterator[str]:
    """Yield the lines above the file: how the wheel was found, and how sure that is."""
    quality = wheel.quality
    first = wheel.matters[0] if wheel.matters else "ratio"
    many = f"{found.combinations:,}".replace(",", " ")
    said = [f"Found among {many} combinations of a brief; what mattered most was that "
            f"{MATTERS[first]}."]  # fmt: skip
    if wheel.proven:
        other = "" if wheel is found.wheels[0] else " unlike the wheels before it"
        said.append(
            f"No combination{other} without a fault has fewer warnings, or as few and suits better "
            "by all measures together: the search was complete for the sizes and places that the "
            "brief allows."
        )
    else:
        said.append("The search was stopped: there may be a better one.")
    yield from textwrap.wrap(" ".join(said), WIDE)
    yield from textwrap.wrap(_ratio_words(quality, found.brief.ratio), WIDE)
    yield ""
    yield "Axes: x along the case, y across it, z up; the lowest corner of the case is the origin."
    yield "Mind the point of the spindle, and fingers where a band runs onto its pulley."


def _ratio_words(quality: Quality, wanted: float) -> str:
    """Say how far the ratio is off, and why no nearer one was taken."""
    off, alike = quality.ratio / wanted - 1.0, quality.alike
    side = "over" if off > 0.0 else "under"
    said = f"Ratio {quality.ratio:.2f}, {100.0 * abs(off):.2f} % {side} the wanted {wanted:.2f}. "
    open_anyway = (
        f"Rims turned to ISO 2768-1, medium, leave {100.0 * alike:.1f} % open either way, within "
        "which ratios count as alike"
    )
    if abs(math.log1p(off)) <= alike:
        return f"{said}{open_anyway}, so that warnings and the other measures decided."
    return (
        f"{said}{open_anyway}; what comes nearer than that has a fault or more warnings, or "
        "loses more by the other measures."
    )


def _reasons(brief: Brief, design: Design, solution: Solution) -> Iterator[tuple[str, str]]:
    """Yield for each part, by name, why it is as it is."""
    yield "main", f"as near to the end wall as {apart_mm(brief):g} mm of room let the wheel stand"
    last = solution.bands[-1]
    if len(solution.bands) == 2:
        yield "middle", _distance(design, "main", "middle", solution.bands[0])
    yield (
        "spindle",
        _distance(design, "middle" if len(solution.bands) == 2 else "main", "spindle", last),
    )
    for motion in solution.bands:
        large, small = (stop.pulley for stop in motion.band.route)
        one, other = (seat.pitch_diameter_mm for seat in motion.seats)
        yield large, f"the cord lies at {one:.2f} mm"
        yield (
            small,
            f"the cord lies at {other:.2f} mm: {one / other:.3f} turns for one of the {large}",
        )


def _distance(design: Design, one: str, other: str, motion: BandMotion) -> str:
    """Say how far two shafts stand apart, and what that does for the band between them."""
    a, b = design.shaft(one).at_mm, design.shaft(other).at_mm
    apart = ((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5
    assert motion.path is not None
    small = motion.band.route[1].pulley
    wrap, lead = motion.path.wraps_deg[1], abs(motion.path.arriving_deg(1))
    tail = f", and comes in {lead:.1f} degrees off its mid-plane, either way" if lead > 0.05 else ""
    return f"{apart:.1f} mm from {one}: the band touches {wrap:.0f} degrees of the {small}{tail}"


def file_names(count: int) -> list[str]:
    """Return the names of the files of so many wheels."""
    return [f"wheel-{number}.toml" for number in range(1, count + 1)]


def check_free(folder: Path, names: Iterable[str]) -> None:
    """Raise OutputError where a folder holds one of these files, or can hold no file at all."""
    try:
        there = [name for name in names if (folder / name).exists()]
    except OSError as error:
        raise OutputError(f"cannot write {folder}: {error.strerror or error}") from error
    if there:
        raise OutputError(f"{folder} holds {', '.join(there)} already; choose another folder")
    if folder.exists() and not folder.is_dir():
        raise OutputError(f"cannot write {folder}: it is a file, not a folder")


def write_folder(texts: Mapping[str, str], folder: Path) -> tuple[Path, ...]:
    """Write files into a folder, all of them or none, and never over another one.

    Args:
        texts: the text of each file, by name.
        folder: where to; made where it does not exist.

    Raises:
        OutputError: a file of that name is there, or the folder cannot be written.
    """
    check_free(folder, texts)
    try:
        with folder_made(folder):
            work = Path(tempfile.mkdtemp(prefix=".", dir=folder))
            try:
                return _moved(texts, work, folder)
            finally:
                shutil.rmtree(work)
    except OSError as error:
        raise OutputError(f"cannot write {folder}: {error.strerror or error}") from error


def _moved(texts: Mapping[str, str], work: Path, folder: Path) -> tuple[Path, ...]:
    """Write the files aside, then link each to its name; take all back where one fails."""
    written: list[Path] = []
    try:
        for name, text in texts.items():
            (work / name).write_text(text, encoding="utf-8")
        for name in texts:
            put_in_place(work / name, folder / name)
            written.append(folder / name)
    except BaseException:  # an interrupt too: all of them or none
        for path in written:
            path.unlink()
        raise
    return tuple(written)
