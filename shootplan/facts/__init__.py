"""
One figure for each fact: printed, shown on the screen, and said out.

A resolved episode with its costs and times comes in; every text of the episode goes out with its placeholders replaced.
The stage computes no cost, time or amount: it says what the earlier stages found, three ways.
"""

from __future__ import annotations

from shootplan.facts.book import FactBook
from shootplan.facts.fill import fill_and_compare, fill_episode

__all__ = ["FactBook", "fill_and_compare", "fill_episode"]
