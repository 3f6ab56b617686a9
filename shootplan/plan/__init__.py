"""The plan stage: steps → ``PlanInput`` → ``SolveResult``; see DEVELOPERS.md. Its solver is imported last."""

from shootplan.plan.planner import solve

__all__ = ["solve"]
