"""What explains a planned day: idle hands and what would fit, bars of text, sentences; worked by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import time

from shootplan.model.day import IdleGap
from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Assignment,
    ChainLink,
    Lag,
    LookInTask,
    OvenState,
    PlanInput,
    Resource,
    Schedule,
    Worker,
)
from shootplan.plan.chain import critical_chain
from shootplan.plan.day import steps_by_clock
from shootplan.plan.gaps import idle_gaps
from shootplan.render.day_bars import day_bars
from shootplan.render.day_words import chain_lines, gap_lines, look_in_lines, slack_text

MIN = 60
CALL = time(9, 0)


def hands(name: str, minutes: int, **fields: object) -> Activity:
    """Return hands-on work of the cook; the label is "dish: name"."""
    return Activity(
        id=f"dish/{name}#hands",
        kind=ActivityKind.HANDS,
        short_s=minutes * MIN,
        long_s=minutes * MIN,
        workers=("cook",),
        recipe="dish",
        step=name,
        label=f"dish: {name}",
        **fields,  # type: ignore[arg-type]
    )


def left(name: str, minutes: int, **fields: object) -> Activity:
    """Return something left alone."""
    values: dict[str, object] = {"kind": ActivityKind.LEAVE, "workers": (), **fields}
    return replace(hands(name, minutes), **values)  # type: ignore[arg-type]


def at(activity: Activity, start: int, **fields: object) -> Assignment:
    """Return an activity placed at a minute."""
    worker = activity.workers[0] if activity.kind is ActivityKind.HANDS else ""
    pieces = ((start * MIN, start * MIN + activity.long_s),)
    return Assignment(activity=activity.id, pieces=pieces, worker=worker, **fields)  # type: ignore[arg-type]


def pot(*, limit: int | None = None) -> tuple[PlanInput, Schedule]:
    """
    Return chop 0-5, simmer 5-25 with a look-in at 15-16, season 25-27, and slice 27-30, which waits for nothing.

    With a limit the seasoning follows the slicing and may not be left longer.
    """
    chop, season, cut = hands("chop", 5), hands("season", 2), hands("slice", 3)
    look_in = LookInTask(every_s=10 * MIN, for_s=MIN)
    simmer = left("simmer", 20, look_in=look_in, workers=("cook",), needs=(("ring", 1),))
    lags = [Lag(predecessor=chop.id, successor=simmer.id), Lag(predecessor=simmer.id, successor=season.id)]
    if limit is not None:
        lags.append(Lag(predecessor=cut.id, successor="dish/serve#hands", at_most_s=limit * MIN))
    serve = hands("serve", 1)
    activities = (chop, simmer, season, cut, serve)
    plan_input = PlanInput(
        activities=activities,
        lags=tuple(lags),
        resources=(Resource(id="ring", capacity=1, label="ring"),),
        workers=(Worker(name="cook"), Worker(name="helper")),
    )
    looks = ((15 * MIN, 16 * MIN, "cook"),)
    placed = (
        at(chop, 0),
        at(simmer, 5, look_ins=looks, units=(("ring", 1),)),
        at(season, 25),
        at(cut, 27),
        at(serve, 30),
    )
    return plan_input, Schedule(assignments=placed)


def test_idle_hands_are_told_with_what_would_fit() -> None:
    """The cook is free 5-15 and 16-25: slicing (3) and serving (1) wait for nothing, seasoning waits for the pot."""
    gaps = idle_gaps(*pot())
    assert gaps[:2] == (
        IdleGap(worker="cook", start_s=5 * MIN, end_s=15 * MIN, fits=("dish: slice", "dish: serve")),
        IdleGap(worker="cook", start_s=16 * MIN, end_s=25 * MIN, fits=("dish: slice", "dish: serve")),
    )
    assert gaps[2:] == (IdleGap(worker="helper", start_s=0, end_s=31 * MIN),)


def test_a_limit_keeps_a_step_out_of_a_gap_or_late_in_it() -> None:
    """
    Sliced at most 10 minutes before serving at 30, it may end at 20 at the earliest: 17-20 fits into 16-25 only.

    At most 4 minutes before: 26 lies in no gap. Serving follows the slicing and fits nowhere.
    """
    assert [gap.fits for gap in idle_gaps(*pot(limit=10))] == [(), ("dish: slice",), ()]
    assert [gap.fits for gap in idle_gaps(*pot(limit=4))] == [(), (), ()]


def test_short_gaps_and_times_away_are_no_gaps() -> None:
    """Away 5-15, the cook has 16-25 only; asked for ten minutes or more there is none."""
    plan_input, schedule = pot()
    away = replace(plan_input, workers=(Worker(name="cook", away=((5 * MIN, 15 * MIN),)),))
    assert [(gap.start_s, gap.end_s) for gap in idle_gaps(away, schedule)] == [(16 * MIN, 25 * MIN)]
    assert idle_gaps(away, schedule, least_s=10 * MIN) == ()


def test_what_needs_the_busy_ring_does_not_fit() -> None:
    """Frying instead of slicing needs the one ring, which simmers from 5 to 25."""
    plan_input, schedule = pot()
    activities = tuple(
        replace(item, needs=(("ring", 1),)) if item.step == "slice" else item for item in plan_input.activities
    )
    assert all("dish: slice" not in gap.fits for gap in idle_gaps(replace(plan_input, activities=activities), schedule))


# ---------------------------------------------------------------------------------------------------- words and bars


def test_the_bars_have_a_column_for_each_minute() -> None:
    """Numbers are those of the list: chop 1, simmer 2, season 3, slice 4, serve 5; no line for who does nothing."""
    plan_input, schedule = pot()
    lines = day_bars(plan_input, schedule, steps_by_clock(plan_input, schedule), CALL).splitlines()
    assert lines[:-1] == [
        "        09:00     09:10     09:20     09:30",
        "cook    1====          +         3=4==5",
        "ring 1       2~~~~~~~~~~~~~~~~~~~",
    ]
    assert lines[-1].endswith("a column is 1 min")


def test_a_long_day_has_wider_columns_and_ovens_their_line() -> None:
    """Four hours at five minutes a column: the heat of 20 takes four, the bake of 200 forty."""
    oven = OvenState(oven="oven", temperature_c=200)
    heat = left("heat", 20, kind=ActivityKind.HEAT, oven=oven)
    bake = left("bake", 220, oven=replace(oven, heat=heat.id))
    plan_input = PlanInput(activities=(heat, bake), oven_shelves=(("oven", 1),))
    schedule = Schedule(assignments=(at(heat, 0), at(bake, 20)))
    lines = day_bars(plan_input, schedule, steps_by_clock(plan_input, schedule), CALL).splitlines()
    assert lines[0].split() == ["09:00", "09:50", "10:40", "11:30", "12:20"]
    assert lines[1] == "oven  1^^^2" + "~" * 43
    assert lines[2].endswith("a column is 5 min")


def test_a_day_without_work_has_no_bars() -> None:
    """Nothing is drawn."""
    assert day_bars(PlanInput(activities=()), Schedule(assignments=()), (), CALL) == ""


def test_sentences_of_chain_gaps_and_look_ins() -> None:
    """Each tells the time of day, what, and what it waited for."""
    plan_input, schedule = pot()
    labels = {item.id: item.label for item in plan_input.activities}
    chain = (
        ChainLink(activity="dish/chop#hands", start_s=0, end_s=300),
        ChainLink(activity="dish/simmer#hands", start_s=300, end_s=1500, because="dish: simmer starts after chop"),
    )
    assert chain_lines(chain, labels, CALL) == ("09:00 dish: chop", "09:05 dish: simmer, starts after chop")
    gaps = (
        IdleGap(worker="cook", start_s=300, end_s=900, fits=("dish: slice", "dish: serve")),
        IdleGap(worker="helper", start_s=0, end_s=1860),
    )
    assert gap_lines(gaps, CALL, 1860) == (
        "09:05–09:15 cook has nothing to do for 10 min; would fit: dish: slice and dish: serve",
        "helper has nothing to do from call to wrap",
    )
    assert look_in_lines(steps_by_clock(plan_input, schedule), CALL) == (("cook", ("09:15 simmer (1 min)",)),)
    assert [slack_text(seconds) for seconds in (None, 0, 420)] == ["", "none", "7 min"]


def test_a_link_within_a_limit_says_what_it_follows() -> None:
    """The least wait of a limited link decides, not its limit: "follows", not "starts at most"."""
    first, second = hands("chop", 5), hands("fry", 5)
    rule = "dish: fry starts at most 5 min after chop"
    lags = (Lag(predecessor=first.id, successor=second.id, at_most_s=300, rule=rule),)
    plan_input = PlanInput(activities=(first, second), lags=lags, workers=(Worker(name="cook"),))
    chain = critical_chain(plan_input, Schedule(assignments=(at(first, 0), at(second, 5))))
    assert [link.because for link in chain] == ["", "follows dish: chop"]
