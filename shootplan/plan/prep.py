"""
What the crew prepares, read off a planned day: jobs ahead, the fridge list, the trays, when the hob needs eyes.

A resolved episode with its plan comes in, a ``Prep`` goes out. Nothing is scheduled: windows follow from the plan's
starts (``prep_windows``), and a job has a slot only where the kitchen is staffed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import time
from fractions import Fraction

from shootplan.model.clock import Window
from shootplan.model.day import DayRow, RowKind
from shootplan.model.episode import Episode
from shootplan.model.planning import PlanInput, Schedule
from shootplan.model.prep import AheadJob, Bowl, FridgeItem, Prep
from shootplan.model.quantity import Amount
from shootplan.model.recipe import Purpose, Step, When
from shootplan.model.resolved import ResolvedEpisode, ResolvedLine, ResolvedRecipe, Use
from shootplan.model.shopping import Shopping
from shootplan.model.show import clock_text
from shootplan.plan.day import washing_up
from shootplan.plan.duplicates import duplicates_of_the_day
from shootplan.plan.film_food import CHILLED, tasting_limits
from shootplan.plan.prep_windows import COLD_PLACES, Starts, chilled_s, hands_s

__all__ = ["make_prep"]

_DAY_S = 24 * 3600
#: Words of a step that takes something out of the cold so that it changes (softens, thaws) before it is used.
_OUT = re.compile(r"\b(?:fridge|freezer|soften|soft|thaw|temper|room temperature|defrost)", re.IGNORECASE)
#: Goods named like chilled ones that keep in the larder.
_DRY = re.compile(r"\b(?:cubes?|powder|dried|tins?|tinned|cans?|canned|noodles?|coconut|stock)\b", re.IGNORECASE)
_FROZEN = re.compile(r"\bfrozen\b", re.IGNORECASE)


def make_prep(
    resolved: ResolvedEpisode,
    plan_input: PlanInput,
    schedule: Schedule,
    rows: tuple[DayRow, ...],
    shopping: Shopping | None = None,
) -> Prep:
    """Return the crew's preparation of a planned day; ``shopping`` tells what is kept in the fridge."""
    planned = _starts(rows)
    jobs = [job for item in resolved.recipes for job in _jobs(resolved.episode, item, planned.get(item.id, {}))]
    fridge = [found for item in resolved.recipes for found in _softening(item, planned.get(item.id, {}))]
    fridge += _cold(resolved, shopping, planned, {(item.recipe, item.used_by) for item in fridge})
    fridge += [_made_cold(job) for job in jobs if _waits_cold(job) and not job.refused]
    fridge += _duplicates(resolved, planned)
    bowls = [bowl for item in resolved.recipes for bowl in _bowls(item, planned.get(item.id, {}))]
    return Prep(
        ahead=tuple(sorted(jobs, key=lambda job: (job.slots[0][0] if job.slots else -_DAY_S, job.recipe))),
        fridge=tuple(sorted(fridge, key=lambda item: (item.planned_s, item.recipe, item.what))),
        bowls=tuple(bowls),
        on_heat=_on_heat(plan_input, schedule),
        washing=washing_up(plan_input, schedule),
        tasting=tasting_limits(plan_input, schedule, resolved),
    )


def _starts(rows: tuple[DayRow, ...]) -> dict[str, dict[str, int]]:
    """Return {recipe: {step: when its first batch starts}}."""
    found: dict[str, dict[str, int]] = {}
    for row in rows:
        if row.kind is RowKind.STEP:
            found.setdefault(row.recipe, {}).setdefault(row.step, row.clock_s)
    return found


# ---------------------------------------------------------------------------------------------------- before the day


def _jobs(episode: Episode, item: ResolvedRecipe, all_planned: dict[str, int]) -> Iterator[AheadJob]:
    """
    Yield a job for each chain of steps that are not planned on the day and lead to one that is.

    Over several days these are planned too: their one slot is when the plan begins them.
    """
    before = {step.id for step in item.recipe.steps if step.when is When.AHEAD}
    planned = {step: start_s for step, start_s in all_planned.items() if step not in before}
    starts = Starts(item.recipe, planned)
    ahead = [step for step in item.recipe.steps if step.when is not When.DAY and step.id not in planned]
    inside = {other.id for step in ahead for other in _chain(step, ahead, starts)[1:]}
    fed = {step.id for step in ahead if step.id not in all_planned and _is_fed_in(step, ahead, starts)}
    for step in ahead:
        use, latest = starts.use(step), starts.latest_s(step)
        if step.id in inside | fed or use is None or latest is None:
            continue
        chain = _chain(step, ahead, starts)
        feeders = tuple(each for each in ahead if each.id in fed and _feeds(each, chain, starts))
        last, before_s = chain[-1], sum(hands_s(each) for each in feeders)
        earliest, latest = starts.earliest_s(step), latest - before_s
        chain = (*feeders, *chain)
        hands = sum(hands_s(each) for each in chain)
        begun = all_planned.get(step.id)
        slots = _staffed(episode, earliest, latest, _present_s(chain)) if begun is None else ((begun, begun),)
        yield AheadJob(
            recipe=item.id,
            steps=tuple(each.name for each in chain),
            hands_s=hands,
            earliest_s=earliest,
            latest_s=latest,
            used_by=use[0].name,
            used_at_s=use[1],
            left_s=_left(last),
            chilled_s=chilled_s(last),
            place=last.ahead_place,
            keeps=last.keeps,
            slots=slots,
            refused="" if slots else _refusal(episode, earliest, latest),
            is_optional=all(each.is_optional for each in chain),
            what=_made(item, chain),
        )


def _chain(step: Step, ahead: list[Step], starts: Starts) -> tuple[Step, ...]:
    """Return a step with the steps that follow it before the day within a limit."""
    for other, after in starts.consumers(step):
        if other in ahead and after.at_most_s is not None:
            return (step, *_chain(other, ahead, starts))
    return (step,)


def _is_fed_in(step: Step, ahead: list[Step], starts: Starts) -> bool:
    """Whether a step is a bit of handwork for others before the day only: it is told with them, in front of them."""
    after = [other for other, _ in starts.consumers(step)]
    has_no_wait = step.leave is None and len(_chain(step, ahead, starts)) == 1
    return has_no_wait and bool(after) and all(other in ahead for other in after)


def _feeds(step: Step, chain: tuple[Step, ...], starts: Starts) -> bool:
    """Whether a step comes before a chain, directly or through handwork of the same kind."""
    return any(
        other in chain or (other.leave is None and _feeds(other, chain, starts)) for other, _ in starts.consumers(step)
    )


def _made(item: ResolvedRecipe, chain: tuple[Step, ...]) -> str:
    """Return what the chain makes, else its last step with the first thing that goes into it: "Soak: dried peas"."""
    made = next((step.makes for step in chain if step.makes), "")
    lines = (item.line(use.line) for step in chain for use in item.uses_in(step.id))
    used = next((line.line.item for line in lines if line is not None), "")
    return made or (f"{chain[-1].name}: {used}" if used else chain[-1].name)


def _present_s(chain: tuple[Step, ...]) -> int:
    """Return how long somebody must be there: until the last step is left alone, or to its end if that is on heat."""
    waits = [step.leave.high_s if step.leave is not None else 0 for step in chain]
    waits[-1] = waits[-1] if chain[-1].is_on_heat else 0
    return sum(hands_s(step) for step in chain) + sum(waits)


def _left(step: Step) -> tuple[int, int | None]:
    if isinstance(step.leave, Window):
        return step.leave.at_least_s, step.leave.at_most_s
    return (step.leave.low_s, step.leave.high_s) if step.leave is not None else (0, None)


def _seconds(at: time, episode: Episode, day: int) -> int:
    call = episode.call_time
    return day * _DAY_S + (at.hour - call.hour) * 3600 + (at.minute - call.minute) * 60 + at.second - call.second


def _staffed(episode: Episode, earliest: int | None, latest: int, hands: int) -> tuple[tuple[int, int], ...]:
    """Return when within a window the job may begin and its hands be done while somebody is there, evening first."""
    found = []
    for opens, closes in episode.staffed_s or _evening_and_day(episode):
        first = opens if earliest is None else max(opens, earliest)
        last = min(closes - hands, latest)
        if first <= last:
            found.append((first, last))
    return tuple(found)


def _evening_and_day(episode: Episode) -> Iterator[tuple[int, int]]:
    kitchen = episode.kitchen
    for day in (-1, 0):
        opens = _seconds(kitchen.staffed_from or time(0), episode, day)
        yield opens, _seconds(kitchen.staffed_until, episode, day) if kitchen.staffed_until else opens + _DAY_S


def _refusal(episode: Episode, earliest: int | None, latest: int) -> str:
    call, kitchen = episode.clock, episode.kitchen
    begins = "before" if earliest is None else f"from {clock_text(call, earliest)} to"
    opens = kitchen.staffed_from.strftime("%H:%M") if kitchen.staffed_from else "00:00"
    closes = kitchen.staffed_until.strftime("%H:%M") if kitchen.staffed_until else "24:00"
    hours = ", ".join(f"{clock_text(call, first)} to {clock_text(call, last)}" for first, last in episode.staffed_s)
    hours = hours or f"{opens}–{closes}"
    return f"it must begin {begins} {clock_text(call, latest)}, and nobody is there then (staffed {hours})"


# ---------------------------------------------------------------------------------------------------- the fridge


def _softening(item: ResolvedRecipe, planned: dict[str, int]) -> Iterator[FridgeItem]:
    """Yield what comes out so long before its use that it softens or thaws: a chosen wait of a planned step."""
    starts = Starts(item.recipe, planned)
    for step in item.recipe.steps:
        is_out = isinstance(step.leave, Window) and _OUT.search(f"{step.name} {step.text}") is not None
        if not is_out or step.id not in planned or step.when is not When.DAY or step.ahead_place:
            continue
        waiting = [other for other, _ in starts.consumers(step) if other.id in planned]
        latest = starts.latest_s(step, is_own=True)
        if not waiting or latest is None or not _OUT.search(step.name + _before(step, item)):
            continue
        used = min(waiting, key=lambda other: planned[other.id])
        yield FridgeItem(
            recipe=item.id,
            what=step.name,
            planned_s=planned[step.id],
            used_by=used.name,
            used_at_s=planned[used.id],
            earliest_s=starts.earliest_s(step, is_own=True),
            latest_s=latest,
        )


def _before(step: Step, item: ResolvedRecipe) -> str:
    steps = item.recipe.steps
    return " " + steps[steps.index(step) - 1].text if steps.index(step) else ""


def _cold(
    resolved: ResolvedEpisode,
    shopping: Shopping | None,
    planned: dict[str, dict[str, int]],
    softened: set[tuple[str, str]],
) -> Iterator[FridgeItem]:
    """
    Yield what is kept cold from its purchase, at its first use in each dish; garlic keeps in the larder.

    The storage table says so, or the name does (milk, cheese, what is frozen), where the table does not know the food.
    """
    kept = {id(entry.row): entry.keeps for entry in (shopping.items if shopping is not None else ())}
    for item in resolved.recipes:
        names = {step.id: step.name for step in item.recipe.steps}
        for line in item.lines:
            uses = [use.step for use in item.uses if use.line == line.line.id and use.step in planned.get(item.id, {})]
            keeps = kept.get(id(line.price)) if line.price is not None else None
            is_cold = keeps.pantry_days is None if keeps is not None else _is_cold(line.line.item)
            if not is_cold or not uses:
                continue
            first = min(uses, key=lambda step: planned[item.id][step])
            if (item.id, names[first]) in softened:
                continue
            at = planned[item.id][first]
            yield FridgeItem(
                recipe=item.id, what=line.line.item, planned_s=at, used_by=names[first], used_at_s=at
            )  # fmt: skip


def _is_cold(item: str) -> bool:
    return _FROZEN.search(item) is not None or (CHILLED.search(item) is not None and not _DRY.search(item))


def _waits_cold(job: AheadJob) -> bool:
    return job.chilled_s is not None or any(word in job.place.casefold() for word in COLD_PLACES)


def _made_cold(job: AheadJob) -> FridgeItem:
    """Return what was made before the day and waits in the cold, when it is used."""
    return FridgeItem(
        recipe=job.recipe, what=job.what, planned_s=job.used_at_s, used_by=job.used_by, used_at_s=job.used_at_s
    )


def _duplicates(resolved: ResolvedEpisode, planned: dict[str, dict[str, int]]) -> Iterator[FridgeItem]:
    """Yield the duplicates that were made before and wait in the cold, when each comes in for its wait."""
    keys = [(item.recipe, item.step) for item in resolved.episode.swap_outs]
    made_today = {item.key for item in duplicates_of_the_day(resolved, keys)}
    for recipe_id, step_id in keys:
        found = resolved.recipe(recipe_id)
        step = found.recipe.step(step_id) if found is not None else None
        at = planned.get(recipe_id, {}).get(step_id)
        is_cold = step is not None and any(word in step.ahead_place.casefold() for word in COLD_PLACES)
        if step is not None and at is not None and is_cold and (recipe_id, step_id) not in made_today:
            yield FridgeItem(
                recipe=recipe_id, what=f"duplicate: {step.name}", planned_s=at, used_by=step.name, used_at_s=at
            )


# ---------------------------------------------------------------------------------------------------- trays


def _bowls(item: ResolvedRecipe, planned: dict[str, int]) -> Iterator[Bowl]:
    """Yield the bowls of a dish in order of use; what is held back has a bowl of its own."""
    order = {step.id: number for number, step in enumerate(item.recipe.steps)}
    by_s = _wanted_by(item, planned)
    taken = [(use, line) for use in item.uses if not use.is_held_back and (line := item.line(use.line)) is not None]
    taken = [(use, line) for use, line in taken if line.line.purpose is not Purpose.WATER]
    taken.sort(key=lambda pair: (planned.get(pair[0].step, by_s.get(pair[0].step, -1)), order[pair[0].step]))
    names = {step.id: step.name for step in item.recipe.steps}
    seen: set[str] = set()
    for number, (use, line) in enumerate(taken):
        first = line.line.id not in seen
        seen.add(line.line.id)
        yield Bowl(
            recipe=item.id,
            mark=_mark(number),
            item=f"{line.line.size} {line.line.item}".strip(),
            form=line.line.form,
            measured=use.measured if use.share != 1 else line.measured,
            typed=_typed(use, line),
            step=names[use.step],
            clock_s=planned.get(use.step),
            is_held_back=use.from_held_back,
            is_optional=use.is_optional,
            spare=_spare(item, use.step, line) if first else None,
            by_s=by_s.get(use.step),
        )


def _wanted_by(item: ResolvedRecipe, planned: dict[str, int]) -> dict[str, int]:
    """Return {step: when what it makes is wanted} of the optional steps of the day, which no plan holds."""
    starts = Starts(item.recipe, planned)
    left_out = [step for step in item.recipe.steps if step.is_optional and step.when is When.DAY]
    uses = {step.id: starts.use(step) for step in left_out if step.id not in planned}
    return {step: use[1] for step, use in uses.items() if use is not None}


def _mark(number: int) -> str:
    letter = chr(ord("A") + number % 26)
    return letter if number < 26 else f"{letter}{number // 26 + 1}"


def _typed(use: Use, line: ResolvedLine) -> Amount | None:
    return line.line.amount if use.share == 1 else None


def _spare(item: ResolvedRecipe, step_id: str, line: ResolvedLine) -> Amount | None:
    """Return what the further takes of a step lose of a line."""
    step = next((each for each in item.recipe.steps if each.id == step_id), None)
    takes = step.shot.takes - 1 if step is not None and step.shot is not None else 0
    return line.line.single_use.scaled(Fraction(takes)) if line.line.single_use is not None and takes > 0 else None


# ---------------------------------------------------------------------------------------------------- the hob


def _on_heat(plan_input: PlanInput, schedule: Schedule) -> tuple[tuple[int, int], ...]:
    """Return when at least one ring is on: somebody is named at the hob for every minute of it."""
    on = {activity.id for activity in plan_input.activities if any(name == "ring" for name, _ in activity.needs)}
    spans = sorted((item.start_s, item.end_s) for item in schedule.assignments if item.activity in on)
    merged: list[tuple[int, int]] = []
    for start, end in spans:
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], end))
        elif end > start:
            merged.append((start, end))
    return tuple(merged)
