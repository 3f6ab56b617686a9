"""
The reading stage: the user's plain text in, the model out, every value with its file, line and column.

``read_episode`` reads a whole folder; the others read one file each. Nothing is looked up or computed here.
"""

from __future__ import annotations

from shootplan.read.episode import read_episode
from shootplan.read.front_matter import read_front_matter
from shootplan.read.kitchen import read_kitchen
from shootplan.read.prices import read_prices
from shootplan.read.recipe import read_recipe

__all__ = ["read_episode", "read_front_matter", "read_kitchen", "read_prices", "read_recipe"]
