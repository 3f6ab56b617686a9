"""
The reference figures of the three demo episodes, as plain data.

Source: the home economist's worked sheet for the demo episodes, made for this project and worked independently of the
program, with exact arithmetic shown to 4 places; transcribed by hand 2026-11-25. Dishes, prices and shops are invented.
Costs are cost used, in the episode's currency; times are minutes on the kitchen clock, one cook, no options, steps done
ahead left out, at the short and at the long end. Nothing here is computed.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

__all__ = ["EPISODES", "RECIPES", "ClaimReference", "EpisodeReference", "RecipeReference", "episode_folder"]

_ROOT = Path(__file__).parents[2] / "demo_episodes"


@dataclass(frozen=True, slots=True, kw_only=True)
class RecipeReference:
    """
    One recipe of the sheet; ``small`` counts small servings where the sheet has them.

    ``core`` and ``options`` are the whole recipe to 4 places, ``per_core`` and ``per_options`` a hearty serving to 4
    places, the ``shown_`` figures as printed. ``lines`` are the cost used of each ingredient in the sheet's order.
    """

    hearty: int
    core: Decimal
    options: Decimal
    per_core: Decimal
    per_options: Decimal
    shown_core: Decimal
    shown_options: Decimal
    lines: tuple[Decimal, ...]
    active: tuple[int, int]
    unattended: tuple[int, int]
    elapsed: tuple[int, int]
    passive: tuple[int, int]
    allergens: str
    small: int | None = None
    shown_small_core: Decimal | None = None
    shown_small_options: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimReference:
    """A claim as an author types it, whether it may be made, and the figure that decides, as printed."""

    text: str
    holds: bool
    shown: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeReference:
    """An episode of the sheet: cost used to 4 places, the till from an empty cupboard without doubles, the claims."""

    currency: str
    recipes: tuple[str, ...]
    core: Decimal
    options: Decimal
    till_core: Decimal
    till_options: Decimal
    claims: tuple[ClaimReference, ...]


def episode_folder(name: str) -> str:
    """Return the folder of a demo episode, as a user would type it."""
    return (_ROOT / name).as_posix()


def _decimals(text: str) -> tuple[Decimal, ...]:
    return tuple(Decimal(word) for word in text.split())


def _recipe(
    hearty: int,
    cost: str,
    shown: str,
    lines: str,
    *,
    times: tuple[tuple[int, int], tuple[int, int], tuple[int, int], tuple[int, int]],
    allergens: str,
    small: int | None = None,
    small_shown: str = "",
) -> RecipeReference:
    """``cost``: core, per serving, with options, per serving; ``shown``: per serving core and with options."""
    core, per_core, options, per_options = _decimals(cost)
    shown_core, shown_options = _decimals(shown)
    small_figures = _decimals(small_shown)
    active, unattended, elapsed, passive = times
    return RecipeReference(
        hearty=hearty,
        core=core,
        options=options,
        per_core=per_core,
        per_options=per_options,
        shown_core=shown_core,
        shown_options=shown_options,
        lines=_decimals(lines),
        active=active,
        unattended=unattended,
        elapsed=elapsed,
        passive=passive,
        allergens=allergens,
        small=small,
        shown_small_core=small_figures[0] if small_figures else None,
        shown_small_options=small_figures[1] if small_figures else None,
    )


#: Times are (active), (sum of unattended), (elapsed), (passive), each at the short and at the long end.
RECIPES: dict[str, RecipeReference] = {
    "leek-bean-bake": _recipe(
        4,
        "5.1090 1.2773 5.3257 1.3314",
        "1.28 1.33",
        "0.7020 1.6000 1.4000 0.1875 0.0293 0.0600 0.0136 0.2614 0.0833 0.0750 0.2229 0.4714 0.0026 0.2167",
        times=((25, 33), (70, 84), (62, 75), (37, 42)),
        allergens="milk, gluten (flour), mustard; read the stock-cube label (celery)",
        small=6,
        small_shown="0.85 0.89",
    ),
    "crumb-cabbage": _recipe(
        4,
        "1.4114 0.3528 1.4328 0.3582",
        "0.35 0.36",
        "0.9500 0.0950 0.1114 0.0293 0.0600 0.1500 0.0013 0.0144 0.0214",
        times=((17, 20), (6, 8), (17, 21), (0, 1)),
        allergens="gluten (bread), milk; read the bread label (soya, sesame)",
    ),
    "oat-crumble": _recipe(
        4,
        "3.2852 0.8213 3.5752 0.8938",
        "0.82 0.89",
        "1.5200 0.0938 0.0585 0.1500 0.0708 0.0880 0.1885 0.6766 0.0004 0.3486 0.0900 0.2900",
        times=((26, 32), (57, 65), (63, 71), (37, 39)),
        allergens="gluten (flour, oats), milk, nuts (almonds, optional)",
        small=6,
        small_shown="0.55 0.60",
    ),
    "pea-soup": _recipe(
        6,
        "38.2324 6.3721 40.0971 6.6828",
        "6.37 6.68",
        "16.9000 3.5760 2.7800 4.4850 0.5235 3.1500 2.4833 1.1175 0.8600 0.1161 2.2410 1.8647",
        times=((23, 27), (98, 123), (115, 142), (92, 115)),
        allergens="celery (celeriac counts), mustard, sulphites (wine vinegar in the optional pickle); "
        "read the cube label",
        small=8,
        small_shown="4.78 5.01",
    ),
    "rye-loaf": _recipe(
        8,
        "12.6708 1.5839 13.1688 1.6461",
        "1.58 1.65",
        "4.8825 2.7480 0.9950 1.9920 0.9800 0.1548 0.7440 0.1745 0.4980",
        times=((23, 29), (245, 310), (246, 310), (223, 281)),
        allergens="gluten (wheat, rye, oats)",
    ),
    "cardamom-knots": _recipe(
        16,
        "48.8807 3.0550 49.8359 3.1147",
        "3.06 3.11",
        "4.5990 3.7250 16.4700 2.0786 2.4500 16.6111 0.0387 2.9083 0.9552",
        times=((42, 51), (183, 217), (150, 185), (108, 134)),
        allergens="gluten (wheat), milk, egg",
    ),
    "fried-rice": _recipe(
        2,
        "2.4964 1.2482 2.6259 1.3129",
        "1.25 1.31",
        "0.3850 0.7000 0.4886 0.1759 0.4064 0.1645 0.0871 0.0890 0.1295",
        times=((15, 20), (0, 0), (15, 20), (0, 0)),
        allergens="egg, soya and gluten (soy sauce), sesame (optional oil)",
    ),
    "peanut-noodles": _recipe(
        2,
        "2.6533 1.3267 2.8028 1.4014",
        "1.33 1.40",
        "1.1160 0.2875 0.1097 0.1475 0.0060 0.0890 0.8950 0.0027 0.1495",
        times=((12, 17), (15, 18), (15, 21), (3, 4)),
        allergens="gluten (noodles, soy sauce), peanut, soya; read the noodle label (egg)",
    ),
    "bean-toast": _recipe(
        2,
        "4.0317 2.0158 4.5111 2.2555",
        "2.02 2.26",
        "0.7799 1.6900 1.0975 0.0890 0.1741 0.1494 0.0492 0.0027 0.4794",
        times=((16, 22), (10, 13), (16, 23), (0, 1)),
        allergens="gluten (bread), milk (optional cheese); read the bread label (soya, sesame)",
    ),
    "zucchini-fritters": _recipe(
        2,
        "5.2104 2.6052 5.7054 2.8527",
        "2.61 2.85",
        "1.7560 0.0054 0.1427 0.3500 1.6470 0.4064 0.1741 0.7288 0.4950",
        times=((25, 32), (12, 12), (33, 40), (8, 8)),
        allergens="gluten (flour), egg, milk (feta, yogurt)",
    ),
    "corn-chowder": _recipe(
        2,
        "3.3252 1.6626 3.5284 1.7642",
        "1.66 1.76",
        "1.4037 0.3958 0.2823 0.2001 0.6613 0.2863 0.0931 0.0027 0.2032",
        times=((12, 17), (20, 25), (30, 39), (18, 22)),
        allergens="milk; read the cube label (celery)",
    ),
    "oat-pancakes": _recipe(
        2,
        "3.1379 1.5690 3.3128 1.6564",
        "1.57 1.66",
        "0.4176 0.3591 0.7000 0.1653 0.0642 0.0777 0.0871 1.2475 0.0194 0.1749",
        times=((18, 22), (11, 12), (22, 25), (3, 4)),
        allergens="egg, milk, gluten (oats)",
    ),
}

EPISODES: dict[str, EpisodeReference] = {
    "tuesday-supper": EpisodeReference(
        currency="GBP",
        recipes=("leek-bean-bake", "crumb-cabbage", "oat-crumble"),
        core=Decimal("9.8056"),
        options=Decimal("10.3337"),
        till_core=Decimal("29.21"),
        till_options=Decimal("32.26"),
        claims=(
            ClaimReference(
                text="leek-bean-bake: under 1.30 per serving, without options", holds=True, shown=Decimal("1.28")
            ),
            ClaimReference(
                text="leek-bean-bake: under 1.30 per serving, with options", holds=False, shown=Decimal("1.33")
            ),
            ClaimReference(text="total: under 2.50 per serving, without options", holds=True, shown=Decimal("2.45")),
            ClaimReference(text="total: under 2.50 per serving, with options", holds=False, shown=Decimal("2.58")),
            ClaimReference(text="total: under 2.60 per serving, with options", holds=True, shown=Decimal("2.58")),
        ),
    ),
    "waiting-day": EpisodeReference(
        currency="SEK",
        recipes=("pea-soup", "rye-loaf", "cardamom-knots"),
        core=Decimal("99.7839"),
        options=Decimal("103.1018"),
        till_core=Decimal("474.85"),
        till_options=Decimal("522.04"),
        claims=(
            ClaimReference(text="pea-soup: under 6.50 per serving, without options", holds=True, shown=Decimal("6.37")),
            ClaimReference(text="pea-soup: under 6.50 per serving, with options", holds=False, shown=Decimal("6.68")),
            ClaimReference(
                text="cardamom-knots: about 3.00 per serving, without options", holds=True, shown=Decimal("3.06")
            ),
            ClaimReference(
                text="cardamom-knots: about 3.00 per serving, with options", holds=True, shown=Decimal("3.11")
            ),
        ),
    ),
    "six-lunches": EpisodeReference(
        currency="CAD",
        recipes=(
            "fried-rice",
            "peanut-noodles",
            "bean-toast",
            "zucchini-fritters",
            "corn-chowder",
            "oat-pancakes",
        ),
        core=Decimal("20.8549"),
        options=Decimal("22.4864"),
        till_core=Decimal("116.79"),
        till_options=Decimal("133.55"),
        claims=(
            ClaimReference(
                text="every recipe: under 2.75 per serving, without options", holds=True, shown=Decimal("2.61")
            ),
            ClaimReference(
                text="every recipe: under 2.75 per serving, with options", holds=False, shown=Decimal("2.85")
            ),
            ClaimReference(text="average: under 1.75 per serving, without options", holds=True, shown=Decimal("1.74")),
            ClaimReference(text="average: under 1.75 per serving, with options", holds=False, shown=Decimal("1.87")),
        ),
    ),
}
