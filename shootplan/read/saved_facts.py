"""
The facts of a saved edition apart from money: amounts, texts, times, the day, the cut, allergens.

Parts of ``plan.json`` come in, facts go out in the order of the file.
"""

from __future__ import annotations

from collections.abc import Iterator

from shootplan.model.changes import Fact, FactKind
from shootplan.model.show import amount_text, exact_text, range_text, running_text
from shootplan.read.saved_values import Part

__all__ = [
    "care_facts",
    "cut_facts",
    "day_facts",
    "episode_facts",
    "filmed_facts",
    "recipe_facts",
    "text_facts",
    "time_facts",
]

_SETTINGS = ("title", "date", "call", "publish", "currency", "locale", "staples")


def episode_facts(episode: Part) -> Iterator[Fact]:
    """Yield the settings of the episode."""
    for name in _SETTINGS:
        found = episode.get(name)
        if found is not None:
            yield Fact(key=("episode", name), kind=FactKind.EPISODE, about="", label=name, shown=found.text())


# ---------------------------------------------------------------------------------------------------- recipes


def recipe_facts(recipes: Part) -> Iterator[Fact]:
    """Yield each recipe with its servings and the amount of every line as printed and as bought."""
    for recipe in recipes:
        about = recipe["id"].text()
        title = recipe["title"].text()
        yield Fact(key=("recipe", about), kind=FactKind.RECIPE, about=about, label="title", shown=title)
        serves = recipe.get("serves")
        if serves is not None:
            shown = _serves(serves)
            yield Fact(key=("serves", about), kind=FactKind.RECIPE, about=about, label="serves", shown=shown)
        for line in recipe["lines"]:
            yield from _line_facts(about, line)


def _serves(serves: Part) -> str:
    small = serves.get("small")
    return str(serves["hearty"].whole()) + (f", {small.whole()} small" if small is not None else "")


def _line_facts(about: str, line: Part) -> Iterator[Fact]:
    item, key = line["item"].text(), line["id"].text()
    shown, exact = _measured(line["measured"])
    form = line.get("form")
    words = form.text() if form is not None else ""
    shown = ", ".join(filter(None, (shown or "no amount", words)))
    yield Fact(
        key=("amount", about, key), kind=FactKind.AMOUNT, about=about, label=item, shown=shown,
        exact=f"{exact}|{words}",
    )  # fmt: skip
    bought = line.get("as_bought")
    if bought is not None:
        amount = bought.amount()
        yield Fact(
            key=("as bought", about, key), kind=FactKind.AMOUNT, about=about, label=f"{item}, as bought",
            shown=amount_text(amount), exact=f"{exact_text(amount.low)} {exact_text(amount.high)} {amount.unit}",
        )  # fmt: skip


def _measured(measured: Part) -> tuple[str, str]:
    """Return both measures as printed, and the exact ones."""
    shown, exact = [], []
    metric, household = measured.get("metric_shown"), measured.get("household_shown")
    if metric is not None:
        shown.append(amount_text(metric.amount()))
    if household is not None:
        shown.append(" + ".join(amount_text(part.amount()) for part in household))
    for name in ("metric", "household"):
        found = measured.get(name)
        if found is not None:
            amount = found.amount()
            exact.append(f"{exact_text(amount.low)} {exact_text(amount.high)} {amount.unit}")
    told = list(dict.fromkeys(filter(None, shown)))
    return " (".join(told) + (")" if len(told) > 1 else ""), ";".join(exact)


# ------------------------------------------------------------------------------------------------------ texts


def text_facts(texts: Part) -> Iterator[Fact]:
    """Yield every text that is printed: headnotes, method, how to serve and keep, notes."""
    yield from _printed("", texts, ("headnote",))
    for recipe in texts["recipes"]:
        about = recipe["id"].text()
        yield from _printed(about, recipe, ("headnote", "serve", "keep", "notes"))
        for step in recipe["steps"]:
            name = step["id"].text()
            shown = step["text"]["printed"].text()
            if shown:
                yield Fact(key=("step", about, name), kind=FactKind.TEXT, about=about, label=name, shown=shown)


def _printed(about: str, holder: Part, names: tuple[str, ...]) -> Iterator[Fact]:
    for name in names:
        found = holder.get(name)
        shown = found["printed"].text() if found is not None else ""
        if shown:
            yield Fact(key=("text", about, name), kind=FactKind.TEXT, about=about, label=name, shown=shown)


# ------------------------------------------------------------------------------------------------------ times


def time_facts(times: Part) -> Iterator[Fact]:
    """Yield hands-on, waiting and elapsed time of each recipe and of the episode."""
    for recipe in times["recipes"]:
        about = recipe["recipe"].text()
        for name, label in (("active", "hands-on"), ("passive", "waiting"), ("elapsed", "start to table")):
            yield _span(recipe, name, label, about)
    for name, label in (("active", "hands-on, all recipes"), ("elapsed", "start to table, all recipes")):
        yield _span(times, name, label, "")


def _span(holder: Part, name: str, label: str, about: str) -> Fact:
    low, high = holder[name]["low_s"].whole(), holder[name]["high_s"].whole()
    return Fact(
        key=("time", about, name), kind=FactKind.TIME, about=about, label=label, shown=range_text(low, high),
        exact=f"{low} {high}",
    )  # fmt: skip


def day_facts(day: Part) -> Iterator[Fact]:
    """Yield when the day wraps and each row by the clock."""
    wrap = day.get("wrap_s")
    if wrap is not None:
        yield Fact(key=("wrap",), kind=FactKind.DAY, about="", label="wrap, from call", shown=_clock(wrap.whole()))
    seen: dict[str, int] = {}
    for row in day["rows"]:
        label = row["label"].text()
        seen[label] = seen.get(label, 0) + 1
        shown = f"{_clock(row['clock_s'].whole())} to {_clock(row['end_s'].whole())}"
        yield Fact(key=("row", label, str(seen[label])), kind=FactKind.DAY, about="", label=label, shown=shown)


def filmed_facts(day: Part) -> Iterator[Fact]:
    """Yield when the filmed day wraps, what is picked up later, and each shot and step by the clock."""
    yield Fact(
        key=("filmed wrap",), kind=FactKind.FILMED, about="", label="wrap of the filmed day, from call",
        shown=_clock(day["wrap_s"].whole()),
    )  # fmt: skip
    for shot in day["pick_ups"]:
        recipe, step = shot["recipe"].text(), shot["step"].text()
        yield Fact(
            key=("picked up", recipe, step), kind=FactKind.FILMED, about=recipe, label=f"{recipe}: {step}, picked up",
            shown=f"from {shot['set_up'].text()}",
        )  # fmt: skip
    seen: dict[str, int] = {}
    for row in day["rows"]:
        if row["kind"].text() not in ("shot", "step", "left"):
            continue
        label = row["what"].text()
        seen[label] = seen.get(label, 0) + 1
        shown = f"{row['clock'].text()} to {row['until'].text()}, {row['set_up'].text()}".removesuffix(", ")
        yield Fact(
            key=("filmed row", label, str(seen[label])), kind=FactKind.FILMED, about="", label=label, shown=shown
        )  # fmt: skip


def _clock(seconds: int) -> str:
    sign, seconds = ("-" if seconds < 0 else "+"), abs(seconds)
    return f"{sign}{seconds // 3600}:{seconds // 60 % 60:02}" + (f":{seconds % 60:02}" if seconds % 60 else "")


# -------------------------------------------------------------------------------------------------------- cut


def cut_facts(cut: Part) -> Iterator[Fact]:
    """Yield the length of the video, every caption in the picture and every narration in the sound."""
    length = cut["length_ms"].whole()
    yield Fact(
        key=("length",), kind=FactKind.LENGTH, about="", label="length of the video", shown=running_text(length),
        exact=str(length),
    )  # fmt: skip
    recipe_of: dict[str, str] = {}
    for section in cut["sections"]:
        for row in section["rows"]:
            name, say = row["id"].text(), row.get("say")
            recipe = row.get("recipe")
            recipe_of[name] = recipe.text() if recipe is not None else ""
            if say is not None and say.text():
                at = running_text(row["start_ms"].whole())
                yield Fact(
                    key=("say", name), kind=FactKind.NARRATION, about=recipe_of[name], label=f"{at} {name}",
                    shown=say.text(),
                )  # fmt: skip
    for caption in cut["captions"]:
        at = running_text(caption["in_ms"].whole())
        yield Fact(
            key=("caption", caption["id"].text()), kind=FactKind.CAPTION,
            about=recipe_of.get(caption["row"].text(), ""), label=f"{at} {caption['id'].text()}",
            shown=caption["text"].text().replace("\n", " / "),
        )  # fmt: skip


# ------------------------------------------------------------------------------------------------------- care


def care_facts(care: Part) -> Iterator[Fact]:
    """Yield the allergens of each dish, of each option and of each alternate, and the cautions."""
    for recipe in care:
        about = recipe["recipe"].text()
        for part in (recipe["core"], *recipe["options"], *recipe["alternates"]):
            name = part["name"].text()
            notes = [f"{note['certainty'].text()} {note['group'].text()}" for note in part["notes"]]
            notes += [f"by the price book: {word.text()}" for word in part["stated"]]
            label = "allergens" + (f" of {name}" if name else "")
            yield Fact(
                key=("allergens", about, name), kind=FactKind.ALLERGEN, about=about, label=label,
                shown=", ".join(notes) or "none named",
            )  # fmt: skip
        for hazard in recipe["hazards"]:
            name = hazard["id"].text()
            yield Fact(
                key=("hazard", about, name), kind=FactKind.ALLERGEN, about=about, label="caution",
                shown=hazard["title"].text(),
            )  # fmt: skip
