"""
One recipe as data for other programs: schema.org/Recipe in JSON-LD, put into its page.

A publication comes in; a mapping of ready values goes out, and a text that may stand in a page. Terms are those of
https://schema.org; times are ISO 8601 durations of the long end, because a single duration cannot hold a range: the
range itself stands in a ``HowToTip`` of its step, in the words of the page.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from fractions import Fraction
from itertools import groupby
from typing import TYPE_CHECKING, Any

from shootplan.model.chapters import Chapter, chapters_of
from shootplan.model.clock import MINUTE, minutes_outward
from shootplan.model.episode import Episode
from shootplan.model.money import Cost
from shootplan.model.quantity import Amount
from shootplan.model.recipe import Equipment, RecipeKind, Step, When
from shootplan.model.resolved import ResolvedLine, ResolvedRecipe
from shootplan.model.show import amount_text, fraction_text, minutes_text, number_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis
from shootplan.render.prose import first_upper, plain_text
from shootplan.render.views_amounts import IngredientRow, group_heading, is_optional, measures, row_of
from shootplan.render.views_blog import counted, keeps_of, serves_text, tools_of
from shootplan.render.views_times import step_time

if TYPE_CHECKING:
    from markupsafe import Markup

__all__ = ["SECTIONS", "data_block", "episode_data", "iso_duration", "recipe_data"]

#: When a step is done, as the name of its section.
SECTIONS = {
    When.AHEAD: "Before the day",
    When.MAY_BE_AHEAD: "Before the day or on it",
    When.DAY: "On the day",
}
#: Diets of schema.org/RestrictedDiet by the author's own words; no other word becomes one.
_DIETS = {
    "diabetic": "DiabeticDiet",
    "gluten-free": "GlutenFreeDiet",
    "halal": "HalalDiet",
    "kosher": "KosherDiet",
    "vegan": "VeganDiet",
    "vegetarian": "VegetarianDiet",
}
#: UN/ECE Recommendation 20 codes of the metric units (from memory).
_UNIT_CODES = {"mg": "MGM", "g": "GRM", "kg": "KGM", "ml": "MLT", "cl": "CLT", "dl": "DLT", "l": "LTR"}


def recipe_data(basis: Basis, recipe_id: str) -> dict[str, Any]:
    """
    Return schema.org/Recipe for a recipe; what is not known is left out, never guessed.

    Raises
    ------
    KeyError
        If there is no such recipe or it has no cost.
    """
    resolved = basis.publication.resolved.recipe(recipe_id)
    if resolved is None:
        raise KeyError(recipe_id)
    maker = _Maker(basis, resolved)
    data = {"@context": "https://schema.org", "@type": "Recipe", **maker.head(), **maker.times(), **maker.stuff()}
    data["recipeInstructions"] = [*maker.method(), *maker.keeping()]
    data["video"] = _video(basis)
    found: dict[str, Any] = _filled(data)
    return found


def episode_data(basis: Basis) -> dict[str, Any]:
    """Return schema.org/ItemList for the page that gathers the recipes: each with its place and its page."""
    entries = [
        {"@type": "ListItem", "position": place, "name": dish.recipe.title, "url": f"{dish.id}.html"}
        for place, dish in enumerate(basis.dishes, start=1)
    ]
    return {
        "@context": "https://schema.org",
        "@type": "ItemList",
        "name": basis.episode.title,
        "numberOfItems": len(entries),
        "itemListElement": entries,
    }


def data_block(data: dict[str, Any]) -> Markup:
    """Return JSON that can stand in a ``script`` element: no character in it can end the element or open a comment."""
    from markupsafe import Markup

    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)


def iso_duration(seconds: int) -> str:
    """Return an ISO 8601 duration of days, hours, minutes and seconds: "PT1H15M", "P14D", "PT0S"."""
    days, rest = divmod(seconds, 24 * 3600)
    hours, rest = divmod(rest, 3600)
    minutes, second = divmod(rest, MINUTE)
    clock = "".join(f"{count}{sign}" for count, sign in ((hours, "H"), (minutes, "M"), (second, "S")) if count)
    if not days:
        return f"PT{clock or '0S'}"
    return f"P{days}D" + (f"T{clock}" if clock else "")


def _filled(value: Any) -> Any:
    """Return the value without empty texts, lists and mappings in it."""
    if isinstance(value, dict):
        found = {key: _filled(item) for key, item in value.items()}
        return {key: item for key, item in found.items() if item not in ("", None, [], {})}
    if isinstance(value, list | tuple):
        return [_filled(item) for item in value]
    return value


@dataclass(frozen=True, slots=True)
class _Maker:
    """Makes the parts of one recipe's data."""

    basis: Basis
    resolved: ResolvedRecipe

    # ------------------------------------------------------------------------------------------ what it is

    def head(self) -> dict[str, Any]:
        recipe, episode = self.resolved.recipe, self.basis.episode
        corrections = sorted(item.on.isoformat() for item in episode.corrections)
        return {
            "name": recipe.title,
            "description": plain_text(self.basis.filled(recipe.id).headnote.printed),
            "inLanguage": "en",
            "datePublished": episode.publish_date.isoformat() if episode.publish_date is not None else "",
            "dateModified": corrections[-1] if corrections else "",
            "keywords": recipe.attribute("tags"),
            "recipeCategory": recipe.attribute("course"),
            "suitableForDiet": _diets(recipe.attribute("diet")),
            "recipeYield": self._yield(),
            "estimatedCost": self._cost(self.basis.cost(recipe.id).core),
        }

    def _yield(self) -> list[str]:
        recipe = self.resolved.recipe
        words = serves_text(self.resolved)
        return (
            [words]
            if recipe.kind is RecipeKind.SUB_PREPARATION
            else [fraction_text(recipe.serves.hearty * recipe.scale), words]
        )

    def _cost(self, cost: Cost | None) -> dict[str, Any]:
        """Return the whole recipe's cost without options; only a least value while lines of it have no price."""
        if cost is None:
            return {}
        figure = _number(Fraction(cost.rounded(self.basis.printer.places).amount))
        key = "value" if self.basis.cost(self.resolved.id).is_complete else "minValue"
        return {"@type": "MonetaryAmount", "currency": self.basis.printer.currency, key: figure}

    def times(self) -> dict[str, Any]:
        """Return the times as the page prints them, long end; ``cookTime`` is what ``prepTime`` leaves of the whole."""
        times = self.basis.publication.times.recipe(self.resolved.id)
        if times is None or times.unknown:
            return {}
        hands, whole = (minutes_outward(part.low_s, part.high_s)[1] for part in (times.active, times.elapsed))
        return {
            "prepTime": iso_duration(min(hands, whole) * MINUTE),
            "cookTime": iso_duration(max(whole - hands, 0) * MINUTE),
            "totalTime": iso_duration(whole * MINUTE),
        }

    # ------------------------------------------------------------------------------------------ what goes into it

    def stuff(self) -> dict[str, Any]:
        return {
            "recipeIngredient": [self._ingredient(line) for line in self.resolved.lines],
            "supply": [self._supply(line) for line in self.resolved.lines],
            "tool": [{"@type": "HowToTool", "name": name} for name in tools_of(self.resolved.recipe)],
        }

    def _ingredient(self, line: ResolvedLine) -> str:
        """Return the line as a cook reads it, in the form that we read ourselves: as typed, unless it is scaled."""
        if line.line.text and self.resolved.recipe.scale == 1:
            typed = plain_text(line.line.text)
            return typed if not is_optional(line, self.resolved) or line.line.is_optional else f"{typed}, optional"
        row = row_of(line, self.resolved, with_held_back=False)
        words = [f"{_amount_words(line, row)} {row.item}".strip(), *row.notes]
        words += ["optional"] if is_optional(line, self.resolved) else []
        return ", ".join(words) + "".join(f", or {other}" for other in row.alternates)

    def _supply(self, line: ResolvedLine) -> dict[str, Any]:
        row, cost = row_of(line, self.resolved), self._line_cost(line)
        group = next((item for item in self.resolved.recipe.groups if item.id == line.line.group), None)
        return {
            "@type": "HowToSupply",
            "name": row.item,
            "description": group_heading(group) if group is not None else "",
            "requiredQuantity": _quantity(line.measured.metric_shown) or row.amount,
            "estimatedCost": self._cost(cost) if cost is not None and cost.exact else {},
        }

    def _line_cost(self, line: ResolvedLine) -> Cost | None:
        return next((i.cost for i in self.basis.cost(self.resolved.id).lines if i.line.line.id == line.line.id), None)

    # ------------------------------------------------------------------------------------------ what is done

    def method(self) -> list[dict[str, Any]]:
        """Return the steps in the author's order, in sections of what is done ahead and what on the day."""
        texts = self._texts()
        runs = [(when, list(steps)) for when, steps in groupby(self.resolved.recipe.steps, key=lambda step: step.when)]
        return [
            {
                "@type": "HowToSection",
                "name": SECTIONS[when] if len(runs) > 1 or when is not When.DAY else "Method",
                "itemListElement": [self._step(step, texts[step.id]) for step in steps],
            }
            for when, steps in runs
        ]

    def _step(self, step: Step, printed: str) -> dict[str, Any]:
        text = plain_text(printed)
        return {
            "@type": "HowToStep",
            "name": step.name,
            "position": step.number,
            "url": f"#step-{step.number}",
            "text": text,
            "itemListElement": [self._direction(step, text), *_tips(step)],
        }

    def _texts(self) -> dict[str, str]:
        filled = {step.id: step.text.printed for step in self.basis.filled(self.resolved.id).steps}
        return {step.id: filled.get(step.id, step.text) or step.name for step in self.resolved.recipe.steps}

    def _direction(self, step: Step, text: str) -> dict[str, Any]:
        uses = [use for use in self.resolved.uses_in(step.id) if use.line and not use.is_held_back]
        lines = {line.line.id: line for line in self.resolved.lines}
        length_s = _length_s(step)
        return {
            "@type": "HowToDirection",
            "text": text,
            "performTime": iso_duration(length_s) if length_s is not None else "",
            "supply": [
                {
                    "@type": "HowToSupply",
                    "name": lines[use.line].line.item,
                    "requiredQuantity": _both(measures(use.measured)),
                }
                for use in uses
            ],
            "tool": [{"@type": "HowToTool", "name": _tool(item)} for item in step.uses],
        }

    def keeping(self) -> list[dict[str, Any]]:
        """Return the storage notes as a section of tips: the vocabulary has no property for them."""
        keep = plain_text(self.basis.filled(self.resolved.id).keep.printed)
        texts = ([keep] if keep else []) + [f"{what}: {text}" for what, text in keeps_of(self.resolved)]
        tips = [_tip(text) for text in texts]
        return [{"@type": "HowToSection", "name": "Make ahead and keep", "itemListElement": tips}] if tips else []


def _amount_words(line: ResolvedLine, row: IngredientRow) -> str:
    """Return both measures; the weight of a tin stands in the brackets of its count, where we read it."""
    each = [amount_text(line.line.each)] if line.line.each is not None else []
    each += [f"{amount_text(line.line.drained)} drained"] if line.line.drained is not None else []
    if each and not (row.metric and row.household):
        return f"{row.amount} ({', '.join(each)})"
    return row.amount


def _both(told: tuple[str, str]) -> str:
    return IngredientRow(item="", metric=told[0], household=told[1]).amount


def _quantity(amount: Amount | None) -> dict[str, Any] | None:
    if amount is None:
        return None
    ends = {"minValue": amount.low, "maxValue": amount.high} if amount.is_range else {"value": amount.high}
    return {
        "@type": "QuantitativeValue",
        **{key: _number(value) for key, value in ends.items()},
        "unitText": amount.unit or "piece",
        "unitCode": _UNIT_CODES.get(amount.unit, ""),
    }


def _number(value: Fraction) -> int | float:
    """Return a shown amount as a JSON number."""
    return int(value) if value.denominator == 1 else float(number_text(value, 3))


def _diets(words: str) -> list[str]:
    found = (word.strip().casefold().replace(" ", "-") for word in words.replace(";", ",").split(","))
    return [f"https://schema.org/{_DIETS[word]}" for word in found if word in _DIETS]


def _tool(item: Equipment) -> str:
    if item.kind == "oven" or item.temperature_c is not None:
        return f"{item.kind} {item.temperature_c} °C" if item.temperature_c is not None else item.kind
    return counted(item.kind, item.count)


def _length_s(step: Step) -> int | None:
    """Return the long end of a step on the kitchen clock, in seconds; of a window its least (rule T7)."""
    if not step.has_time:
        return None
    return sum(part.high_s for part in (step.hands, step.watch, step.leave) if part is not None) * step.batches


def _tip(text: str) -> dict[str, Any]:
    return {"@type": "HowToTip", "text": text}


def _tips(step: Step) -> Iterator[dict[str, Any]]:
    """Yield what a direction cannot say: the range of minutes, the cue, what it waits for, how long it keeps."""
    keeps = ", ".join(text for text in (step.keeps, step.ahead_place) if text)
    named = (
        ("", first_upper(step_time(step))),
        ("Until: ", step.until),
        ("After: ", _after(step)),
        ("Makes: ", f"{amount_text(step.makes_amount)} {step.makes}" if step.makes_amount is not None else step.makes),
        ("Keeps: ", keeps if step.keeps else ""),
        ("Care: ", step.caution),
        ("", "Optional" if step.is_optional else ""),
    )
    for words, text in named:
        if text:
            yield _tip(words + text)


def _after(step: Step) -> str:
    """Return what a step waits for in its own recipe, in the words of the source; empty for the step above."""
    if step.after is None:
        return ""
    parts = []
    for after in step.after:
        if after.recipe:
            continue
        gap = " at once" if after.at_most_s == 0 else ""
        gap += f" at least {minutes_text(after.at_least_s)}" if after.at_least_s else ""
        gap += f" within {minutes_text(after.at_most_s)}" if after.at_most_s else ""
        parts.append(after.step + gap)
    return ", ".join(parts) if parts else "none"


# ---------------------------------------------------------------------------------------------------- the video


def _video(basis: Basis) -> dict[str, Any]:
    """Return the video with a clip for each chapter, where the author gives its address."""
    episode, cut = basis.episode, basis.publication.cut
    if not episode.video:
        return {}
    chapters = chapters_of(cut)
    ends_ms = [*(item.start_ms for item in chapters), cut.length_ms][1:]
    clips = [_clip(episode, chapter, end_ms) for chapter, end_ms in zip(chapters, ends_ms, strict=True)]
    return {
        "@type": "VideoObject",
        "name": episode.title,
        "description": plain_text(basis.publication.filled.headnote.printed or episode.headnote) or episode.title,
        "uploadDate": episode.publish_date.isoformat() if episode.publish_date is not None else "",
        "url": episode.video,
        "duration": iso_duration(-(-cut.length_ms // 1000)) if cut.length_ms else "",
        "hasPart": clips,
    }


def _clip(episode: Episode, chapter: Chapter, end_ms: int) -> dict[str, Any]:
    """Return a chapter in whole seconds; its address is a media fragment (W3C Media Fragments URI 1.0, 4.2.1)."""
    start, end = chapter.start_ms // 1000, end_ms // 1000
    address = episode.video.partition("#")[0]
    return {
        "@type": "Clip",
        "name": chapter.title,
        "startOffset": start,
        "endOffset": end,
        "url": f"{address}#t={start},{end}",
    }
