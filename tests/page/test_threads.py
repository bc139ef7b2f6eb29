"""Threads that answer: each question once, in order, and rest when nothing is asked for a while."""

import threading
import time

import pytest

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
