"""Threads that answer: each question once, in order, and rest when nothing is asked for a while."""

import threading
import time

import pytest

from tests.page.conftest import DESIGNS
from wheelgeo.errors import SearchError
from wheelgeo.page.desk import Desk
from wheelgeo.page.threads import AnsweringThreads

PATIENCE_S = 20.0


def test_a_thread_rests_once_after_work_and_works_on():
    rested, rests = threading.Event(), []

    def rest():
        rests.append(len(rests))
        rested.set()

    threads = AnsweringThreads(1, "resting", rest, 0.01)
    time.sleep(0.1)
    assert not rests  # nothing was done yet that a rest would follow
    for count in (1, 2):
        assert threads.submit(lambda n=count: 3 * n).result(PATIENCE_S) == 3 * count
        assert rested.wait(PATIENCE_S)
        rested.clear()
        time.sleep(0.1)
        assert len(rests) == count


def test_no_rest_comes_between_questions_that_follow_on_one_another():
    rests = []
    threads = AnsweringThreads(1, "busy", lambda: rests.append(1), PATIENCE_S)
    futures = [threads.submit(lambda n=n: n * n) for n in range(50)]
    assert [future.result(PATIENCE_S) for future in futures] == [n * n for n in range(50)]
    assert not rests


def test_a_mistake_is_told_to_who_waits_and_the_thread_works_on():
    threads = AnsweringThreads(1, "mistaken")
    with pytest.raises(ZeroDivisionError):
        threads.submit(lambda: 1 / 0).result(PATIENCE_S)
    assert threads.submit(lambda: 7).result(PATIENCE_S) == 7


def test_a_question_that_its_window_has_overtaken_is_given_up_wherever_it_stands(tmp_path):
    desk, checked = Desk(tmp_path), []
    desk.lay_file(DESIGNS / "flyer-wheel.toml")
    first, second, other = (
        {"wheel": "1", "count": f"{n} Nm", "asking": asking, "window": window}
        for n, asking, window in ((12, 1, "one"), (15, 2, "one"), (12, 1, "two"))
    )
    for ask in (first, second, other):
        desk.newest.comes(ask)
    (fault,) = desk.ask("retune", first)["refused"]  # it is not begun
    assert "given up" in fault["says"]
    assert desk.ask("retune", {**first, "asking": 2})["ways"]

    def overtaken():
        checked.append(len(checked))
        if len(checked) == 5:
            desk.newest.comes({**second, "asking": 3})
        desk.newest.hold_to(second)

    with pytest.raises(SearchError, match="given up"):  # nor is it gone on with
        desk.wheels["1"].now.retune(count="15 Nm", progress=overtaken)
    assert len(checked) == 5
    desk.newest.hold_to(other)
    desk.newest.hold_to({"wheel": "1"})  # a script numbers no questions


def test_a_question_overtakes_as_it_comes_and_not_when_there_is_a_thread_for_it(served):
    served.ask("have", wheel="1", band="second band", have="1 m", asking=7, window="one")
    older = served.ask("have", wheel="1", band="second band", have="1 m", asking=6, window="one")
    assert "given up" in older["refused"][0]["says"]
