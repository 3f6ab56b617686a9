"""
Acceptance scenarios from source text to answer; every expected figure was worked by hand by a home economist.

The planner's scenarios state the sum by hand beside each figure, so that nothing here comes from our own output.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from shootplan.cost import cost_episode, judge_time_claims
from shootplan.model.costing import ClaimVerdict, EpisodeCost
from shootplan.model.planning import ActivityKind, PlanInput, Schedule, SolveResult
from shootplan.model.resolved import ResolvedEpisode
from shootplan.plan import solve
from shootplan.plan.fixed_order import fixed_order
from shootplan.plan.tasks import build_plan
from shootplan.plan.times import time_episode
from shootplan.plan.verify import verify
from shootplan.read import read_episode
from shootplan.read.files import MemoryFiles
from shootplan.resolve import resolve_episode

EPISODE = """---
date: 2026-11-20
currency: GBP
measures: US label
---
# Test

## Recipes
{links}

{more}
"""
KITCHEN = """
[[people]]
name = "cook"
[hob]
rings = {rings}
[[ovens]]
name = "oven"
shelves = {shelves}
heat_up = "12 min"
change = "5 min"
tolerance = "0 °C"
"""


def episode(
    *recipes: str, prices: str = "item,pack,price,date\n", more: str = "", rings: int = 2, shelves: int = 1
) -> ResolvedEpisode:
    """Read and resolve an episode written as text; any error in it fails the test."""
    texts = {f"e/recipes/r{k}.md": text for k, text in enumerate(recipes, start=1)}
    links = "\n".join(f"{k}. [R{k}](recipes/r{k}.md)" for k in range(1, len(recipes) + 1))
    texts["e/episode.md"] = EPISODE.format(links=links, more=more)
    texts["e/kitchen.toml"] = KITCHEN.format(rings=rings, shelves=shelves)
    texts["e/prices.csv"] = prices
    read, problems = read_episode("e", MemoryFiles(texts))
    assert [p for p in problems if p.is_error] == []
    assert read is not None
    resolved, problems = resolve_episode(read)
    assert [p for p in problems if p.is_error] == []
    return resolved


def method(*steps: str, serves: str = "4", ingredients: str = "- 1 l water") -> str:
    """Return a recipe of steps written "Name | field: value | field: value"."""
    lines = ["---", f"serves: {serves}", "---", "# Dish", "", "## Ingredients", ingredients, "", "## Method"]
    for number, text in enumerate(steps, start=1):
        name, *fields = (part.strip() for part in text.split("|"))
        mention = " [water]" if number == 1 and ingredients == "- 1 l water" else ""
        lines.append(f"{number}. **{name}.**{mention}")
        lines += [f"   - {item}" for item in fields]
    return "\n".join(lines) + "\n"


def planned(plan_input: PlanInput) -> tuple[SolveResult, Schedule]:
    """Solve, verify, and return the run with its schedule."""
    result = solve(plan_input)
    assert result.schedule is not None
    assert verify(plan_input, result.schedule) == ()
    return result, result.schedule


def minutes(seconds: int) -> Fraction:
    """Return seconds as minutes."""
    return Fraction(seconds, 60)


# ------------------------------------------------------------------------------------------- 1 pausable chopping


def _chopping(pausable: str) -> ResolvedEpisode:
    return episode(
        method(
            "Fill the pan | hands: 1 min | after: none",
            "Boil | leave: 8 min | after: Fill the pan | uses: ring | until: boiling",
            "Add barley | hands: 1 min | after: Boil | uses: ring",
            "Cook | leave: 25–30 min | after: Add barley | uses: ring | until: tender",
            f"Chop | hands: 10 min | after: none | pausable: {pausable}",
            "Saute | hands: 6 min | after: Chop | uses: ring | until: soft",
            "Simmer | leave: 15 min | after: Saute | uses: ring | until: thick",
            "Combine | hands: 2 min | after: Cook, Simmer",
        )
    )


def test_chopping_that_may_not_be_broken_off_takes_43_and_may_42() -> None:
    """
    Add at 9, chop 10-20, saute to 26, simmer to 41, combine to 43; broken off for the barley it is 42.

    Active 1 + 1 + 10 + 6 + 2 = 20, so passive is 23; the 43-plan stays 43 at the short end (the simmer decides).
    """
    whole = build_plan(_chopping("no"))
    result, schedule = planned(whole)
    assert minutes(schedule.makespan_s) == 43
    assert minutes(result.bound_s) == 43
    assert result.short_schedule is not None
    assert minutes(result.short_schedule.makespan_s) == 43
    _, broken = planned(build_plan(_chopping("yes")))
    assert minutes(broken.makespan_s) == 42
    times = time_episode(_chopping("no"), solve)
    assert minutes(times.active.high_s) == 20
    assert minutes(times.recipes[0].passive_long_s) == 23


def test_the_plan_that_always_starts_the_next_job_takes_44_and_39_at_the_short_end() -> None:
    """Chop 1-11, add 11, cook 12-42, combine to 44; with the cooking at 25 the same order ends at 39."""
    plan_input = build_plan(_chopping("no"))
    from shootplan.plan.greedy import list_schedule

    schedule = list_schedule(plan_input)
    assert schedule is not None
    assert minutes(schedule.makespan_s) == 44
    short = fixed_order(plan_input, schedule)
    assert short is not None
    assert minutes(short.makespan_s) == 39


def test_both_pots_need_two_rings() -> None:
    """With one ring the barley and the saute cannot run side by side, and the day is longer."""
    from shootplan.plan.day import equipment_peaks

    plan_input = build_plan(_chopping("no"))
    _, schedule = planned(plan_input)
    (ring,) = [peak for peak in equipment_peaks(plan_input, schedule) if "ring" in peak.label]
    assert ring.peak == 2


# ------------------------------------------------------------------------------------------- 2 two temperatures


def _ovens(p_temperature: int, shelves: int) -> ResolvedEpisode:
    p = method(
        "Assemble | hands: 10 min | after: none | pausable: no",
        f"Bake | leave: 30 min | after: Assemble | uses: oven {p_temperature} °C | until: golden",
        "Rest | leave: 5 min | after: Bake at once",
    )
    q = method(
        "Assemble | hands: 15 min | after: none | pausable: no",
        "Bake | leave: 40 min | after: Assemble | uses: oven 180 °C | until: golden",
        "Rest | leave: 10 min | after: Bake at once",
    )
    return episode(p, q, shelves=shelves)


def test_one_oven_at_two_temperatures_takes_95_with_the_cooler_dish_first() -> None:
    """Q 15-55, change to 60, P 60-90, rest to 95; P first would be 97."""
    plan_input = build_plan(_ovens(200, 1))
    _, schedule = planned(plan_input)
    assert minutes(schedule.makespan_s) == 95
    bakes = [item.id for item in plan_input.activities if item.step == "bake" and item.kind is ActivityKind.LEAVE]
    assert sorted(minutes(schedule.of(name).start_s) for name in bakes) == [15, 60]


def test_two_shelves_at_one_temperature_take_65() -> None:
    """P may bake at 180 beside Q: Q 15-55, P 25-55, Q rests to 65 (P first would be 75)."""
    _, schedule = planned(build_plan(_ovens(180, 2)))
    assert minutes(schedule.makespan_s) == 65


# ------------------------------------------------------------------------------------------- 3 active, passive


def test_the_soup_counts_its_look_ins_and_is_no_90_minute_soup() -> None:
    """
    Look-ins 2 at 60 and 4 at 90 minutes: active 23-29, elapsed 81-115, passive 58-86, soaking stated apart.

    2 + 8 + 6 + 2 + 3 + 2 = 23 and 2 + 10 + 8 + 4 + 3 + 2 = 29; elapsed 2 + 8 + 6 + 60 + 3 + 2 = 81.
    """
    soup = method(
        "Soak | leave: at least 10 h, at most 12 h | when: evening before | after: none",
        "Drain | hands: 2 min | after: none",
        "Chop | hands: 8–10 min | after: Drain",
        "Sweat | hands: 6–8 min | after: Chop | uses: ring | until: soft",
        "Simmer | leave: 60–90 min | check: every 20 min for 1 min | after: Sweat | uses: ring | until: tender",
        "Blend | hands: 3 min | after: Simmer",
        "Serve | hands: 2 min | after: Blend",
    )
    resolved = episode(soup, more="## Claims\n- r1: 90 minutes\n- r1: 115 minutes\n")
    times = time_episode(resolved, solve)
    (alone,) = times.recipes
    assert (minutes(alone.active.low_s), minutes(alone.active.high_s)) == (23, 29)
    assert (minutes(alone.elapsed.low_s), minutes(alone.elapsed.high_s)) == (81, 115)
    assert (minutes(alone.passive.low_s), minutes(alone.passive.high_s)) == (58, 86)
    (soak,) = alone.ahead
    assert (soak.unattended_low_s, soak.unattended_high_s) == (10 * 3600, 12 * 3600)
    costs, _ = cost_episode(resolved)
    costs, _ = judge_time_claims(resolved, costs, times)
    assert [verdict.is_allowed for verdict in costs.verdicts] == [False, True]


# ------------------------------------------------------------------------------------------- 4 cost per serving

BARLEY = """- 150 g barley
- 300 g savoy, shredded, prepared
  - yield: 79 %
- 110 g onion
- 15 ml oil
- 2 stock cubes
- 1 tin tomatoes
- 3 g salt
- 40 g cheese (optional)"""
BARLEY_PRICES = """item,pack,price,date
barley,500 g,0.90,2026-11-18
savoy,1 head (700 g),0.95,2026-11-18
onion,1 kg,1.00,2026-11-18
oil,1 l,1.90,2026-11-18
stock cubes,12,0.96,2026-11-18
tomatoes,1 tin,0.45,2026-11-18
salt,750 g,0.60,2026-11-18
cheese,350 g,2.80,2026-11-18
"""
ALL = "Cook [barley] [savoy] [onion] [oil] [stock cubes] [tomatoes] [salt] [cheese]"


def _barley() -> EpisodeCost:
    text = method("Cook | hands: 5 min", serves="4 large or 6 small", ingredients=BARLEY)
    text = text.replace("1. **Cook.**", f"1. **Cook.** {ALL}")
    costs, _ = cost_episode(episode(text, prices=BARLEY_PRICES))
    return costs


def test_cost_used_counts_what_was_trimmed_away() -> None:
    """0.27 + 0.515371 + 0.11 + 0.0285 + 0.16 + 0.45 + 0.0024 = 1.536271; cheese 0.32; 0.38 and 0.26, 0.46 and 0.31."""
    (cost,) = _barley().recipes
    assert cost.core.exact == Fraction("0.27") + Fraction(300 * 95, 79 * 700) + Fraction("0.7509")
    assert round(float(cost.core.exact), 6) == 1.536271
    assert round(float(cost.with_options.exact), 6) == 1.856271
    assert str(cost.core_per.per_hearty.rounded(2).amount) == "0.38"
    assert cost.core_per.per_small is not None
    assert str(cost.core_per.per_small.rounded(2).amount) == "0.26"
    assert str(cost.with_options_per.per_hearty.rounded(2).amount) == "0.46"
    assert cost.with_options_per.per_small is not None
    assert str(cost.with_options_per.per_small.rounded(2).amount) == "0.31"


# ------------------------------------------------------------------------------------------- 5 claims


def _verdicts(price: str, claims: str) -> tuple[ClaimVerdict, ...]:
    text = method(
        "Cook | hands: 5 min",
        serves="4 large or 6 small",
        ingredients="- 1 kg beans\n- 10 g dill (optional)",
    ).replace("1. **Cook.**", "1. **Cook.** [beans] [dill]")
    prices = f"item,pack,price,date\nbeans,1 kg,{price},2026-11-18\ndill,10 g,0.08,2026-11-18\n"
    costs, _ = cost_episode(episode(text, prices=prices, more=f"## Claims\n{claims}\n"))
    return costs.verdicts


@pytest.mark.parametrize(
    ("price", "claim", "is_allowed"),
    [
        ("5.9796", "r1: under 1.50 per serving, without options", True),  # 1.4949 prints 1.49
        ("5.984", "r1: under 1.50 per serving, without options", False),  # 1.496 prints 1.50
        ("5.9796", "r1: under 1.50 per serving, with options", False),  # 6.0596 / 4 = 1.5149 prints 1.51
        ("5.9796", "r1: under 1.00 per small serving, without options", False),  # 0.9966 prints 1.00, wrong basis
        ("6.2796", "r1: under 1.50 per serving, without options", False),  # at the regular price: 1.5699
        ("5.9796", "r1: about 1.50 per serving, without options", True),  # 0.34 % away
    ],
)
def test_a_claim_is_judged_on_what_is_printed(price: str, claim: str, is_allowed: bool) -> None:
    """Each case with the figure that decides it beside it."""
    (verdict,) = _verdicts(price, f"- {claim}")
    assert verdict.is_allowed is is_allowed


def test_a_thin_claim_says_how_thin_and_a_refused_one_what_may_be_said() -> None:
    """Headroom ((1.50 - 0.005) - 1.4949) / 1.4949 = 0.007 %: thin; with dill the wording without it is offered."""
    (thin,) = _verdicts("5.9796", "- r1: under 1.50 per serving, without options")
    assert thin.headroom_percent is not None
    assert round(float(thin.headroom_percent), 3) == 0.007
    assert thin.is_thin
    (refused,) = _verdicts("5.9796", "- r1: under 1.50 per serving, with options")
    assert "without" in refused.wording
    assert "dill" in refused.wording


# ------------------------------------------------------------------------------------------- 11 scaling 4 to 6


SCALED = """- 1 cup (125 g) plain flour
- 1 tbsp oil
- 1½ tsp (6.9 g) baking powder
- 1/3 cup milk
- ¼ tsp salt
- 2 eggs"""


def test_scaling_from_four_to_six_rounds_both_measures() -> None:
    """
    Flour 1 1/2 cups and 190 g, baking powder 2 1/4 tsp and 10 g, milk 1/2 cup, salt 1/4 + 1/8 tsp, eggs 3.

    125 x 1.5 = 187.5 -> 190 (+1.3 %); 6.9 x 1.5 = 10.35 -> 10 (-3.4 %, inside 5 %); salt 3/8 tsp is split.
    """
    text = method("Mix | hands: 5 min", ingredients=SCALED).replace("---\nserves: 4", "---\nserves: 4\nscale: 1 1/2")
    text = text.replace("1. **Mix.**", "1. **Mix.** [flour] [oil] [baking powder] [milk] [salt] [eggs]")
    (recipe,) = episode(text).recipes
    shown = {line.line.item: line.measured for line in recipe.lines}

    def household(item: str) -> list[tuple[Fraction, str]]:
        return [(amount.high, amount.unit) for amount in shown[item].household_shown]

    def metric(item: str) -> Fraction:
        amount = shown[item].metric_shown
        assert amount is not None
        return amount.high

    assert household("plain flour") == [(Fraction(3, 2), "cup")]
    assert metric("plain flour") == 190
    assert household("oil") == [(Fraction(3, 2), "tbsp")]
    assert household("baking powder") in (
        [(Fraction(9, 4), "tsp")],
        [(Fraction(2), "tsp"), (Fraction(1, 4), "tsp")],
    )
    assert metric("baking powder") == 10
    assert household("milk") == [(Fraction(1, 2), "cup")]
    assert household("salt") == [(Fraction(1, 4), "tsp"), (Fraction(1, 8), "tsp")]
    assert household("eggs") == [(Fraction(3), "")] or metric("eggs") == 3


# ------------------------------------------------------------------------------------------- what decides wrap


def test_the_chain_to_wrap_names_hands_and_oven_and_has_no_hole() -> None:
    """Q's 15 minutes of hands, its bake, the change to 200, P's bake, P's rest: 0-15-55-60-90-95 (scenario 2, T10)."""
    from shootplan.plan.chain import critical_chain

    plan_input = build_plan(_ovens(200, 1))
    _, schedule = planned(plan_input)
    chain = critical_chain(plan_input, schedule)
    assert [minutes(link.start_s) for link in chain] == [0, 15, 55, 60, 90]
    assert minutes(chain[-1].end_s) == 95
    assert all(before.end_s == after.start_s for before, after in pairwise(chain))
    assert any("oven" in link.because and "200" in link.because for link in chain)
