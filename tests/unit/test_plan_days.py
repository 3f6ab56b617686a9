"""Several days as one plan, from source text: what stands overnight, what keeps its day, what is refused and why."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime, time
from pathlib import Path

import pytest
from planning_helpers import recipe, write_episode

from shootplan.app import Loaded, day_input, documents, load, plan, publish
from shootplan.app.what_if import what_if
from shootplan.model.planning import Assignment, PlanInput, Schedule
from shootplan.model.show import clock_text
from shootplan.model.what_if import Change
from shootplan.plan.greedy import best_list_schedule
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan, InputError

KITCHEN = """
[[people]]
name = "cook"
[hob]
rings = 2
[[ovens]]
name = "oven"
heat_up = "20 min"
change = "5 min"
[hours]
staffed = "08:00–16:00"
evening = "18:00–20:00"
"""
#: 2026-11-19 is a Thursday.
EVENING = "days: evening before, 2026-11-20 08:30–20:00"
TWO_DAYS = "days: 2026-11-20, 2026-11-21"


def episode(folder: Path, recipes: dict[str, str], days: str, *, kitchen: str = KITCHEN) -> Loaded:
    """Load an episode of recipes over several days; the call that the helper writes goes."""
    write_episode(folder, recipes, more=days, kitchen=kitchen)
    path = folder / "episode.md"
    path.write_text(path.read_text(encoding="utf-8").replace("call: 09:00\n", ""), encoding="utf-8")
    return load(folder)


def steps(*lines: str, things: str = "- 500 g beans") -> str:
    """Return a recipe of those steps."""
    return recipe("Dish", things, *lines)


def begun(loaded: Loaded) -> dict[str, str]:
    """Return {step: when it is begun} of the planned days, after checking the plan without the solver."""
    day = plan(loaded)
    assert day.result.schedule is not None
    assert verify(day.plan_input, day.result.schedule) == ()
    found: dict[str, str] = {}
    for row in day.rows:
        found.setdefault(row.label.partition(": ")[2], clock_text(loaded.episode.clock, row.clock_s))
    return found


def wrap(loaded: Loaded) -> str:
    """Return the end of the plan."""
    schedule = plan(loaded).result.schedule
    assert schedule is not None
    return clock_text(loaded.episode.clock, schedule.makespan_s)


def clash(loaded: Loaded) -> dict[str, tuple[str, int]]:
    """Return {rule: place} of a plan that cannot be."""
    with pytest.raises(InfeasiblePlan) as caught:
        plan(loaded)
    spans = ((item.rule, item.span) for item in caught.value.conflicts)
    return {rule: (span.path.rpartition("/")[2], span.line) if span is not None else ("", 0) for rule, span in spans}


# ---------------------------------------------------------------------------------------- acceptance scenario 12

#: Seventy minutes of other work: the peas are drained at 09:40 at the earliest.
WORK = "Work | Do. | hands: 70 min | after: none | pausable: no"
RINSE = "Rinse | Rinse the [beans]. | hands: 2 min | after: none | when: evening before"
DRAIN = "Drain | Drain them. | hands: 2 min | after: Work, Soak"


def soak(*fields: str) -> str:
    """Return the soak of ten to twelve hours at once after rinsing."""
    text = "Soak | Soak. | leave: at least 10 h, at most 12 h | when: evening before | after: Rinse at once"
    return " | ".join((text, *fields))


def test_a_soak_that_fits_no_staffed_hour_is_refused_with_its_lines(tmp_path: Path) -> None:
    """Drained at 09:40 the soak would have to begin from 21:40 on, and the staff leave at 20:00."""
    loaded = episode(tmp_path, {"peas": steps(WORK, RINSE, soak("place: cool room"), DRAIN)}, EVENING)
    told = clash(loaded)
    assert "nobody is there from 20:00 Thu to 08:30 Fri" in told
    (limit,) = (rule for rule in told if "at most 12 h after Soak is begun" in rule)
    source = (tmp_path / "recipes" / "peas.md").read_text(encoding="utf-8").split("\n")
    assert told[limit][0] == "peas.md"
    assert "leave: at least 10 h, at most 12 h" in source[told[limit][1] - 1]


def test_a_soak_in_the_fridge_is_begun_in_the_evening(tmp_path: Path) -> None:
    """Chilled up to 24 h it may begin at any time of the evening window, hands in it and the soak through the night."""
    loaded = episode(tmp_path, {"peas": steps(WORK, RINSE, soak("place: fridge", "keeps: 24 h"), DRAIN)}, EVENING)
    found = begun(loaded)
    assert found["Work"] == "08:30 Fri"
    assert found["Drain"] == "09:40 Fri"
    assert found["Rinse"].endswith("Thu")
    assert "18:00" <= found["Rinse"][:5] <= "19:58"
    assert wrap(loaded) == "09:42 Fri"


def test_a_sponge_of_ten_to_fourteen_hours_used_at_nine_begins_after_seven(tmp_path: Path) -> None:
    """14 h before 09:00 is 19:00; by 20:00 the hands are gone."""
    lines = (
        "Work | Do. | hands: 30 min | after: none | pausable: no",
        "Mix | Mix the [flour]. | hands: 4 min | when: evening before | after: none",
        "Ferment | Leave. | leave: at least 10 h, at most 14 h | when: evening before | place: cool room"
        " | after: Mix at once",
        "Knead | Knead. | hands: 5 min | after: Work, Ferment",
    )
    loaded = episode(tmp_path, {"loaf": steps(*lines, things="- 500 g flour")}, EVENING)
    found = begun(loaded)
    assert found["Knead"] == "09:00 Fri"
    assert "19:00" <= found["Ferment"][:5] <= "20:00"


def test_work_of_the_day_is_not_done_the_evening_before(tmp_path: Path) -> None:
    """The evening is for what recipes do ahead, even where the whole dish would fit into it."""
    loaded = episode(tmp_path, {"peas": steps("Stir | Stir the [beans]. | hands: 5 min")}, EVENING)
    assert begun(loaded)["Stir"] == "08:30 Fri"


# ---------------------------------------------------------------------------------------- two days of work

LONG = "Cut | Cut the [beans]. | hands: 300 min | pausable: no"


def halves(*fields: str) -> str:
    """Return a dish of three hours, then two hours."""
    first = " | ".join(("First half | Begin with the [flour]. | hands: 180 min | pausable: no", *fields))
    return steps(first, "Second half | End. | hands: 120 min | pausable: no", things="- 500 g flour")


def test_what_does_not_say_that_it_keeps_is_finished_on_its_day(tmp_path: Path) -> None:
    """Two dishes of 300 min in two days of 480: one a day, the second ends at 13:00 on the second."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves()}, TWO_DAYS)
    found = begun(loaded)
    assert wrap(loaded) == "13:00 Sat"
    assert found["First half"][-3:] == found["Second half"][-3:]


def test_what_keeps_overnight_fills_the_first_day(tmp_path: Path) -> None:
    """300 + 180 = 480 min on the first day, 120 left for the second."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves("keeps: 24 h", "place: fridge")}, TWO_DAYS)
    assert wrap(loaded) == "10:00 Sat"


def test_what_keeps_for_too_short_a_time_is_finished_on_its_day(tmp_path: Path) -> None:
    """From 16:00 to 08:00 are 16 h: what keeps for 15 h does not last the night."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves("keeps: 15 h", "place: fridge")}, TWO_DAYS)
    assert wrap(loaded) == "13:00 Sat"


@pytest.mark.parametrize(("place", "end"), [("place: fridge", "10:00 Sat"), ("place: larder", "13:00 Sat")])
def test_chilled_food_stands_overnight_in_the_cold_only(tmp_path: Path, place: str, end: str) -> None:
    """Milk keeps its 24 h in the fridge; in the larder the dish is finished on its day whatever ``keeps:`` says."""
    first = f"First half | Begin with the [milk]. | hands: 180 min | pausable: no | keeps: 24 h | {place}"
    second = "Second half | End. | hands: 120 min | pausable: no"
    prices = "item,pack,price,date\nbeans,1000 g,3.20,2026-11-18\nmilk,1000 ml,1.00,2026-11-18\n"
    folder = write_episode(
        tmp_path,
        {"one": steps(LONG), "two": steps(first, second, things="- 500 ml milk")},
        more=TWO_DAYS,
        kitchen=KITCHEN,
        prices=prices,
    )
    text = (folder / "episode.md").read_text(encoding="utf-8").replace("call: 09:00\n", "")
    (folder / "episode.md").write_text(text, encoding="utf-8")
    assert wrap(load(folder)) == end


def test_work_that_fits_no_day_says_which_rules_clash(tmp_path: Path) -> None:
    """Nine hours that belong together, in days of eight."""
    first = "First | Do the [beans]. | hands: 5 h | pausable: no"
    loaded = episode(tmp_path, {"one": steps(first, "Second | Go on. | hands: 4 h | pausable: no")}, TWO_DAYS)
    told = clash(loaded)
    (rule,) = (rule for rule in told if "which does not say that it keeps" in rule)
    assert rule.startswith("one: Second is done on the day of one: First")
    assert told[rule][0] == "one.md"


def test_days_that_are_too_short_say_when_the_last_ends(tmp_path: Path) -> None:
    """Three dishes of 300 min do not go into two days of 480."""
    dishes = {name: steps(LONG) for name in ("one", "two", "three")}
    assert "everything is done by 16:00 Sat, when the last day ends" in clash(episode(tmp_path, dishes, TWO_DAYS))


@pytest.mark.parametrize("place", ["", " | place: larder"])
def test_custard_made_the_evening_before_names_a_place_in_the_cold(tmp_path: Path, place: str) -> None:
    """Cooked food below 63 °C has two hours (UK Food Standards Agency): it stands overnight in the cold, or not."""
    cook = f"Cook | Cook the [beans]. | hands: 10 min | uses: ring | until: thick | when: evening before{place}"
    serve = "Serve | Serve. | hands: 2 min"
    told = clash(episode(tmp_path / "warm", {"custard": steps(cook, serve)}, EVENING))
    (rule,) = (rule for rule in told if "fridge or freezer only" in rule)
    assert told[rule] == ("custard.md", 10)
    assert "custard: Cook is done on an earlier day than custard: Serve" in told
    cold = f"{cook.removesuffix(place)} | keeps: 24 h | place: fridge"
    assert begun(episode(tmp_path / "cold", {"custard": steps(cold, serve)}, EVENING))["Cook"].endswith("Thu")


# ---------------------------------------------------------------------------------------- overnight, alone

POT = "Simmer | Simmer the [beans]. | leave: 10 h | uses: ring | until: soft"


def test_nothing_is_left_on_heat_overnight_unless_the_author_says_so_with_a_caution(tmp_path: Path) -> None:
    """Ten hours on the ring do not fit a day of eight; allowed with a caution they run through the night."""
    told = clash(episode(tmp_path / "bare", {"pot": steps(POT)}, TWO_DAYS))
    assert "pot: Simmer is not left overnight: its recipe does not say that it may" in told
    allowed = f"{POT} | overnight: yes | keeps: 12 h | caution: an electric pot with its own guard, nothing else"
    loaded = episode(tmp_path / "said", {"pot": steps(allowed, "Serve | Serve. | hands: 5 min")}, TWO_DAYS)
    found = begun(loaded)
    assert found["Simmer"].endswith("Fri")
    assert found["Serve"] == "08:00 Sat"


def test_what_is_looked_in_on_does_not_run_overnight(tmp_path: Path) -> None:
    """A chosen wait that somebody must look in on needs somebody there."""
    lines = "Rise | Leave the [flour]. | leave: at least 10 h, at most 14 h | check: every 2 h for 5 min"
    told = clash(episode(tmp_path, {"dough": steps(lines, things="- 500 g flour")}, TWO_DAYS))
    assert any(rule.startswith("dough: Rise") for rule in told)


def test_overnight_can_be_forbidden(tmp_path: Path) -> None:
    """A chosen wait off the heat may run through the night unless the recipe says no."""
    rise = "Rise | Leave the [flour]. | leave: at least 10 h, at most 20 h"
    bake = "Shape | Shape. | hands: 5 min"
    loaded = episode(tmp_path / "may", {"dough": steps(rise, bake, things="- 500 g flour")}, TWO_DAYS)
    assert begun(loaded)["Shape"] == "08:00 Sat"
    told = clash(
        episode(tmp_path / "not", {"dough": steps(f"{rise} | overnight: no", bake, things="- 500 g flour")}, TWO_DAYS)
    )
    assert "dough: Rise is not left overnight: its recipe does not say that it may" in told


def test_the_oven_is_cold_in_the_morning(tmp_path: Path) -> None:
    """A second bake at one temperature needs no heat that day; on the next the oven heats for its 20 min again."""
    cut = "Cut | Cut the [beans]. | hands: 400 min | pausable: no"
    bake = "Bake | Bake. | leave: 30 min | uses: oven 200 °C | until: brown"
    serve = "Serve | Serve. | hands: 5 min"
    loaded = episode(tmp_path, {"one": steps(cut, bake, serve), "two": steps(cut, bake, serve)}, TWO_DAYS)
    day = plan(loaded)
    assert day.result.schedule is not None
    heats = [item for item in day.result.schedule.assignments if "heat" in item.activity]
    assert sorted(item.end_s - item.start_s for item in heats) == [20 * 60, 20 * 60]
    # 400 min of cutting, during which the oven heats, then 30 of baking and 5 of serving: 15:15 on each day.
    assert wrap(loaded) == "15:15 Sat"


def test_somebodys_hours_hold_on_each_day(tmp_path: Path) -> None:
    """Who comes at 10:00 begins at 10:00 on both days."""
    kitchen = KITCHEN.replace('name = "cook"\n', 'name = "cook"\nstart = "10:00"\n', 1)
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves()}, TWO_DAYS, kitchen=kitchen)
    assert wrap(loaded) == "15:00 Sat"


# ---------------------------------------------------------------------------------------- the verifier


def moved(day: tuple[PlanInput, Schedule], name: str, by_s: int) -> set[str]:
    """Return the rules that are broken when an activity is moved."""
    plan_input, schedule = day
    changed = []
    for item in schedule.assignments:
        pieces = tuple((start + by_s, end + by_s) for start, end in item.pieces)
        changed.append(replace(item, pieces=pieces) if name in item.activity else item)
    return {found.rule for found in verify(plan_input, Schedule(assignments=tuple(changed)))}


def test_the_verifier_knows_days_without_the_solver(tmp_path: Path) -> None:
    """Work in the night, the dish torn over two days, the ahead step on the day itself: each has its rule."""
    loaded = episode(tmp_path, {"peas": steps(WORK, RINSE, soak("place: fridge", "keeps: 24 h"), DRAIN)}, EVENING)
    result = plan(loaded)
    assert result.result.schedule is not None
    day = (result.plan_input, result.result.schedule)
    assert "closed_hours" in moved(day, "rinse", 4 * 3600)
    assert "days" in moved(day, "soak", 15 * 3600)
    ahead = [rule for rule in result.plan_input.day_rules if rule.is_apart]
    assert {(rule.one.partition("#")[0], rule.other.partition("#")[0]) for rule in ahead} == {
        ("peas/soak", "peas/drain")
    }


def test_a_cold_oven_is_verified(tmp_path: Path) -> None:
    """A heat of no time on the second morning is a fault though the dial stands where it was."""
    bake = "Bake | Bake the [beans]. | leave: 30 min | uses: oven 200 °C | until: brown"
    cut = "Cut | Cut. | hands: 400 min | pausable: no"
    loaded = episode(tmp_path, {"one": steps(bake, cut), "two": steps(bake, cut)}, TWO_DAYS)
    result = plan(loaded)
    assert result.result.schedule is not None
    heats = sorted(
        (item for item in result.result.schedule.assignments if "heat" in item.activity), key=lambda item: item.start_s
    )
    short = Assignment(activity=heats[1].activity, pieces=((heats[1].end_s, heats[1].end_s),))
    tried = tuple(short if item.activity == short.activity else item for item in result.result.schedule.assignments)
    broken = verify(result.plan_input, Schedule(assignments=tried))
    assert {item.rule for item in broken} == {"oven_heats"}


# ---------------------------------------------------------------------------------------- documents


def test_every_document_says_the_day_of_each_entry(tmp_path: Path) -> None:
    """Order, call sheet, prep, calendar, chart and plan.json tell the days apart."""
    loaded = episode(tmp_path, {"peas": steps(WORK, RINSE, soak("place: fridge", "keeps: 24 h"), DRAIN)}, EVENING)
    files = documents(publish(loaded))
    order = files["shooting_order.md"]
    assert order.index("Thursday 2026-11-19, 18:00–20:00, the evening before") < order.index("| Rinse |")
    assert order.index("| Rinse |") < order.index("Friday 2026-11-20, 08:30–20:00") < order.index("| Drain |")
    assert "| 09:40 Fri | 09:42 Fri |" in order
    assert 'class="day"' in files["shooting_order.html"]
    call = files["call_sheet.md"]
    assert "| Soak (Dish), fridge: used 09:40 Fri |" in call
    assert "| Friday 2026-11-20, 08:30–20:00 | 08:30–09:42, 72 min hands-on | nothing |" in call
    assert "| cook | 18:00 Thu |" in call
    assert "| cook | 08:30 Fri |" in call
    prep = files["prep.md"]
    assert "Soak: beans" in prep.replace("SOAK: BEANS", "Soak: beans")
    assert "09:40 Fri on 2026-11-20" in prep
    assert "DTSTART:20261119T18" in files["prep.ics"].replace("\r\n", "\n")
    assert "nobody is there, 20:00 Thu to 08:30 Fri" in files["timeline.svg"]
    day = json.loads(files["plan.json"])["day"]
    assert [entry["date"] for entry in day["days"]] == ["2026-11-19", "2026-11-20"]
    assert {row["step"]: row["date"] for row in day["rows"]} == {
        "rinse": "2026-11-19", "soak": "2026-11-19", "work": "2026-11-20", "drain": "2026-11-20",
    }  # fmt: skip


def test_the_same_source_gives_the_same_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two builds that keep nothing between them."""
    monkeypatch.setenv("SHOOTPLAN_CACHE", "off")
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves("keeps: 24 h", "place: fridge")}, TWO_DAYS)
    assert documents(publish(loaded)) == documents(publish(loaded))


def test_one_day_has_no_rules_of_days(tmp_path: Path) -> None:
    """Without ``days:`` nothing of this is in the plan, and the clock says no weekday."""
    loaded = load(write_episode(tmp_path, {"one": steps("Cut | Cut the [beans]. | hands: 5 min")}, kitchen=KITCHEN))
    plan_input = day_input(loaded)
    assert (plan_input.closed, plan_input.day_rules, plan_input.begins) == ((), (), None)
    assert clock_text(loaded.episode.clock, 60) == "09:01"


def test_a_clock_with_its_date_names_the_weekday() -> None:
    """2026-11-19 is a Thursday (ISO 8601 week 47)."""
    call = datetime(2026, 11, 19, 18, 0)
    assert clock_text(call, 0) == "18:00 Thu"
    assert clock_text(call, 6 * 3600 + 30) == "00:00:30 Fri"


def test_what_knows_one_day_only_says_so(tmp_path: Path) -> None:
    """Each of several days has its hours: another call is a fault at the days, not a wrong plan."""
    loaded = episode(tmp_path, {"one": steps(LONG)}, TWO_DAYS)
    with pytest.raises(InputError) as caught:
        what_if(loaded, (Change(call=time(7)),))
    (problem,) = caught.value.problems
    assert (problem.code, problem.span.line) == ("days-unused", 5)


def test_a_list_schedule_knows_the_days(tmp_path: Path) -> None:
    """Before any solver there is a sound plan: a dish a day, the dish that is fitted in second on the other one."""
    plan_input = day_input(episode(tmp_path, {"one": steps(LONG), "two": halves()}, TWO_DAYS))
    schedule = best_list_schedule(plan_input, bound_s=0)
    assert schedule is not None
    assert verify(plan_input, schedule) == ()
    assert schedule.makespan_s == 29 * 3600
