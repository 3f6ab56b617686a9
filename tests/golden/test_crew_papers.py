"""Call sheet, prep and shopping list of the demos: what a crew reads off, and that private things stay out."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

import pytest

from shootplan.app import documents, load, publish

DEMOS = Path(__file__).resolve().parents[2] / "demo_episodes"


@pytest.fixture(scope="module")
def waiting() -> Mapping[str, str]:
    """The documents of the second demo."""
    return documents(publish(load(DEMOS / "waiting-day")))


def test_the_cover_links_to_every_paper(waiting: Mapping[str, str]) -> None:
    """Each paper is written and linked."""
    papers = ("call_sheet.html", "call_sheet.md", "prep.html", "prep.md", "prep.ics", "shopping.html", "agreement.html")
    for paper in papers:
        assert paper in waiting
        assert f'href="{paper}"' in waiting["index.html"]


@pytest.mark.parametrize("kind", ["html", "md"])
def test_the_call_sheet_tells_hours_people_and_heat(waiting: Mapping[str, str], kind: str) -> None:
    """Call, first shot, meal within six hours of call, wrap, staffed hours, people, rings, look-ins, equipment."""
    sheet = re.sub(r"<[^>]+>", " ", waiting[f"call_sheet.{kind}"]).replace("**", "")
    for words in ("08:30", "First shot", "begun by 14:30", "13:40", "19:00", "08:00–20:00", "camera operator"):
        assert words in sheet
    assert "Planned wrap" not in sheet, "without cameras the plan ends with the cooking, and says so"
    assert "cameras, re-rigs and the meal come on top" in sheet
    assert "A ring is on" in sheet
    assert "oven 230 °C" in sheet
    assert "First aider" in sheet
    assert "Emergency number" in sheet
    assert "Follow your local food-safety and workplace rules; they override this." in sheet
    assert re.search(r"\d\d:\d\d\s+(?:cook: )?Simmer\b", sheet)
    assert "5 l pot" in sheet


def test_allergens_of_food_are_named_and_of_people_are_not(waiting: Mapping[str, str]) -> None:
    """The groups handled today with what brings them; the crew is asked, and nothing of it is written."""
    sheet = waiting["call_sheet.md"]
    assert re.search(r"Gluten: .*flour", sheet)
    assert "Celery: celeriac" in sheet
    assert re.search(r"Sulphites: .*\(optional\)", sheet)
    assert "their answers are not written here" in sheet


def test_the_prep_lists_the_night_before_the_fridge_and_the_trays(waiting: Mapping[str, str]) -> None:
    """In order of time: sponge and soak with windows, butter out, trays with bowls, labels."""
    page = waiting["prep.md"]
    assert page.index("## Before the day") < page.index("## Out of the fridge") < page.index("## Trays")
    assert re.search(r"\| 19:\d\d–19:56 the day before \| Mix the sponge, then Ferment the sponge \(4 min\)", page)
    assert re.search(r"may come out \d\d:\d\d–\d\d:\d\d\): Soften the butter", page)
    assert "| A | 150 g (2½ dl) | strong white flour | Mix the sponge | before the day |" in page
    assert "## Labels to write" in page


def test_the_shopping_page_has_every_item_of_the_list(waiting: Mapping[str, str]) -> None:
    """A row an item, the same till as the spreadsheet."""
    rows = waiting["shopping.csv"].strip().splitlines()[1:]
    assert waiting["shopping.html"].count('<tr role="row"><th scope="row"') == len(rows)
