"""
The rest of several days from what happened, from source text: nights, ovens, what stands, who leaves, worked by hand.

Days of 480 min, 08:00 to 16:00, 2026-11-20 being a Friday. Each expected time is worked out in its test's sentence.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from planning_helpers import recipe
from test_filmed_over_days import KITCHEN as FILMED
from test_filmed_over_days import dish
from test_plan_days import EVENING, KITCHEN, LONG, TWO_DAYS, episode, halves, steps

from shootplan.app import Loaded
from shootplan.app.following import follow, input_again
from shootplan.app.replanning import read_words, replan_day
from shootplan.model.replanning import Replan
from shootplan.model.show import clock_text, minutes_text
from shootplan.plan.verify import verify
from shootplan.problems import InputError
from shootplan.read.day_log import read_day_log
from shootplan.render.replan_text import replan_view


def asked(loaded: Loaded, at: str, log: str = "") -> Replan:
    """Replan from a log; the rest must pass the verifier."""
    lines, problems = read_day_log(log, "day.txt")
    found = replan_day(loaded, Path(loaded.episode.folder), at=at, lines=lines, problems=problems)
    assert [item for item in found.problems if item.is_error] == []
    assert verify(found.replan.rest, found.replan.rest_schedule) == ()
    return found.replan


def times(loaded: Loaded, answer: Replan) -> dict[str, str]:
    """Return {step: from when to when}."""
    labels = {item.id: (item.label or item.id).partition(": ")[2] for item in answer.plan_input.activities}
    found: dict[str, str] = {}
    for item in answer.schedule.assignments:
        span = f"{clock_text(loaded.episode.clock, item.start_s)}–{clock_text(loaded.episode.clock, item.end_s)}"
        found.setdefault(labels[item.activity], span)
    return found


def broken(answer: Replan) -> dict[str, str]:
    """Return {what cannot be kept: by how much}."""
    return {item.rule: minutes_text(item.late_s) for item in answer.broken}


def wraps(loaded: Loaded, answer: Replan) -> list[str | None]:
    """Return the wrap of each day."""
    return [None if day.wrap_s is None else clock_text(loaded.episode.clock, day.wrap_s) for day in answer.days]


# ---------------------------------------------------------------------------------------------------- two days of work


def test_a_late_morning_leaves_the_second_day_as_it_was(tmp_path: Path) -> None:
    """Two dishes of 300 min, nothing begun at 10:00: one of them fits in until 16:00, the other is done next day."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves()}, TWO_DAYS)
    answer = asked(loaded, "2026-11-20 10:00")
    assert wraps(loaded, answer) == ["15:00 Fri", "13:00 Sat"]
    assert (answer.broken, answer.wrap_s - answer.old_wrap_s) == ((), 0)


def test_the_evening_that_is_least_late_is_taken_and_named(tmp_path: Path) -> None:
    """At 12:00 no dish of 300 min fits in before 16:00: one until 17:00 is an hour over, two on Saturday are two."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": steps(LONG.replace("Cut", "Slice"))}, TWO_DAYS)
    answer = asked(loaded, "2026-11-20 12:00")
    assert broken(answer) == {"the kitchen closes at 16:00 Fri": "60 min"}
    assert wraps(loaded, answer) == ["17:00 Fri", "13:00 Sat"]


def test_what_does_not_keep_is_finished_in_the_evening_and_that_is_said(tmp_path: Path) -> None:
    """First half 12:36–15:36, second half to 17:36: 96 min after closing, for it may not stand overnight."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves()}, TWO_DAYS)
    log = "2026-11-20 08:00 begun Cut\n12:30 done Cut\n12:36 begun First half\n"
    answer = asked(loaded, "15:00", log)
    assert times(loaded, answer)["Second half"] == "15:36 Fri–17:36 Fri"
    assert broken(answer) == {"the kitchen closes at 16:00 Fri": "96 min"}
    assert wraps(loaded, answer) == ["17:36 Fri", None]
    view = replan_view(loaded.resolved, answer)
    assert "CANNOT BE KEPT: the kitchen closes at 16:00 Fri: 96 min over" in view
    assert "Sat: nothing is left to do" in view


def test_what_keeps_waits_for_the_next_day(tmp_path: Path) -> None:
    """The same first half, chilled for 24 h: the second half is done at 08:00 and nobody stays on."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves("keeps: 24 h", "place: fridge")}, TWO_DAYS)
    log = "2026-11-20 08:00 begun Cut\n12:30 done Cut\n12:36 begun First half\n"
    answer = asked(loaded, "15:00", log)
    assert times(loaded, answer)["Second half"] == "08:00 Sat–10:00 Sat"
    assert answer.broken == ()
    assert wraps(loaded, answer) == ["15:36 Fri", "10:00 Sat"]
    assert "Fri: wrap 15:36" in replan_view(loaded.resolved, answer)


def test_what_was_left_overnight_against_its_rule_is_named(tmp_path: Path) -> None:
    """The first half done on Friday, asked on Saturday at 08:00: 16 h after the day on which it was to be finished."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves()}, TWO_DAYS)
    log = "2026-11-20 08:00 begun First half\n11:00 done First half\n11:00 begun Cut\n16:00 done Cut\n"
    answer = asked(loaded, "2026-11-21 08:00", log)
    assert times(loaded, answer)["Second half"] == "08:00 Sat–10:00 Sat"
    (rule,) = broken(answer)
    assert rule.startswith("two: Second half is done on the day of two: First half")
    assert broken(answer)[rule] == "16 h"


def test_hands_that_were_not_logged_as_done_stopped_when_the_kitchen_closed(tmp_path: Path) -> None:
    """Cut begun at 13:00, five hours long: 180 min until 16:00, so 120 min are left on Saturday morning."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves()}, TWO_DAYS)
    answer = asked(loaded, "2026-11-21 08:00", "2026-11-20 08:00 begun First half\n13:00 begun Cut\n")
    pieces = next(item.pieces for item in answer.schedule.assignments if item.activity.startswith("one/cut"))
    assert [clock_text(loaded.episode.clock, mark) for mark in pieces[0]] == ["13:00 Fri", "16:00 Fri"]
    assert sum(end - start for start, end in pieces) == 300 * 60
    assert "one: Cut is finished on the day on which it was begun" in broken(answer)


def test_after_the_last_closing_the_rest_is_still_planned(tmp_path: Path) -> None:
    """At 17:00 on Saturday nothing was done: 600 min from then end at 03:00, 11 h after closing."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves()}, TWO_DAYS)
    answer = asked(loaded, "2026-11-21 17:00")
    assert clock_text(loaded.episode.clock, answer.wrap_s) == "03:00 Sun"
    assert broken(answer) == {"the kitchen closes at 16:00 Sat": "11 h"}


def test_who_comes_early_has_opened_the_kitchen(tmp_path: Path) -> None:
    """First half begun at 07:40 on Saturday, over at 10:40, the second half at 12:40: nobody stayed overnight."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves()}, TWO_DAYS)
    log = "2026-11-20 08:00 begun Cut\n13:00 done Cut\n2026-11-21 07:40 begun First half\n"
    for at in ("07:50", "09:00"):
        answer = asked(loaded, at, log)
        assert times(loaded, answer)["First half"] == "07:40 Sat–10:40 Sat"
        assert times(loaded, answer)["Second half"] == "10:40 Sat–12:40 Sat"
        assert (answer.broken, answer.notes) == ((), ())
    nobody = asked(loaded, "2026-11-21 07:50", "2026-11-20 08:00 begun Cut\n13:00 done Cut\n")
    assert times(loaded, nobody)["First half"] == "08:00 Sat–11:00 Sat"


def test_an_oven_that_is_switched_on_early_is_hot(tmp_path: Path) -> None:
    """Heated from 07:50 to 08:10 on Saturday, before the kitchen opens; the bake is put in at 08:10."""
    loaded = episode(tmp_path, {"loaf": BAKE}, TWO_DAYS)
    log = "2026-11-20 14:00 begun Mix\n14:40 done Mix\n2026-11-21 07:50 begun Heat\n08:10 done Heat\n"
    answer = asked(loaded, "08:10", log)
    assert clock_text(loaded.episode.clock, answer.wrap_s) == "09:15 Sat"
    assert (answer.broken, answer.notes) == ((), ())


# ---------------------------------------------------------------------------------------------------- nights


def test_what_runs_past_the_last_closing_is_named(tmp_path: Path) -> None:
    """A soak of 10 h that may stand overnight, begun at 08:00 on the last day, ends at 18:00: two hours over."""
    text = steps(
        "Soak | Soak the [beans]. | leave: at least 10 h, at most 20 h",
        "Drain | Drain. | hands: 2 min",
    )
    loaded = episode(tmp_path, {"peas": text}, TWO_DAYS)
    answer = asked(loaded, "2026-11-21 09:00", "2026-11-21 08:00 begun Soak\n")
    assert times(loaded, answer)["Drain"] == "18:00 Sat–18:02 Sat"
    assert broken(answer) == {"the kitchen closes at 16:00 Sat": "2 h 2 min"}
    soaked = asked(loaded, "2026-11-20 15:00", "2026-11-20 15:00 begun Soak\n")
    assert times(loaded, soaked)["Soak"] == "15:00 Fri–01:00 Sat"
    assert times(loaded, soaked)["Drain"] == "08:00 Sat–08:02 Sat"
    assert soaked.broken == ()


RINSE = "Rinse | Rinse the [beans]. | hands: 2 min | after: none | when: evening before"
SOAK = (
    "Soak | Soak. | leave: at least 10 h, at most 12 h | when: evening before | after: Rinse at once"
    " | place: fridge | keeps: 24 h"
)
DRAIN = "Drain | Drain them. | hands: 2 min | after: Soak"


def test_a_soak_goes_on_overnight_and_its_life_counts_from_when_it_was_begun(tmp_path: Path) -> None:
    """Begun at 18:10 it keeps for 24 h from then; at 21:00 nobody is there and it runs to 04:10."""
    loaded = episode(tmp_path, {"peas": steps(RINSE, SOAK, DRAIN)}, EVENING)
    log = "2026-11-19 18:05 begun Rinse\n18:10 done Rinse\n18:10 begun Soak\n"
    answer = asked(loaded, "21:00", log)
    assert times(loaded, answer)["Soak"] == "18:10 Thu–04:10 Fri"
    assert times(loaded, answer)["Drain"] == "08:30 Fri–08:32 Fri"
    assert answer.broken == ()
    (limit,) = answer.limits
    assert clock_text(loaded.episode.clock, limit.latest_s) == "18:10 Fri"


def test_a_soak_that_was_forgotten_is_begun_at_once_and_the_rule_is_named(tmp_path: Path) -> None:
    """On the morning: rinsed 08:30, soaked 08:32–18:32, drained then, and not on an earlier day than its use."""
    loaded = episode(tmp_path, {"peas": steps(RINSE, SOAK, DRAIN)}, EVENING)
    answer = asked(loaded, "2026-11-20 08:30")
    assert times(loaded, answer) == {
        "Rinse": "08:30 Fri–08:32 Fri",
        "Soak": "08:32 Fri–18:32 Fri",
        "Drain": "18:32 Fri–18:34 Fri",
    }
    assert [item.rule for item in answer.broken] == ["peas: Soak is done on an earlier day than peas: Drain"]
    assert replan_view(loaded.resolved, answer).count("earlier day than peas: Drain\n") == 1


BAKE = recipe(
    "Baked",
    "- 500 g flour",
    "Mix | Mix the [flour]. | hands: 40 min | keeps: 20 h | place: fridge",
    "Heat | Heat. | leave: 20 min | heats: oven 200 °C | after: none",
    "Bake | Bake. | hands: 5 min | leave: 60 min | uses: oven 200 °C | until: brown | after: Mix, Heat",
)
HOT = "2026-11-20 14:00 begun Mix\n14:40 done Mix\n15:00 begun Heat\n15:20 done Heat\n"


def test_an_oven_that_is_hot_is_used_on_its_day(tmp_path: Path) -> None:
    """At 14:50 the bake of 65 min fits in before 16:00: in at 14:50 by hand, out at 15:55, and nothing is heated."""
    loaded = episode(tmp_path, {"loaf": BAKE}, TWO_DAYS)
    log = "2026-11-20 14:00 begun Mix\n14:20 begun Heat\n14:40 done Heat\n14:45 done Mix\n"
    answer = asked(loaded, "14:50", log)
    assert wraps(loaded, answer) == ["15:55 Fri", None]
    assert (answer.broken, answer.notes) == ((), ())


def test_an_oven_is_cold_in_the_morning_and_heated_again(tmp_path: Path) -> None:
    """At 15:20 it does not fit: on Saturday the oven is hot at 08:20, five minutes to put it in, out at 09:25."""
    loaded = episode(tmp_path, {"loaf": BAKE}, TWO_DAYS)
    evening, morning = asked(loaded, "15:20", HOT), asked(loaded, "2026-11-21 08:00", HOT)
    for answer in (evening, morning):
        assert clock_text(loaded.episode.clock, answer.wrap_s) == "09:25 Sat"
        assert answer.broken == ()
    assert "loaf: Heat: the oven is heated again at 08:00 Sat" in evening.notes
    assert "loaf: Heat: the oven is cold by now and is heated again" in morning.notes
    assert times(loaded, morning)["Heat"] == "08:00 Sat–08:20 Sat"
    begun = asked(loaded, "2026-11-21 08:10", HOT + "2026-11-21 08:05 begun Heat\n")
    assert times(loaded, begun)["Heat"] == "08:05 Sat–08:25 Sat"
    assert clock_text(loaded.episode.clock, begun.wrap_s) == "09:30 Sat"
    baking = asked(loaded, "2026-11-21 08:30", HOT + "2026-11-21 08:22 begun Bake\n")
    assert clock_text(loaded.episode.clock, baking.wrap_s) == "09:27 Sat"


def test_what_bakes_at_closing_is_waited_for(tmp_path: Path) -> None:
    """In the oven from 15:25 on for an hour: somebody is there until 16:25; on heat nothing goes on overnight."""
    loaded = episode(tmp_path, {"loaf": BAKE}, TWO_DAYS)
    answer = asked(loaded, "15:50", HOT + "15:20 begun Bake\n15:25 left Bake\n")
    assert broken(answer) == {"the kitchen closes at 16:00 Fri": "25 min"}


def test_who_leaves_before_the_others_is_not_called_back(tmp_path: Path) -> None:
    """The helper goes at 12:00; 60 min of theirs that were not begun by 11:30 are done next day, not after 16:00."""
    kitchen = KITCHEN.replace("[hob]", '[[people]]\nname = "helper"\nrole = "helper"\nend = "12:00"\n[hob]')
    text = steps("Grind | Grind the [beans]. | hands: 60 min | who: helper | pausable: no")
    loaded = episode(tmp_path, {"one": text}, TWO_DAYS, kitchen=kitchen)
    answer = asked(loaded, "2026-11-20 11:30")
    assert times(loaded, answer) == {"Grind": "08:00 Sat–09:00 Sat"}
    assert answer.broken == ()
    last = asked(loaded, "2026-11-21 11:30")
    assert broken(last) == {"helper leaves at 12:00 Sat": "5 h", "the kitchen closes at 16:00 Sat": "60 min"}


# ---------------------------------------------------------------------------------------------------- which day


@pytest.mark.parametrize(
    ("at", "log", "line"),
    [
        ("10:00", "", 1),
        ("10:00", "09:00 begun Cut\n", 1),
        ("2026-11-21 10:00", "09:00 begun Cut\n", 1),
        ("2026-11-21 10:00", "2026-11-20 15:00 begun Cut\n09:00 done Cut\n", 2),
        ("2026-11-27 10:00", "", 1),
        ("2026-11-20 10:00", "2026-12-20 09:00 begun Cut\n", 1),
        ("09:00", "2026-11-20 15:00 begun Cut\n", 1),
    ],
)
def test_a_time_that_may_be_of_several_days_is_refused(tmp_path: Path, at: str, log: str, line: int) -> None:
    """Neither the moment nor an entry is guessed at: a date is asked for, at the place of the entry."""
    loaded = episode(tmp_path, {"one": steps(LONG)}, TWO_DAYS)
    lines, _ = read_day_log(log, "day.txt")
    with pytest.raises(InputError) as caught:
        replan_day(loaded, tmp_path, at=at, lines=lines)
    assert {item.code for item in caught.value.problems} == {"log-day-unclear"}
    assert line in {item.span.line for item in caught.value.problems}


def test_a_plain_time_is_of_the_day_of_the_entry_before_it(tmp_path: Path) -> None:
    """09:00 and 12:00 after a dated entry, noted up to an hour late; on the first day no date is needed at all."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves()}, TWO_DAYS)
    log = "2026-11-20 08:00 begun Cut\n13:00 done Cut\n2026-11-21 08:00 begun First half\n11:00 done First half\n"
    answer = asked(loaded, "11:30", log + "10:30 looked-in First half\n")
    assert times(loaded, answer)["Cut"] == "08:00 Fri–13:00 Fri"
    assert times(loaded, answer)["First half"] == "08:00 Sat–11:00 Sat"
    first = asked(loaded, "2026-11-20 13:00", "08:00 begun Cut\n13:00 done Cut\n")
    assert times(loaded, first)["Cut"] == "08:00 Fri–13:00 Fri"


def test_what_is_told_with_the_moment_is_of_its_day(tmp_path: Path) -> None:
    """``--done Cut@08:00-12:50`` asked on Saturday was on Saturday; with its date it was on Friday."""
    loaded = episode(tmp_path, {"one": steps(LONG), "two": halves()}, TWO_DAYS)
    for told, span in (("08:00-12:50", "08:00 Sat–12:50 Sat"), ("2026-11-20 09:00-12:50", "09:00 Fri–12:50 Fri")):
        lines, problems = read_words(done=[f"Cut@{told}"], running=(), late=(), swapped=())
        found = replan_day(loaded, tmp_path, at="2026-11-21 13:00", lines=lines, problems=problems)
        assert times(loaded, found.replan)["Cut"] == span


# ---------------------------------------------------------------------------------------------------- filmed days


def filmed_days(folder: Path, recipes: dict[str, str], *, kitchen: str = FILMED) -> Loaded:
    """Load an episode that is filmed over two days of 240 min, 08:00 to 12:00."""
    return episode(folder, recipes, TWO_DAYS, kitchen=kitchen)


def filmed(loaded: Loaded, at: str, log: str) -> dict[str, str]:
    """Replan the filmed days from a log; the rest must pass the verifier."""
    lines, _ = read_day_log(log, "day.txt")
    answer = replan_day(loaded, Path(loaded.episode.folder), at=at, lines=lines, is_filmed=True).replan
    assert verify(answer.rest, answer.rest_schedule) == ()
    assert answer.broken == ()
    return times(loaded, answer)


def test_a_re_rig_that_the_closing_cuts_goes_on_in_the_morning(tmp_path: Path) -> None:
    """One is over at 11:55: five of the ten minutes of the re-rig are left for 08:00, so Two begins at 08:05."""
    loaded = filmed_days(tmp_path, {"one": dish(230, "overhead", "One"), "two": dish(200, "front", "Two")})
    log = "2026-11-20 08:05 begun One\n11:55 done One\n"
    for at in ("11:55", "12:30", "2026-11-21 08:00"):
        assert filmed(loaded, at, log)["Two"] == "08:05 Sat–11:25 Sat"
    assert filmed(loaded, "2026-11-21 08:10", log)["Two"] == "08:10 Sat–11:30 Sat"


def test_each_morning_has_its_set_up_until_something_is_recorded(tmp_path: Path) -> None:
    """15 min from 08:00; asked at 08:05 the first shot is at 08:15, though the camera stands where it has to."""
    recipes = {"one": dish(200, "overhead", "One"), "two": dish(200, "overhead", "Two")}
    loaded = filmed_days(tmp_path, recipes, kitchen=FILMED + 'set_up = "15 min"\n')
    log = "2026-11-20 08:15 begun One\n11:35 done One\n"
    assert filmed(loaded, "2026-11-21 08:05", log)["Two"] == "08:15 Sat–11:35 Sat"
    assert filmed(loaded, "2026-11-21 08:20", log)["Two"] == "08:20 Sat–11:40 Sat"


def test_a_break_that_nobody_logged_was_had_on_its_day(tmp_path: Path) -> None:
    """Days of ten hours, three dishes of 170 min on each: on the second morning Friday's break is over, not planned."""
    kitchen = FILMED.replace("08:00–12:00", "08:00–18:00")
    names = ("a", "b", "c", "d", "e", "f")
    loaded = filmed_days(tmp_path, {name: dish(170, "overhead", name) for name in names}, kitchen=kitchen)
    followed = follow(loaded, tmp_path, is_filmed=True)
    first = sorted(followed.schedule.assignments, key=lambda item: item.start_s)
    on_friday = [item for item in first if item.start_s < 10 * 3600 and "meal" not in item.activity]
    log = "".join(
        f"2026-11-20 {clock_text(loaded.episode.clock, at_s).split(' ')[0]} {word} {item.activity.partition('#')[0]}\n"
        for item in on_friday
        for word, at_s in (("begun", item.start_s), ("done", item.end_s))
    )
    found = filmed(loaded, "2026-11-21 08:00", log)
    assert [span for name, span in found.items() if "Fri" in span and "meal" in name] == []


def test_a_kept_filmed_plan_is_found_again_with_its_breaks_and_food_rules(tmp_path: Path) -> None:
    """What is read anew after a restart has the same breaks and limits as what was planned."""
    kitchen = FILMED.replace("08:00–12:00", "08:00–18:00") + '[food]\nlimits = "rule"\n'
    recipes = {name: dish(170, "overhead", name) for name in ("a", "b", "c", "d")}
    loaded = filmed_days(tmp_path, recipes, kitchen=kitchen)
    first = follow(loaded, tmp_path, is_filmed=True)
    assert len(first.plan_input.breaks) >= 1
    assert input_again(loaded, first) == first.plan_input
    again = follow(loaded, tmp_path, is_filmed=True)
    assert (again.plan_input, again.schedule) == (first.plan_input, first.schedule)
