"""Plots on request: the start from rest, and the critical speeds as the cop grows."""

from __future__ import annotations

import math
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wheelgeo.design.whole_file import folder_made, write_over
from wheelgeo.drive.running import Running
from wheelgeo.drive.start_of_wheel import Start
from wheelgeo.drive.whirl import Whirl
from wheelgeo.errors import OutputError

if TYPE_CHECKING:
    from matplotlib.axes import Axes

START_FILE, WHIRL_FILE = "start.png", "critical-speed.png"
_RPM = 30.0 / math.pi
_LINES = ("-", "--", ":", "-.")


def write_plots(running: Running, folder: Path) -> list[Path]:
    """Draw what there is to draw into a folder.

    Args:
        running: a wheel under a hand.
        folder: where to; made where it is not there.

    Returns:
        The files written, PNG.

    Raises:
        OutputError: the folder cannot be made or written.
    """
    drawn: dict[str, bytes] = {}  # all of it before anything is written: drawing takes seconds
    if running.start.trace is not None and running.start.trace.moves:
        drawn[START_FILE] = _draw(_start, running.start)
    if running.whirl.points:
        drawn[WHIRL_FILE] = _draw(_whirl, running.whirl)
    try:
        with folder_made(folder):
            return [write_over(folder / name, picture) for name, picture in drawn.items()]
    except OutputError:
        raise
    except OSError as error:
        raise OutputError(f"cannot draw into {folder}: {error.strerror or error}") from error


def _draw(draw: Any, what: Any) -> bytes:
    from matplotlib.figure import Figure

    figure = Figure(figsize=(6.4, 4.0), layout="constrained")
    axes = figure.add_subplot()
    draw(axes, what)
    axes.grid(visible=True, linewidth=0.4)
    picture = BytesIO()
    figure.savefig(picture, dpi=150, metadata={"Software": None})
    return picture.getvalue()


def _start(axes: Axes, start: Start) -> None:
    """Draw each shaft's speed as a share of its last one, and shade where a band slips."""
    trace = start.trace
    assert trace is not None
    t = [0.0, *(i.t_s for i in trace.instants)]
    for k, name in enumerate(start.shafts):
        speeds = [0.0, *(i.omega_rad_s[k] * _RPM for i in trace.instants)]
        last = speeds[-1] or 1.0
        label = f"{name}, {speeds[-1]:.0f} rpm at last"
        axes.plot(t, [100.0 * s / last for s in speeds], _LINES[k % len(_LINES)], color="black",
                  linewidth=1.2, label=label)  # fmt: skip
    slips = [False, *(any(i.slips) for i in trace.instants)]
    if any(slips):
        axes.fill_between(
            t, 0.0, 100.0, where=slips, step="post", color="0.85", label="a band slips"
        )
    axes.set_xlabel("time, s")
    axes.set_ylabel("speed, % of the last")
    axes.set_title("Start from rest")
    axes.legend(loc="upper left", frameon=False)


def _whirl(axes: Axes, whirl: Whirl) -> None:
    """Draw the critical speeds over the mass of the cop, and the working speed."""
    mass = [p.mass_g for p in whirl.points]
    orders = min(len(p.critical_rpm) for p in whirl.points)
    for k, name in zip(range(min(orders, 2)), ("first", "second"), strict=False):
        axes.plot(mass, [p.critical_rpm[k] for p in whirl.points], _LINES[k], color="black",
                  linewidth=1.2, label=f"{name} critical speed")  # fmt: skip
    if whirl.working_rpm is not None:
        axes.axhline(whirl.working_rpm, linestyle=":", color="black", label="working speed")
    axes.set_yscale("log")
    for which in (axes.yaxis.set_major_formatter, axes.yaxis.set_minor_formatter):
        which(lambda rpm, _: f"{rpm:.0f}")
    axes.set_xlabel("yarn on the spindle, g")
    axes.set_ylabel("speed, rpm")
    axes.set_title("Critical speeds of the spindle")
    axes.legend(loc="best", frameon=False)
