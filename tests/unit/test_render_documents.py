"""The documents of a small publication: what stands in them, in which order, and how they are built."""

from __future__ import annotations

import csv
import io
import itertools
import json
import posixpath
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest
from publication_factory import publication

from shootplan.model.publication import Publication
from shootplan.model.recipe import Attribute
from shootplan.problems import Finding
from shootplan.render import render_documents
from shootplan.render.prose import line_html, plain_text, to_html

VOID = {"meta", "br", "link", "img", "hr", "input", "col"}
PAGES = (
    *("index.html", "shooting_order.html", "costing.html", "script.html", "blog/index.html", "blog/barley-soup.html"),
    *("blog/toast.html", "board.html"),
)
SVG = "{http://www.w3.org/2000/svg}"


class Page(HTMLParser):
    """Reads a page: elements in order, text by element, and whether every element is closed in order."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[tuple[str, str]] = []
        self.faults: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.faults.append(tag)

    def handle_data(self, data: str) -> None:
        if self.open and data.strip():
            self.texts.append((self.open[-1], " ".join(data.split())))

    def count(self, tag: str) -> int:
        """Return how many elements of that name there are."""
        return sum(name == tag for name, _ in self.elements)

    def all(self, tag: str) -> list[str]:
        """Return the texts directly in elements of that name."""
        return [text for name, text in self.texts if name == tag]

    @property
    def text(self) -> str:
        """All text outside the style sheet."""
        return " ".join(text for name, text in self.texts if name not in ("style", "script"))


@pytest.fixture(scope="module")
def files() -> dict[str, str]:
    """Return the documents of the publication made by hand."""
    return render_documents(publication(), captions={"captions.vtt": "WEBVTT\n", "captions.srt": "1\n"})


@pytest.fixture(scope="module")
def pages(files: dict[str, str]) -> dict[str, Page]:
    """Return the pages, parsed."""
    return {name: Page(files[name]) for name in PAGES}


def test_every_document_is_there(files: dict[str, str]) -> None:
    """One page and one text for each dish, the captions as they came in."""
    assert list(files) == sorted(files)
    assert set(files) == {
        *PAGES,
        *("shooting_order.md", "costing.csv", "plan.json", "timeline.svg", "captions.vtt", "captions.srt"),
        *("blog/index.md", "blog/barley-soup.md", "blog/toast.md", "script.md", "reading.html", "description.txt"),
    }
    assert files["captions.vtt"] == "WEBVTT\n"


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_well_formed_and_has_its_landmarks(pages: dict[str, Page], name: str) -> None:
    """Elements close in order; one main, one h1, a language, headings without a gap."""
    page = pages[name]
    assert page.faults == []
    assert page.open == []
    assert (page.count("main"), page.count("h1"), page.count("title") >= 1) == (1, 1, True)
    assert dict(page.elements)["html"]["lang"] == "en"
    levels = [int(tag[1]) for tag, _ in page.elements if re.fullmatch("h[1-6]", tag)]
    assert all(after <= before + 1 for before, after in itertools.pairwise(levels))


@pytest.mark.parametrize("name", PAGES)
def test_a_page_needs_no_network_and_no_script(files: dict[str, str], pages: dict[str, Page], name: str) -> None:
    """One file: a policy that forbids everything from elsewhere, data but no foreign script, no address to load."""
    metas = [attrs for tag, attrs in pages[name].elements if tag == "meta"]
    policy = next(item["content"] for item in metas if item.get("http-equiv") == "Content-Security-Policy")
    assert policy is not None
    assert policy.startswith("default-src 'none'")
    scripts = [attrs for tag, attrs in pages[name].elements if tag == "script"]
    assert [attrs for attrs in scripts if "src" in attrs] == []
    assert pages[name].count("link") == pages[name].count("img") == 0
    assert re.findall(r'(?:src|href)="(?:https?:)?//', files[name]) == []


@pytest.mark.parametrize("name", PAGES)
def test_every_table_has_a_caption_and_scopes(pages: dict[str, Page], name: str) -> None:
    """A screen reader can tell what a table is and what a cell belongs to."""
    page = pages[name]
    assert page.count("caption") == page.count("table")
    assert [attrs for tag, attrs in page.elements if tag == "th" and "scope" not in attrs] == []


@pytest.mark.parametrize("name", PAGES)
def test_links_lead_to_documents_that_are_there(files: dict[str, str], pages: dict[str, Page], name: str) -> None:
    """No dead link inside a build."""
    targets = {attrs["href"] for tag, attrs in pages[name].elements if tag == "a"}
    places = {target: posixpath.normpath(posixpath.join(posixpath.dirname(name), target or "")) for target in targets}
    assert {target for target, place in places.items() if place not in files} == set()


def test_text_from_the_files_is_escaped(files: dict[str, str]) -> None:
    """The title holds signs of markup and stays text everywhere."""
    assert "<tonight>" not in files["index.html"]
    assert "Soup &amp; toast &lt;tonight&gt;" in files["index.html"]
    assert ElementTree.fromstring(files["timeline.svg"]).find(f"{SVG}title") is not None


def test_the_cover_shows_the_figures(pages: dict[str, Page]) -> None:
    """Costs with and without options, times, wrap, length of the video, claims, findings, corrections of no page."""
    text = pages["index.html"].text
    for figure in ("£0.15", "£0.23 with every option", "09:00–09:47", "0:15", "£0.10", "£0.18 with hard cheese"):
        assert figure in text
    for words in ("11–13 min", "30–35 min", "41–48 min", "refused", "the soup cools slowly", "Source: common practice"):
        assert words in text


@pytest.mark.parametrize("name", ["index.html", "shooting_order.html", "blog/barley-soup.html", "shooting_order.md"])
def test_the_safety_sentence_stands_on_every_page(files: dict[str, str], name: str) -> None:
    """We remind; local rules decide."""
    assert "Follow your local food-safety and workplace rules; they override this." in files[name]


def test_the_shooting_order_follows_the_clock(pages: dict[str, Page]) -> None:
    """Rows by start, the look-in between them, with who, equipment, what runs meanwhile, cue, limit and caution."""
    page = pages["shooting_order.html"]
    clocks = [text for text in page.all("th") if re.fullmatch(r"\d\d:\d\d", text)]
    assert clocks == ["09:00", "09:10", "09:12", "09:30", "09:40", "09:45"]
    text = page.text
    for words in ("Look in: Simmer", "left alone 30 min", "stand by 3 min", "Simmer to 09:40", "ring, 3 l pan"):
        assert words in text
    for words in (
        "the barley is tender",
        "Simmer by 09:20, 10 min to spare",
        "sharp knife",
        "cooking planned to end 09:47",
        "Soak the barley",
    ):
        assert words in text


def test_the_markdown_order_is_one_table(files: dict[str, str]) -> None:
    """Each row has the eleven cells of the head."""
    lines = files["shooting_order.md"].split("## By the clock")[1].split("##")[0].strip().splitlines()
    assert len(lines) == 2 + 6
    assert {len(re.split(r"(?<!\\)\|", line)) for line in lines} == {13}


def test_the_recipe_page_is_in_reading_order(files: dict[str, str]) -> None:
    """Title, price, times, serves, ingredients, cautions, method, keeping, allergens, costs, corrections."""
    order = [
        *(
            "# Barley & onion soup",
            "£0.10 a serving (£0.18 with hard cheese)",
            "Hands-on 10–15 min",
            "Serves 4 hearty or 6",
        ),
        *("## Ingredients", "### Optional, priced apart", "## Before you start", "## Method", "## Make ahead and keep"),
        *("## Allergens", "## What it costs", "## Corrections"),
    ]
    places = [files["blog/barley-soup.md"].index(words) for words in order]
    assert places == sorted(places)


def test_the_price_line_has_date_shop_and_staples(pages: dict[str, Page]) -> None:
    """The sentence says when, where, and what became of the salt."""
    line = "£0.10 a serving (£0.18 with hard cheese). Prices of 2026-11-03, corner shop, fine salt counted."
    assert line in pages["blog/barley-soup.html"].text


def test_times_on_the_blog_are_rounded_outward(pages: dict[str, Page]) -> None:
    """11–13 becomes 10–15, 41–48 becomes 40–50 (rule T8); the soak stands apart."""
    text = pages["blog/barley-soup.html"].text
    assert "Hands-on 10–15 min, waiting 30–35 min, start to table 40–50 min" in text
    assert "Before the day: Soak the barley: 10–12 h left alone and 2 min hands-on" in text


def test_minutes_and_cue_stand_together(files: dict[str, str]) -> None:
    """A step prints both, and the wait that its link asks for."""
    text = files["blog/barley-soup.md"]
    assert "*Leave 25–30 min, looking in every 20 min for 1 min*, until **the barley is tender**" in text
    assert "Start within 10 min after “Chop the onion”." in text
    assert "*Leave at least 5 min, at most 15 min*" in text


def test_a_held_back_portion_is_named_where_it_is_listed(files: dict[str, str]) -> None:
    """Both measures, and the step that needs it."""
    assert '110 g (1 medium) onion, hold back 30 g (2 tbsp) for "Serve the soup"' in files["blog/barley-soup.md"]


def test_allergens_of_options_stand_apart(pages: dict[str, Page]) -> None:
    """Barley in the core, milk only by the cheese, and nothing is called free of anything."""
    text = pages["blog/barley-soup.html"].text
    assert "The dish without options: contains gluten (pearl barley)." in text
    assert "The option hard cheese: contains milk (cheese)." in text
    assert "Read every label" in text


def test_prose_keeps_marks_and_drops_what_runs() -> None:
    """The author's emphasis works; a script in a headnote is dropped."""
    made = publication()
    recipe = replace(
        made.filled.recipes[0], headnote=replace(made.filled.recipes[0].headnote, printed="*So* <script>x</script>")
    )
    filled = replace(made.filled, recipes=(recipe, *made.filled.recipes[1:]))
    text = render_documents(replace(made, filled=filled), captions={})["blog/barley-soup.html"]
    assert "<em>So</em>" in text
    assert "<script>x" not in text


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ('H<sub>2</sub>O & <abbr title="degrees">deg</abbr>', 'H<sub>2</sub>O &amp; <abbr title="degrees">deg</abbr>'),
        ('a <b onclick="run()" style="position:fixed">b</b>', "a <b>b</b>"),
        ('[x](javascript:run()) <a href="javascript:run()">y</a>', "[x](javascript:run()) <a>y</a>"),
        ('<iframe src="https://x.example"></iframe>z', "z"),
        ("<svg><script>run()</script></svg>z", "z"),
        ("![soup](https://x.example/p.png)", '<img alt="soup">'),
        ('<form action="https://x.example"><input name=a>z</form>', "z"),
        ("<b>open", "<b>open</b>"),
        ("1 < 2", "1 &lt; 2"),
    ],
)
def test_html_of_the_author_passes_the_sanitiser(written: str, shown: str) -> None:
    """What marks text stays; what runs, loads, floats or asks goes, and every element is closed."""
    assert str(line_html(written)) == shown
    assert Page(f"<main>{to_html(written)}</main>").faults == []


def test_the_words_of_html_are_plain_text() -> None:
    """Data for machines holds words, not tags."""
    assert plain_text("So <b>good</b>\n\n<div>Yes &amp; <script>no</script></div>") == "So good\nYes &"


def test_the_cost_table_adds_up(files: dict[str, str]) -> None:
    """Lines 0.27, 0.11 and 0.0024 print as 0.27, 0.11 and under 0.01; their sum and the whole are both 0.38."""
    text = files["blog/barley-soup.md"]
    assert "| **Without options, the whole recipe** | | **£0.38** | |" in text
    assert "| **With all options, the whole recipe** | | **£0.70** | |" in text
    assert "The lines without options add up to the whole recipe as printed." in text


def test_the_blog_has_a_page_for_the_episode(files: dict[str, str], pages: dict[str, Page]) -> None:
    """Each recipe with its price and a way to it, and back."""
    text = files["blog/index.html"]
    assert '<a href="barley-soup.html">Barley &amp; onion soup</a>' in text
    assert "£0.10 a serving (£0.18 with hard cheese)" in text
    assert 'href="index.html"' in files["blog/barley-soup.html"]
    assert "### [Barley & onion soup](barley-soup.md)" in files["blog/index.md"]


def test_the_costing_sheet_is_rfc_4180(files: dict[str, str]) -> None:
    """Lines end in CR LF, every row is as long as the head, four places for the cost used."""
    text = files["costing.csv"]
    assert text.count("\n") == text.count("\r\n")
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert len({len(row) for row in csv.reader(io.StringIO(text, newline=""))}) == 1
    assert [row["cost used"] for row in rows[:4]] == ["0.2700", "0.1100", "0.0024", "0.3200"]
    assert rows[3]["optional"] == "yes"
    assert rows[4]["line"] == "Without options: £0.10 a serving, £0.06 small"
    assert rows[4]["cost used"] == "0.3824"


def test_a_formula_in_a_name_is_kept_from_the_spreadsheet() -> None:
    """A cell that begins like a formula gets an apostrophe."""
    made = publication()
    first = made.costs.recipes[0]
    line = first.lines[0].line
    spoiled = replace(line, line=replace(line.line, item="=1+1"))
    recipe = replace(first, lines=(replace(first.lines[0], line=spoiled), *first.lines[1:]))
    costs = replace(made.costs, recipes=(recipe, *made.costs.recipes[1:]))
    assert "'=1+1" in render_documents(replace(made, costs=costs), captions={})["costing.csv"]


def test_the_machine_file_is_exact_and_stable(files: dict[str, str]) -> None:
    """Schema version, fractions as n/d beside decimals, keys sorted, no float anywhere, no folder of the user's."""
    record = json.loads(files["plan.json"], parse_float=pytest.fail)
    assert record["schema_version"] == 1
    core = record["costs"]["recipes"][0]["core"]
    assert core == {"exact": "239/625", "decimal": "0.3824", "currency": "GBP"}
    assert record["day"]["wrap_s"] == 47 * 60
    assert record["times"]["recipes"][0]["passive"] == {"low_s": 1800, "high_s": 2100}
    in_order = json.loads(files["plan.json"], object_pairs_hook=lambda pairs: [key for key, _ in pairs])
    assert in_order == sorted(record)
    assert max(len(line) for line in files["plan.json"].splitlines()) < 5000, "a row a line, so that a difference shows"
    assert "<made in code>" not in files["plan.json"]


def test_two_renderings_are_equal(files: dict[str, str]) -> None:
    """The same publication gives the same bytes."""
    again = render_documents(publication(), captions={"captions.vtt": "WEBVTT\n", "captions.srt": "1\n"})
    assert again == files


def test_a_publication_without_a_plan_still_has_its_pages() -> None:
    """No plan: the order is empty and the chart says so."""
    made = publication()
    bare = replace(made, plan=replace(made.plan, schedule=None), day=(), peaks=())
    files = render_documents(bare, captions={})
    assert "no plan was found" in files["index.html"]
    assert "There is no plan to draw." in files["timeline.svg"]


def test_the_users_template_replaces_one_document(tmp_path: Path) -> None:
    """Only the document of that name changes."""
    (tmp_path / "blog").mkdir()
    (tmp_path / "blog" / "recipe.md.j2").write_text("mine: {{ page.title }}", encoding="utf-8")
    files = render_documents(publication(), captions={}, user_templates=tmp_path)
    assert files["blog/toast.md"] == "mine: Toast\n"
    assert files["blog/toast.html"] == render_documents(publication(), captions={})["blog/toast.html"]


def test_rounded_lines_that_do_not_add_up_are_explained() -> None:
    """Three lines of a third of a penny, four places: 0.0033 each make 0.0099, the total is 0.0100 (worked by hand)."""
    from fractions import Fraction

    from shootplan.model.money import Cost

    made: Publication = publication()
    first = made.costs.recipes[0]
    third = Cost(Fraction(1, 300), "GBP")
    lines = tuple(replace(line, cost=third) for line in first.lines[:3])
    recipe = replace(first, lines=lines, core=third.times(3), options=())
    costs = replace(made.costs, recipes=(recipe, *made.costs.recipes[1:]))
    text = Page(render_documents(replace(made, costs=costs), captions={})["costing.html"]).text
    assert "The rounded lines add up to 0.0099; the total is 0.0100" in text


@pytest.mark.parametrize("name", ["index.html", "shooting_order.html", "blog/barley-soup.html", "blog/barley-soup.md"])
def test_a_hazard_stands_with_its_publisher_wherever_it_matters(name: str) -> None:
    """The caution and its source are on the cover, in the shooting order and on the page of that dish only."""
    made = publication()
    hazard = Finding(
        code="food-hazard", message="cool it within 2 hours", about="barley-soup", source="FDA Food Code 3-501.14"
    )
    files = render_documents(replace(made, findings=(*made.findings, hazard)), captions={})
    assert "cool it within 2 hours" in files[name]
    assert "FDA Food Code 3-501.14" in files[name]
    assert "cool it within 2 hours" not in files["blog/toast.html"]
    assert "the soup cools slowly" not in files["blog/barley-soup.html"]


def test_video_and_disclosure_stand_on_the_blog() -> None:
    """Whoever paid is named on every page of the blog, and the video is a link there."""
    made = publication()
    paid = Attribute(key="disclosure", value="The oats were a <gift>.")
    episode = replace(made.resolved.episode, video="https://videos.example/1", attributes=(paid,))
    found = render_documents(replace(made, resolved=replace(made.resolved, episode=episode)), captions={})
    for name in ("blog/index", "blog/barley-soup"):
        assert "The oats were a &lt;gift&gt;." in found[f"{name}.html"]
        assert '<a href="https://videos.example/1">' in found[f"{name}.html"]
        assert "The video: <https://videos.example/1>" in found[f"{name}.md"]
