"""
Kitchen times as they are printed: exact minutes for the crew, rounded outward to five for readers (rule T8).

Computed times come in, ready sentences go out.
"""

from __future__ import annotations

from shootplan.model.clock import MINUTE, Range, Window, minutes_outward
from shootplan.model.recipe import After, LookIn, Recipe, Step, When
from shootplan.model.show import join_words, minutes_text, range_text
from shootplan.model.times import AheadWork, EpisodeTimes, RecipeTimes

__all__ = ["ahead_text", "blog_times", "episode_times", "exact_times", "step_limits", "step_time", "when_text"]


def blog_times(times: RecipeTimes) -> str:
    """Return "Hands-on 25–35 min, waiting 35–45 min, start to table 60–75 min": low down, high up to five minutes."""
    at_least = "at least " if times.unknown else ""
    waiting = "no waiting" if times.passive.high_s == 0 else f"waiting {at_least}{_outward(times.passive)}"
    hands = f"Hands-on {at_least}{_outward(times.active)}"
    return f"{hands}, {waiting}, start to table {at_least}{_outward(times.elapsed)}"


def exact_times(times: RecipeTimes) -> tuple[str, str, str]:
    """Return active, passive and elapsed time, unrounded, led by "at least" while a step has no time."""
    at_least = "at least " if times.unknown else ""
    active, passive, elapsed = (
        at_least + range_text(part.low_s, part.high_s) for part in (times.active, times.passive, times.elapsed)
    )
    return active, passive, elapsed


def episode_times(times: EpisodeTimes) -> tuple[str, str, str]:
    """Return active time, time with free hands, and elapsed time of everything cooked in one go (rule T4)."""
    low, high = sorted((times.hands_free_short_s, times.hands_free_long_s))
    active = range_text(times.active.low_s, times.active.high_s)
    return active, range_text(max(low, 0), max(high, 0)), range_text(times.elapsed.low_s, times.elapsed.high_s)


def ahead_text(work: AheadWork) -> str:
    """Return "Soak the peas: 10–12 h, 2 min of them hands-on"."""
    parts = []
    if work.unattended_high_s is None:
        parts.append(f"at least {minutes_text(work.unattended_low_s)} left alone")
    elif work.unattended_high_s:
        parts.append(f"{range_text(work.unattended_low_s, work.unattended_high_s)} left alone")
    if work.hands.high_s:
        parts.append(f"{range_text(work.hands.low_s, work.hands.high_s)} hands-on")
    return f"{work.label}: {join_words(parts)}" if parts else work.label


def step_time(step: Step) -> str:
    """Return a step's minutes: "hands-on 6–8 min; then leave 12–15 min, looking in every 4 min for 1 min"."""
    parts = []
    if step.hands is not None:
        parts.append(f"hands-on {range_text(step.hands.low_s, step.hands.high_s)}")
    if step.watch is not None:
        parts.append(f"stand by {range_text(step.watch.low_s, step.watch.high_s)}")
    if step.leave is not None:
        parts.append(f"leave {_leave(step.leave)}{_looking_in(step.check)}")
    runs = f", {step.batches} batches in a row" if step.batches > 1 else ""
    return "; then ".join(parts) + runs


def step_limits(step: Step, recipe: Recipe, titles: dict[str, str]) -> tuple[str, ...]:
    """Return the waits that the step's links ask for: "start within 3 min of "Boil the potatoes"."""
    return tuple(text for text in (_limit(after, recipe, titles) for after in step.after or ()) if text)


def when_text(step: Step) -> str:
    """Return whether a step is done before the day, for the method."""
    if step.when is When.DAY:
        return ""
    return "ahead" if step.when is When.AHEAD else "can be done ahead"


def _outward(part: Range) -> str:
    low, high = minutes_outward(part.low_s, part.high_s)
    return range_text(low * MINUTE, high * MINUTE)


def _leave(leave: Range | Window) -> str:
    if isinstance(leave, Range):
        return range_text(leave.low_s, leave.high_s)
    at_most = f", at most {minutes_text(leave.at_most_s)}" if leave.at_most_s is not None else ""
    return f"at least {minutes_text(leave.at_least_s)}{at_most}"


def _looking_in(check: LookIn | None) -> str:
    return (
        f", looking in every {minutes_text(check.every_s)} for {minutes_text(check.for_s)}" if check is not None else ""
    )


def _limit(after: After, recipe: Recipe, titles: dict[str, str]) -> str:
    if after.at_most_s is None and not after.at_least_s:
        return ""
    found = recipe.step(after.step) if not after.recipe else None
    name = found.name if found is not None else after.step
    where = f" ({titles.get(after.recipe, after.recipe)})" if after.recipe else ""
    if after.at_most_s == 0:
        return f"at once after “{name}”{where}"
    least = f"at least {minutes_text(after.at_least_s)}" if after.at_least_s else ""
    most = f"within {minutes_text(after.at_most_s)}" if after.at_most_s is not None else ""
    return f"{join_words([least, most])} after “{name}”{where}"
