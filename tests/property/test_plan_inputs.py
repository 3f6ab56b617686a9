"""Whatever steps an author writes, the planner gets a sound input."""

from __future__ import annotations

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.model.clock import Range, Window
from shootplan.model.episode import Episode, Kitchen, PriceBook, Vessel
from shootplan.model.recipe import After, Equipment, LookIn, Recipe, Serves, Step, When
from shootplan.model.resolved import ResolvedEpisode, ResolvedRecipe
from shootplan.plan.tasks import build_plan, check_equipment
from shootplan.plan.times import active_time, unattended_time

KITCHEN = Kitchen(vessels=(Vessel(name="pan", count=2), Vessel(name="bowl", count=1)))
NAMES = tuple("abcdef")

ranges = st.tuples(st.integers(0, 9), st.integers(0, 9)).map(lambda pair: Range(min(pair) * 60, sum(pair) * 60))
windows = st.tuples(st.integers(0, 9), st.none() | st.integers(9, 99)).map(
    lambda pair: Window(pair[0] * 60, None if pair[1] is None else pair[1] * 60)
)
look_ins = st.builds(LookIn, every_s=st.integers(1, 9).map(lambda n: n * 60), for_s=st.just(60))
equipment = st.builds(
    Equipment, kind=st.sampled_from(["ring", "pan", "bowl", "oven"]), temperature_c=st.sampled_from([180, 190, 230])
)
some_equipment = st.lists(equipment, max_size=2).map(tuple)
afters = st.builds(After, step=st.sampled_from(NAMES), at_most_s=st.none() | st.integers(0, 900))


@st.composite
def steps(draw: st.DrawFn, name: str) -> Step:
    """A step with any mix of fields, links to unknown, later and dropped steps included."""
    return Step(
        id=name,
        name=name,
        number=1,
        hands=draw(st.none() | ranges),
        watch=draw(st.none() | ranges),
        leave=draw(st.none() | ranges | windows),
        check=draw(st.none() | look_ins),
        after=draw(st.none() | st.lists(afters, max_size=3).map(tuple)),
        when=draw(st.sampled_from(When)),
        uses=draw(some_equipment),
        holds=draw(some_equipment),
        frees=draw(some_equipment),
        heats=draw(st.none() | equipment.filter(lambda item: item.kind == "oven")),
        batches=draw(st.integers(1, 3)),
        is_optional=draw(st.booleans()),
        who=draw(st.sampled_from(["", "cook", "helper"])),
    )


@st.composite
def episodes(draw: st.DrawFn) -> ResolvedEpisode:
    """One recipe of up to six steps."""
    names = NAMES[: draw(st.integers(0, 6))]
    recipe = Recipe(id="stew", title="Stew", serves=Serves(hearty=4), steps=tuple(draw(steps(name)) for name in names))
    written = Episode(
        title="Any",
        shoot_date=date(2026, 11, 25),
        currency="GBP",
        recipes=(recipe,),
        kitchen=KITCHEN,
        prices=PriceBook(),
    )
    return ResolvedEpisode(episode=written, recipes=(ResolvedRecipe(recipe=recipe, lines=()),))


@settings(max_examples=60, derandomize=True, deadline=None)
@given(episodes(), st.booleans(), st.booleans(), st.booleans())
def test_any_steps_give_a_sound_input(
    resolved: ResolvedEpisode, home: bool, with_options: bool, include_ahead: bool
) -> None:
    """Every bake has its heat, every worker and resource exists (``PlanInput`` checks), problems are values."""
    found = build_plan(resolved, home=home, with_options=with_options, include_ahead=include_ahead)
    bakes = [item for item in found.activities if item.oven is not None and item.kind.value != "heat"]
    assert all(item.oven is not None and item.oven.heat for item in bakes)
    assert all(problem.code in ("frees-without-hold", "heat-and-bake") for problem in check_equipment(resolved))


@settings(max_examples=60, derandomize=True, deadline=None)
@given(episodes())
def test_options_and_ahead_work_only_add(resolved: ResolvedEpisode) -> None:
    """Leaving steps out never adds work, and no activity of the core disappears when more is planned."""
    core, full = build_plan(resolved), build_plan(resolved, with_options=True, include_ahead=True)
    assert active_time(core).high_s <= active_time(full).high_s
    steps_of = [{item.step for item in plan_input.activities} for plan_input in (core, full)]
    assert steps_of[0] <= steps_of[1] | {""}


@settings(max_examples=60, derandomize=True, deadline=None)
@given(episodes())
def test_work_and_waiting_have_their_ends_in_order(resolved: ResolvedEpisode) -> None:
    """The short end is never above the long one, for active as for unattended time."""
    found = build_plan(resolved)
    assert active_time(found).low_s <= active_time(found).high_s
    assert unattended_time(found).low_s <= unattended_time(found).high_s
