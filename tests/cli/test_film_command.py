"""The filmed day on the command line and on its pages, read back."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from shootplan.app import load
from shootplan.app.film_trade import filmed_trade_offs
from shootplan.cli import app
from shootplan.plan.cp_sat import Limits, Model, Outcome
from shootplan.render.trade_text import filmed_trade_view
from tests.planning_helpers import recipe, write_episode

RUNNER = CliRunner()
KITCHEN = """
[[people]]
name = "host"
presenter = true
[[people]]
name = "operator"
role = "helper"
[hob]
rings = 2
[cameras]
positions = ["over", "hob"]
rerig = "8 min"
[hours]
set_up = "10 min"
strike = "20 min"
latest_wrap = "18:00"
meal = "30 min within 6 h"
"""
STEPS = (
    "Chop | Chop the [beans]. | hands: 5 min | shot: over, hands, 2 takes, reset 3 min | caution: sharp knife",
    "Simmer | Simmer. | leave: 30 min | check: every 20 min for 1 min | uses: ring | until: soft | shot: hob, steam",
    "Season | Season. | hands: 2 min | after: Simmer within 20 min | shot: none",
    "Serve | Serve. | hands: 1 min | shot: over, ladle",
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """
    Return an episode of one soup, worked by hand.

    Set-up to 09:10; chop 5 + 3 + 5 = 13 to 09:23; simmer to 09:53, its picture after the re-rig at 09:31, a look-in at
    09:43; season to 09:55; serve from over, where the camera is back, to 09:56; strike 20: wrap 10:16.
    """
    return write_episode(tmp_path, {"soup": recipe("Soup", "- 500 g beans", *STEPS)}, kitchen=KITCHEN)


def run(*arguments: str) -> str:
    """Return what a command prints; it must end well."""
    result = RUNNER.invoke(app, list(arguments))
    assert result.exit_code == 0, result.output
    return result.output


def test_the_day_is_that_worked_by_hand(folder: Path) -> None:
    """Moments of chopping, re-rig, picture, serving and wrap, and the parts: 10 + 12 + 16 + 3 + 15 + 20 = 76."""
    found = json.loads(run("day", str(folder), "--filmed", "--json"))
    assert found["call"] == "09:00"
    assert found["wrap"] == "10:16"
    minutes = {name: seconds // 60 for name, seconds in found["starts_s"].items()}
    assert minutes == {
        "soup/chop#hands": 10, "soup/simmer#leave": 23, "soup/simmer+shot": 31, "soup/season#hands": 53,
        "soup/serve#hands": 55,
    }  # fmt: skip
    assert {name: seconds // 60 for name, seconds in found["parts_s"].items()} == {
        "set_up_s": 10, "recording_s": 12, "rerig_s": 16, "reset_s": 3, "wait_s": 15, "break_s": 0, "strike_s": 20,
    }  # fmt: skip
    assert [phase["is_proven"] for phase in found["phases"]] == [True, True, True]


def test_the_day_in_words(folder: Path) -> None:
    """Call, first shot, wrap, what was asked, re-rigs with the operator's name, the order by set-up."""
    text = run("day", str(folder), "--filmed")
    assert "call 09:00, first shot 09:10, wrap 10:16 (no shorter plan exists)" in text
    assert "no meal break is due" in text
    assert "wrap: 56 min (proven: no less is possible)" in text
    assert (
        re.search(r"09:23 +09:31 .*move the camera to hob \(8 min\) +operator", text)
        or "move the camera to hob" in text
    )
    assert "from over: 1 (09:10)" in text
    assert "2, reset 3 min" in text


def test_two_runs_print_the_same(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The filmed day is solved the same every time, and with every aim the wrap stays."""
    monkeypatch.setenv("SHOOTPLAN_CACHE", "off")
    first = run("day", str(folder), "--filmed", "--then", "fresh", "--then", "camera")
    assert first == run("day", str(folder), "--filmed", "--then", "fresh", "--then", "camera")
    assert "wrap 10:16" in first
    assert "standing before it is plated" in first


def test_the_pages_of_the_shoot_day(folder: Path) -> None:
    """Each shot stands once by the clock and once by set-up; cautions, the cue, and the local rules are there."""
    run("build", str(folder), "--filmed")
    text = (folder / "out" / "shoot_day.md").read_text(encoding="utf-8")
    clock, set_up = text.split("## By the clock")[1].split("## By set-up")
    shots = ("soup: Chop", "soup: Simmer (filmed)", "soup: Serve")
    for shot in shots:
        assert sum(shot in line for line in set_up.split("## The parts")[0].splitlines()) == 1
        assert shot in clock
    assert "09:10 soup: Chop: sharp knife" in clock
    assert "until soft" in clock
    assert "they override this" in text
    page = (folder / "out" / "shoot_day.html").read_text(encoding="utf-8")
    assert page.count('<span class="tag">re-rig</span>') == 2
    assert 'href="shoot_day.html"' in (folder / "out" / "index.html").read_text(encoding="utf-8")


def test_the_papers_of_the_crew_tell_the_filmed_day(folder: Path) -> None:
    """Ring, look-in, beans, camera and wrap of the call sheet and the preparation are those worked by hand above."""
    run("build", str(folder), "--filmed")
    sheet = (folder / "out" / "call_sheet.md").read_text(encoding="utf-8")
    assert "A ring is on: 09:23–09:53." in sheet
    assert "- [ ] 09:43 host: Simmer, Soup" in sheet
    assert "| host | 09:00 | presenter, cook | 09:10 Chop | 17 min, to 09:56 |" in sheet  # 13 + 1 + 2 + 1
    assert "| operator | 09:00 | helper, camera | 09:10 camera, over | none planned, filming 09:10 to 09:56 |" in sheet
    assert "- **Planned wrap**: 10:16" in sheet
    assert "| ring | 1 | 2 | 09:23 |" in sheet
    prep = (folder / "out" / "prep.md").read_text(encoding="utf-8")
    assert "Call 09:00, wrap 10:16." in prep
    assert "| A | 500 g | beans | Chop | 09:10 |" in prep
    order = (folder / "out" / "shooting_order.md").read_text(encoding="utf-8")
    assert "the cooking alone, without the camera" in order
    cover = (folder / "out" / "index.html").read_text(encoding="utf-8")
    assert "09:00–10:16" in cover and "the cooking alone ends 09:38" in cover
    board = (folder / "out" / "board.html").read_text(encoding="utf-8")
    assert '<span class="word">Wrap</span> <strong id="wrap">10:16</strong>' in board
    run("build", str(folder))
    board = (folder / "out" / "board.html").read_text(encoding="utf-8")
    assert '<span class="word">Cooking ends</span> <strong id="wrap">09:38</strong>' in board
    assert "A ring is on: 09:05–09:35." in (folder / "out" / "call_sheet.md").read_text(encoding="utf-8")


def written(folder: Path) -> dict[str, bytes]:
    """Return every file of the output by its path in it."""
    out = folder / "out"
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in sorted(out.rglob("*")) if path.is_file()}


def test_a_filmed_build_again_solves_nothing_and_writes_the_same_bytes(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the cache off, with an empty one and with a full one, where the solver may not be asked at all."""
    monkeypatch.setenv("SHOOTPLAN_CACHE", "off")
    run("build", str(folder), "--filmed")
    without = written(folder)
    assert "shoot_day.html" in without
    monkeypatch.setenv("SHOOTPLAN_CACHE", str(tmp_path / "cache"))
    run("build", str(folder), "--filmed")
    assert written(folder) == without

    def refused(self: Model, limits: Limits, progress: object = None) -> Outcome:
        raise AssertionError("the solver was asked")

    monkeypatch.setattr(Model, "solve", refused)
    run("build", str(folder), "--filmed")
    assert written(folder) == without
    with pytest.raises(AssertionError, match="the solver was asked"):
        monkeypatch.setenv("SHOOTPLAN_CACHE", "off")
        RUNNER.invoke(app, ["day", str(folder), "--filmed", "--debug"], catch_exceptions=False)


def test_what_changes_on_the_filmed_day_is_told(folder: Path) -> None:
    """Ten minutes more of simmering: wrap 1:26 after call instead of 1:16, the simmer to 10:03, chopping stays."""
    run("build", str(folder), "--filmed", "--out", str(folder / "before"))
    path = folder / "recipes" / "soup.md"
    path.write_text(path.read_text(encoding="utf-8").replace("leave: 30 min", "leave: 40 min"), encoding="utf-8")
    run("build", str(folder), "--filmed", "--out", str(folder / "after"))
    found = json.loads(run("changes", str(folder / "before"), str(folder / "after"), "--json"))
    filmed = {item["label"]: (item["old"], item["new"]) for item in found["changes"] if item["kind"] == "filmed day"}
    assert filmed["wrap of the filmed day, from call"] == ("+1:16", "+1:26")
    assert filmed["soup: Simmer"] == ("09:23 to 09:53", "09:23 to 10:03")
    assert "soup: Chop" not in filmed
    assert {"shoot_day.html", "call_sheet.html"} <= set(found["documents"])


def test_without_being_asked_no_shoot_day_is_written(folder: Path) -> None:
    """The usual build plans the cook-through only."""
    run("build", str(folder))
    assert not (folder / "out" / "shoot_day.md").exists()


def test_a_day_that_cannot_be_ends_with_its_own_code(folder: Path) -> None:
    """A latest wrap of 09:30 cannot be kept: exit code 3, and by how much."""
    kitchen = folder / "kitchen.toml"
    kitchen.write_text(kitchen.read_text(encoding="utf-8").replace("18:00", "09:30"), encoding="utf-8")
    result = RUNNER.invoke(app, ["day", str(folder), "--filmed"])
    assert result.exit_code == 3
    assert "latest wrap" in result.output


def test_the_waits_of_the_camera_are_told_with_what_would_fit(folder: Path) -> None:
    """
    The picture of the pot is taken at 09:31 or later; until serving the camera waits, and serving follows the pot.

    The stretches of the day reach from call to wrap without a gap.
    """
    text = run("day", str(folder), "--filmed")
    assert "the camera waits" in text
    assert "no later shot would fit" in text
    record = json.loads(run("day", str(folder), "--filmed", "--json"))
    ends = [item["end_s"] for item in record["stretches"]]
    assert [item["start_s"] for item in record["stretches"]] == [0, *ends[:-1]]
    assert ends[-1] == record["wrap_s"]
    waits = sum(item["end_s"] - item["start_s"] for item in record["stretches"] if item["part"] == "camera wait")
    assert waits == record["parts_s"]["wait_s"]
    assert all(gap["wait_s"] >= 300 for gap in record["gaps"])


def test_what_if_and_risk_ask_of_the_filmed_day(folder: Path) -> None:
    """
    Worked by hand as above: 76 min with the strike. No time has a range, so every day drawn is the planned one.

    At 08:00 the same day is over an hour earlier by the clock and no shorter; alone the soup takes 5 + 30 + 2 + 1 = 38.
    """
    found = json.loads(run("what-if", str(folder), "--filmed", "--call", "08:00", "--json"))
    assert [row["wrap_s"] // 60 for row in (found["as_it_is"], *found["rows"])] == [76, 76]
    assert found["as_it_is"]["bound_s"] // 60 == 76
    assert found["as_it_is"]["pick_ups"] == 0
    assert re.search(r"^as it is .* shortest +none$", run("what-if", str(folder), "--filmed"), re.MULTILINE)
    cooked = json.loads(run("what-if", str(folder), "--call", "08:00", "--json"))
    assert cooked["as_it_is"]["wrap_s"] // 60 == 38
    assert cooked["as_it_is"]["pick_ups"] is None
    drawn = json.loads(run("risk", str(folder), "--filmed", "--runs", "20", "--json"))
    assert {drawn[name] // 60 for name in ("planned_s", "short_s", "p10_s", "p50_s", "p90_s", "mean_s")} == {76}
    assert (drawn["latest_s"] // 60, drawn["late"]) == (540, 0)


def test_a_latest_wrap_is_kept_with_the_strike_in_it(tmp_path: Path) -> None:
    """At 10:16 the day just fits; a minute less cannot be."""
    soup = {"soup": recipe("Soup", "- 500 g beans", *STEPS)}
    fits = write_episode(tmp_path / "fits", soup, kitchen=KITCHEN.replace("18:00", "10:16"))
    drawn = json.loads(run("risk", str(fits), "--filmed", "--runs", "20", "--json"))
    assert (drawn["latest_s"] // 60, drawn["late"]) == (76, 0)


def test_papers_of_the_cooking_do_not_call_its_end_wrap(folder: Path) -> None:
    """Alone the soup is cooked at 09:38; the crew goes home later, so no paper of the cooking calls that wrap."""
    run("build", str(folder))
    for name in ("shooting-order.md", "prep.md"):
        found = next(path for path in folder.rglob("*.md") if path.name.replace("_", "-") == name)
        text = found.read_text()
        assert "cooking planned to end 09:38" in text
        assert ", wrap " not in text


def test_a_ring_that_is_on_in_the_meal_is_named_with_who_stays(tmp_path: Path) -> None:
    """
    A break is due by 10:00, a pot of 120 min is on from 09:02: it is on through the break, and somebody stays with it.

    Chopped in the set-up 09:00-09:02, no camera on pot or knife; the break of 30 min ends by 10:30, the pot at 11:02.
    """
    steps = (
        "Chop | Chop the [beans]. | hands: 2 min | shot: none",
        "Simmer | Simmer. | leave: 120 min | uses: ring | until: soft | shot: none",
        "Serve | Serve. | hands: 1 min | shot: over, ladle",
    )
    soup = {"soup": recipe("Soup", "- 500 g beans", *steps)}
    folder = write_episode(tmp_path / "e", soup, kitchen=KITCHEN.replace("within 6 h", "within 1 h"))
    run("build", str(folder), "--filmed")
    sheet = (folder / "out" / "call_sheet.md").read_text(encoding="utf-8")
    assert "A ring is on: 09:02–11:02 (in the meal break too: somebody stays). At the hob" in sheet
    meal = re.search(r"\*\*Meal\*\*: (\d\d:\d\d)–(\d\d:\d\d)", sheet)
    assert meal is not None and "09:02" <= meal[1] <= "10:00"


# ---------------------------------------------------------------------------------------------------- swap-outs

SWAPPED = (
    STEPS[0],
    STEPS[1] + " | swap-out: yes | keeps: 2 days",
    *STEPS[2:],
)


def test_what_a_duplicate_saves_of_the_filmed_day(tmp_path: Path) -> None:
    """
    Worked by hand: 76 min without it. With a pot from the evening before: set-up 10, chop 13 to 09:23, re-rig 8 and
    the picture of the pot that came in to 09:32, seasoning beside it, re-rig 8, serve to 09:41, strike 20: 61.

    It saves 15 min of the day (the cooking alone: 38 - 8 = 30) for 500 g of beans at 3.20 a kilo and 6 min of hands.
    """
    folder = write_episode(tmp_path / "e", {"soup": recipe("Soup", "- 500 g beans", *SWAPPED)}, kitchen=KITCHEN)
    found = json.loads(run("swaps", str(folder), "--filmed", "--json"))
    (plan,) = found["plans"]
    assert (found["wrap_s"] // 60, plan["wrap_s"] // 60, plan["saved_s"] // 60) == (76, 61, 15)
    assert found["is_filmed"] and found["is_proven"] and plan["is_proven"]
    assert [seconds // 60 for seconds in plan["saved_between_s"]] == [15, 15]
    assert plan["cost"]["decimal"] == "1.6000"
    assert plan["hands"] == {"low_s": 360, "high_s": 360}
    (step,) = found["steps"]
    assert (step["keeping"], step["ready_s"]) == ("keeps", None)
    text = run("swaps", str(folder), "--filmed")
    assert "the filmed day without swap-outs: wrap 10:16, 76 min after call" in text
    assert "every shot is taken while its dish is made" in text
    assert re.search(r"^A +10:01 +15 min +£1\.60 +£0\.11 +6 min +proven$", text, re.MULTILINE)
    cooked = json.loads(run("swaps", str(folder), "--json"))
    assert cooked["plans"][0]["saved_s"] // 60 == 30


def test_a_day_over_the_latest_wrap_asks_what_would_save_it(tmp_path: Path) -> None:
    """
    The same day with a latest wrap at 10:05 and at 09:55: 10:16 is over both, 10:01 with the pot fits the first only.
    """
    soup = {"soup": recipe("Soup", "- 500 g beans", *SWAPPED)}
    fits = write_episode(tmp_path / "fits", soup, kitchen=KITCHEN.replace("18:00", "10:05"))
    text = run("swaps", str(fits), "--filmed")
    assert "wrap 10:16, 76 min after call, 11 min after the latest wrap" in text
    assert re.search(r"^A +10:01 .* proven$", text, re.MULTILINE)
    late = write_episode(tmp_path / "late", soup, kitchen=KITCHEN.replace("18:00", "09:55"))
    assert re.search(r"^A +10:01 .* proven; 6 min after the latest wrap$", run("swaps", str(late), "--filmed"), re.M)
    assert json.loads(run("swaps", str(late), "--filmed", "--json"))["latest_s"] == 55 * 60


def test_a_chosen_duplicate_saves_of_the_filmed_day_what_was_told(tmp_path: Path) -> None:
    """The filmed day of the episode that chooses it wraps when the report says."""
    soup = {"soup": recipe("Soup", "- 500 g beans", *SWAPPED)}
    folder = write_episode(tmp_path / "e", soup, kitchen=KITCHEN, more="swap-outs: soup: Simmer\n")
    assert json.loads(run("day", str(folder), "--filmed", "--json"))["wrap"] == "10:01"
    found = json.loads(run("swaps", str(folder), "--filmed", "--json"))
    assert (found["wrap_s"] // 60, found["plans"][0]["wrap_s"] // 60) == (76, 61)


def test_a_duplicate_that_does_not_keep_is_made_on_the_filmed_day(tmp_path: Path) -> None:
    """
    It keeps 2 h only. Worked by hand: the host chops it in the set-up to 09:05, it simmers to 09:35; filmed chopping
    09:10-09:23; the pot comes in at 09:35, its picture to 09:36 beside the seasoning, re-rig to 09:44, serve to 09:45,
    strike 20: 65 min, 11 saved.
    """
    steps = (SWAPPED[0], SWAPPED[1].replace("2 days", "2 h"), *SWAPPED[2:])
    folder = write_episode(tmp_path / "e", {"soup": recipe("Soup", "- 500 g beans", *steps)}, kitchen=KITCHEN)
    found = json.loads(run("swaps", str(folder), "--filmed", "--json"))
    (plan,), (step,) = found["plans"], found["steps"]
    assert (plan["wrap_s"] // 60, plan["saved_s"] // 60, plan["is_proven"]) == (65, 11, True)
    assert (step["made_from_s"] // 60, step["ready_s"] // 60) == (0, 35)
    assert "keeps 2 h only: made on the day, ready at 09:35 (begun 09:00)" in run("swaps", str(folder), "--filmed")


# ---------------------------------------------------------------------------------------------------- trade-offs

SOUP = (
    "Chop | Chop the [beans]. | hands: 2 min | shot: over, hands",
    "Simmer | Simmer. | leave: 20 min | uses: ring | until: soft | shot: none",
    "Serve | Serve. | hands: 2 min | shot: over, ladle",
)
TOAST = (
    "Fry | Fry the [flour]. | hands: 3 min | uses: ring | until: gold | shot: hob, pan",
    "Plate | Plate. | hands: 1 min | shot: none",
)


@pytest.fixture
def two(tmp_path: Path) -> Path:
    """
    Return a soup and a toast, worked by hand, the host's hands in all of it; set-up 10, strike 20.

    Early: chop 10-12, re-rig to 20, fry to 23, re-rig to 31, the pot is done at 32, serve to 34, strike: 09:54, two
    re-rigs of 8 min, recording 2 + 3 + 2. With one: fry 10-13, re-rig to 21, chop to 23, pot to 43, serve to 45: 10:05.
    """
    dishes = {"soup": recipe("Soup", "- 500 g beans", *SOUP), "toast": recipe("Toast", "- 100 g flour", *TOAST)}
    return write_episode(tmp_path / "two", dishes, kitchen=KITCHEN)


def test_an_earlier_wrap_or_fewer_re_rigs(two: Path) -> None:
    """Eleven minutes later one re-rig less; ten minutes are too few for that, and all of it is proven."""
    found = json.loads(run("trade-offs", str(two), "--filmed", "--json"))
    worth = [
        [plan["wrap_s"] // 60, plan["rerigs"], plan["rerig_s"] // 60, plan["wait_s"] // 60] for plan in found["plans"]
    ]
    assert worth == [[54, 2, 16, 54 - 10 - 20 - 7 - 16], [65, 1, 8, 65 - 10 - 20 - 7 - 8]]
    assert [plan["set_ups"] for plan in found["plans"]] == [{"over": 2, "hob": 1}, {"hob": 1, "over": 1}]
    assert all(plan["is_wrap_proven"] and plan["is_fewest_proven"] for plan in found["plans"])
    assert [(item["within_s"] // 60, item["rerigs"], item["is_proven"]) for item in found["sought"]] == [
        (10, 2, True),
        (20, 1, True),
    ]
    text = run("trade-offs", str(two), "--filmed")
    assert re.search(r"^A +an early wrap +09:54 +2 +16 min +1 min +no earlier wrap", text, re.MULTILINE)
    assert re.search(r"^B +fewest re-rigs, 20 min more +10:05 +1 +8 min +20 min +no fewer", text, re.MULTILINE)
    assert "up to 10 min after the planned wrap: 2 re-rigs (proven: fewer are not possible)" in text
    assert "up to 20 min after the planned wrap: 1 re-rig (proven: fewer are not possible)" in text
    assert "B beside A: set up at over once, not 2; soup served 09:43, not 09:32" in text


def test_each_filmed_plan_can_be_printed(two: Path) -> None:
    """Plan B by the clock, which does not say that no shorter day exists; a plan that is not there is refused."""
    text = run("trade-offs", str(two), "--filmed", "--show", "b")
    assert "wrap 10:05 (a shorter plan may exist" in text
    assert "from hob: 1 (09:10)" in text
    result = RUNNER.invoke(app, ["trade-offs", str(two), "--filmed", "--show", "Z"])
    assert result.exit_code == 2
    assert "no plan 'Z'; plans are A, B" in result.stderr


def test_where_no_re_rig_can_be_saved_one_filmed_plan_is_left(folder: Path) -> None:
    """Chopping, the picture of the pot, serving: over, hob, over in that order, always two re-rigs."""
    text = run("trade-offs", str(folder), "--filmed")
    assert "nothing trades: no later wrap up to there saves a re-rig" in text
    assert "up to 20 min after the planned wrap: 2 re-rigs (proven: fewer are not possible)" in text
    assert len(json.loads(run("trade-offs", str(folder), "--filmed", "--json"))["plans"]) == 1


def test_what_is_not_proven_is_not_claimed(folder: Path) -> None:
    """The same plan of a solver that ran out of time: fewer re-rigs and an earlier wrap stay possible."""
    loaded = load(folder)
    trades = filmed_trade_offs(loaded)
    open_plan = replace(trades.plans[0], is_wrap_proven=False, is_fewest_proven=False)
    sought = tuple(replace(item, is_proven=False) for item in trades.sought)
    text = filmed_trade_view(replace(trades, plans=(open_plan,), sought=sought), loaded.episode.clock)
    assert "an earlier wrap may exist; fewer re-rigs may be possible at that wrap" in text
    assert "up to 10 min after the planned wrap: 2 re-rigs (not proven: fewer may be possible)" in text
    assert "nothing trades: no later wrap up to there was found that saves a re-rig" in text


def test_a_day_without_a_camera_trades_nothing(tmp_path: Path) -> None:
    """Nothing is filmed: no re-rig at all."""
    steps = [step.partition(" | shot")[0] for step in SOUP]
    folder = write_episode(tmp_path / "plain", {"soup": recipe("Soup", "- 500 g beans", *steps)}, kitchen=KITCHEN)
    found = json.loads(run("trade-offs", str(folder), "--filmed", "--json"))
    assert [plan["rerigs"] for plan in found["plans"]] == [0]
