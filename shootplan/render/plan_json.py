"""
``plan.json``: everything that was computed, for other programs, under a schema version.

A publication comes in, JSON text goes out, keys sorted. A field is added without a new version; one that changes its
meaning or goes raises the version.
"""

from __future__ import annotations

from typing import Any

from shootplan.model.costing import LineCost, RecipeCost
from shootplan.model.json_text import laid_out
from shootplan.model.planning import PlanInput
from shootplan.model.publication import Publication
from shootplan.model.recipe import Step
from shootplan.model.resolved import ResolvedEpisode, ResolvedRecipe
from shootplan.render.day_words import chain_lines, labels_of
from shootplan.render.encode import encode
from shootplan.render.film_text import film_json
from shootplan.render.swaps_text import swaps_json
from shootplan.render.views_days import date_of

__all__ = ["SCHEMA_VERSION", "costs_json", "day_json", "figures_json", "plan_json", "times_json"]

SCHEMA_VERSION = 1


def plan_json(publication: Publication) -> str:
    """Return the file's text."""
    record = figures_json(
        publication.resolved,
        costs=publication.costs,
        times=publication.times,
        filled=publication.filled,
        cut=publication.cut,
    )
    record |= {
        "day": day_json(
            publication.resolved,
            publication.plan,
            publication.day,
            publication.peaks,
            explained=(publication.plan_input, publication.chain, publication.gaps),
        ),
        "swaps": swaps_json(publication.swaps) if publication.swaps is not None else None,
        "care": encode(publication.care),
        "findings": [encode(finding) for finding in publication.findings],
    }
    if publication.filmed is not None:
        record["filmed"] = film_json(publication.resolved, publication.filmed)
    return laid_out(record) + "\n"


def figures_json(resolved: ResolvedEpisode, *, costs: Any, times: Any, filled: Any, cut: Any) -> dict[str, Any]:
    """Return what is known without a plan of the day: settings, recipes, texts, costs, times, the cut."""
    episode = resolved.episode
    return {
        "schema_version": SCHEMA_VERSION,
        "episode": {
            "id": episode.id,
            "title": episode.title,
            "date": episode.shoot_date.isoformat(),
            "publish": encode(episode.publish_date),
            "call": episode.call_time.isoformat(),
            "currency": episode.currency,
            "locale": episode.locale,
            "staples": episode.staples.value,
        },
        "recipes": [_recipe(item) for item in resolved.recipes],
        "texts": encode(filled),
        "costs": costs_json(resolved, costs),
        "times": times_json(resolved, times),
        "cut": encode(cut),
    }


def times_json(resolved: ResolvedEpisode, times: Any) -> dict[str, Any]:
    """Return the times of the kitchen clock in seconds, passive time sorted as it is printed."""
    record: dict[str, Any] = {"schema_version": SCHEMA_VERSION, **encode(times)}
    for entry, item in zip(record["recipes"], times.recipes, strict=True):
        found = resolved.recipe(item.recipe)
        entry["passive"] = encode(item.passive)
        entry["title"] = found.recipe.title if found is not None else item.recipe
    return record


def costs_json(resolved: ResolvedEpisode, costs: Any) -> dict[str, Any]:
    """Return all costs exact and to four places, line by line, and the verdict on each claim."""
    record: dict[str, Any] = {"schema_version": SCHEMA_VERSION}
    for name in ("currency", "places", "core", "with_options", "average_core", "average_with_options"):
        record[name] = encode(getattr(costs, name))
    record["head_core"], record["head_with_options"] = encode(costs.head_core), encode(costs.head_with_options)
    record["verdicts"] = encode(costs.verdicts)
    record["recipes"] = [_recipe_cost(resolved, item) for item in costs.recipes]
    return record


def day_json(resolved: ResolvedEpisode, result: Any, rows: Any, peaks: Any, *, explained: Any = None) -> dict[str, Any]:
    """
    Return the plan: status, bound, wrap and the rows by the clock, seconds from call.

    ``explained`` is (plan input, chain, gaps): what decides wrap, in words too, and when somebody has nothing to do.
    """
    schedule = result.schedule
    record = {} if explained is None else _explained(resolved, *explained)
    return (
        record
        | _days(resolved)
        | {
            "schema_version": SCHEMA_VERSION,
            "call": resolved.episode.call_time.isoformat(),
            "status": result.status.value,
            "bound_s": result.bound_s,
            "engine": result.engine,
            "wrap_s": schedule.makespan_s if schedule is not None else None,
            "short_wrap_s": result.short_schedule.makespan_s if result.short_schedule is not None else None,
            "assignments": encode(schedule.assignments) if schedule is not None else [],
            "rows": _rows(resolved, rows),
            "peaks": encode(peaks),
        }
    )


def _rows(resolved: ResolvedEpisode, rows: Any) -> Any:
    """Return the rows, over several days each with its date."""
    found = encode(rows)
    for entry, row in zip(found, rows, strict=True) if resolved.episode.days else ():
        entry["date"] = date_of(resolved.episode, row.clock_s).isoformat()
    return found


def _days(resolved: ResolvedEpisode) -> dict[str, Any]:
    episode = resolved.episode
    if not episode.days:
        return {}
    return {
        "days": [
            {"date": day.on.isoformat(), "opens_s": opens_s, "closes_s": closes_s, "is_evening": day.is_evening}
            for day, (opens_s, closes_s) in zip(episode.days, episode.staffed_s, strict=True)
        ]
    }


def _explained(resolved: ResolvedEpisode, plan_input: PlanInput, chain: Any, gaps: Any) -> dict[str, Any]:
    labels = labels_of(plan_input)
    words = chain_lines(chain, labels, resolved.episode.clock)
    return {
        "chain": [encode(link) | {"words": line} for link, line in zip(chain, words, strict=True)],
        "gaps": encode(gaps),
    }


def _recipe(item: ResolvedRecipe) -> dict[str, Any]:
    return {
        "id": item.id,
        "title": item.recipe.title,
        "serves": encode(item.recipe.serves),
        "measures": item.measures,
        "lines": [
            {
                "id": line.line.id,
                "item": line.line.item,
                "form": line.line.form,
                "is_optional": line.line.is_optional,
                "measured": encode(line.measured),
                "as_bought": encode(line.as_bought),
                "allergens": list(line.allergens),
            }
            for line in item.lines
        ],
        "products": encode(item.products),
        "uses": encode(item.uses),
        "steps": [_step(step) for step in item.recipe.steps],
        "flags": list(item.flags),
    }


def _step(step: Step) -> Any:
    """Return a step; whether it may stand overnight is there only where its author says so."""
    record = encode(step)
    if step.may_stand_overnight is None:
        del record["may_stand_overnight"]
    return record


def _recipe_cost(resolved: ResolvedEpisode, cost: RecipeCost) -> dict[str, Any]:
    found = resolved.recipe(cost.recipe)
    plain = ("recipe", "hearty", "small", "core", "with_options", "core_per", "with_options_per")
    record = {name: encode(getattr(cost, name)) for name in plain}
    record |= {name: list(getattr(cost, name)) for name in ("missing", "not_costed", "offers", "stale", "guessed")}
    record["title"] = found.recipe.title if found is not None else cost.recipe
    record["is_complete"] = cost.is_complete
    record["lines"] = [_line_cost(line) for line in cost.lines]
    record["options"] = [
        {"id": item.line.line.id, "cost": encode(item.cost), "per_serving_with": encode(item.per_serving_with)}
        for item in cost.options
    ]
    record["alternates"] = [
        {
            "base": item.base.line.id,
            "alternate": item.alternate.line.item,
            "delta": encode(item.delta),
            "per_serving_delta": encode(item.per_serving_delta),
            "allergens_added": list(item.allergens_added),
            "allergens_removed": list(item.allergens_removed),
        }
        for item in cost.alternates
    ]
    return record


def _line_cost(line: LineCost) -> dict[str, Any]:
    resolved = line.line
    return {
        "id": resolved.line.id,
        "item": resolved.line.item,
        "is_optional": line.is_optional,
        "group": line.group,
        "share": encode(line.share),
        "cost": encode(line.cost),
        "as_bought": encode(resolved.as_bought),
        "pack": encode(resolved.pack),
        "yield_percent": encode(resolved.yield_percent),
        "unpriced_because": resolved.unpriced_because,
        "price": encode(resolved.price),
    }
