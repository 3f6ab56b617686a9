"""A wall clock that goes back or jumps ahead: the board's day and the lock of a folder."""

from __future__ import annotations

import os
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from shootplan.board.day import Clock
from shootplan.board.site import read_ticks
from shootplan.board.store import Store, Tick
from shootplan.problems import OutputError
from shootplan.write.lock import LOCK_NAME, hold_folder


class Hands:
    """A clock on the wall that is set by hand, and the seconds that really pass."""

    def __init__(self) -> None:
        self.wall, self.passed = datetime(2026, 10, 25, 1, 30), 0.0

    def goes(self, seconds: float, *, shown: float | None = None) -> None:
        """Let seconds pass while the wall clock moves by ``shown``."""
        self.passed += seconds
        self.wall += timedelta(seconds=seconds if shown is None else shown)

    def clock(self, call_s: int = 0) -> Clock:
        """Return the board's clock that goes by these."""
        return Clock(call_s, wall=lambda: self.wall, passed=lambda: self.passed)


def test_a_clock_set_back_counts_on_what_really_passes() -> None:
    """By hand: 1:30, an hour's end of summer time after ten minutes, ten more minutes: 1:40, then 1:50, not 0:50."""
    hands = Hands()
    clock = hands.clock()
    assert clock.now_s() == 5400
    hands.goes(600)
    assert clock.now_s() == 6000
    hands.goes(600, shown=600 - 3600)
    assert clock.now_s() == 6600
    hands.goes(60)
    assert clock.now_s() == 6660


def test_a_clock_put_right_again_is_gone_by() -> None:
    """By hand: set back an hour for ten minutes, then forward an hour: the wall clock and the day agree again."""
    hands = Hands()
    clock = hands.clock()
    clock.now_s()
    hands.goes(600, shown=-3000)
    assert clock.now_s() == 6000
    hands.goes(60, shown=3660)
    assert clock.now_s() == 6060 == hands.wall.hour * 3600 + hands.wall.minute * 60


def test_a_clock_that_jumps_ahead_is_believed() -> None:
    """A machine that slept for an hour has not counted the seconds; the kitchen has."""
    hands = Hands()
    clock = hands.clock()
    clock.now_s()
    hands.goes(1, shown=3600)
    assert clock.now_s() == 9000


def test_after_a_restart_no_moment_comes_before_the_last_tick() -> None:
    """By hand: the last tick was at 2:00, the wall clock says 1:30: the day goes on from 2:00."""
    hands = Hands()
    clock = hands.clock()
    clock.not_before(7200)
    assert clock.now_s() == 7200
    hands.goes(30)
    assert clock.now_s() == 7230
    clock.not_before(10)
    assert clock.now_s() == 7230


def test_what_is_ticked_later_stays_later_when_the_clock_goes_back(tmp_path: Path) -> None:
    """A step begun, the clock set back an hour, the step done ten minutes on: the log keeps that order and length."""
    hands, store = Hands(), Store(tmp_path / "day.sqlite3")
    clock = hands.clock()
    for kind in ("begun", "done"):
        now = int(clock.now_s())
        body = f'{{"ticks": [{{"id": "{kind}-0000000000", "kind": "{kind}", "run": "soup: Chop", "at_s": {now}}}]}}'
        ticks = read_ticks(body.encode(), now_s=clock.now_s())
        assert not isinstance(ticks, str), ticks
        store.add(ticks)
        hands.goes(600, shown=600 - 3600)
    kept: tuple[Tick, ...] = store.ticks()
    store.close()
    assert [(tick.kind, tick.at_s) for tick in kept] == [("begun", 5400), ("done", 6000)]


@pytest.mark.parametrize("stamp", [0, 4_000_000_000])
def test_a_lock_goes_by_its_holder_and_not_by_its_date(tmp_path: Path, stamp: int) -> None:
    """A lock file of 1970 that is held is held, one of the year 2096 that nobody holds is free."""
    left = tmp_path / LOCK_NAME
    left.touch()
    os.utime(left, (stamp, stamp))
    with hold_folder(tmp_path):
        os.utime(left, (stamp, stamp))
        with pytest.raises(OutputError, match="another build"), hold_folder(tmp_path):
            pass
    assert not left.exists()
