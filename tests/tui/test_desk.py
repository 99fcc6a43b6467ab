"""The desk beside the screen: only the newest order of a lane counts."""

from __future__ import annotations

import threading
import time

import pytest

from configurator.tui.desk import Desk


class Collected:
    def __init__(self):
        self.found = []
        self.came = threading.Condition()

    def take(self, delivery):
        with self.came:
            self.found.append(delivery)
            self.came.notify_all()

    def wait(self, count):
        with self.came:
            assert self.came.wait_for(lambda: len(self.found) >= count, timeout=10)


@pytest.fixture
def collected():
    return Collected()


@pytest.fixture
def desk(collected):
    desk = Desk(("first", "second"), collected.take)
    yield desk
    desk.close()


def until_idle(desk):
    end = time.monotonic() + 10
    while not desk.idle:
        assert time.monotonic() < end
        time.sleep(0.001)


def test_work_is_delivered_in_its_lane(desk, collected):
    desk.ask("first", lambda _: 42)
    collected.wait(1)

    assert [(d.lane, d.value) for d in collected.found] == [("first", 42)]


def test_of_many_orders_the_newest_alone_comes_back(desk, collected):
    started, gate = threading.Event(), threading.Event()

    def slow(_):
        started.set()
        gate.wait(10)
        return "old"

    ran = []
    desk.ask("first", slow)
    started.wait(10)
    for number in range(5):
        desk.ask("first", lambda _, number=number: ran.append(number) or number)
    gate.set()
    until_idle(desk)

    assert ran == [4]
    assert [d.value for d in collected.found] == [4]


def test_running_work_can_see_that_nobody_waits(desk, collected):
    started, gate = threading.Event(), threading.Event()
    seen = []

    def work(is_stale):
        seen.append(is_stale())
        started.set()
        gate.wait(10)
        seen.append(is_stale())

    desk.ask("first", work)
    started.wait(10)
    desk.drop("first")
    gate.set()
    until_idle(desk)

    assert seen == [False, True]
    assert collected.found == []


def test_the_first_lane_goes_before_the_second(desk, collected):
    started, gate = threading.Event(), threading.Event()

    def slow(_):
        started.set()
        gate.wait(10)

    desk.ask("second", slow)
    started.wait(10)
    desk.ask("second", lambda _: "second")
    desk.ask("first", lambda _: "first")
    gate.set()
    collected.wait(2)

    assert [d.value for d in collected.found] == ["first", "second"]


def test_a_fault_is_delivered_and_the_desk_goes_on(desk, collected):
    desk.ask("first", lambda _: 1 / 0)
    collected.wait(1)
    desk.ask("first", lambda _: "fine")
    collected.wait(2)

    assert isinstance(collected.found[0].error, ZeroDivisionError)
    assert collected.found[1].value == "fine"


def test_the_time_of_an_order_is_told_while_it_waits_and_runs(collected):
    now = [100.0]
    desk = Desk(("first",), collected.take, clock=lambda: now[0])
    started, gate = threading.Event(), threading.Event()
    assert desk.waiting_for("first") is None

    def slow(_):
        started.set()
        gate.wait(10)

    desk.ask("first", slow)
    started.wait(10)
    now[0] = 103.0
    assert desk.waiting_for("first") == 3.0
    gate.set()
    collected.wait(1)
    until_idle(desk)
    assert desk.waiting_for("first") is None
    desk.close()


def test_an_order_is_waited_for_no_more_once_its_result_is_handed_over():
    seen = []
    desk = Desk(("first",), lambda _: seen.append((desk.waiting_for("first"), desk.idle)))
    desk.ask("first", lambda _: 1)
    until_idle(desk)

    assert seen == [(None, False)]
    desk.close()


def test_a_closed_desk_delivers_nothing(collected):
    desk = Desk(("first",), collected.take)
    desk.close()
    desk.ask("first", lambda _: 1)
    time.sleep(0.05)

    assert collected.found == []


def test_what_is_held_begins_once_it_is_let_go(desk, collected):
    desk.hold(60.0)
    desk.ask("first", lambda _: "held")
    time.sleep(0.05)
    assert collected.found == []

    desk.hold(0.0)
    collected.wait(1)
    assert collected.found[0].value == "held"


def test_what_nobody_lets_go_begins_after_its_time(desk, collected):
    start = time.monotonic()
    desk.hold(0.05)
    desk.ask("first", lambda _: time.monotonic() - start)
    collected.wait(1)

    assert collected.found[0].value >= 0.05
