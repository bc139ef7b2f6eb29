"""A wheel to ask and to change: what ``wheelgeo.load`` returns.

A :class:`Wheel` never changes; what changes it returns another one. It keeps the text of the file
that it came from, so that what it saves keeps that file's comments.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wheelgeo.design.model import Design
from wheelgeo.errors import DesignError, Fault, OutputError

if TYPE_CHECKING:
    from wheelgeo.check.answer import Answer
    from wheelgeo.check.answer_run import RunningAnswer
    from wheelgeo.check.wheel_under_check import WheelUnderCheck


@dataclass(frozen=True, slots=True)
class NamedNumber:
    """An input or result of a wheel.

    Attributes:
        key: its name.
        value: the number, in its unit; None where the wheel has none.
        unit: mm, deg, rpm, N, g, or empty for bare numbers and fractions.
        means: what it is, in plain words.
    """

    key: str
    value: float | None
    unit: str
    means: str


@dataclass(frozen=True)
class Wheel:
    """One wheel.

    Attributes:
        design: its data: shafts, pulleys, bands and the rest; lengths in mm, angles in degrees.
        text: text of the design file that it came from; None where it came from none.
        source: name of that file; empty likewise.
    """

    design: Design
    text: str | None = field(default=None, repr=False, compare=False)
    source: str = field(default="", repr=False, compare=False)

    def __repr__(self) -> str:
        d = self.design
        parts = f"{len(d.shafts)} shafts, {len(d.pulleys)} pulleys, {len(d.bands)} bands"
        return f"<Wheel {self.title!r}: {parts}>"

    @property
    def title(self) -> str:
        """Its title."""
        return self.design.title

    # --- its numbers by name ----------------------------------------------------------------------

    def inputs(self) -> tuple[NamedNumber, ...]:
        """Return every number that may be put, in the order shafts, pulleys, bands, rest."""
        from wheelgeo.tune.parameters import parameters

        return tuple(NamedNumber(p.key, p.value, p.unit, p.means) for p in parameters(self.design))

    def results(self) -> tuple[NamedNumber, ...]:
        """Return every result that has a name: ratio, speeds, lengths, wraps, angles."""
        from wheelgeo.numbers.results import results

        solution = self._under_check.solution
        return tuple(
            NamedNumber(r.key, r.of(solution), r.unit, r.means) for r in results(self.design)
        )

    def get(self, name: str) -> float | None:
        """Return an input or a result by its name; None where the wheel has no such number.

        Args:
            name: ``whorl.rim``, ``spindle.at.x``, ``second band.length``; see :meth:`inputs`.

        Returns:
            The number, in mm, deg, rpm, N, g or as a fraction.

        Raises:
            DesignError: the wheel has no input and no result of that name, or several inputs.
        """
        from wheelgeo.numbers.results import is_result, result_of
        from wheelgeo.tune.parameters import find_parameter, is_parameter

        if is_result(self.design, name) and not is_parameter(self.design, name):
            return result_of(self._under_check.solution, name)
        with _as_fault_of(name):
            return find_parameter(self.design, name).value

    def put(self, name: str | Mapping[str, Any], value: Any = None) -> Wheel:
        """Return the wheel with one number, or several, set anew.

        Args:
            name: the input's name; or names with values.
            value: a number in the input's unit, or text as in the file (``"3/8 in"``).

        Raises:
            DesignError: a name is unknown or that of a result, a text cannot be read, or the wheel
                that would come of it cannot exist.
        """
        changes = {name: value} if isinstance(name, str) else dict(name)
        return self.with_design(_put(self.design, changes))

    def with_design(self, design: Design) -> Wheel:
        """Return a wheel of other data that keeps this one's file and comments.

        Raises:
            DesignError: such a wheel cannot exist.
        """
        _must_exist(design)
        return Wheel(design, self.text, self.source)

    # --- what it does -----------------------------------------------------------------------------

    @cached_property
    def _under_check(self) -> WheelUnderCheck:
        from wheelgeo.check.report import put_under_check

        return put_under_check(self.design, self.with_design)

    def solve(self) -> Answer:
        """Return speeds, bands, twist and yarn, and what is wrong with shapes, places, speeds."""
        from wheelgeo.check.answer import answer_of
        from wheelgeo.check.report import quick_report

        return answer_of(quick_report(self._under_check))

    def check(self) -> Answer:
        """Return the same with the findings of every rule, those on mechanics included."""
        from wheelgeo.check.answer import answer_of
        from wheelgeo.check.report import whole_report

        return answer_of(whole_report(self._under_check))

    def run(self) -> RunningAnswer:
        """Return pulls, slip, effort, start, the spindle's vibration, balance and rims."""
        from wheelgeo.check.answer_run import running_answer
        from wheelgeo.check.report import run_report

        return running_answer(run_report(self._under_check), self.solve())

    # --- as a file --------------------------------------------------------------------------------

    def to_toml(self) -> str:
        """Return it as the text of a design file, with the comments of the file it came from."""
        from wheelgeo.design.writer import design_to_toml, rewrite_as

        if self.text is None:
            return design_to_toml(self.design)
        return rewrite_as(self.text, self.design)

    def save(self, path: str | os.PathLike[str]) -> Path:
        """Write it as a design file, whole or not at all, over a file of that name.

        Args:
            path: the file to write.

        Returns:
            The path written to.

        Raises:
            OutputError: it cannot be written there.
        """
        target = Path(path)
        part = target.with_name(f".{target.name}.{os.getpid()}.part")
        try:
            part.write_text(self.to_toml(), encoding="utf-8")
            part.replace(target)
        except OSError as error:
            raise OutputError(f'"{target}" cannot be written: {error.strerror}') from error
        finally:
            part.unlink(missing_ok=True)
        return target


def load(path: str | os.PathLike[str]) -> Wheel:
    """Return the wheel of a design file.

    Args:
        path: the file, TOML in UTF-8.

    Raises:
        DesignError: the file cannot be read, or is at fault; holds every fault found.
    """
    from wheelgeo.design.reader import parse_design, read_text

    text = read_text(Path(path))
    return Wheel(parse_design(text, str(path)), text, str(path))


def read(text: str, source: str = "") -> Wheel:
    """Return the wheel of the text of a design file.

    Args:
        text: TOML.
        source: what messages call it.

    Raises:
        DesignError: the text is at fault; holds every fault found.
    """
    from wheelgeo.design.reader import parse_design

    return Wheel(parse_design(text, source), text, source)


class _as_fault_of:  # noqa: N801 - it reads as the word that it is
    """Turns an error of a name or a value into a DesignError that names it."""

    def __init__(self, name: str) -> None:
        self.name = name

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: Any, error: BaseException | None, trace: Any) -> None:
        from wheelgeo.errors import WheelError

        if isinstance(error, WheelError) and not isinstance(error, DesignError):
            raise DesignError((Fault(self.name, str(error)),)) from error


def _put(design: Design, changes: Mapping[str, Any]) -> Design:
    """Return a design with values set anew, in whatever order each can be set in."""
    from wheelgeo.tune.parameters import is_parameter

    waiting = list(changes)
    while waiting:
        faults: list[Fault] = []
        left: list[str] = []
        for name in waiting:
            try:
                with _as_fault_of(name):
                    set_one = _put_number if is_parameter(design, name) else _put_other
                    design = set_one(design, name, changes[name])
            except DesignError as error:
                faults += error.faults
                left.append(name)
        if len(left) == len(waiting):
            raise DesignError(tuple(faults))
        waiting = left
    return design


def _put_number(design: Design, name: str, value: Any) -> Design:
    from wheelgeo.tune.parameters import find_parameter, replace

    parameter = find_parameter(design, name)
    if isinstance(value, str):
        from wheelgeo.numbers.typed import read_number

        number = read_number(value, parameter.quantity, design.unit, name)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        number = float(value)
    else:
        raise DesignError((Fault(name, f"{value!r} is no number"),))
    return replace(design, name, number)


def _put_other(design: Design, name: str, value: Any) -> Design:
    """Set a text, choice, vector or route anew."""
    from wheelgeo.check.edits import Edit, apply_edits, place_of
    from wheelgeo.numbers.results import is_result
    from wheelgeo.tune.parameters import find_parameter

    if is_result(design, name):
        says = f'"{name}" is a result, which follows from the rest'
        raise DesignError((Fault(name, says, "find what gives it with Wheel.find"),))
    try:
        place_of(design, name)
    except KeyError:
        find_parameter(design, name)  # says which names come near
    try:
        return apply_edits(design, [Edit(name, None, value)])
    except (TypeError, ValueError, AttributeError) as error:
        raise DesignError((Fault(name, f"it cannot be {value!r}"),)) from error


def _must_exist(design: Design) -> None:
    """Raise DesignError where no design file may hold such a wheel."""
    from wheelgeo.design.reader import parse_design
    from wheelgeo.design.writer import design_to_toml

    try:
        text = design_to_toml(design)
    except (TypeError, ValueError, AttributeError) as error:
        raise DesignError((Fault("", f"a value has no form in a file: {error}"),)) from error
    parse_design(text)
