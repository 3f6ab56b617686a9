"""
Make the shipped food tables from the collected figures: ``python shootplan/data/build_tables.py``.

In: ``reference/*.csv`` beside this file. Out: ``tables/*.csv``, the columns that the program needs, in a fixed order,
long source names shortened as SOURCE.md says. The script changes no figure and drops no row but triggers that are
trade marks.
"""

from __future__ import annotations

import csv
import statistics
import sys
from collections import defaultdict
from io import StringIO
from pathlib import Path

HERE = Path(__file__).resolve().parent
SHORT = (
    (", quoted in stored pages", ""),
    (", quoted in a stored page", ""),
    ("; 1st-edition text read in a stored copy", ""),
    (
        "USDA ARS, National Nutrient Database for Standard Reference, Release 28 (SR28, 2015 rev. 2016), ",
        "USDA SR28 ",
    ),
    ("USDA FSIS, FoodKeeper data, file FMA-Data-v128 (2018-09-06), ", "USDA FSIS FoodKeeper v128, "),
    (
        "Regulation (EU) No 1169/2011, Annex II; US FALCPA 2004 + FASTER Act 2021 (sesame from 1 January 2023), "
        "21 U.S.C. 321(qq)",
        "Regulation (EU) No 1169/2011 Annex II; US FALCPA 2004 and FASTER Act 2021",
    ),
)
#: Trade marks among the allergen triggers: the program names no brand.
TRADE_MARKS = frozenset({"nutella", "kamut"})
#: What a guard's own note says it does hold: guard → (EU groups, US groups, certainty). A guard hides the words inside
#: it ("almond butter" is not butter), so what is true of the whole must be said of the whole.
GUARD_HOLDS = {
    "almond butter": ("nuts", "tree nuts", "contains"),
    "nut butter": ("nuts", "tree nuts", "usually"),
    "cream crackers": ("gluten", "wheat", "contains"),
    "buckwheat noodles": ("gluten", "wheat", "may"),
    "doughnut": ("gluten;eggs;milk", "wheat;eggs;milk", "usually"),
    "oyster sauce, vegan": ("gluten;soya", "wheat;soybeans", "usually"),
    "prawn cracker": ("crustaceans", "crustacean shellfish", "contains"),
    "bombay duck": ("fish", "fish", "contains"),
    "goldfish crackers": ("gluten;milk", "wheat;milk", "contains"),
    "mustard fruit": ("mustard", "-", "contains"),
    "wheatgrass": ("gluten", "wheat", "may"),
    "vegetable suet": ("gluten", "wheat", "usually"),
    "celery root": ("celery", "-", "contains"),
    "vegan cheese": ("nuts;soya", "tree nuts;soybeans", "may"),
    "vegan butter": ("soya", "soybeans", "may"),
    "coconut milk": ("sulphites", "-", "may"),
}
_PRACTICE = "common practice, no source"
#: Rows that the collected list lacks: (trigger, match, EU groups, US groups, certainty, note).
ADDED = (
    ("custard powder", "guard", "", "", "guard", "cornflour, no egg as a rule: read the label"),
    ("egg free", "guard", "", "", "guard", "says that there is none"),
    ("dairy free", "guard", "", "", "guard", "says that there is none"),
    ("egg noodles", "word", "eggs", "eggs", "contains", "named after the egg in them"),
    ("shortbread", "word", "gluten;milk", "wheat;milk", "usually", "butter biscuit"),
    ("gnocchi", "word", "gluten", "wheat", "usually", "often with egg"),
    ("worcestershire sauce", "word", "fish", "fish", "usually", "anchovies; malt vinegar in some"),
)
#: Further names of foods, and foods without a weight in the collected tables: a name is no figure, so that a line can
#: be understood and its weight said to be unknown. (name, synonyms, category, state)
NAMES = (
    ("white rice, long-grain, dry", "basmati rice;jasmine rice;long-grain rice", "grain", "dry"),
    ("split peas, dried", "yellow peas, dried;green peas, dried;dried peas", "pulse", "dry"),
    ("peas, frozen", "petits pois, frozen;garden peas, frozen", "vegetable", "frozen"),
    ("sweetcorn, canned", "corn, canned;sweet corn, canned;corn kernels, canned", "vegetable", "canned"),
    ("butter beans, canned", "lima beans, canned", "pulse", "canned"),
    ("tomatoes, canned", "plum tomatoes, canned;whole peeled tomatoes, canned", "tomato", "canned"),
    ("bacon, raw", "streaky bacon;back bacon;smoked bacon;unsmoked bacon;bacon", "meat", "raw"),
    ("pasta, dry", "dried pasta;pasta", "pasta", "dry"),
    ("rice noodles, dry", "rice noodles;rice vermicelli", "pasta", "dry"),
)
#: Words of USDA's own description that say that the weight is of a food in its skin.
IN_SKIN = ("flesh and skin", "with skin", "with peel", "includes skin")
#: Table: (reference file, columns kept).
KEPT = {
    "weights": (
        "household_weights",
        (
            "name", "synonyms", "category", "state", "measure", "size", "qualifier", "grams", "density_kg_per_l",
            "skin", "source",
        ),
    ),
    "yields": ("yields", ("name", "synonyms", "kind", "from_state", "to_state", "yield_pct", "what_is_lost", "source")),
    "storage": (
        "storage",
        (
            "food", "trigger_words", "fridge_min_days", "fridge_max_days", "fridge_counted", "opened_max_days",
            "freezer_min_days", "freezer_max_days", "pantry_max_days", "note", "source",
        ),
    ),
    "simmering": (
        "soaking_cooking_times",
        ("food", "synonyms", "soak_min_h", "soak_max_h", "simmer_min_min", "simmer_max_min", "note", "source"),
    ),
    "temperatures": (
        "safe_temperatures",
        ("item", "trigger_words", "kind", "temp_c", "hold", "rest_min", "audience", "note", "source", "confidence"),
    ),
    "hazards": (
        "hazards",
        (
            "id", "hazard", "trigger_words", "not_when", "rule", "limits", "severity", "audience", "note", "source",
            "confidence",
        ),
    ),
    "allergens": (
        "allergens", ("id", "trigger", "match", "eu14", "us9", "certainty", "note", "source", "confidence"),
    ),
}  # fmt: skip


def read(name: str) -> list[dict[str, str]]:
    """Return the rows of a reference file."""
    with (HERE / "reference" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row["skin"] = "yes" if any(words in row.get("usda_food", "") for words in IN_SKIN) else ""
    return [row for row in rows if row.get("trigger") not in TRADE_MARKS]


def shortened(source: str) -> str:
    """Return a source with the long publishers' names shortened."""
    for long, short in SHORT:
        source = source.replace(long, short)
    return source


def text(columns: tuple[str, ...], rows: list[dict[str, str]]) -> str:
    """Return rows as CSV with line feeds."""
    out = StringIO()
    writer = csv.DictWriter(out, columns, extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows({**row, "source": shortened(row.get("source", ""))} for row in rows)
    return out.getvalue()


def allergen_rows() -> list[dict[str, str]]:
    """Return the collected triggers and guards, guards with what they hold, and the added rows."""
    made = []
    for row in read("allergens"):
        if row["match"] == "guard" and row["trigger"] in GUARD_HOLDS:
            eu14, us9, certainty = GUARD_HOLDS[row["trigger"]]
            row = {**row, "eu14": eu14, "us9": us9, "certainty": certainty}
        made.append(row)
    columns = ("trigger", "match", "eu14", "us9", "certainty", "note")
    for number, values in enumerate(ADDED, start=1):
        extra = {"id": f"x{number:02}", "source": _PRACTICE, "confidence": "common practice"}
        made.append({**dict(zip(columns, values, strict=True)), **extra})
    return made


def name_rows() -> list[dict[str, str]]:
    """Return the further names."""
    columns = ("name", "synonyms", "category", "state", "source")
    return [dict(zip(columns, (*values, _PRACTICE), strict=True)) for values in NAMES]


def medians() -> list[dict[str, str]]:
    """Return the median density of each category and state with at least four foods, with quartiles (kg per litre)."""
    groups: dict[tuple[str, str], dict[str, float]] = defaultdict(dict)
    for row in read("household_weights"):
        if row["density_kg_per_l"] and row["measure"] == "cup" and not row["qualifier"]:
            groups[row["category"], row["state"]].setdefault(row["name"], float(row["density_kg_per_l"]))
    made = []
    for (category, state), foods in sorted(groups.items()):
        values = sorted(foods.values())
        if len(values) >= 4:
            low, middle, high = statistics.quantiles(values, n=4)
            made.append(
                {
                    "category": category, "state": state, "median": f"{middle:.3f}", "low": f"{low:.3f}",
                    "high": f"{high:.3f}", "foods": str(len(values)),
                    "source": "median of USDA SR28 cup weights in this category",
                }
            )  # fmt: skip
    return made


def tables() -> dict[str, str]:
    """Return every shipped table as text by file name."""
    made = {f"{name}.csv": text(columns, read(file)) for name, (file, columns) in KEPT.items()}
    made["allergens.csv"] = text(KEPT["allergens"][1], allergen_rows())
    made["names.csv"] = text(("name", "synonyms", "category", "state", "source"), name_rows())
    made["densities.csv"] = text(("category", "state", "median", "low", "high", "foods", "source"), medians())
    return made


def main() -> None:
    """Write the tables beside this script."""
    folder = HERE / "tables"
    folder.mkdir(exist_ok=True)
    for name, content in sorted(tables().items()):
        (folder / name).write_text(content, encoding="utf-8", newline="\n")
        sys.stdout.write(f"{name}: {len(content.splitlines()) - 1} rows\n")


if __name__ == "__main__":
    main()
