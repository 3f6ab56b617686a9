"""The board and the preview as they are served, in this process: what is answered, what is refused, what is built."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from http.client import HTTPConnection
from pathlib import Path

import pytest
from test_board import EPISODE, folder

from shootplan.app import load
from shootplan.app.replanning import moment_of
from shootplan.board import serve as serving
from shootplan.board.preview import Preview, watch
from shootplan.board.serve import log_folder, serve
from shootplan.board.site import POLICY
from shootplan.problems import InputError

__all__ = ["folder"]

Run = Callable[[Callable[[str], None]], None]


@contextmanager
def served(
    monkeypatch: pytest.MonkeyPatch, run: Callable[[Callable[[str], None]], None]
) -> Iterator[tuple[int, list[str]]]:
    """Serve in a thread until the block ends; yield the port and the lines that are told."""
    import uvicorn

    servers: list[uvicorn.Server] = []
    usual = uvicorn.Server.__init__

    def noted(self: uvicorn.Server, config: uvicorn.Config) -> None:
        usual(self, config)
        servers.append(self)

    monkeypatch.setattr(uvicorn.Server, "__init__", noted)
    told: list[str] = []
    thread = threading.Thread(target=run, args=(told.append,), daemon=True)
    thread.start()
    for _ in range(3000):
        if servers and servers[0].started:
            break
        time.sleep(0.01)
    port = next(int(line.rsplit(":", 1)[1].strip("/")) for line in told if "http://" in line)
    try:
        yield port, told
    finally:
        servers[0].should_exit = True
        thread.join(timeout=20)
        assert not thread.is_alive()


def asked(port: int, method: str, path: str, body: str = "", **headers: str) -> tuple[int, dict[str, str], str]:
    with closing(HTTPConnection("127.0.0.1", port, timeout=20)) as connection:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        connection.request(method, path, body=body or None, headers=named)
        answer = connection.getresponse()
        return answer.status, {name.lower(): value for name, value in answer.getheaders()}, answer.read().decode()


def first_event(port: int, path: str = "/events") -> dict[str, object]:
    """Return the first state that a page hears."""
    with closing(HTTPConnection("127.0.0.1", port, timeout=20)) as connection:
        connection.request("GET", path)
        answer = connection.getresponse()
        assert answer.getheader("content-type", "").startswith("text/event-stream")
        while True:
            line = answer.readline().decode()
            if line.startswith("data: "):
                found = json.loads(line.removeprefix("data: "))
                assert isinstance(found, dict)
                return found


def test_the_board_serves_state_events_and_ticks(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def run(tell: Callable[[str], None]) -> None:
        serve(folder, host="127.0.0.1", port=0, rehearse="09:00", tell=tell)

    with served(monkeypatch, run) as (port, told):
        assert told[0] == "planning the day"
        status, headers, page = asked(port, "GET", "/")
        assert status == 200
        assert headers["content-security-policy"] == POLICY
        assert headers["x-content-type-options"] == "nosniff"
        assert "Soup night" not in page
        for path in ("/style.css", "/board.css", "/board.js", "/queue.js", "/strip.js", "/times.js", "/icon.svg"):
            assert asked(port, "GET", path)[0] == 200
        assert json.loads(asked(port, "GET", "/state")[2])["title"] == "Soup night"
        assert first_event(port)["title"] == "Soup night"
        own = f"127.0.0.1:{port}"
        ticks = json.dumps({"ticks": [{"id": "abcdefgh", "kind": "begun", "run": "soup/chop", "at_s": 1, "label": ""}]})
        status, _, text = asked(port, "POST", "/ticks", ticks, Host=own, Origin=f"http://{own}")
        assert (status, json.loads(text)) == (200, {"kept": ["abcdefgh"]})
        assert "begun soup: Chop" in asked(port, "GET", "/log.txt")[2]
        assert asked(port, "POST", "/ticks", "x" * 300_000, Host=own, Origin=f"http://{own}")[0] == 400
        assert asked(port, "POST", "/pair", "{}", Host=own, Origin=f"http://{own}")[0] == 403
        assert asked(port, "GET", "/state", Host="elsewhere.example")[0] == 403
        assert asked(port, "DELETE", "/state", Host=own, Origin=f"http://{own}")[0] == 405
        assert asked(port, "GET", "/nothing")[0] == 404
    with served(monkeypatch, run) as (port, told):
        assert "begun soup: Chop" in asked(port, "GET", "/log.txt")[2]
        assert any(line.startswith("going on with the rehearsal") for line in told)


def test_a_network_is_let_in_by_a_code(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def run(tell: Callable[[str], None]) -> None:
        serve(folder, host="0.0.0.0", port=0, rehearse="09:00", tell=tell)

    with served(monkeypatch, run) as (port, told):
        own = f"127.0.0.1:{port}"
        code = next(line for line in told if line.startswith("code")).rsplit(": ", 1)[1]
        for path in ("/state", "/events", "/log.txt"):
            assert asked(port, "GET", path)[0] == 401
        assert asked(port, "POST", "/ticks", "{}", Host=own, Origin=f"http://{own}")[0] == 401
        status, headers, _ = asked(port, "POST", "/pair", json.dumps({"code": code}), Host=own, Origin=f"http://{own}")
        assert status == 200
        cookie = headers["set-cookie"]
        assert "HttpOnly" in cookie
        assert "SameSite=strict" in cookie
        assert asked(port, "GET", "/state", Cookie=cookie.split(";")[0])[0] == 200
        assert asked(port, "GET", "/state", Cookie="board_device=other")[0] == 401
        assert any("everybody on this network" in line for line in told)


def test_a_taken_port_is_told_before_anything_is_planned(folder: Path) -> None:
    listener = serving.listen("127.0.0.1", 0)
    told: list[str] = []
    with pytest.raises(OSError):
        serve(folder, host="127.0.0.1", port=listener.getsockname()[1], tell=told.append)
    assert told == []
    listener.close()


def test_watching_builds_and_serves_the_documents(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def run(tell: Callable[[str], None]) -> None:
        watch(folder, out=None, port=0, tell=tell)

    with served(monkeypatch, run) as (port, told):
        assert told[0] == "built"
        assert asked(port, "GET", "/")[0] == 200
        assert "Soup night" in asked(port, "GET", "/out/index.html")[2]
        assert asked(port, "GET", "/out/index.html")[1]["content-security-policy"] == "frame-ancestors 'self'"
        assert first_event(port)["words"] == "built"
        assert asked(port, "GET", "/out/index.html", Host="elsewhere.example")[0] == 403
        episode = folder / "episode.md"
        episode.write_text(episode.read_text(encoding="utf-8").replace("Soup night", "Stew night"), encoding="utf-8")
        for _ in range(1500):
            if "Stew night" in asked(port, "GET", "/out/index.html")[2]:
                break
            time.sleep(0.02)
        assert "Stew night" in asked(port, "GET", "/out/index.html")[2]


def test_what_cannot_be_built_is_told_and_the_documents_stay(folder: Path) -> None:
    preview = Preview(folder, folder / "out")
    assert preview.build() == "built"
    page = (folder / "out" / "index.html").read_bytes()
    episode = folder / "episode.md"
    sound = episode.read_text(encoding="utf-8")
    episode.write_text(sound.replace("currency: GBP\n", ""), encoding="utf-8")
    assert preview.build().startswith("not built: the files have errors\n  ")
    state = json.loads(preview.state)
    assert (state["build"], len(state["faults"])) == (2, 1)
    assert (folder / "out" / "index.html").read_bytes() == page
    episode.write_text(sound, encoding="utf-8")
    recipe = folder / "recipes" / "soup.md"
    text = recipe.read_text(encoding="utf-8")
    recipe.write_text(text.replace("   - uses: ring\n", "   - uses: 9 rings\n"), encoding="utf-8")
    assert preview.build().startswith("not built: no plan keeps all of these rules together\n  ")
    recipe.write_text(text, encoding="utf-8")
    kept = Preview(folder, folder / "episode.md" / "out")
    assert kept.build().startswith("not built\n  ")


def test_a_rehearsal_begins_at_a_time_of_day(folder: Path) -> None:
    """Call is at 09:00; a date on a single day must be that day."""
    loaded = load(folder)
    assert moment_of(loaded, "09:30", "--rehearse") == 1800
    assert moment_of(loaded, "2026-10-01 09:30", "--rehearse") == 1800
    for text, hint in (("noon", 'write --rehearse 11:40 or --rehearse "2026-10-06 11:40"'), ("2026-10-09 09:30", None)):
        with pytest.raises(InputError) as error:
            moment_of(loaded, text, "--rehearse")
        assert error.value.problems[0].hint == (hint or "write one of 2026-10-01")
    assert log_folder(Path("x")) == Path("x/day-log")


TWO_DAYS = EPISODE.replace("currency", "days: 2026-10-01 09:00–09:25, 2026-10-02 09:00–12:00\ncurrency")


def test_two_days_are_rehearsed_with_their_dates(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On the second morning: the clock counts the night in, ticks are of that day, the log has its date."""
    (folder / "episode.md").write_text(TWO_DAYS, encoding="utf-8")

    def run(tell: Callable[[str], None]) -> None:
        serve(folder, host="127.0.0.1", port=0, rehearse="2026-10-02 09:10", tell=tell)

    with served(monkeypatch, run) as (port, told):
        state = first_event(port)
        now_s = state["now_s"]
        assert isinstance(now_s, float)
        assert 86_400 + 600 <= now_s < 86_400 + 700
        assert [day["date"] for day in state["days"]] == ["2026-10-01", "2026-10-02"]  # type: ignore[attr-defined]
        ticks = {"ticks": [{"id": "abcdefgh", "kind": "begun", "run": "soup/chop", "at_s": 86_400 + 540}]}
        own = f"127.0.0.1:{port}"
        assert asked(port, "POST", "/ticks", json.dumps(ticks), Host=own, Origin=f"http://{own}")[0] == 200
        assert "2026-10-02 09:09 begun soup: Chop" in asked(port, "GET", "/log.txt")[2]
    assert "planning 2 days" in told


def test_ticks_of_several_days_are_in_one_file_and_another_date_is_said(folder: Path) -> None:
    """The file is named by both dates; today being neither of them, it is told how to rehearse."""
    (folder / "episode.md").write_text(TWO_DAYS, encoding="utf-8")
    told: list[str] = []
    with pytest.raises(RuntimeError, match="stop"):
        serve(folder, host="127.0.0.1", port=0, tell=lambda line: stop_at(told, line))
    assert (log_folder(folder) / "2026-10-01-to-2026-10-02.sqlite3").is_file()
    assert "today is none of the days from 2026-10-01 to 2026-10-02; --rehearse 09:00 begins a rehearsal" in told


def stop_at(told: list[str], line: str) -> None:
    """Remember what is told, and stop before anything is served."""
    told.append(line)
    if "is at http" in line:
        raise RuntimeError("stop")
