"""The use case script: the texts with their figures, laid out on the cut clock. Nothing is planned for the day."""

from __future__ import annotations

from shootplan.app import Loaded, Solver, cost, times
from shootplan.model.cut import Cut
from shootplan.model.filled import FilledEpisode
from shootplan.model.resolved import ResolvedEpisode
from shootplan.problems import Finding, InputError, Problem
from shootplan.records import dataclass

__all__ = ["Scripted", "script"]

_TIMES = ("active time}", "waiting time}", "elapsed time}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Scripted:
    """The timed script of an episode, its filled texts, and what was found on the way."""

    cut: Cut
    filled: FilledEpisode
    problems: tuple[Problem, ...] = ()
    findings: tuple[Finding, ...] = ()


def script(loaded: Loaded, *, solver: Solver | None = None) -> Scripted:
    """
    Return the timed script.

    The recipes are timed only where a text asks for their times, since that needs the planner.

    Raises
    ------
    InputError
        If a placeholder names nothing that is known.
    """
    from shootplan.cost import care_of
    from shootplan.facts import FactBook, fill_episode
    from shootplan.facts.spoken_order import first_spoken
    from shootplan.timing import cut_episode
    from shootplan.timing.chapters import chapter_findings

    costs, _ = cost(loaded)
    kitchen_times = times(loaded, solver=solver) if _speaks_of_times(loaded.resolved) else None
    filled, problems = fill_episode(FactBook(loaded.resolved, costs, kitchen_times, care_of(loaded.resolved)))
    if any(problem.is_error for problem in problems):
        raise InputError((*loaded.problems, *problems))
    cut, findings = cut_episode(loaded.resolved, filled, first_spoken)
    return Scripted(
        cut=cut, filled=filled, problems=(*loaded.problems, *problems), findings=(*findings, *chapter_findings(cut))
    )


def _speaks_of_times(resolved: ResolvedEpisode) -> bool:
    """Return whether narration or a caption holds a time of the kitchen clock."""
    episode = resolved.episode
    recipes = (step for recipe in resolved.recipes for step in recipe.recipe.steps)
    steps = (*episode.opening, *episode.between, *episode.closing, *recipes)
    return any(name in text for step in steps for text in (step.say, step.caption) for name in _TIMES)
