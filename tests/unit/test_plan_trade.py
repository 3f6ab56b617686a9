"""Plans that trade: dishes one after the other, plates as fresh as can be; worked by hand."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from planning_helpers import recipe, write_episode

from shootplan.app import Solver, day_input, load
from shootplan.app.trade import _Finder, trade_offs
from shootplan.model.planning import Schedule
from shootplan.model.show import clock_text
from shootplan.model.trade import TradePlan, Wish
from shootplan.plan import solve
from shootplan.plan.trade import changes_of_dish, dishes_at_once, served_after, waits_of, with_wish
from shootplan.plan.verify import verify
from shootplan.render.trade_text import trade_json, trade_view

MIN = 60


@pytest.fixture
def two_dishes(tmp_path: Path) -> Path:
    """
    Write two dishes alike: chop 10 (hands), simmer 30 alone, plate 5 (hands).

    Interleaved: chop A 0-10, chop B 10-20, simmer to 40 and 50, plate A 40-45, plate B 50-55: three changes of dish.
    One after the other: 45 each, wrap 90, one change.
    """

    def dish(name: str) -> str:
        return recipe(
            name,
            "- 1 l water",
            "Chop | Use [water]. | hands: 10 min | pausable: no",
            "Simmer | Simmer. | leave: 30 min | uses: ring | until: soft",
            "Plate | Plate. | hands: 5 min",
        )

    return write_episode(tmp_path / "e", {"a": dish("A"), "b": dish("B")})


def test_fewer_changes_of_dish_cost_an_earlier_wrap(two_dishes: Path) -> None:
    """55 minutes with three changes (chop, chop, plate, plate), or 90 with one; nothing waits in either."""
    plans = trade_offs(load(two_dishes))
    assert [(p.wrap_s // MIN, p.changes, p.dishes, p.longest_wait_s) for p in plans] == [(55, 3, 2, 0), (90, 1, 1, 0)]
    assert plans[1].wish == Wish(dishes=1)
    view = trade_view(plans, load(two_dishes).episode.call_time).splitlines()
    assert view[1].split() == ["A", "an", "early", "wrap", "only", "09:55", "3", "2", "none", "none"]
    assert view[2].split() == ["B", "one", "dish", "after", "the", "other", "10:30", "1", "1", "none", "none"]
    record = trade_json(plans)
    assert [(item["plan"], item["wrap_s"], item["is_proven"]) for item in record["plans"]] == [
        ("A", 55 * MIN, True),
        ("B", 90 * MIN, True),
    ]


def test_a_fresher_plate_costs_an_earlier_wrap(tmp_path: Path) -> None:
    """
    One ring. A: boil 10, serve 20. B: boil 55, serve 5. C: chop 15, rest 45, plate 5. One cook, nothing broken off.

    A boils 0-10, B 10-65, served 65-70; C is chopped 0-15 and plated 60-65; A is served 15-35 and has waited 5. To wait
    2 at most, A boils from 3 and B is served 68-73; not at all, A boils from 5 and B is served 70-75.
    """

    def dish(name: str, boil: int, serve: int) -> str:
        return recipe(
            name,
            "- 1 l water",
            f"Boil {name} | Use [water]. | leave: {boil} min | uses: ring | until: soft",
            f"Serve {name} | Serve. | hands: {serve} min",
        )

    cold = recipe(
        "C",
        "- 1 l water",
        "Chop | Use [water]. | hands: 15 min | pausable: no",
        "Rest | Rest. | leave: 45 min",
        "Plate | Plate. | hands: 5 min",
    )
    kitchen = '[[people]]\nname = "cook"\n[hob]\nrings = 1\n'
    dishes = {"a": dish("A", 10, 20), "b": dish("B", 55, 5), "c": cold}
    plans = trade_offs(load(write_episode(tmp_path / "e", dishes, kitchen=kitchen)))
    worth = [(plan.wrap_s // MIN, plan.longest_wait_s // MIN) for plan in plans]
    assert worth[0] == (70, 5)
    assert {(73, 2), (75, 0)} <= set(worth)
    assert all(not one.is_no_better_than(other) for one in plans for other in plans if one is not other)


@pytest.mark.parametrize(
    ("reached", "asked"),
    [
        ({5: (55, 5), 2: (57, 2), 0: None}, [5, 2, 0]),
        ({5: (55, 1), 0: (58, 0)}, [5, 0]),
        ({5: (56, 4), 2: (57, 2), 0: (58, 0), 30: (55, 12), 10: (55, 10)}, [5, 2, 0, 30, 10]),
        ({5: None, 30: (55, 30), 15: (57, 14), 10: None}, [5, 30, 15, 10]),
    ],
)
def test_limits_are_tried_from_the_middle_and_none_in_vain(
    two_dishes: Path, monkeypatch: pytest.MonkeyPatch, reached: dict[int, tuple[int, int] | None], asked: list[int]
) -> None:
    """
    The first plan wraps at 55 and something waits 40. What is (wrap, longest wait) with each limit in minutes is told.

    Five minutes cost no wrap: nothing looser is tried. A plan that waits less than the next limit is that of it too.
    Where five cost wrap, or cannot be, the looser ones follow, the loosest first, until one cannot be.
    """
    finder = _Finder(load(two_dishes), Solver())
    first = replace(trade_offs(load(two_dishes))[0], longest_wait_s=40 * MIN)
    found: list[int] = []

    def plan(self: _Finder, wish: Wish) -> TradePlan | None:
        assert wish.served_within_s is not None
        found.append(wish.served_within_s // MIN)
        worth = reached[found[-1]]
        return replace(first, wish=wish, wrap_s=worth[0] * MIN, longest_wait_s=worth[1] * MIN) if worth else None

    monkeypatch.setattr(_Finder, "plan", plan)
    finder.served_sooner(first)
    assert found == asked


def test_plans_that_were_found_are_kept(two_dishes: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A second run, where the planner may not be asked, tells the same."""
    monkeypatch.setenv("SHOOTPLAN_CACHE", str(tmp_path / "cache"))
    plans = trade_offs(load(two_dishes))

    def refused(*_: object, **__: object) -> None:
        raise AssertionError("the planner was asked")

    monkeypatch.setattr("shootplan.plan.planner.solve", refused)
    assert trade_offs(load(two_dishes)) == plans


def test_where_nothing_trades_one_plan_is_left(tmp_path: Path) -> None:
    """A single dish has one order."""
    dish = recipe("A", "- 1 l water", "Chop | Use [water]. | hands: 10 min", "Serve | Serve. | hands: 5 min")
    plans = trade_offs(load(write_episode(tmp_path / "e", {"a": dish})))
    assert len(plans) == 1
    assert "nothing trades" in trade_view(plans, load(tmp_path / "e").episode.call_time)


def test_what_is_served_is_what_is_hot_or_limited(root: Path) -> None:
    """Of the demo's three plates: the bake that stood, the seasoned cabbage (not its crumbs), crumble and custard."""
    loaded = load(root / "demo_episodes" / "tuesday-supper")
    plan_input = day_input(loaded)
    served = served_after(loaded.resolved, plan_input)
    steps = {
        name.partition("#")[0]: [item.partition("/")[2].partition("#")[0] for item in ready]
        for name, ready in served.items()
    }
    assert steps == {
        "leek-bean-bake/serve-the-bake": ["let-it-stand"],
        "crumb-cabbage/serve-the-cabbage": ["season-the-cabbage"],
        "oat-crumble/serve-the-pudding": ["rest-the-crumble", "thicken-the-custard"],
    }


def _step(activity: str) -> str:
    return activity.partition("#")[0]


def test_the_worth_of_a_plan_is_read_off_its_schedule(two_dishes: Path) -> None:
    """Plate A moved from 40 to 45: it waits 5; hands go a, b, a, b; both dishes are in work from 10 on."""
    loaded = load(two_dishes)
    plan_input = day_input(loaded)
    schedule = solve(plan_input).schedule
    assert schedule is not None
    first = min((item for item in schedule.assignments if "plate" in item.activity), key=lambda item: item.start_s)
    later = replace(first, pieces=((45 * MIN, 50 * MIN),))
    moved = Schedule(assignments=tuple(later if item is first else item for item in schedule.assignments))
    served = served_after(loaded.resolved, plan_input)
    assert sorted(waits_of(moved, served)) == [0, 5 * MIN]
    assert changes_of_dish(plan_input, moved) == 3
    assert dishes_at_once(plan_input, moved) == 2


def test_wishes_are_rules_of_the_plan(two_dishes: Path) -> None:
    """Both at once: one dish after the other, each plated as soon as it is soft."""
    loaded = load(two_dishes)
    plan_input = day_input(loaded)
    served = served_after(loaded.resolved, plan_input)
    wished = with_wish(plan_input, Wish(dishes=1, served_within_s=0), served)
    schedule = solve(wished).schedule
    assert schedule is not None
    assert schedule.makespan_s == 90 * MIN
    assert waits_of(schedule, served) == (0, 0)
    assert with_wish(plan_input, Wish(), served) == plan_input


def test_a_plan_is_compared_in_everything(two_dishes: Path) -> None:
    """As good in all is no better; better in one is."""
    plan: Any = trade_offs(load(two_dishes))[0]
    assert isinstance(plan, TradePlan)
    assert plan.is_no_better_than(plan)
    assert not plan.is_no_better_than(replace(plan, wrap_s=plan.wrap_s + 1))
    assert not plan.is_no_better_than(replace(plan, wrap_s=plan.wrap_s - 1, changes=plan.changes + 1))


# ---------------------------------------------------------------------------------------------------- several days


def soaked(name: str) -> str:
    """Return a dish that is rinsed and soaked the evening before: chop 10 (hands), simmer 30 alone, plate 5 (hands)."""
    return recipe(
        name,
        "- 500 g beans",
        "Rinse | Rinse the [beans]. | hands: 5 min | when: evening before",
        "Soak | Soak. | leave: at least 10 h, at most 16 h | when: evening before | place: fridge | keeps: 24 h",
        "Chop | Chop. | hands: 10 min | pausable: no",
        "Simmer | Simmer. | leave: 30 min | uses: ring | until: soft",
        "Plate | Plate. | hands: 5 min",
    )


def test_what_is_done_the_evening_before_puts_no_dish_in_work(tmp_path: Path) -> None:
    """
    Both soak overnight, and still they are cooked one after the other: 55 minutes on the day, or 90.

    Three changes of dish on the day, or one, and one between the rinses; from the evening to the morning is none. What
    soaks does not wait to be served, however long it stands until 09:00.
    """
    folder = write_episode(tmp_path / "e", {"a": soaked("A"), "b": soaked("B")})
    path = folder / "episode.md"
    days = "days: evening before 18:00–20:00, 2026-11-20 09:00–12:00"
    path.write_text(path.read_text(encoding="utf-8").replace("call: 09:00", days), encoding="utf-8")
    loaded = load(folder)
    plans = trade_offs(loaded)
    clocks = [clock_text(loaded.episode.clock, plan.wrap_s) for plan in plans]
    assert clocks == ["09:55 Fri", "10:30 Fri"]
    assert [(plan.changes, plan.dishes, plan.longest_wait_s) for plan in plans] == [(4, 2, 0), (2, 1, 0)]
    assert all(verify(plan.plan_input, plan.result.schedule) == () for plan in plans if plan.result.schedule)
    assert "09:55 Fri" in trade_view(plans, loaded.episode.clock)


def test_a_dish_of_two_days_is_in_work_overnight(tmp_path: Path) -> None:
    """
    Days of an hour. A: mix 40, kept; fry 40, on two days. B and C: cut 15; one of them a day, 55 min each.

    One dish after the other: A is in work through the night, so one cut is before mixing, the other after frying.
    """
    parts = "Mix | Mix the [flour]. | hands: 40 min | pausable: no | keeps: 30 h | place: fridge"
    long = recipe("A", "- 500 g flour", parts, "Fry | Fry. | hands: 40 min | uses: ring | until: gold")
    short = recipe("B", "- 500 g beans", "Cut | Cut the [beans]. | hands: 15 min | pausable: no")
    folder = write_episode(tmp_path / "e", {"a": long, "b": short, "c": short.replace("# B", "# C")})
    path = folder / "episode.md"
    days = "days: 2026-11-20 09:00–10:00, 2026-11-21 09:00–10:00"
    path.write_text(path.read_text(encoding="utf-8").replace("call: 09:00", days), encoding="utf-8")
    loaded = load(folder)
    plan_input = day_input(loaded)
    wished = with_wish(plan_input, Wish(dishes=1), served_after(loaded.resolved, plan_input))
    schedule = solve(wished).schedule
    assert schedule is not None
    assert clock_text(loaded.episode.clock, schedule.makespan_s) == "09:55 Sat"
    starts = {item.activity.partition("#")[0]: item.start_s for item in schedule.assignments}
    cuts = sorted(starts[name] for name in ("b/cut", "c/cut"))
    assert cuts[0] < starts["a/mix"] < starts["a/fry"] < cuts[1]
