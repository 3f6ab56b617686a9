"""
What a producer asks of a shoot day, answered by the papers and commands of the demos.

One test a question. The expected answers are worked by hand from the recipes and the demo's own schedule, with the
working beside them; where the plan may change for good reason they follow from the printed clock by the arithmetic of
the test itself (``tests/shoot_day_replay.py`` reads papers and recipes without the program). Minutes are those of the
demos' specifications, invented for this project.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations, pairwise
from pathlib import Path

import pytest
from typer.testing import CliRunner

from shootplan.cli import app
from tests.conftest import DEMO_NAMES, DEMOS
from tests.shoot_day_replay import Replay, clock, minute, rows_of, section

RUNNER = CliRunner()
SUPPER, WAITING, LUNCHES = DEMO_NAMES
_PLACE: dict[str, Path] = {}


def run(*arguments: str) -> str:
    """Return what a command prints; it must end well."""
    result = RUNNER.invoke(app, list(arguments))
    assert result.exit_code == 0, result.output
    return result.output


@pytest.fixture(scope="module", autouse=True)
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Give the built documents a folder of the test run's own."""
    _PLACE["out"] = tmp_path_factory.mktemp("filmed")
    yield
    filmed.cache_clear()


@lru_cache(maxsize=3)
def filmed(name: str) -> Path:
    """Return the folder of a demo's documents with its filmed day, built once."""
    out = _PLACE["out"] / name
    run("build", str(DEMOS / name), "--filmed", "--out", str(out))
    return out


def replay(name: str) -> Replay:
    """Return a demo's filmed day to be played again."""
    return Replay(DEMOS / name, filmed(name))


def paper(name: str, document: str) -> str:
    """Return a document of a demo's filmed build."""
    return (filmed(name) / document).read_text(encoding="utf-8")


def cooking(name: str) -> dict[str, object]:
    """Return the cooking without the camera as ``plan.json`` has it."""
    day = json.loads(paper(name, "plan.json"))["day"]
    assert isinstance(day, dict)
    return day


def step_rows(name: str) -> list[dict[str, object]]:
    """Return the rows of the cooking that are steps."""
    return [row for row in cooking(name)["rows"] if row["kind"] == "step"]  # type: ignore[attr-defined]


def row_of(name: str, label: str) -> dict[str, object]:
    """Return the first row of the cooking of that label."""
    return next(row for row in step_rows(name) if row["label"] == label)


# ------------------------------------------------------------------------------------------------ the papers agree


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_printed_shoot_day_can_be_played(name: str) -> None:
    """Nobody is in two places, every re-rig has its time, every step its minutes, every limit and hold is kept."""
    day = replay(name)
    assert day.entries[0].start >= day.call and max(item.end for item in day.entries) == day.wrap
    assert day.double_booked() == []
    assert day.unrigged() == []
    assert day.wrong_lengths() == []
    assert day.broken_waits() == []
    for thing, (most, _) in day.peaks().items():
        assert most <= day.capacity(thing), thing


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_papers_of_the_crew_say_the_same_as_the_shoot_day(name: str) -> None:
    """Rings, gear, look-ins and the clock of each bowl are on call sheet and prep as the shoot day has them."""
    day = replay(name)
    assert f"A ring is on: {day.ring_on()}." in day.sheet
    looked = re.findall(r"- \[ \] (\d\d:\d\d) [^:]+: ([^,\n]+),", section(day.sheet, "Look-ins"))
    assert looked == sorted((clock(item.start), item.step[1]) for item in day.of("look") if item.step)
    for bowl in rows_of(
        "\n".join(line for line in day.prep.splitlines() if re.match(r"\| ([A-Z]\d?|bowl|---) ?\|", line))
    ):
        planned = [day.runs(step) for step in day.method if step[1] == bowl["step"]]
        if re.fullmatch(r"\d\d:\d\d", bowl["clock"]):
            assert minute(bowl["clock"]) in [runs[0] for runs in planned if runs], bowl


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_what_goes_in_is_filmed_as_it_goes_in(name: str) -> None:
    """A pour or tip-in of what then goes on alone begins with it; nothing is filmed later than its short end."""
    day = replay(name)
    for item in day.of("filmed"):
        assert item.step is not None
        runs, fields = day.runs(item.step), day.method[item.step]
        assert runs is not None
        if re.search(r"tip-in|pour", fields["shot"]):
            assert item.start == runs[0], item.what
        lasts = re.match(r"(\d+)–\d+ min", fields["leave"])
        if lasts and "heats" not in fields:
            assert item.end <= runs[0] + int(lasts[1]), item.what


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_what_is_picked_up_of_a_dish_from_one_position_comes_as_it_was_cooked(name: str) -> None:
    """Beans are crushed before they are seasoned in the pick-ups too: the steps are in the order of the recipe."""
    day = replay(name)
    order = {step: number for number, step in enumerate(day.method)}
    shots = sorted(day.of("pick-up"), key=lambda item: item.start)
    assert shots
    for one, two in combinations(shots, 2):
        assert one.step is not None and two.step is not None
        if one.step[0] == two.step[0] and one.set_up == two.set_up:
            assert order[one.step] < order[two.step], (one.what, two.what)


# ------------------------------------------------------------------------------------------------ 13 to 19: the plan


def test_13_active_and_passive_time_add_up() -> None:
    """
    The sum of active and passive time over the episode, per recipe and interleaved.

    Supper, long ends, hands and look-ins: bake 33, cabbage 20, crumble 32, together 85; elapsed alone 75, 21, 71 and
    interleaved 98, so 98 - 85 = 13 passive. Short ends 25 + 17 + 26 = 68, elapsed 86, passive 18. One after the other
    75 + 21 + 71 = 167 = 2 h 47 min.
    """
    text = run("times", str(DEMOS / SUPPER))
    assert re.search(r"all in one go +68–85 min +13–18 min +86–98 min", text)
    for dish, hands, alone in (("leek-bean-bake", 33, 75), ("crumb-cabbage", 20, 21), ("oat-crumble", 32, 71)):
        assert re.search(rf"{dish} +\d+–{hands} min .* \d+–{alone} min", text)
    assert "2 h 47 min" in text


def test_14_dishes_that_belong_together_land_together() -> None:
    """Supper: cabbage within 5 min of the bake, crumble no later than 30 min after it; each row says its slack."""
    ends = {row["label"]: row["end_s"] for row in step_rows(SUPPER)}
    bake, cabbage, crumble = (
        ends[label]
        for label in (
            "leek-bean-bake: Serve the bake", "crumb-cabbage: Serve the cabbage", "oat-crumble: Serve the pudding",
        )
    )  # fmt: skip
    assert abs(bake - cabbage) <= 300 and 0 <= crumble - bake <= 1800  # type: ignore[operator]
    order = rows_of(section(paper(SUPPER, "shooting_order.md"), "By the clock"))
    assert all(row["slack"] for row in order if row["no"])


def test_15_the_chain_that_decides_wrap_is_named_link_by_link() -> None:
    """
    Supper: hands make the crumble (5 + 1 + 10 + 2 + 1 = 19), it bakes 40, the oven changes 5, the bake bakes 25.

    It stands 5, is served 2, the pudding 2: 19 + 40 + 5 + 25 + 5 + 2 + 2 = 98. No minute between two links.
    """
    day = cooking(SUPPER)
    chain = day["chain"]
    assert [link["start_s"] for link in chain[1:]] == [link["end_s"] for link in chain[:-1]]  # type: ignore[index]
    assert sum(link["end_s"] - link["start_s"] for link in chain) == 98 * 60 == day["wrap_s"]  # type: ignore[attr-defined]
    words = section(paper(SUPPER, "shooting_order.md"), "What decides the end of cooking")
    assert "Heat the oven, waits for the oven to change to 200 °C" in words and "waits for host's hands" in words


def test_15_no_link_waits_for_what_there_is_more_of() -> None:
    """The rises of the waiting day share one lock-off camera; of four cloths one is free, so nothing waits for it."""
    words = section(paper(WAITING, "shoot_day.md"), "What decides wrap")
    assert "waits for the cloth" not in words
    assert "cardamom-knots: First rise, waits for the camera" in words


def test_16_a_late_oven_gives_the_next_three_steps_and_the_new_wrap() -> None:
    """
    The oven, set at 09:05, is 20 min late: hot at 09:05 + 15 + 20 = 09:40.

    Then as in the chain: bake 40 to 10:20, change 5, bake 25 to 10:50, stand 5, serve 2 and 2: 10:59, 21 min later.
    """
    late = ("--running", "Set the oven@09:05", "--late", "Set the oven 20 min")
    text = run("replan", str(DEMOS / SUPPER), "--at", "09:20", *late)
    assert "09:20: wrap 10:59, 21 min later" in text
    assert "running: oat-crumble: Set the oven to 09:40" in text
    assert "not told of by 09:20, so still to do: oat-crumble: Rub in the butter, " in text
    after = text.splitlines()[2:5]
    assert len(after) == 3 and all(re.match(r"\d\d:\d\d  [a-z-]+: ", line) for line in after)


def test_17_slack_is_none_on_the_chain_and_moves_nothing_beside_it() -> None:
    """
    How late a step may start: none on the chain; on both days, the cooking and the filmed one, each step says it.

    Potatoes of the supper: left alone on the ring, 10 and 15 min, then mashed within 3 min by the same hands.
    """
    chain = {link["activity"] for link in cooking(SUPPER)["chain"]}  # type: ignore[attr-defined]
    for row in step_rows(SUPPER):
        assert (row["slack_s"] == 0) or not chain & set(row["activities"])  # type: ignore[call-overload]
    day = replay(SUPPER)
    rows = {row["what"].removeprefix("left alone: ").split(",")[0].split(" (")[0]: row["slack"] for row in day.rows}
    for link in re.findall(r"- \d\d:\d\d ([^,\n]+)", section(day.day, "What decides wrap")):
        assert rows.get(link.split(" (")[0], "none") == "none", link
    assert all(row["slack"] for row in day.rows if row["no"])


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_18_the_waits_of_the_camera_add_up_to_the_minute(name: str) -> None:
    """Wait = wrap less call, recording, re-rigs and breaks; its share of the day rounded down; its gaps are its sum."""
    day = replay(name)
    taken = sum(item.end - item.start for item in day.cameras()["camera"])
    meals = day.of("meal")
    moved = sum(item.end - item.start for item in day.of("move"))
    moved -= sum(m.end - m.start for m in meals for item in day.of("move") if item.start < m.end and m.start < item.end)
    whole = day.wrap - day.call
    wait = whole - taken - moved - sum(item.end - item.start for item in meals)
    printed = {row["part"]: row["time"] for row in rows_of(section(day.day, "The parts of the day"))}
    assert printed["camera wait"] == _minutes(wait) + (f" ({100 * wait // whole} % of the day)" if wait else "")
    gaps = section(day.day, "While the camera waits")
    each = [_length(text) for text in re.findall(r"(?:camera waits|shorter waits:) ((?:\d+ h ?)?(?:\d+ min)?)", gaps)]
    assert sum(each) == wait


def test_19_each_gap_says_what_would_fit() -> None:
    """A gap between two positions holds the re-rig too: its wait is its length less 8 min of re-rig, less the meal."""
    day = replay(WAITING)
    gaps = re.findall(
        r"- (\d\d:\d\d)–(\d\d:\d\d)( between)?.*? waits (\d+) min; (.+)", section(day.day, "While the camera waits")
    )
    assert gaps
    for since, till, between, wait, fits in gaps:
        start, end = minute(since), minute(till)
        free = end - start - (8 if between else 0) - sum(30 for meal in day.of("meal") if start <= meal.start < end)
        free -= sum(8 for item in day.of("move") if not between and start <= item.start and item.end <= end)
        assert int(wait) == free
        assert fits == "no later shot would fit" or fits.startswith("would fit: ")


# ------------------------------------------------------------------------------------------------ 20 to 22: choices


def test_20_and_21_what_duplicates_save_of_the_filmed_day() -> None:
    """
    The day without them is the printed one. Money is the demo's reference: a bake 5.11, a crumble 2.82, both 7.92.

    Each saves what its wrap says, and is proven for the shots it picks up. Two do not save twice as much: both waits
    lie beside the same recordings and re-rigs, which no duplicate takes away.
    """
    day = replay(SUPPER)
    found = json.loads(run("swaps", str(DEMOS / SUPPER), "--filmed", "--json"))
    without = day.wrap - day.call
    assert found["wrap_s"] == 60 * without
    plans = {tuple(sorted(key[0] for key in plan["keys"])): plan for plan in found["plans"]}
    bake, crumble = plans["leek-bean-bake",], plans["oat-crumble",]
    both = plans["leek-bean-bake", "oat-crumble"]
    for plan, money in ((bake, 5.11), (crumble, 2.82), (both, 7.92)):
        assert plan["is_proven"]
        assert plan["saved_s"] == 60 * without - plan["wrap_s"] > 0
        assert round(float(plan["cost"]["decimal"]), 2) == money
    assert both["saved_s"] < 2 * max(bake["saved_s"], crumble["saved_s"])
    a_minute = {name: float(plan["cost"]["decimal"]) / plan["saved_s"] for name, plan in plans.items()}
    assert tuple(sorted(key[0] for key in found["cheapest"])) == min(a_minute, key=lambda name: a_minute[name])
    assert tuple(sorted(key[0] for key in found["earliest"])) == min(plans, key=lambda name: plans[name]["wrap_s"])
    assert [step["keeping"] for step in found["steps"]] == ["keeps", "keeps"]


@pytest.mark.parametrize("name", [SUPPER, WAITING])
def test_22_fewer_re_rigs_or_an_earlier_wrap(name: str) -> None:
    """
    Plan A is the printed day. In each plan the camera is moved for 8 min a re-rig, and recordings and the meal are the
    same: so wrap less re-rigs less waiting is too. A later plan has fewer re-rigs and is twenty minutes later at most.
    """
    day = replay(name)
    found = json.loads(run("trade-offs", str(DEMOS / name), "--filmed", "--json"))
    plans = found["plans"]
    taken = sum(item.end - item.start for item in day.cameras()["camera"])
    meal = sum(item.end - item.start for item in day.of("meal"))
    assert plans[0]["wrap_s"] == 60 * (day.wrap - day.call)
    assert plans[0]["rerigs"] == len(day.of("move"))
    for plan in plans:
        assert plan["rerig_s"] == 8 * 60 * plan["rerigs"]
        assert plan["wrap_s"] - plan["rerig_s"] - plan["wait_s"] == 60 * (taken + meal)
    for before, after in pairwise(plans):
        assert before["wrap_s"] < after["wrap_s"] <= plans[0]["wrap_s"] + 20 * 60
        assert before["rerigs"] > after["rerigs"]
    assert [item["rerigs"] for item in found["sought"]][-1] == plans[-1]["rerigs"]
    assert all(item["is_proven"] for item in found["sought"])


# ------------------------------------------------------------------------------------------------ 23 to 29: the kitchen


def test_23_what_is_soaked_and_mixed_tonight_and_when() -> None:
    """
    Backwards from the use, within the staffed hours (to 20:00).

    Sponge: mixed 3–4 min, 10–14 h before the dough: from use - 14 h - 3 min to 20:00 - 4 min. Peas: rinsed 2 min,
    chilled up to 24 h: from use - 24 h - 2 min to 20:00 - 2 min. The onion is sliced (4) before its liquid is simmered
    (4) and poured (1): 9 min of somebody, so by 19:51.
    """
    day = replay(WAITING)
    jobs = {row["do"]: row["begin"] for row in rows_of(section(day.prep, "Before the day"))}
    dough, peas = day.runs(("rye-loaf", "Mix the dough")), day.runs(("pea-soup", "Drain the peas"))
    assert dough is not None and peas is not None
    sponge = next(begin for do, begin in jobs.items() if do.startswith("Mix the sponge"))
    assert sponge.startswith(f"{clock(dough[0] + 10 * 60 - 3)}–19:56 the day before")
    soak = next(begin for do, begin in jobs.items() if do.startswith("Rinse the peas"))
    assert f"(may begin {clock(peas[0] - 2)}–19:58 the day before)" in soak
    pickle = next(do for do in jobs if "Pour over the onion" in do)
    assert pickle.startswith("Slice the red onion, then Simmer the pickling liquid, then Pour over the onion")
    assert jobs[pickle].startswith("18:00–19:51 the day before")


def test_24_what_comes_out_of_the_fridge_and_the_freezer_and_when() -> None:
    """
    Butter 60 to 120 min before the filling is beaten; all that is chilled, frozen or made before, at its first use.

    Supper: butter in three dishes, leeks, milk in two, cheddar and peas: eight lines, in the order of the clock.
    """
    day = replay(WAITING)
    filling = day.runs(("cardamom-knots", "Beat the filling"))
    assert filling is not None
    window = f"(may come out {clock(filling[0] - 120)}–{clock(filling[0] - 60)}): Soften the butter"
    assert window in section(day.prep, "Out of the fridge")
    assert "dried whole yellow peas" in section(day.prep, "Out of the fridge")
    supper = replay(SUPPER)
    lines = re.findall(r"- \[ \] (\d\d:\d\d): ([^,]+), [^,]+, (.+)", section(supper.prep, "Out of the fridge"))
    milk = ["semi-skimmed milk"] * 2
    assert sorted(what for _, what, _ in lines) == [*["butter"] * 3, "frozen peas", "leeks", "mature cheddar", *milk]
    assert [at for at, _, _ in lines] == sorted(at for at, _, _ in lines)
    for at, _, step in lines:
        runs = next(runs for own in supper.method if own[1] == step and (runs := supper.runs(own)))
        assert minute(at) == runs[0]


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_25_pans_bowls_and_rings_at_once_and_the_washing_up(name: str) -> None:
    """The peaks counted minute by minute are those of the sheet; a pan is clean 3 min after it is free, then wanted."""
    day = replay(name)
    printed = rows_of(section(day.sheet, "Equipment at once"))
    told = {row["what"]: (int(row["at once"]), row["first at"]) for row in printed if row["what"] != "oven shelf"}
    assert told == day.peaks()
    for row in rows_of(section(day.sheet, "Washed and wanted again within 15 minutes")):
        free, clean, wanted = (minute(row[head]) for head in ("free", "clean", "wanted"))
        assert clean == free + 3
        assert row["to spare"] == (f"{wanted - clean} min" if wanted > clean else "nothing")


def test_25_the_one_big_pan_of_the_lunches_is_washed_between_dishes() -> None:
    """Six lunches, one 28 cm pan: each of its uses begins no sooner than 3 min after the one before has ended."""
    day = replay(LUNCHES)
    uses = sorted(day.uses()["28 cm pan"])
    assert len(uses) > 4
    assert all(one[1] <= two[0] for one, two in pairwise(uses))


def test_26_the_oven_that_needs_two_temperatures() -> None:
    """
    Supper: 180 for the crumble, a change of 5 min, 200 for the bake. Crumble first (as planned) is the cheaper order.

    The other order cannot be: the bake is served 15 min after it is done, at most, the pudding 30 min later, at most;
    setting the oven 5, crumble 40, rest 10 and serving 2 are 57, and serving the bake is the host's too.

    Waiting day: empty between the loaf and the knots, but their 5 min are a change, no first heat: it must stay on. The
    knots may go first without harm: the loaf, which cools for an hour, decides wrap either way.
    """
    day = replay(SUPPER)
    crumble, bake = day.runs(("oat-crumble", "Bake the crumble")), day.runs(("leek-bean-bake", "Bake"))
    assert crumble is not None and bake is not None and crumble[1] - crumble[0] == 40
    change = day.runs(("leek-bean-bake", "Heat the oven"))
    assert change is not None and change[1] - change[0] == 5 and crumble[1] <= change[0] and change[1] <= bake[0]
    assert f"{clock(crumble[0])}–{clock(crumble[1])} oven 180 °C: Bake the crumble" in day.sheet
    assert f"{clock(change[0])}–{clock(change[1])} oven changes to 200 °C" in day.sheet
    waiting = replay(WAITING)
    loaf, knots = (
        waiting.runs(("rye-loaf", "Bake lower")),
        waiting.runs(("cardamom-knots", "Heat the oven for the knots")),
    )
    assert loaf is not None and knots is not None and knots[1] - knots[0] == 5
    assert f"{clock(loaf[1])}–{clock(knots[0])} oven stays on, empty" in waiting.sheet
    supper = run("what-if", str(DEMOS / SUPPER))
    assert re.search(r"oven at 200 °C \(leek-bean-bake\) before 180 °C \(oat-crumble\) +09:00 +- .*no plan", supper)
    assert "cannot all be kept: oat-crumble is ready within 30 min after leek-bean-bake" in supper
    other = run("what-if", str(DEMOS / WAITING))
    assert re.search(r"oven at 225 °C \(cardamom-knots\) before 230 °C \(rye-loaf\) +08:30 +13:40 .* none ", other)


def test_27_a_second_cook() -> None:
    """Lunches: 130 min are hands from end to end, two cooks need 73 (proven, 65 would be half): 57 min shorter."""
    text = run("what-if", str(DEMOS / LUNCHES), "--cooks", "2")
    assert re.search(r"as it is +09:30 +11:40 +2 h 10 min", text)
    assert re.search(r"2 cooks +09:30 +10:43 +73 min +57 min shorter", text)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_28_when_somebody_must_look_in_and_who(name: str) -> None:
    """Every n minutes of what is left alone, none as it ends: ceil(d / n) - 1, each with a name and its minute."""
    day = replay(name)
    wanted = day.look_ins()
    listed = [(clock(item.start), item.step[1]) for item in day.of("look") if item.step is not None]
    assert sorted(step for _, step in listed) == sorted(step for _, step in wanted)
    for (at, step), (due, other) in zip(sorted(listed, key=_by_step), sorted(wanted, key=_by_step), strict=True):
        assert step == other and abs(minute(at) - minute(due)) <= 1
    assert all(item.who for item in day.of("look"))


def test_29_when_lunch_is() -> None:
    """Waiting day: 30 min begun by 14:30 (call 08:30 + 6 h), nobody works, no ring is on. Supper: over in 6 h, none."""
    day = replay(WAITING)
    (meal,) = day.of("meal")
    assert meal.end - meal.start == 30 and meal.start <= minute("14:30")
    assert f"- **Meal**: {clock(meal.start)}–{clock(meal.end)}" in day.sheet
    assert not any(since < meal.end and meal.start < till for since, till, _ in day.uses()["ring"])
    supper = replay(SUPPER)
    assert supper.wrap - supper.call <= 6 * 60
    assert "- **Meal**: none is due: wrap is within 6 h of call" in supper.sheet


# ------------------------------------------------------------------------------------------------ 30, 31: takes


def test_30_takes_before_the_mash_is_cold() -> None:
    """Mash is good for 15 min: of takes of 4 min with 2 min of reset 1 + (15 - waited) // 6 begin in time."""
    day = replay(SUPPER)
    mash, top = day.runs(("leek-bean-bake", "Mash the potatoes")), day.runs(("leek-bean-bake", "Top with mash"))
    assert mash is not None and top is not None
    most = 1 + (mash[1] + 15 - top[0]) // 6
    line = next(x for x in section(day.day, "Takes that there is time for").splitlines() if "Top with mash" in x)
    assert "a take of 4 min, 2 min to reset" in line
    assert f"at most {most}, the last begun by {clock(mash[1] + 15)}" in line


def test_31_cheese_for_two_retakes(tmp_path: Path) -> None:
    """
    One take loses the 60 g that are scattered: three takes need 2 x 60 = 120 g more.

    120 / 350 of a pack at 2.75 is 0.942857, so 0.94; one pack still does (60 + 120 = 180 of 350), and the published
    price of a serving stays 1.28.
    """
    folder = tmp_path / SUPPER
    shutil.copytree(DEMOS / SUPPER, folder, ignore=shutil.ignore_patterns("out"))
    path = folder / "recipes" / "leek-bean-bake.md"
    text = path.read_text(encoding="utf-8")
    text = text.replace("mature cheddar, grated\n", "mature cheddar, grated\n  - single use: 60 g\n")
    path.write_text(text.replace("shot: overhead, fork\n", "shot: overhead, fork, 3 takes\n"), encoding="utf-8")
    bought, before = run("shop", str(folder)), run("shop", str(DEMOS / SUPPER))
    assert re.search(r"mature cheddar +60 g +- +120 g \(£0\.94\) +- +1 × 350 g +£2\.75 +170 g", bought)
    assert re.search(r"this list at the till: (.*)", bought)[1] == re.search(r"this list at the till: (.*)", before)[1]  # type: ignore[index]
    assert "under 1.30 per serving, without options: £1.28" in run("costs", str(folder))


# ------------------------------------------------------------------------------------------------ 41 to 44, 49


def test_41_trays_are_split_by_step_and_stand_in_order_of_use() -> None:
    """Bake: 360 ml of milk are 300 for the sauce and 60 held back for the mash, in bowls of their own, by the clock."""
    prep = paper(SUPPER, "prep.md")
    tray = next(part for part in prep.split("### Tray ")[1:] if "Leek and butter bean bake" in part.splitlines()[0])
    bowls = rows_of(tray.split("##")[0])
    milk = [row for row in bowls if "milk" in row["what"]]
    assert [row["amount"] for row in milk] == ["300 ml (1¼ cups)", "60 ml (¼ cup)"]
    assert "**HELD BACK**" in milk[1]["what"] and milk[0]["step"] == "Make the sauce"
    assert [row["clock"] for row in bowls] == sorted(row["clock"] for row in bowls)
    firsts = re.findall(r"### Tray \d: .+ first used (\d\d:\d\d)", prep)
    assert firsts == sorted(firsts) and len(firsts) == 3
    almonds = next(
        row for part in prep.split("### Tray ") for row in rows_of(part.split("##")[0]) if "almonds" in row["what"]
    )
    pudding = replay(SUPPER).runs(("oat-crumble", "Serve the pudding"))
    assert pudding is not None and almonds["clock"] == f"not planned, by {clock(pudding[0])}"


def test_42_what_can_be_made_on_an_earlier_day_and_how_early() -> None:
    """
    Pickle keeps 14 days: 2026-10-29 - 14 d = 2026-10-15.

    Rice, chilled 24 h at most: boiled 12 and cooled 20 min at the least, in the fridge within 30 min, so no sooner than
    62 min and 24 h before it is fried; boiled 14 and cooled 30 min before the last goes at 19:00: by 18:16.
    """
    jobs = rows_of(section(paper(WAITING, "prep.md"), "Before the day"))
    pickle = next(row for row in jobs if "Pour over the onion" in row["do"])
    assert "not before 2026-10-15" in pickle["limit"]
    lunches = replay(LUNCHES)
    (rice,) = rows_of(section(lunches.prep, "Before the day"))
    fried = lunches.runs(("fried-rice", "Fry the rice"))
    assert fried is not None
    assert rice["begin"] == (
        f"17:00–18:16 the day before (may begin {clock(fried[0] - 12 - 20 - 30)}–18:16 the day before)"
    )


def test_43_what_is_safe_to_eat_on_camera_at_ten_past_three() -> None:
    """
    Hot food off the heat: 2 h (UK FSA, below 63 °C; USDA FSIS). The soup's pot is off when the simmer ends.

    At 15:10 the soup is past it if the simmer ended before 13:10; loaf and knots are dry goods without such a limit.
    """
    day = replay(WAITING)
    simmer = day.runs(("pea-soup", "Simmer"))
    assert simmer is not None
    rows = rows_of(section(day.sheet, "What may be eaten on camera"))
    assert rows[0]["eaten until"] == clock(simmer[1] + 120)
    assert rows[0]["clock runs since"] == f"{clock(simmer[1])}, Simmer"
    assert (minute(rows[0]["eaten until"]) < minute("15:10")) == (simmer[1] < minute("13:10"))
    assert [row["eaten until"] for row in rows[1:]] == ["no limit worked out: by the dish and the label"] * 2
    rice = rows_of(section(paper(LUNCHES, "call_sheet.md"), "What may be eaten on camera"))[0]
    wok = replay(LUNCHES).runs(("fried-rice", "Add peas and soy"))
    assert wok is not None and rice["eaten until"] == clock(wok[1] + 60)  # cooked rice: 1 h (UK FSA)


def test_44_who_is_called_when() -> None:
    """Nobody of the supper comes later than call; each row says the first job, the camera's too."""
    people = {row["who"]: row for row in rows_of(section(paper(SUPPER, "call_sheet.md"), "People"))}
    assert {name: row["called"] for name, row in people.items()} == {"host": "09:00", "assistant": "09:00"}
    day = replay(SUPPER)
    shots = day.cameras()["camera"]
    assert people["assistant"]["first"] == f"{clock(shots[0].start)} camera, {shots[0].set_up}"
    assert people["assistant"]["hands-on"].endswith(f"filming {clock(shots[0].start)} to {clock(shots[-1].end)}")


def test_44_the_camera_is_called_on_each_of_several_days(tmp_path: Path) -> None:
    """With the evening before in the plan, its shots call cook and operator to both days, each with a row."""
    folder = tmp_path / WAITING
    shutil.copytree(DEMOS / WAITING, folder, ignore=shutil.ignore_patterns("out"))
    path = folder / "episode.md"
    text = re.sub(r"^latest wrap: .*\n", "", path.read_text(encoding="utf-8"), flags=re.M)
    days = "days: evening before 18:00–20:00, 2026-10-29 08:30–19:00"
    path.write_text(text.replace("call: 08:30", days), encoding="utf-8")
    run("build", str(folder), "--filmed", "--out", str(tmp_path / "out"))
    sheet = (tmp_path / "out" / "call_sheet.md").read_text(encoding="utf-8")
    rows = [(row["who"], row["called"]) for row in rows_of(section(sheet, "People"))]
    assert rows == [(who, at) for who in ("cook", "camera operator") for at in ("18:00 Wed", "08:30 Thu")]


def test_49_everything_takes_the_long_end() -> None:
    """The plan is the long end: supper 98 min, 10:38. Foreseen at the short end with the order kept: 86 min, 10:26."""
    text = run("risk", str(DEMOS / SUPPER), "--runs", "50")
    assert re.search(r"everything long: as planned +10:38 +98 min", text)
    assert re.search(r"everything short, foreseen +10:26 +86 min", text)
    assert "after the latest wrap 17:00: none of the days" in text


# ------------------------------------------------------------------------------------------------ what is missing


def test_no_shot_of_the_script_is_missing_without_a_word() -> None:
    """Each picture of the script is taken on the day, picked up, or named with the reason why it is not."""
    for name in (SUPPER, WAITING, LUNCHES):
        day = replay(name)
        taken = {item.step for item in day.of("shot", "filmed", "pick-up") if item.set_up}
        missing = section(day.day, "Shots of the script that this day does not take")
        for step, fields in day.method.items():
            if fields.get("shot", "none") != "none" and step not in taken:
                assert f"- {step[0]}: {step[1]}" in missing, step
        assert all(reason in missing for reason in ("optional",) if name == SUPPER)


def _minutes(length: int) -> str:
    hours, rest = divmod(length, 60)
    if length < 120:
        return f"{length} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def _length(text: str) -> int:
    hours, minutes = re.search(r"(\d+) h", text), re.search(r"(\d+) min", text)
    return (60 * int(hours[1]) if hours else 0) + (int(minutes[1]) if minutes else 0)


def _by_step(entry: tuple[str, str]) -> tuple[str, str]:
    return entry[1], entry[0]
