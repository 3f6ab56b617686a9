"""Small episodes written as text for the tests of the planning commands."""

from __future__ import annotations

from pathlib import Path

KITCHEN = """
[[people]]
name = "cook"
[hob]
rings = 2
[hours]
evening = "18:00–20:00"
"""
PRICES = """item,pack,price,date
beans,1000 g,3.20,2026-11-18
herbs,100 g,2.00,2026-11-18
flour,1000 g,1.10,2026-11-18
"""


def recipe(title: str, ingredients: str, *steps: str) -> str:
    """Return a recipe of steps written "Name | text | field: value | …"."""
    lines = ["---", "serves: 4", "---", f"# {title}", "", "## Ingredients", ingredients, "", "## Method"]
    for number, step in enumerate(steps, start=1):
        name, text, *fields = (part.strip() for part in step.split("|"))
        lines.append(f"{number}. **{name}.** {text}")
        lines += [f"   - {item}" for item in fields]
    return "\n".join(lines) + "\n"


def write_episode(
    folder: Path, recipes: dict[str, str], *, more: str = "", kitchen: str = KITCHEN, prices: str = PRICES
) -> Path:
    """Write an episode with the recipes in order; ``more`` are lines of front matter."""
    (folder / "recipes").mkdir(parents=True)
    links = "\n".join(f"{k}. [{name}](recipes/{name}.md)" for k, name in enumerate(recipes, start=1))
    front = f"date: 2026-11-20\ncurrency: GBP\ncall: 09:00\nmeasures: metric\n{more}"
    (folder / "episode.md").write_text(f"---\n{front}\n---\n# Test\n\n## Recipes\n\n{links}\n", encoding="utf-8")
    (folder / "kitchen.toml").write_text(kitchen, encoding="utf-8")
    (folder / "prices.csv").write_text(prices, encoding="utf-8")
    for name, text in recipes.items():
        (folder / "recipes" / f"{name}.md").write_text(text, encoding="utf-8")
    return folder


def pot_and_pan(folder: Path, *, more: str = "") -> Path:
    """
    Write the two dishes of the worked swap-out sheet.

    K: chop 10 H, simmer 45 U, plate 5 H. L: mix 12 H, rest 20 U, fry 10 H, plate 5 H. K's pot takes 1 kg of beans at
    3.20 and its plate 50 g of herbs, L's batter 1 kg of flour at 1.10.
    """
    pot = recipe(
        "Pot",
        "- 1000 g beans\n- 50 g herbs",
        "Chop | Chop the [beans]. | hands: 10 min | pausable: no",
        "Simmer | Simmer. | leave: 45 min | uses: ring | until: soft | swap-out: yes | keeps: 2 days",
        "Plate the pot | Plate with the [herbs]. | hands: 5 min",
    )
    pan = recipe(
        "Pan",
        "- 1000 g flour",
        "Mix | Mix the [flour]. | hands: 12 min | pausable: no",
        "Rest | Let it rest. | leave: 20 min | swap-out: yes | keeps: 2 h",
        "Fry | Fry. | hands: 10 min | uses: ring | until: gold",
        "Plate the pan | Plate. | hands: 5 min",
    )
    return write_episode(folder, {"pot": pot, "pan": pan}, more=more)


_TWO_DAYS = """---
date: 2026-11-20
currency: GBP
measures: metric
days: 2026-11-20 08:00–16:00, 2026-11-21 08:00–16:00
---
# Two days

## Recipes

1. [one](recipes/one.md)
2. [two](recipes/two.md)
"""


def write_two_days(folder: Path) -> Path:
    """Write an episode of two dishes of 300 min, of which a day holds one."""
    text = recipe("Dish", "- 500 g beans", "{} | Do the [beans]. | hands: 300 min | pausable: no")
    write_episode(folder, {"one": text.format("Cut"), "two": text.format("Slice")})
    (folder / "episode.md").write_text(_TWO_DAYS, encoding="utf-8")
    return folder
