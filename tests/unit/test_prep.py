"""What the crew prepares: start windows worked by hand, the fridge list, trays, the calendar."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from shootplan.app import load, publish
from shootplan.model.prep import AheadJob, FridgeItem, Prep
from shootplan.model.publication import Publication
from shootplan.model.resolved import ResolvedEpisode
from shootplan.plan import solve
from shootplan.plan.day import steps_by_clock
from shootplan.plan.prep import make_prep
from shootplan.plan.tasks import build_plan
from shootplan.read import read_episode
from shootplan.read.files import MemoryFiles
from shootplan.render.basis import Basis
from shootplan.render.prep_calendar import prep_calendar
from shootplan.render.views_prep import ahead_row, best_slot, prep_view
from shootplan.resolve import resolve_episode

EPISODE = """---
date: 2026-11-20
currency: GBP
measures: US label
call: 08:30
---
# Night before

## Recipes
1. [R](recipes/r.md)
"""
KITCHEN = """
[[people]]
name = "cook"
[hours]
staffed = "08:00–20:00"
evening = "18:00–20:00"
"""
H = 3600


def prep_of(*steps: str, kitchen: str = KITCHEN) -> tuple[Prep, ResolvedEpisode]:
    """Plan a recipe of steps written "Name | field: value" and return what is prepared for it."""
    lines = ["---", "serves: 4", "---", "# R", "", "## Ingredients", "- 1 l water", "", "## Method"]
    for number, text in enumerate(steps, start=1):
        name, *fields = (part.strip() for part in text.split("|"))
        lines.append(f"{number}. **{name}.** Do it{' with [water]' if number == 1 else ''}.")
        lines += [f"   - {field}" for field in fields]
    files = {"e/recipes/r.md": "\n".join(lines) + "\n", "e/episode.md": EPISODE, "e/kitchen.toml": kitchen}
    read, problems = read_episode("e", MemoryFiles({**files, "e/prices.csv": "item,pack,price,date\n"}))
    assert [item for item in problems if item.is_error] == []
    assert read is not None
    resolved, _ = resolve_episode(read)
    plan_input = build_plan(resolved)
    schedule = solve(plan_input).schedule
    assert schedule is not None
    return make_prep(resolved, plan_input, schedule, steps_by_clock(plan_input, schedule)), resolved


def at(clock: str, day: int = 0) -> int:
    """Return a time of day in seconds from the call at 08:30."""
    hours, minutes = map(int, clock.split(":"))
    return day * 24 * H + hours * H + minutes * 60 - (8 * H + 30 * 60)


def one(*steps: str, kitchen: str = KITCHEN) -> AheadJob:
    """Return the only job."""
    (job,) = prep_of(*steps, kitchen=kitchen)[0].ahead
    return job


# ------------------------------------------------------------------------------------------- acceptance scenario 12

#: Seventy minutes of other work before the peas are drained at 09:40.
PEAS = ("Work | hands: 70 min | after: none", "Drain the peas | hands: 2 min | after: Work, Soak")


def test_a_soak_in_a_cool_room_that_begins_when_nobody_is_there_is_refused() -> None:
    """Call 08:30, staff leave at 20:00; drained 09:40, soaked 10-12 h: start 21:40-23:40, nobody there."""
    job = one("Soak | leave: at least 10 h, at most 12 h | after: none | when: evening before", *PEAS)
    assert job.used_at_s == at("09:40")
    assert (job.earliest_s, job.latest_s) == (at("21:40", -1), at("23:40", -1))
    assert job.slots == ()
    assert "nobody is there" in job.refused
    assert "21:40 the day before to 23:40 the day before" in job.refused


def test_a_soak_that_may_wait_chilled_can_begin_until_the_staff_leave() -> None:
    """Chilled up to 24 h: any time from 09:40 to 23:40, so by 20:00 (13 h 40 min at 20:00)."""
    job = one(
        "Soak | leave: at least 10 h, at most 12 h | after: none | when: evening before | place: fridge | keeps: 24 h",
        *PEAS,
    )
    assert (job.earliest_s, job.latest_s) == (at("09:40", -1), at("23:40", -1))
    assert job.slots == ((at("09:40", -1), at("20:00", -1)),)
    assert job.used_at_s - job.slots[0][1] == 13 * H + 40 * 60
    assert job.refused == ""


def test_a_sponge_has_one_hour_in_which_somebody_is_there() -> None:
    """Used 09:00, 10-14 h: 19:00-23:00, so 19:00-20:00."""
    job = one(
        "Ferment the sponge | leave: at least 10 h, at most 14 h | after: none | when: evening before",
        "Work | hands: 30 min | after: none",
        "Mix | hands: 5 min | after: Work, Ferment the sponge",
    )
    assert job.used_at_s == at("09:00")
    assert (job.earliest_s, job.latest_s) == (at("19:00", -1), at("23:00", -1))
    assert job.slots == ((at("19:00", -1), at("20:00", -1)),)


def test_butter_comes_out_of_the_fridge_between_one_and_two_hours_before() -> None:
    """Soft by 10:30, out 60-120 min: 08:30-09:30."""
    prep, _ = prep_of(
        "Work | hands: 120 min | after: none | pausable: no",
        "Soften the butter | leave: at least 60 min, at most 120 min | after: none",
        "Beat | hands: 3 min | after: Work, Soften the butter",
    )
    (item,) = prep.fridge
    assert item.used_at_s == at("10:30")
    assert (item.earliest_s, item.latest_s) == (at("08:30"), at("09:30"))
    assert at("08:30") <= item.planned_s <= at("09:30")


def test_a_pickle_is_in_its_jar_an_hour_before_it_is_served() -> None:
    """At least 1 h, at most 14 d before serving at 13:00: latest finished jar 12:00."""
    job = one(
        "Let the pickle stand | leave: at least 1 h, at most 14 days | after: none | when: ahead",
        "Work | hands: 270 min | after: none",
        "Serve | hands: 3 min | after: Work, Let the pickle stand",
    )
    assert job.used_at_s == at("13:00")
    assert job.latest_s == at("12:00")
    assert job.earliest_s == at("13:00", -14)
    assert job.slots == ((at("08:00", -1), at("20:00", -1)), (at("08:00"), at("12:00")))


# ------------------------------------------------------------------------------------------- chains, presence


def test_somebody_stays_until_the_rice_is_in_the_fridge() -> None:
    """Cook 14 min on a ring, cool 30 min, then chill: the last start is 44 minutes before the staff leave."""
    job = one(
        "Cook the rice | leave: 12–14 min | after: none | when: day before | uses: ring | until: dry",
        "Cool the rice | leave: 20–30 min | after: Cook the rice at once | when: day before",
        "Chill the rice | leave: at least 8 h, at most 23 h | after: Cool the rice within 30 min | when: day before"
        " | place: fridge | keeps: 24 h",
        "Fry | hands: 5 min | after: Chill the rice",
    )
    assert job.steps == ("Cook the rice", "Cool the rice", "Chill the rice")
    assert job.slots[0][1] == at("19:16", -1)
    assert job.what == "Chill the rice: water"


def test_handwork_before_the_day_stands_in_front_of_what_needs_it() -> None:
    """Sliced (4) before the liquid is simmered (4) and poured (1): one job of 9 min, begun by 20:00 - 9 = 19:51."""
    job = one(
        "Simmer | leave: 3–4 min | after: none | when: day before | uses: ring | until: clear",
        "Slice | hands: 3–4 min | after: none | when: day before",
        "Pour | hands: 1 min | after: Slice, Simmer within 2 min | when: day before",
        "Stand | leave: at least 60 min, at most 14 days | after: Pour at once | when: day before | place: fridge",
        "Serve | hands: 3 min | after: Stand",
    )
    assert job.steps == ("Slice", "Simmer", "Pour", "Stand")
    assert job.hands_s == 5 * 60
    assert job.slots[0][1] == at("19:51", -1)


def test_what_waits_in_the_cold_comes_out_when_it_is_used() -> None:
    """The rice of the day before leaves the fridge as it is fried; a sponge in a cool room does not stand there."""
    steps = ("Wait | leave: at least 8 h, at most 23 h | after: none | when: day before", "Fry | hands: 5 min")
    cold, _ = prep_of(f"{steps[0]} | place: fridge | keeps: 24 h", steps[1])
    assert [(item.what, item.planned_s, item.used_by) for item in cold.fridge] == [("Wait: water", 0, "Fry")]
    assert prep_of(f"{steps[0]} | place: cool room", steps[1])[0].fridge == ()


def test_without_hours_every_time_of_day_will_do() -> None:
    """A kitchen that says no hours refuses nothing."""
    job = one(
        "Soak | leave: at least 10 h, at most 12 h | after: none | when: evening before",
        *PEAS,
        kitchen='[[people]]\nname = "cook"\n',
    )
    assert job.slots[0] == (at("21:40", -1), at("23:40", -1))


def test_something_that_keeps_may_be_made_so_much_earlier() -> None:
    """Toasted for 10 min and kept 3 h: from 3 h 10 min before its use to 10 min before."""
    job = one(
        "Toast | hands: 10 min | after: none | when: ahead | keeps: 3 h",
        "Work | hands: 60 min | after: none",
        "Serve | hands: 1 min | after: Work, Toast",
    )
    assert (job.earliest_s, job.latest_s) == (at("06:20"), at("09:20"))
    assert job.slots == ((at("08:00"), at("09:20")),)


# ------------------------------------------------------------------------------------------- the demos


@pytest.fixture(scope="module")
def waiting(root: object) -> Publication:
    """The second demo."""
    return publish(load(f"{root}/demo_episodes/waiting-day"))


@pytest.fixture(scope="module")
def supper(root: object) -> Publication:
    """The first demo."""
    return publish(load(f"{root}/demo_episodes/tuesday-supper"))


def test_held_back_milk_stands_in_its_own_bowl(supper: Publication) -> None:
    """300 ml for the sauce and 60 ml held back for the mash: two bowls, in order of use."""
    assert supper.prep is not None
    milk = [bowl for bowl in supper.prep.bowls if bowl.recipe == "leek-bean-bake" and "milk" in bowl.item]
    shown = [(bowl.measured.metric_shown, bowl.is_held_back, bowl.step) for bowl in milk]
    assert [(str(amount.high) if amount else "", held, step) for amount, held, step in shown] == [
        ("300", False, "Make the sauce"),
        ("60", True, "Mash the potatoes"),
    ]
    marks = [bowl.mark for bowl in supper.prep.bowls if bowl.recipe == "leek-bean-bake"]
    assert marks == sorted(set(marks))
    view = prep_view(Basis.of(supper), supper.prep)
    assert any("HELD BACK" in what for what, *_ in view.labels)


def test_each_part_that_a_step_uses_has_a_bowl(demo_publication: Publication) -> None:
    """Nothing that is used is missing on the trays, water left out, and bowls stand in order of the clock."""
    publication = demo_publication
    assert publication.prep is not None
    for item in publication.resolved.recipes:
        bowls = [bowl for bowl in publication.prep.bowls if bowl.recipe == item.id]
        used = [use for use in item.uses if use.line and not use.is_held_back]
        water = sum(
            1 for use in used if (line := item.line(use.line)) is not None and line.line.purpose.value == "water"
        )
        assert len(bowls) == len(used) - water
        clocks = [bowl.clock_s for bowl in bowls if bowl.clock_s is not None]
        assert clocks == sorted(clocks)


@pytest.fixture(params=["waiting", "supper"])
def demo_publication(request: pytest.FixtureRequest) -> Publication:
    """Each of two demos in turn."""
    return request.getfixturevalue(request.param)  # type: ignore[no-any-return]


def test_only_what_is_bought_chilled_leaves_the_fridge(supper: Publication) -> None:
    """
    SOURCE: USDA FSIS FoodKeeper: butter and leeks have a life in the fridge only, garlic a month in the pantry.

    Milk, cheddar and frozen peas are in no row of that table and are told by their names (common practice, no source).
    """
    assert supper.prep is not None
    found = {item.what for item in supper.prep.fridge}
    assert found == {"butter", "leeks"} | {"semi-skimmed milk", "mature cheddar", "frozen peas"}
    assert any("garlic" in bowl.item for bowl in supper.prep.bowls)


def test_the_evening_is_named_first_and_the_cold_wait_told(waiting: Publication) -> None:
    """The peas begin at 18:00 at the earliest in the evening, wait 14 h 43 min, so in the fridge."""
    assert waiting.prep is not None
    basis = Basis.of(waiting)
    (peas,) = [job for job in waiting.prep.ahead if job.steps[-1] == "Soak"]
    assert best_slot(basis, peas) == (at("18:00", -1), at("19:58", -1))
    row = ahead_row(basis, peas)
    assert "in the fridge" in row.limit
    assert "chilled up to 24 h" in row.limit
    assert row.evening == "18:00–19:58 the day before"
    assert row.label.startswith("SOAK: DRIED WHOLE YELLOW PEAS")


# ------------------------------------------------------------------------------------------- the calendar


def test_an_independent_library_reads_the_calendar(demo_publication: Publication) -> None:
    """icalendar reads every entry: unique ids, floating local times, stamps from the date, alarms before the start."""
    import icalendar

    publication = demo_publication
    assert publication.prep is not None
    text = prep_calendar(Basis.of(publication), publication.prep)
    calendar = icalendar.Calendar.from_ical(text)
    events = list(calendar.walk("VEVENT"))
    assert calendar.errors == [] and all(event.errors == [] for event in events)
    assert len({str(event["UID"]) for event in events}) == len(events)
    episode = publication.resolved.episode
    called = datetime.combine(episode.shoot_date, episode.call_time)
    for event in events:
        assert event["DTSTART"].dt.tzinfo is None
        assert event["DTEND"].dt > event["DTSTART"].dt
        assert event["DTSTAMP"].dt.date() == episode.shoot_date
    (call,) = [event for event in events if str(event["SUMMARY"]).startswith("Call")]
    assert call["DTSTART"].dt == called
    (alarm,) = call.walk("VALARM")
    assert alarm["TRIGGER"].dt == timedelta(minutes=-60)


def test_lines_are_folded_at_75_octets_and_texts_escaped(waiting: Publication) -> None:
    """RFC 5545, section 3.1 (75 octets, CRLF and a space) and 3.3.11 (backslash, comma, semicolon)."""
    import icalendar

    name = "Soften the butter, é; and a \\ for good measure, " + "ö" * 60
    prep = Prep(fridge=(FridgeItem(recipe="rye-loaf", what=name, planned_s=0, used_by="Beat", used_at_s=60),))
    text = prep_calendar(Basis.of(waiting), prep)
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    assert "\n" not in text.replace("\r\n", "")
    (event,) = [item for item in icalendar.Calendar.from_ical(text).walk("VEVENT") if "fridge" in str(item["SUMMARY"])]
    assert str(event["SUMMARY"]) == f"Out of the fridge: {name} (Rye and oat tin loaf with an overnight sponge)"


def test_the_same_input_gives_the_same_calendar(waiting: Publication) -> None:
    """Nothing is taken from the clock: another date gives other stamps and nothing else changes its length."""
    assert waiting.prep is not None
    one_text = prep_calendar(Basis.of(waiting), waiting.prep)
    assert one_text == prep_calendar(Basis.of(waiting), waiting.prep)
    later = replace(waiting.resolved.episode, shoot_date=date(2027, 1, 2))
    moved = replace(waiting, resolved=replace(waiting.resolved, episode=later))
    other = prep_calendar(Basis.of(moved), waiting.prep)
    assert "DTSTAMP:20270102T000000Z" in other
    assert len(other) == len(one_text)
