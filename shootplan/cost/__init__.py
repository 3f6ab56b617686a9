"""
The cost stage: cost used, options, alternates, the verdict on each claim, and the shopping.

A ``ResolvedEpisode`` comes in. Costs stay exact until something is printed; nothing unknown is ever taken as zero.
"""

from shootplan.cost.care import care_findings, care_of
from shootplan.cost.claim_times import judge_time_claims
from shootplan.cost.currency import cash_rounded, in_second_currency, minor_digits
from shootplan.cost.episode import cost_episode
from shootplan.cost.explained import explain_lines
from shootplan.cost.shopping import shop_episode
from shootplan.cost.swaps import duplicate_cost, duplicate_shares

__all__ = [
    "care_findings",
    "care_of",
    "cash_rounded",
    "cost_episode",
    "duplicate_cost",
    "duplicate_shares",
    "explain_lines",
    "in_second_currency",
    "judge_time_claims",
    "minor_digits",
    "shop_episode",
]
