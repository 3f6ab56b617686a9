"""Everything that has been computed for an episode, in one value: what ``render`` lays out and ``plan.json`` holds."""

from __future__ import annotations

from shootplan.model.agreement import Agreement
from shootplan.model.care import RecipeCare
from shootplan.model.costing import EpisodeCost
from shootplan.model.cut import Cut
from shootplan.model.day import DayRow, EquipmentPeak, IdleGap
from shootplan.model.filled import FilledEpisode
from shootplan.model.filmed_day import FilmedDay
from shootplan.model.planning import ChainLink, PlanInput, SolveResult
from shootplan.model.prep import Prep
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.shopping import Shopping
from shootplan.model.swaps import SwapReport
from shootplan.model.times import EpisodeTimes
from shootplan.problems import Finding, Problem
from shootplan.records import dataclass

__all__ = ["Publication"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Publication:
    """
    All results for one episode, computed once; documents only lay them out.

    ``plan_input`` and ``plan`` are the day's interleaved plan, seconds from call; ``day`` are its rows by the clock and
    ``peaks`` the most of each equipment in use at once. ``shopping`` is what to buy with every option; ``care`` what
    must be minded with each dish. ``swaps`` are the swap-outs that the episode chooses, which ``plan`` reckons with.
    ``agreement`` is what the typed figures say of the facts, ``prep`` what the crew prepares.
    ``chain`` is what decides wrap, ``gaps`` are the stretches in which somebody has nothing to do. ``filmed`` is the
    shoot day with cameras, where it was asked for.
    """

    resolved: ResolvedEpisode
    costs: EpisodeCost
    times: EpisodeTimes
    plan_input: PlanInput
    plan: SolveResult
    filled: FilledEpisode
    cut: Cut
    findings: tuple[Finding, ...] = ()
    problems: tuple[Problem, ...] = ()
    shopping: Shopping | None = None
    care: tuple[RecipeCare, ...] = ()
    day: tuple[DayRow, ...] = ()
    peaks: tuple[EquipmentPeak, ...] = ()
    swaps: SwapReport | None = None
    agreement: Agreement | None = None
    chain: tuple[ChainLink, ...] = ()
    gaps: tuple[IdleGap, ...] = ()
    filmed: FilmedDay | None = None
    prep: Prep | None = None
