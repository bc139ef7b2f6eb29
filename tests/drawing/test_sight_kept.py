"""What is kept of lines and of what hides them, against the same looked at for the first time."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.drawing import sight
from wheelgeo.drawing.scene import Scene
from wheelgeo.drawing.scene_of_wheel import scene_of
from wheelgeo.drawing.view import ISOMETRIC, PLAN, View, parts_in, side_view
from wheelgeo.errors import DesignError
from wheelgeo.wheel import Wheel

DESIGNS = sorted((Path(__file__).parents[2] / "designs").glob("*-wheel.toml"))


def seen(wheel: Wheel) -> Scene:
    return scene_of(wheel.solve().solution)


def changed(wheel: Wheel, chance: random.Random) -> Wheel:
    """A wheel of which one length is another."""
    lengths = [one for one in wheel.inputs() if one.unit == "mm" and one.value]
    while True:
        one = chance.choice(lengths)
        try:
            return wheel.put(one.key, one.value + chance.uniform(-4.0, 4.0))
        except DesignError:
            continue


@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_a_wheel_changed_step_by_step_is_seen_as_one_seen_for_the_first_time(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wheel, chance = wheelgeo.load(path), random.Random(3)
    for _ in range(4):
        scene = seen(wheel)
        for view in (PLAN, side_view(scene), ISOMETRIC):
            parts = parts_in(scene, view)
            with monkeypatch.context() as patch:
                patch.setattr(sight, "_known", sight._Known)
                assert parts == parts_in(scene, view)
        wheel = changed(wheel, chance)


def looked_at(scene: Scene, view: View, monkeypatch: pytest.MonkeyPatch) -> int:
    """How many lines had to be looked at."""
    count, whole = 0, sight._looked_at

    def counted(curves, *rest):  # type: ignore[no-untyped-def]
        nonlocal count
        count += len(curves)
        return whole(curves, *rest)

    with monkeypatch.context() as patch:
        patch.setattr(sight, "_looked_at", counted)
        parts_in(scene, view)
    return count


def test_only_lines_near_a_change_are_looked_at_again(monkeypatch: pytest.MonkeyPatch) -> None:
    wheel = wheelgeo.load(next(path for path in DESIGNS if path.stem == "box-wheel"))
    sight._known.cache_clear()
    every = looked_at(seen(wheel), PLAN, monkeypatch)
    assert looked_at(seen(wheel), PLAN, monkeypatch) == 0
    other = wheel.put("hub.rim", wheel.get("hub.rim") + 2.0)
    assert 0 < looked_at(seen(other), PLAN, monkeypatch) < 0.3 * every


def test_what_a_line_stands_before_may_change_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """A line that stays itself is looked at again where what hides it has gone."""
    scene = seen(wheelgeo.load(next(path for path in DESIGNS if path.stem == "box-wheel")))
    parts = parts_in(scene, ISOMETRIC)
    bare = Scene(scene.title, scene.bodies[:1], scene.cords)
    alone = parts_in(bare, ISOMETRIC)
    sight._known.cache_clear()
    assert alone == parts_in(bare, ISOMETRIC)
    assert sum(not p.seen for p in alone) < sum(not p.seen for p in parts)


def test_what_is_kept_stays_bounded() -> None:
    wheel, chance = wheelgeo.load(DESIGNS[0]), random.Random(4)
    sight._known.cache_clear()
    for _ in range(12):
        parts_in(seen(wheel), PLAN)
        wheel = changed(wheel, chance)
    known = sight._known(PLAN.to_eye)
    assert 0 < len(known.lines) <= sight._MOST_LINES
    assert len(known._numbers) <= sight._MOST_BODIES
    assert sight._known.cache_info().currsize <= sight._PICTURES
