"""
The larder: what is known of foods, each figure with its published source.

Text in, figures out; used by ``resolve`` and ``cost``. It knows no recipe, no price and no file of the user's but the
rows of their own table.
"""

from shootplan.larder.allergens import LABEL_NOTE, allergens, allergens_of_all
from shootplan.larder.explain import explain
from shootplan.larder.figures import density, disagreement, edible_yield, fridge_life, grams, simmering
from shootplan.larder.hazards import LOCAL_RULES, hazards
from shootplan.larder.identity import identify, identify_line
from shootplan.larder.own_table import read_own_table

__all__ = [
    "LABEL_NOTE",
    "LOCAL_RULES",
    "allergens",
    "allergens_of_all",
    "density",
    "disagreement",
    "edible_yield",
    "explain",
    "fridge_life",
    "grams",
    "hazards",
    "identify",
    "identify_line",
    "read_own_table",
    "simmering",
]
