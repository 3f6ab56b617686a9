"""The plan stage: steps → ``PlanInput`` → ``SolveResult``; see DEVELOPERS.md. Its solver is imported last."""

from pathlib import Path

from shootplan.plan.planner import is_sound, solve

__all__ = ["is_sound", "own_files", "solve"]


def own_files() -> tuple[Path, ...]:
    """Return the planner's own files, on which every plan depends; sorted."""
    return tuple(sorted(Path(__file__).parent.glob("*.py")))
