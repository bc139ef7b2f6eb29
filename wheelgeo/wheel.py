"""A wheel to ask and to change: what ``wheelgeo.load`` returns.

A :class:`Wheel` never changes; what changes it returns another one. It keeps the text of the file
that it came from, so that what it saves keeps that file's comments.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from wheelgeo.design.model import Design
from wheelgeo.door import door
from wheelgeo.errors import DesignError, OutputError, SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.tune.trials import TRIALS

if TYPE_CHECKING:
    from wheelgeo.check.answer import Answer, BandsAnswer
    from wheelgeo.check.answer_run import RunningAnswer
    from wheelgeo.check.finding import Finding
    from wheelgeo.check.wheel_under_check import WheelUnderCheck
    from wheelgeo.design.model import Count
    from wheelgeo.numbers.named import NamedNumber
    from wheelgeo.shop.bench_set import MakeAnswer
    from wheelgeo.tune.bands_to_have import BandsToHaveAnswer
    from wheelgeo.tune.find_answer import FindAnswer
    from wheelgeo.tune.measured import MeasureAnswer
    from wheelgeo.tune.place_answer import PlaceAnswer
    from wheelgeo.tune.retune_answer import RetuneAnswer
    from wheelgeo.tune.tolerance_answer import ToleranceAnswer


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

    def _repr_svg_(self) -> str | None:
        """Return what a notebook shows: the drive, drawn; None where a band has no path."""
        from wheelgeo.drawing.drive_drawing import drive_picture

        return drive_picture(self._under_check.solution)

    @property
    def title(self) -> str:
        """Its title."""
        return self.design.title

    # --- its numbers by name ----------------------------------------------------------------------

    def inputs(self) -> tuple[NamedNumber, ...]:
        """Return every number that may be put, in the order shafts, pulleys, bands, rest."""
        from wheelgeo.numbers.named import named_inputs

        return named_inputs(self.design)

    def results(self) -> tuple[NamedNumber, ...]:
        """Return every result that has a name: ratio, speeds, lengths, wraps, angles."""
        from wheelgeo.numbers.named import named_results

        return named_results(self._under_check.solution)

    @door(DesignError)
    def get(self, name: str) -> float | None:
        """Return an input or a result by its name; None where the wheel has no such number.

        Args:
            name: ``whorl.rim``, ``spindle.at.x``, ``second band.length``; see :meth:`inputs`.

        Returns:
            The number, in mm, deg, rpm, N, g or as a fraction.

        Raises:
            DesignError: the wheel has no input and no result of that name, or several inputs.
        """
        from wheelgeo.numbers.named import value_named

        return value_named(self.design, name, lambda: self._under_check.solution)

    @door(DesignError)
    def put(self, name: str | Mapping[str, Any], value: Any = None) -> Wheel:
        """Return the wheel with one number, or several, set anew.

        Args:
            name: the input's name; or names with values.
            value: a number in the input's unit, or text as in the file (``"3/8 in"``).

        Raises:
            DesignError: a name is unknown or that of a result, a text cannot be read, or the wheel
                that would come of it cannot exist.
        """
        from wheelgeo.numbers.inputs import asked_changes, put

        return self._changed(put(self.design, asked_changes(name, value)))

    def with_design(self, design: Design) -> Wheel:
        """Return a wheel of other data that keeps this one's file and comments.

        Raises:
            DesignError: such a wheel cannot exist.
        """
        from wheelgeo.design.possible import must_exist

        return self._changed(must_exist(design, "the changed wheel"))

    def _changed(self, design: Design) -> Wheel:
        if self.design.measured:
            from wheelgeo.numbers.tied import of_changed

            design = of_changed(self.design, design)
        return Wheel(design, self.text, self.source)

    # --- what it does -----------------------------------------------------------------------------

    @cached_property
    def _under_check(self) -> WheelUnderCheck:
        from wheelgeo.check.report import put_under_check

        return put_under_check(self.design, self.with_design)

    @cached_property
    def _mechanics(self) -> tuple[Finding, ...]:
        from wheelgeo.check.report import mechanics_findings

        return mechanics_findings(self._under_check)

    def solve(self) -> Answer:
        """Return speeds, bands, twist and yarn, and what is wrong with shapes, places, speeds."""
        from wheelgeo.check.answering import answer_of
        from wheelgeo.check.report import quick_report

        return answer_of(quick_report(self._under_check))

    def check(self) -> Answer:
        """Return the same with the findings of every rule, those on mechanics included."""
        from wheelgeo.check.answering import answer_of
        from wheelgeo.check.report import whole_report

        driven = self._under_check.solution.spindle.speed_rpm is not None
        return answer_of(whole_report(self._under_check, self._mechanics if driven else ()))

    def run(self) -> RunningAnswer:
        """Return pulls, slip, effort, start, the spindle's vibration, balance and rims."""
        from wheelgeo.check.answering_run import running_answer
        from wheelgeo.check.report import run_report

        return running_answer(run_report(self._under_check, self._mechanics), self.solve())

    def bands(self) -> BandsAnswer:
        """Return every band in full: lengths, runs, wraps, angles of arrival and leaving."""
        from wheelgeo.check.answering import bands_answer

        return bands_answer(self.solve(), self._under_check)

    @door(SearchError)
    def bands_to_have(
        self, band: str, have: str | Sequence[str], unit: str = ""
    ) -> BandsToHaveAnswer:
        """Return what rings and cut lengths at hand do for a band, and where to tie each.

        Args:
            band: name of the band.
            have: "rings" for standard rings of its thickness, or lengths as cut, joint included,
                or of a band that is joined, once round, with commas between them ("72 in, 1850 mm,
                76 in loop"), or a list of such.
            unit: of a bare number; that of the file where it is empty.

        Raises:
            SearchError: there is no such band, it has no path, or no ring is so thick.
            QuantityError: a length cannot be read.
        """
        from wheelgeo.tune.bands_to_have import bands_to_have

        return bands_to_have(self.design, band, have, unit)

    # --- what to change ---------------------------------------------------------------------------

    @door(SearchError)
    def find(
        self, unknown: str, result: str, value: float | str, together: Sequence[str] = ()
    ) -> FindAnswer:
        """Find the one number that makes a result come out as wanted.

        Args:
            unknown: the input that may change; or a result, where ``result`` names an input.
            result: what is given.
            value: what it shall come to, in its unit, or text as in the file.
            together: inputs that always take the same value as the unknown.

        Returns:
            The answer; ``.value``, and ``.wheel`` with it in place.

        Raises:
            SearchError: a name is unknown, the value cannot be read, or there is no answer; says
                the nearest, and which limit stopped the search.
        """
        from wheelgeo.tune.find_answer import find_answer

        return find_answer(self.design, unknown, result, value, together, self.with_design)

    @door(SearchError)
    def place(self, band: str, move: str | Sequence[str] = ()) -> PlaceAnswer:
        """Find where a band arrives true in spinning, and the compromise with backing off.

        Args:
            band: name of the band.
            move: what may move: an input ("whorl.offset"), or a shaft and a direction ("spindle
                along 1,0,0"); with a range: "whorl.offset from -3 to 5". One, or a list; left out:
                what helps most alone.

        Returns:
            Rows from spinning alone to backing off alone, those that are alike once; each has its
            ``.wheel``. What helps is in ``.helpful``.

        Raises:
            SearchError: a name is unknown, nothing can move, or moving it does not help.
        """
        from wheelgeo.tune.place_answer import place_answer

        return place_answer(self.design, band, move, self.with_design)

    @door(SearchError)
    def retune(
        self,
        *,
        count: Count | str | None = None,
        twist: str | None = None,
        turns_per_metre: float | str | None = None,
        draw: float | str | None = None,
        hand_speed: float | str | None = None,
        ratio: float | None = None,
        step: str | None = None,
        only: Sequence[str] = (),
        keep: Sequence[str] = (),
        whorls: str | None = None,
        most: int = 20,
        progress: Callable[[], object] | None = None,
    ) -> RetuneAnswer:
        """Find what to change for another yarn or ratio, and what can be done without a change.

        Args:
            count: new count, such as "80 Nm".
            twist: new direction, S or Z.
            turns_per_metre: new twist, or text such as "20 tpi".
            draw: new length of draw, mm, or text as in the file.
            hand_speed: new speed of the hand, rpm, or text.
            ratio: new ratio, whatever else is asked for.
            step: sizes that can be made: a step (None: 0.5 mm; in inches 1/32 in), or with commas.
            only: the pulleys that may change; empty for all.
            keep: pulleys that stay as they are.
            whorls: rims of whorls to be had ("10, 12 mm"): only the spindle's change, to these.
            most: options to return at most.
            progress: called again and again while it works; what it raises ends the search.

        Returns:
            Options, ranked; each has its ``.wheel``.

        Raises:
            SearchError: nothing is asked for, or it makes no sense for this wheel.
            QuantityError: a text cannot be read.
        """
        from wheelgeo.tune.retune_answer import read_limits, read_wish, retuned

        wish = read_wish(self.design, count, twist, turns_per_metre, draw, hand_speed, ratio)
        limits = read_limits(self.design, step, only, keep, whorls, most)
        return retuned(self.design, wish, limits, self.with_design, progress)

    @door(SearchError)
    def tolerance(
        self,
        *,
        general: str = "m",
        own: Mapping[str, float | str] | None = None,
        cord: float | str = "5 %",
        slip: float | str = "50 %",
        wear: float | str = "0 %",
        growth: float | str = "0 %",
        twist_error: float | str | None = None,
        coverage: float | str = "95 %",
        trials: int = TRIALS,
        seed: int = 1,
    ) -> ToleranceAnswer:
        """Work out how far ratio, twist and bands may be off, and how tight each size must be.

        Args:
            general: class of general tolerances of ISO 2768-1: f, m, c or v.
            own: tolerances of one's own by input, plus or minus, in its unit or as text.
            cord: cord diameter, plus or minus, as a fraction of itself.
            slip: slip, plus or minus, as a fraction of itself.
            wear: by what fraction a cord becomes thinner in its life.
            growth: by what fraction a band becomes longer in its life.
            twist_error: twist error to be kept; None takes the design's limit.
            coverage: coverage probability of what is stated.
            trials: wheels drawn for the ratio.
            seed: start of the random numbers.

        Raises:
            SearchError: the spindle is not driven, or a tolerance is none.
            QuantityError: a text cannot be read.
        """
        from wheelgeo.tune.tolerance_answer import read_allowed, read_drawing, read_part, work_out

        allowed = read_allowed(self.design, general, own or {}, (cord, slip, wear, growth))
        wanted = None if twist_error is None else read_part(twist_error)
        return work_out(self.design, allowed, wanted, read_drawing(coverage, trials, seed))

    def measure(self) -> MeasureAnswer:
        """Adjust what was measured of it: its numbers with an uncertainty, and its results.

        Raises:
            SearchError: nothing was measured with an uncertainty, or no wheel fits.
        """
        from wheelgeo.tune.measured import measure

        return measure(self)

    @door(OutputError)
    def make(
        self,
        to: str | os.PathLike[str] | None = None,
        *,
        only: Sequence[str] | None = None,
        dxf: Literal["R2010", "R12"] = "R2010",
        lengths: Literal["mm", "in", "in/64"] = "mm",
        force: bool = False,
        progress: Callable[[str, int, int], None] | None = None,
        writing: AbstractContextManager[object] | None = None,
    ) -> MakeAnswer:
        """Write cut files, templates, drawings, solids, shop sheet and tables to a folder.

        Args:
            to: the folder; ``outputs/`` and the name of the design file if left out.
            only: names of the groups to make; None for all.
            dxf: release of the cut files.
            lengths: how drawings and shop sheet write lengths.
            force: overwrite the set of another wheel, and files that an earlier run did not write.
            progress: called with what comes next, how many groups are done, and how many there are.
            writing: held while anything is made or written in the folder, such as a lock of a
                program that could end meanwhile; None: nothing is.

        Raises:
            OutputError: a band has no path, the folder holds the set of another wheel, or the files
                cannot be written there.
            ShapeError: a part cannot be made as asked.
        """
        from wheelgeo.shop.bench_set import MakeOptions, asked_groups
        from wheelgeo.shop.folder import SetOwner, make_set, set_folder

        folder, owner = set_folder(to, self.source), SetOwner(self.title, self.source)
        options = MakeOptions(asked_groups(only), dxf, lengths)
        return make_set(self.check, folder, owner, options, force, progress, writing)

    # --- as a file --------------------------------------------------------------------------------

    def to_toml(self) -> str:
        """Return it as the text of a design file, with the comments of the file it came from."""
        from wheelgeo.design.writer import design_to_toml, rewrite_as

        if self.text is None:
            return design_to_toml(self.design)
        return rewrite_as(self.text, self.design)

    @door(OutputError)
    def save(self, path: str | os.PathLike[str]) -> Path:
        """Write it as a design file, whole or not at all, over a file of that name.

        Where the name is a link, the file that it leads to is written, and the link stays.

        Args:
            path: the file to write.

        Returns:
            The path written to.

        Raises:
            OutputError: it cannot be written there, or no regular file stands there.
        """
        from wheelgeo.design.whole_file import write_over

        return write_over(path, self.to_toml())
