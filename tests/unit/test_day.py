"""A planned day read off by the clock."""

from __future__ import annotations

import pytest

from shootplan.model.day import RowKind
from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Anchor,
    Assignment,
    Lag,
    LookInTask,
    Occupation,
    OvenState,
    PlanInput,
    Resource,
    Schedule,
    Worker,
)
from shootplan.plan.day import equipment_peaks, pending_limits, running_meanwhile, steps_by_clock

MIN = 60


def work(name: str, kind: ActivityKind, minutes: int, **fields: object) -> Activity:
    recipe, _, rest = name.partition("/")
    values: dict[str, object] = {"recipe": recipe, "step": rest.split("#")[0], "label": f"{recipe}: {rest}"}
    return Activity(id=name, kind=kind, short_s=minutes * MIN, long_s=minutes * MIN, **(values | fields))  # type: ignore[arg-type]


def at(
    name: str, start: int, end: int, worker: str = "", look_ins: tuple[tuple[int, int, str], ...] = ()
) -> Assignment:
    looked = tuple((start_min * MIN, end_min * MIN, who) for start_min, end_min, who in look_ins)
    return Assignment(activity=name, pieces=((start * MIN, end * MIN),), worker=worker, look_ins=looked)


HEAT, BOIL, TIP, MASH, BAKE = "pie/bake#heat", "pie/boil#leave", "pie/boil#hands", "pie/mash#hands", "pie/bake#leave"

INPUT = PlanInput(
    activities=(
        work(TIP, ActivityKind.HANDS, 2, workers=("cook",), needs=(("ring", 1),)),
        work(BOIL, ActivityKind.LEAVE, 12, look_in=LookInTask(every_s=300, for_s=60), needs=(("ring", 1),)),
        work(MASH, ActivityKind.HANDS, 5, workers=("cook",)),
        work(HEAT, ActivityKind.HEAT, 15, oven=OvenState(oven="oven", temperature_c=200)),
        work(BAKE, ActivityKind.LEAVE, 25, oven=OvenState(oven="oven", temperature_c=200, heat=HEAT)),
        work("jam/stir#hands", ActivityKind.HANDS, 4, workers=("cook",), needs=(("ring", 1),)),
    ),
    lags=(
        Lag(predecessor=TIP, successor=BOIL, at_most_s=0, rule="pie: boil goes on without a pause"),
        Lag(predecessor=BOIL, successor=MASH, at_most_s=180, rule="pie: mash starts at most 3 min after boil"),
        Lag(predecessor=MASH, successor=BAKE, rule="pie: bake starts after mash"),
        Lag(predecessor=HEAT, successor=BAKE, rule="pie: bake waits for the oven"),
    ),
    resources=(Resource(id="ring", capacity=4, label="ring"), Resource(id="3 l pan", capacity=1, label="3 l pan")),
    occupations=(
        Occupation(id="pie/3 l pan#1", resource="3 l pan", first=TIP, last=MASH, after_s=180, label="pie: 3 l pan"),
    ),
    workers=(Worker(name="cook"),),
    oven_shelves=(("oven", 2),),
    oven_tolerance_c=(("oven", 10),),
    oven_change_s=(("oven", 300),),
)
DAY = Schedule(
    assignments=(
        at(TIP, 0, 2, "cook"),
        at(BOIL, 2, 14, look_ins=((7, 8, "cook"), (12, 13, "cook"))),
        at(MASH, 15, 20, "cook"),
        at(HEAT, 5, 20),
        at(BAKE, 20, 45),
        at("jam/stir#hands", 3, 7, "cook"),
    )
)


def test_what_runs_alone_is_told_with_its_end_the_next_to_end_first() -> None:
    """At 6 minutes the boil runs to 14 and the oven heats to 20; the stirring cook is no such thing."""
    found = running_meanwhile(INPUT, DAY, 6 * MIN)
    assert [(task.activity, task.ends_s // MIN) for task in found] == [(BOIL, 14), (HEAT, 20)]


@pytest.mark.parametrize(("minute", "running"), [(2, [BOIL]), (14, [HEAT]), (20, [BAKE]), (45, [])])
def test_a_start_belongs_to_what_runs_and_an_end_does_not(minute: int, running: list[str]) -> None:
    """Closed at the start, open at the end."""
    assert [task.activity for task in running_meanwhile(INPUT, DAY, minute * MIN)] == running


def test_rows_follow_the_clock_with_steps_heats_and_look_ins() -> None:
    """One row a step with its joined parts, one for the heat that no step says, one for each look-in."""
    rows = [(row.clock_s // MIN, row.kind, row.activities) for row in steps_by_clock(INPUT, DAY)]
    assert rows == [
        (0, RowKind.STEP, (TIP, BOIL)),
        (3, RowKind.STEP, ("jam/stir#hands",)),
        (5, RowKind.STEP, (HEAT,)),
        (7, RowKind.LOOK_IN, (BOIL,)),
        (12, RowKind.LOOK_IN, (BOIL,)),
        (15, RowKind.STEP, (MASH,)),
        (20, RowKind.STEP, (BAKE,)),
    ]


def test_a_row_names_who_works_with_what_for_how_long() -> None:
    """The boil: two minutes of the cook's hands, then left to 14; a ring and the pan; look-ins at 7 and 12."""
    row = steps_by_clock(INPUT, DAY)[0]
    assert (row.who, row.hands_s, row.end_s, row.look_ins) == ("cook", 120, 14 * MIN, (7 * MIN, 12 * MIN))
    assert row.equipment == ("ring", "3 l pan")
    assert [(part.kind, part.start_s, part.end_s) for part in row.parts] == [
        ("hands", 0, 120),
        ("leave", 120, 14 * MIN),
    ]


def test_a_row_does_not_name_equipment_of_steps_beside_it() -> None:
    """Stirring the jam uses its ring, not the pan that the pie holds meanwhile."""
    assert steps_by_clock(INPUT, DAY)[1].equipment == ("ring",)


def test_a_bake_names_the_oven_and_its_temperature() -> None:
    """The temperature belongs on the row."""
    assert steps_by_clock(INPUT, DAY)[-1].equipment == ("oven 200 °C",)


def test_a_row_tells_what_else_runs_meanwhile() -> None:
    """While the cook stirs the jam the potatoes boil until 14."""
    stir = steps_by_clock(INPUT, DAY)[1]
    assert [(task.activity, task.ends_s) for task in stir.meanwhile] == [(BOIL, 14 * MIN)]


def test_a_limit_runs_until_what_it_waits_for_happens() -> None:
    """The mash may start by 17 and is planned for 15: two minutes to spare."""
    (limit,) = pending_limits(INPUT, DAY, 14 * MIN, 15 * MIN)
    assert (limit.successor, limit.latest_s, limit.planned_s, limit.to_spare_s) == (MASH, 17 * MIN, 15 * MIN, 120)
    assert pending_limits(INPUT, DAY, 0, 13 * MIN) == ()
    assert pending_limits(INPUT, DAY, 16 * MIN, 40 * MIN) == ()


def test_landing_together_limits_whichever_comes_later() -> None:
    """Jam and pie within 45 minutes of each other: the jam ends at 7, so the pie must end by 52."""
    together = Lag(
        predecessor=BAKE,
        successor="jam/stir#hands",
        at_least_s=-45 * MIN,
        at_most_s=45 * MIN,
        successor_anchor=Anchor.END,
        rule="jam is ready within 45 min of pie",
    )
    plan_input = PlanInput(
        activities=INPUT.activities, lags=(together,), resources=INPUT.resources, workers=INPUT.workers
    )
    (limit,) = pending_limits(plan_input, DAY, 30 * MIN, 31 * MIN)
    assert (limit.successor, limit.latest_s, limit.to_spare_s) == (BAKE, 52 * MIN, 7 * MIN)


def test_peaks_count_what_is_used_at_once() -> None:
    """Two rings from minute 3; the pan once, washing included; one of two shelves from 20."""
    peaks = {peak.resource: (peak.peak, peak.capacity, peak.at_s // MIN) for peak in equipment_peaks(INPUT, DAY)}
    assert peaks == {"ring": (2, 4, 3), "3 l pan": (1, 1, 0), "oven": (1, 2, 20)}


def test_a_limit_stands_on_the_row_that_meets_it_and_on_those_before() -> None:
    """The mash's limit counts from 14: it stands on the mash's own row at 15 and on no later one."""
    rows = [row.activities for row in steps_by_clock(INPUT, DAY) if row.limits]
    assert rows == [(MASH,)]
