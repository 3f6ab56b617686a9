"""The description of the video: what stands in it, in which order, with figures worked by hand."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from shootplan.model.cut import Cut, Row, Section
from shootplan.model.episode import SecondCurrency
from shootplan.model.publication import Publication
from shootplan.model.recipe import Attribute
from shootplan.render import render_description
from shootplan.render.basis import Basis
from shootplan.render.recipe_data import recipe_data
from shootplan.render.views_notes import LABELS, LOCAL_RULES
from tests.unit.publication_factory import claim, publication


def section(name: str, title: str, start_s: int, length_s: int, recipe: str = "") -> Section:
    """Return a section of one row."""
    row = Row(id=f"{name}.a", section=name, recipe=recipe, start_ms=start_s * 1000, length_ms=length_s * 1000)
    return Section(id=name, title=title, rows=(row,))


CUT = Cut(
    sections=(
        section("opening", "Soup & toast <tonight>", 0, 20),
        section("barley-soup", "Barley & onion soup", 20, 70, "barley-soup"),
        section("toast", "Toast", 90, 40, "toast"),
        section("closing", "Table", 130, 20),
    ),
    captions=(),
    length_ms=150_000,
)


def described(*, cut: Cut = CUT, **changes: object) -> list[str]:
    """Return the lines for the small publication with this cut; ``changes`` go into the episode."""
    return render_description(with_cut(cut, **changes)).split("\n")


def with_cut(cut: Cut, **changes: object) -> Publication:
    """Return the small publication with a cut and a changed episode."""
    made = publication()
    episode = replace(made.resolved.episode, **changes)  # type: ignore[arg-type]
    return replace(made, cut=cut, resolved=replace(made.resolved, episode=episode))


def test_claim_and_link_stand_in_the_first_two_lines() -> None:
    """Without a claim that may be made the figures lead: 0.1506 is £0.15, 0.2306 is £0.23."""
    lines = described()
    assert lines[0] == "Soup & toast <tonight>: One serving of each: £0.15, £0.23 with every option."
    assert lines[1] == "Recipes, amounts and full costing: [put the link to the blog page here]"
    assert lines[2] == ""


def test_an_allowed_claim_leads_and_a_refused_one_is_never_said() -> None:
    """The wording is the judge's; the refused one of the same recipe does not appear."""
    made = with_cut(CUT)
    costs = replace(made.costs, verdicts=(claim("under 0.09", allowed=False), claim("about 0.10", allowed=True)))
    text = render_description(replace(made, costs=costs))
    assert text.startswith("Barley & onion soup: about £0.10 a serving\n")
    assert "0.09" not in text


def test_the_link_and_the_disclosure_come_from_the_episode() -> None:
    """A disclosure stands right behind the link, before anything that is folded away."""
    attributes = (
        Attribute(key="link", value="https://example.org/soup"),
        Attribute(key="disclosure", value="The barley was a gift of the mill."),
    )
    lines = described(attributes=attributes)
    assert lines[1] == "Recipes, amounts and full costing: https://example.org/soup"
    assert lines[2:4] == ["The barley was a gift of the mill.", ""]


def test_chapters_carry_the_prices_of_their_dishes() -> None:
    """0.0956 prints £0.10, 0.1756 £0.18, 0.055 £0.06; opening and closing have no price."""
    lines = described()
    assert lines[3:7] == [
        "0:00 Soup & toast <tonight>",
        "0:20 Barley & onion soup £0.10 (£0.18 with hard cheese)",
        "1:30 Toast £0.06",
        "2:10 Table",
    ]
    assert lines[8] == "One serving of each: £0.15, £0.23 with every option."
    assert (
        lines[9]
        == "Prices are for one serving. Prices of 2026-11-03, corner shop, fine salt counted. Yours will differ."
    )


def test_a_dish_without_a_chapter_of_its_own_keeps_its_price() -> None:
    """Toast of 5 s shares the soup's chapter, so both prices stand behind the chapters."""
    cut = replace(CUT, sections=(*CUT.sections[:2], section("toast", "Toast", 90, 5, "toast")), length_ms=95_000)
    lines = described(cut=cut)
    assert lines[3:5] == ["0:00 Soup & toast <tonight>", "0:20 Barley & onion soup and Toast"]
    assert lines[6:8] == ["Barley & onion soup: £0.10 (£0.18 with hard cheese)", "Toast: £0.06"]


def test_a_second_currency_is_dated() -> None:
    """0.1506 at 1.20 is 0.18072, about €0.18 (rule M7)."""
    lines = described(also=SecondCurrency(currency="EUR", rate=Decimal("1.20"), on=date(2026, 11, 1)))
    assert lines[8].endswith("That is about €0.18 (1 GBP = 1.20 EUR on 2026-11-01).")


def test_allergens_corrections_and_the_standing_sentences_close_it() -> None:
    """Core and option apart; no part is called free; each correction with its date."""
    lines = described()
    assert (
        "- Barley & onion soup: by the author: gluten (barley). The dish without options: contains gluten"
        in " ".join(lines)
    )
    assert "The option hard cheese: contains milk" in " ".join(lines)
    assert "free" not in " ".join(lines)
    assert lines[-5:] == [
        f"{LABELS} {LOCAL_RULES}",
        "",
        "Corrections:",
        "- 2026-11-20: the salt was 6 g, it is 3 g",
        "",
    ]


@pytest.mark.parametrize("corrections", [True, False])
@pytest.mark.parametrize("recipes", [True, False])
def test_no_two_blank_lines_follow_each_other(corrections: bool, recipes: bool) -> None:
    """Whatever is missing leaves no hole, an empty cut included."""
    changes: dict[str, object] = {} if corrections else {"corrections": ()}
    text = "\n".join(described(cut=CUT if recipes else Cut(sections=(), captions=(), length_ms=0), **changes))
    assert not re.search(r"\n\n\n", text)
    assert text.endswith("\n")


def test_the_blog_has_the_same_chapters() -> None:
    """The clips of the page's data begin where the description's chapters do, with the same names."""
    made = with_cut(replace(CUT, sections=CUT.sections[1:]), video="https://example.org/watch")
    lines = render_description(made).split("\n")
    listed = [line.split(" ", 1)[0] for line in lines if re.match(r"\d+:\d\d ", line)]
    data = json.loads(json.dumps(recipe_data(Basis.of(made), "barley-soup")))
    clips = data["video"]["hasPart"]
    assert [f"{clip['startOffset'] // 60}:{clip['startOffset'] % 60:02d}" for clip in clips] == listed
    assert [clip["endOffset"] for clip in clips] == [90, 130, 150]
