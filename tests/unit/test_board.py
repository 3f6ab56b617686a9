"""The board without a browser: ticks on the disk, the gate, what a request may hold, the live day."""

from __future__ import annotations

import asyncio
import json
import sqlite3
import threading
import time
from datetime import date, datetime
from pathlib import Path

import pytest
from planning_helpers import write_episode
from test_filmed_over_days import KITCHEN as FILMED
from test_filmed_over_days import dish

from shootplan.app import load
from shootplan.app.following import follow
from shootplan.board import gate as gates
from shootplan.board.day import Clock, LiveDay
from shootplan.board.gate import Gate, is_loopback
from shootplan.board.serve import folders_of, is_source, log_folder
from shootplan.board.site import Feed, read_ticks
from shootplan.board.store import UNDO, Store, Tick, events_of_ticks
from shootplan.model.replanning import LogEvent, LogKind
from shootplan.problems import Conflict, InfeasiblePlan, Problem
from shootplan.read.day_log import read_day_log

EPISODE = "---\ndate: 2026-10-01\ncurrency: GBP\n---\n# Soup night\n\n## Recipes\n\n- [Soup](recipes/soup.md)\n"
RECIPE = """---
serves: 4
---
# Soup

## Ingredients

- 200 g carrots

## Method

1. **Chop.** Chop the [carrots].
   - hands: 4 min
2. **Simmer.** Cover.
   - hands: 1 min
   - leave: 20 min
   - until: soft
   - uses: ring
3. **Serve.** Ladle out.
   - hands: 2 min
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    root = tmp_path / "night"
    (root / "recipes").mkdir(parents=True)
    (root / "episode.md").write_text(EPISODE, encoding="utf-8")
    (root / "recipes" / "soup.md").write_text(RECIPE, encoding="utf-8")
    (root / "kitchen.toml").write_text('[[people]]\nname = "host"\nrole = "cook"\n', encoding="utf-8")
    (root / "prices.csv").write_text("item,pack,price,date\ncarrots,1 kg loose,1.00,2026-09-30\n", encoding="utf-8")
    return root


def tick(name: str, kind: str, run: str, at_s: int, late_s: int = 0) -> Tick:
    return Tick(id=name, kind=kind, run=run, at_s=at_s, late_s=late_s, label=run)


# ---------------------------------------------------------------------------------------------------- ticks


def test_a_tick_is_kept_once_however_often_it_comes(tmp_path: Path) -> None:
    """Sent twice by a device that heard no answer; in any order, sorted by their time; there after reopening."""
    store = Store(tmp_path / "log" / "day.sqlite3")
    late, early = tick("b", "done", "chop", 240), tick("a", "begun", "chop", 0)
    assert store.add([late]) == 1
    assert store.add([late, early]) == 1
    assert store.add([]) == 0
    store.close()
    again = Store(tmp_path / "log" / "day.sqlite3")
    assert again.ticks() == (early, late)
    again.close()


def test_two_ticks_of_one_second_stay_in_their_order(tmp_path: Path) -> None:
    """Begun and done with two quick taps, the ids the other way round: it is done."""
    store = Store(tmp_path / "day.sqlite3")
    store.add([tick("z", "begun", "chop", 7)])
    store.add([tick("a", "done", "chop", 7)])
    assert [item.kind for item in store.ticks()] == ["begun", "done"]
    store.close()


def test_a_tick_taken_back_says_nothing_and_stays_on_the_disk(tmp_path: Path) -> None:
    store = Store(tmp_path / "day.sqlite3")
    store.add([tick("a", "begun", "chop", 0), tick("b", "late", "chop", 5, 300), tick("c", UNDO, "a", 9)])
    assert len(store.ticks()) == 3
    assert events_of_ticks(store.ticks()) == (LogEvent(kind=LogKind.LATE, run="chop", at_s=5, late_s=300),)
    store.close()


def test_ticks_of_many_threads_are_all_kept(tmp_path: Path) -> None:
    store = Store(tmp_path / "day.sqlite3")
    threads = [
        threading.Thread(target=lambda n=n: [store.add([tick(f"{n}-{k}", "begun", "x", k)]) for k in range(20)])
        for n in range(4)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(store.ticks()) == 80
    store.close()


def test_a_broken_batch_keeps_nothing_of_it(tmp_path: Path) -> None:
    store = Store(tmp_path / "day.sqlite3")
    broken = tick("b", "begun", None, 0)  # type: ignore[arg-type]
    store.add([tick("ok", "begun", "x", 0)])
    with pytest.raises(sqlite3.IntegrityError):
        store.add([tick("a", "begun", "x", 0), broken])
    assert [item.id for item in store.ticks()] == ["ok"]
    assert store.add([tick("a", "begun", "x", 0)]) == 1
    store.close()


# ---------------------------------------------------------------------------------------------------- requests


def body(**fields: object) -> bytes:
    return json.dumps({"ticks": [{"id": "abcdefgh", "kind": "begun", "run": "chop", "at_s": 5, **fields}]}).encode()


def test_a_request_holds_ticks() -> None:
    assert read_ticks(body(), now_s=10.9) == (Tick(id="abcdefgh", kind="begun", run="chop", at_s=5),)


def test_no_tick_lies_ahead_of_the_server_s_clock() -> None:
    (found,) = read_ticks(body(at_s=500), now_s=10.9)
    assert isinstance(found, Tick)
    assert found.at_s == 10


@pytest.mark.parametrize(
    "fields",
    [
        {"id": "short"},
        {"id": "with a space"},
        {"kind": "eaten"},
        {"run": 7},
        {"run": "x" * 301},
        {"at_s": "5"},
        {"at_s": True},
        {"at_s": 5.5},
        {"at_s": 10**9},
        {"at_s": 11 * 86400},
        {"late_s": -1},
        {"label": None},
    ],
)
def test_what_is_no_tick_is_refused(fields: dict[str, object]) -> None:
    assert isinstance(read_ticks(body(**fields), now_s=10), str)


@pytest.mark.parametrize("text", [b"", b"nope", b"[]", b"{}", b'{"ticks": 5}', b'{"ticks": [5]}', b"[" * 100_000])
def test_what_is_no_request_is_refused(text: bytes) -> None:
    assert isinstance(read_ticks(text, now_s=10), str)


def test_a_request_has_a_limit() -> None:
    many = json.dumps({"ticks": [json.loads(body())["ticks"][0]] * 501}).encode()
    assert read_ticks(many, now_s=10) == "at most 500 ticks at a time"


# ---------------------------------------------------------------------------------------------------- the gate


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "gate.sqlite3")


def test_only_this_machine_is_let_in_without_a_code(store: Store) -> None:
    shown: list[str] = []
    gate = Gate(store, "127.0.0.1", shown.append)
    assert shown == []
    assert gate.is_paired(None)
    assert gate.refusal({"host": "localhost:8642"}, "GET") == ""
    assert gate.refusal({"host": "[::1]:8642"}, "GET") == ""
    assert gate.refusal({"host": "192.168.1.9:8642"}, "GET") != ""
    assert gate.refusal({}, "GET") != ""


def test_a_network_is_asked_by_number_or_by_our_name(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gates.socket, "gethostname", lambda: "Kitchen.lan")
    gate = Gate(store, "0.0.0.0", lambda code: None)
    for host in ("192.168.1.9:8642", "[fe80::1]:8642", "kitchen.local", "KITCHEN.lan:1", "localhost"):
        assert gate.refusal({"host": host}, "GET") == "", host
    for host in ("kitchen.example", "192.168.1.9.example", "kitchen.local.example:8642"):
        assert gate.refusal({"host": host}, "GET") != "", host


def test_other_pages_are_refused(store: Store) -> None:
    gate = Gate(store, "localhost", lambda code: None)
    own = {"host": "localhost:1"}
    assert gate.refusal({**own, "origin": "http://localhost:1"}, "POST") == ""
    assert gate.refusal(own, "POST") != ""
    assert gate.refusal({**own, "origin": "null"}, "POST") != ""
    assert gate.refusal({**own, "origin": "http://localhost:2"}, "GET") != ""
    assert gate.refusal({**own, "sec-fetch-site": "same-site"}, "GET") != ""
    link = {**own, "sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"}
    assert gate.refusal(link, "GET") == "", "a link in a chat opens the board; what it shows nobody else can read"
    assert gate.refusal({**link, "origin": "http://elsewhere.example"}, "POST") != ""


def test_a_code_works_once_and_changes_after_five_wrong_ones(store: Store) -> None:
    shown: list[str] = []
    gate = Gate(store, "0.0.0.0", shown.append)
    token = gate.pair(shown[0])
    assert token is not None
    assert gate.is_paired(token)
    assert gate.pair(shown[0]) is None
    assert len(shown) == 2
    for _ in range(4):
        assert gate.pair("") is None
    assert len(shown) == 3
    assert gate.pair(shown[1]) is None or shown[1] == shown[2]
    assert not gate.is_paired("something else")
    assert not gate.is_paired(None)
    assert Gate(store, "0.0.0.0", shown.append).is_paired(token)
    assert token not in store.path.read_bytes().decode("latin-1")


def test_which_addresses_are_this_machine() -> None:
    assert [is_loopback(name) for name in ("127.0.0.1", "::1", "localhost", "0.0.0.0", "192.168.1.2", "x.example")] == [
        *(True, True, True, False, False, False),
    ]


# ---------------------------------------------------------------------------------------------------- the live day


class At(Clock):
    """A clock that stands where it is put."""

    def __init__(self, seconds: float) -> None:
        super().__init__(0)
        self.seconds = seconds

    def now_s(self) -> float:
        return self.seconds


def live(folder: Path, seconds: float = 0) -> LiveDay:
    store = Store(log_folder(folder) / "day.sqlite3")
    loaded = load(folder)
    return LiveDay(folder, store, At(seconds), loaded=loaded, followed=follow(loaded, folder))


def until(told: list[str], test: object) -> dict[str, object]:
    """Wait for a published view that passes a test."""
    for _ in range(600):
        for text in list(told):
            view = json.loads(text)
            if test(view):  # type: ignore[operator]
                return view
        time.sleep(0.02)
    raise AssertionError("nothing of that kind was told")


def state(view: dict[str, object], run: str) -> str:
    steps = view["steps"]
    assert isinstance(steps, list)
    return next(str(step["state"]) for step in steps if step["run"] == run)


def test_a_tick_is_told_at_once_and_the_rest_planned_after(folder: Path) -> None:
    """
    Chop 4, simmer 1 + 20, serve 2: wrap at 27. Begun 3 late, chop ends at 7 and wrap is at 30; the log says so.
    """
    day = live(folder, 180)
    told: list[str] = []
    day.publish = told.append
    day.start()
    assert day.tick([tick("abcdefgh", "begun", "soup/chop", 180)]) == 1
    assert state(json.loads(told[0]), "soup/chop") == "running"
    assert json.loads(told[0])["is_planning"]
    view = until(told, lambda view: view["wrap_s"] == 30 * 60 and not view["is_planning"])
    assert view["morning_wrap_s"] == 27 * 60
    assert view["last"] == {"id": "abcdefgh", "kind": "begun", "label": "soup/chop"}
    assert day.tick([tick("abcdefgh", "begun", "soup/chop", 180)]) == 0
    assert day.log_text() == "# Soup night, day\n09:03 begun soup: Chop\n"
    day.tick([tick("ijklmnop", "late", "soup/chop", 180, 300)])
    until(told, lambda view: view["wrap_s"] == 35 * 60)
    assert day.log_text().endswith("09:03 late 5 min soup: Chop\n")
    day.stop()
    assert (log_folder(folder) / "day.txt").read_text(encoding="utf-8") == day.log_text()


def test_a_day_goes_on_where_it_was_left(folder: Path) -> None:
    first = live(folder, 180)
    first.tick([tick("abcdefgh", "begun", "soup/chop", 60)])
    first.store.close()
    again = json.loads(live(folder, 180).view())
    assert state(again, "soup/chop") == "running"
    assert (again["wrap_s"], again["morning_wrap_s"]) == (28 * 60, 27 * 60)


def test_saved_files_are_planned_with_and_broken_ones_are_told(folder: Path) -> None:
    day = live(folder)
    told: list[str] = []
    day.publish = told.append
    day.start()
    recipe = folder / "recipes" / "soup.md"
    recipe.write_text(RECIPE.replace("leave: 20", "leave: 40"), encoding="utf-8")
    day.files_changed()
    until(told, lambda view: view["wrap_s"] == 47 * 60)
    recipe.write_text(RECIPE.replace("leave: 20", "leave: x"), encoding="utf-8")
    day.files_changed()
    view = until(told, lambda view: view["problems"])
    assert view["wrap_s"] == 47 * 60
    recipe.write_text(RECIPE + "4. **Taste.** Taste it.\n   - hands: 3 min\n", encoding="utf-8")
    day.files_changed()
    until(told, lambda view: view["wrap_s"] == 30 * 60 and not view["problems"])
    day.stop()


def test_the_folders_that_are_watched_and_the_files_that_count(folder: Path) -> None:
    day = live(folder)
    assert folders_of(day.episode, folder) == (folder.resolve(),)
    assert is_source(folder, folder / "recipes" / "soup.md")
    assert is_source(folder, folder.parent / "kitchen.toml")
    assert not is_source(folder, folder / "out" / "shopping.csv")
    assert not is_source(folder, folder / "day-log" / "day.md")
    assert not is_source(folder, folder / "notes.txt")


def test_the_clock_counts_from_call() -> None:
    """At any time of the day, call is between twelve hours ahead and twelve hours and more ago."""
    now = Clock(0).now_s()
    assert -43200 <= now < 86400
    assert (now - Clock(3600).now_s() + 1) % 86400 // 5 == 3600 // 5
    assert (Clock(0, 60).now_s() - now + 1) % 86400 // 5 == 60 // 5
    assert len(Clock.today()) == 10


def test_the_clock_of_several_days_counts_nights_in() -> None:
    """From 09:00 on the first to 08:30 on the third are 47 h 30 min, and before the first call it is negative."""
    call = datetime(2026, 10, 1, 9)
    clock = Clock(9 * 3600, begins=call, wall=lambda: datetime(2026, 10, 3, 8, 30))
    assert clock.now_s() == 47.5 * 3600
    assert Clock(9 * 3600, 60, begins=call, wall=lambda: datetime(2026, 9, 29, 9)).now_s() == 60 - 2 * 86400


DAYS = EPISODE.replace("currency", "days: 2026-10-01 09:00–09:20, 2026-10-02 09:00–12:00\ncurrency")


def test_the_days_are_told_apart(folder: Path) -> None:
    """
    Chop 4, simmer 1 + 20, serve 2 do not fit in before 09:20: all of it on the second day, wrap 09:27.

    At 09:05 on the second day, nothing begun, it is five minutes later than at first; the log says the date.
    """
    (folder / "episode.md").write_text(DAYS, encoding="utf-8")
    first = live(folder)
    days = json.loads(first.view())["days"]
    assert [day["wrap_s"] for day in days] == [day["morning_wrap_s"] for day in days] == [None, 86_400 + 27 * 60]
    assert [(day["weekday"], day["opens_s"], day["closes_s"]) for day in days] == [
        ("Thu", 0, 1200),
        ("Fri", 86_400, 86_400 + 3 * 3600),
    ]
    first.store.close()
    second = live(folder, 86_400 + 300)
    second.tick([tick("abcdefgh", "begun", "soup/chop", 86_400 + 300)])
    days = json.loads(second.view())["days"]
    assert [day["morning_wrap_s"] for day in days] == [None, 86_400 + 27 * 60]
    assert days[1]["wrap_s"] == 86_400 + 32 * 60
    assert second.log_text() == "# Soup night, day\n2026-10-02 09:05 begun soup: Chop\n"
    lines, problems = read_day_log(second.log_text(), "day.txt")
    assert problems == ()
    assert [(line.on, line.clock_s) for line in lines] == [(date(2026, 10, 2), 9 * 3600 + 300)]


def test_filmed_days_have_their_breaks_and_close_with_the_strike(tmp_path: Path) -> None:
    """Days of ten hours with three dishes each: Friday's break is ticked like a step, the last day closes at 18:00."""
    kitchen = FILMED.replace("08:00–12:00", "08:00–18:00") + 'strike = "10 min"\n'
    recipes = {name: dish(170, "overhead", name) for name in ("a", "b", "c", "d", "e", "f")}
    folder = write_episode(tmp_path / "days", recipes, kitchen=kitchen)
    path = folder / "episode.md"
    days = "days: 2026-11-20, 2026-11-21"
    path.write_text(path.read_text(encoding="utf-8").replace("call: 09:00", days), encoding="utf-8")
    loaded = load(folder)
    followed = follow(loaded, folder, is_filmed=True)
    day = LiveDay(folder, Store(tmp_path / "day.sqlite3"), At(5 * 3600), loaded=loaded, followed=followed)
    view = json.loads(day.view())
    (first, *_) = (
        step for step in view["steps"] if step["run"] in {meal.activity for meal in followed.plan_input.breaks}
    )
    assert first["label"] == "the meal break"
    assert first["start_s"] < 10 * 3600
    day.tick([tick("abcdefgh", "begun", first["run"], 5 * 3600)])
    assert state(json.loads(day.view()), first["run"]) == "running"
    assert [item["closes_s"] for item in view["days"]] == [10 * 3600, 34 * 3600]


def test_a_rule_that_is_kept_or_not_has_no_minutes(folder: Path) -> None:
    """A step that was to be done the evening before is begun on the day: the rule is told without "0 min"."""
    evening = DAYS.replace("2026-10-01 09:00–09:20, ", "evening before 18:00–19:00, ")
    (folder / "episode.md").write_text(evening, encoding="utf-8")
    path = folder / "recipes" / "soup.md"
    path.write_text(
        path.read_text(encoding="utf-8").replace("4 min", "4 min\n   - when: evening before"), encoding="utf-8"
    )
    view = json.loads(live(folder, 15 * 3600).view())
    assert [item["late"] for item in view["broken"]] == [""]
    assert "on an earlier day than soup: Simmer" in view["broken"][0]["rule"]


def test_a_slow_page_gets_the_latest_state() -> None:
    """Two states told before a page reads: it gets the second; the first thing it gets is the state of now."""

    async def play() -> list[str]:
        feed = Feed()
        feed.bind()
        stream = feed.listen("0")
        found = [await anext(stream)]
        feed.tell("1")
        feed.tell("2")
        found.append(await anext(stream))
        feed.close()
        assert [text async for text in stream] == []
        feed.tell("3")
        await asyncio.sleep(0)
        return found

    texts = asyncio.run(play())
    assert [text.split("data: ")[1].strip() for text in texts] == ["0", "2"]
    Feed().tell("before anybody listens")


def test_a_rest_that_is_stuck_keeps_the_last_plan_and_says_why(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing on the page goes away: the last plan stays, with what is in the way."""
    day = live(folder)
    before = json.loads(day.view())
    codes: list[str] = []

    def stuck(*_: object) -> object:
        raise InfeasiblePlan((Conflict(rule="each waits for the other's pan"),))

    def noted(**fields: object) -> Problem:
        codes.append(str(fields["code"]))
        return Problem(**fields)  # type: ignore[arg-type]

    monkeypatch.setattr("shootplan.board.day.rest_of_day", stuck)
    monkeypatch.setattr("shootplan.board.day.Problem", noted)
    told: list[str] = []
    day.publish = told.append
    day.start()
    day.tick([tick("abcdefgh", "begun", "soup/chop", 0)])
    view = until(told, lambda view: view["problems"])
    assert view["wrap_s"] == before["wrap_s"]
    assert isinstance(view["problems"], list)
    assert view["problems"][0].endswith("night:1:1: each waits for the other's pan")
    assert "rest-stuck" in codes
    day.stop()


def test_a_bug_of_ours_does_not_end_the_planning(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What goes wrong once is said on the page; the next tick is planned as ever."""
    day = live(folder)
    told: list[str] = []
    day.publish = told.append
    sound = day._planned
    faults = [ValueError("no such luck")]

    def planned() -> dict[str, object]:
        if faults:
            raise faults.pop()
        return sound()

    monkeypatch.setattr(day, "_planned", planned)
    day.start()
    day.tick([tick("abcdefgh", "begun", "soup/chop", 0)])
    view = until(told, lambda view: view["problems"])
    assert "ValueError: no such luck" in str(view["problems"])
    day.tick([tick("ijklmnop", "late", "soup/chop", 0, 300)])
    until(told, lambda view: view["wrap_s"] == 32 * 60 and not view["problems"])
    day.stop()
