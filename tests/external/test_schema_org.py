"""
The recipe's data in each page, read by an independent JSON-LD parser and held against the published vocabulary.

Sources: ``schema_org/SOURCE.md``.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import isodate
import pytest
import rdflib
from rdflib import RDF, SDO
from rdflib.collection import Collection

from shootplan.app import documents
from shootplan.model.clock import minutes_outward
from shootplan.model.publication import Publication

#: rdflib's JSON-LD reader still makes one of its own deprecated graphs.
pytestmark = pytest.mark.filterwarnings("ignore:ConjunctiveGraph is deprecated:DeprecationWarning")

TERMS: dict[str, dict[str, set[str]]] = {}
with (Path(__file__).parent / "schema_org" / "terms.csv").open(encoding="utf-8", newline="") as _file:
    for _row in csv.DictReader(_file):
        TERMS.setdefault(_row["class"], {})[_row["property"]] = set(_row["expected"].split())


class _Blocks(HTMLParser):
    """Gathers the data blocks of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self._is_in = False
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._is_in = tag == "script" and dict(attrs).get("type") == "application/ld+json"
        if self._is_in:
            self.found.append("")

    def handle_endtag(self, tag: str) -> None:
        self._is_in = False

    def handle_data(self, data: str) -> None:
        if self._is_in:
            self.found[-1] += data


def data_of(page: str) -> dict[str, Any]:
    """Return the one data block of a page."""
    blocks = _Blocks(page).found
    assert len(blocks) == 1
    found = json.loads(blocks[0])
    assert isinstance(found, dict)
    return found


def _graph(data: dict[str, Any]) -> rdflib.Graph:
    local = {**data, "@context": {"@vocab": "https://schema.org/"}}
    return rdflib.Graph().parse(data=json.dumps(local), format="json-ld", base="https://blog.example/page")


def _nodes(value: object) -> Iterator[dict[str, Any]]:
    """Yield every typed mapping in the data."""
    if isinstance(value, dict):
        yield value
        for item in value.values():
            yield from _nodes(item)
    elif isinstance(value, list):
        for item in value:
            yield from _nodes(item)


def _recipes(files: Mapping[str, str]) -> dict[str, dict[str, Any]]:
    pages = [path for path in sorted(files) if path.startswith("blog/") and path.endswith(".html")]
    found = {path.removeprefix("blog/").removesuffix(".html"): data_of(files[path]) for path in pages}
    return {name: data for name, data in found.items() if data["@type"] == "Recipe"}


def _kinds(value: object) -> set[str]:
    """Return the expected types that a value may stand for."""
    if isinstance(value, dict):
        parents = {"HowToTip", "HowToStep", "HowToSection", "HowToDirection"}
        more = {"CreativeWork", "ListItem", "Thing", "ItemList"} if value["@type"] in parents else set()
        return {value["@type"], "Thing", *(more | ({"CreativeWork"} if value["@type"] == "Clip" else set()))}
    if isinstance(value, int | float):
        return {"Number", "Integer"} if isinstance(value, int) else {"Number"}
    text = str(value)
    kinds = {"Text", "Language", "DefinedTerm"} | ({"URL"} if text.endswith(".html") else set())
    kinds |= {"URL"} if text.startswith(("https://", "http://", "#")) else set()
    kinds |= {"RestrictedDiet"} if text.startswith("https://schema.org/") and text.endswith("Diet") else set()
    for kind, read in (("Duration", isodate.parse_duration), ("Date", isodate.parse_date)):
        try:
            read(text)
        except (ValueError, isodate.ISO8601Error):
            continue
        kinds.add(kind)
    return kinds


def _check(data: dict[str, Any]) -> None:
    """Every class and property is in the vocabulary, belongs together, and has a value of an expected type."""
    for node in _nodes(data):
        terms = TERMS[node["@type"]]
        for key, value in node.items():
            if key.startswith("@"):
                continue
            assert key in terms, (node["@type"], key)
            for item in value if isinstance(value, list) else [value]:
                assert _kinds(item) & terms[key], (node["@type"], key, item)


def test_every_term_belongs_to_the_published_vocabulary(demo_documents: Mapping[str, str]) -> None:
    """Each property is one of its class, each value of an expected type."""
    recipes = _recipes(demo_documents)
    assert recipes
    for data in recipes.values():
        assert data["@context"] == "https://schema.org"
        _check(data)


def test_an_independent_parser_finds_the_same_recipe(
    demo_documents: Mapping[str, str], demo_publication: Publication
) -> None:
    """As triples: one recipe, its ingredients, its steps in order, all names in rdflib's own list of terms."""
    for recipe_id, data in _recipes(demo_documents).items():
        graph = _graph(data)
        resolved = demo_publication.resolved.recipe(recipe_id)
        assert resolved is not None
        (recipe,) = graph.subjects(RDF.type, SDO.Recipe)
        assert str(graph.value(recipe, SDO.name)) == resolved.recipe.title
        assert len(list(graph.objects(recipe, SDO.supply))) == len(resolved.lines)
        steps = sorted(
            (int(str(graph.value(step, SDO.position))), str(graph.value(step, SDO.name)))
            for step in graph.subjects(RDF.type, SDO.HowToStep)
        )
        assert steps == [(step.number, step.name) for step in resolved.recipe.steps]
        names = {str(name) for name in {*graph.predicates(), *graph.objects(None, RDF.type)}}
        known = {f"https://schema.org/{name}" for name in SDO.__annotations__} | {str(RDF.type)}
        assert names <= known | {str(RDF.first), str(RDF.rest)}


def test_a_list_of_the_parser_is_a_plain_list() -> None:
    """The parser that the checks stand on keeps the order of a list where one is asked for."""
    graph = rdflib.Graph().parse(
        data=json.dumps({"@id": "urn:a", "https://schema.org/tool": {"@list": ["x", "y"]}}), format="json-ld"
    )
    head = graph.value(rdflib.URIRef("urn:a"), SDO.tool)
    assert head is not None
    assert [str(item) for item in Collection(graph, head)] == ["x", "y"]


def test_times_are_the_printed_long_ends_and_add_up(
    demo_documents: Mapping[str, str], demo_publication: Publication
) -> None:
    """Rule T8: rounded outward to five minutes; the two parts are the whole."""
    for recipe_id, data in _recipes(demo_documents).items():
        times = demo_publication.times.recipe(recipe_id)
        assert times is not None
        prep, cook, whole = (isodate.parse_duration(data[key]) for key in ("prepTime", "cookTime", "totalTime"))
        assert prep + cook == whole
        assert prep == timedelta(minutes=minutes_outward(times.active.low_s, times.active.high_s)[1])
        assert whole == timedelta(minutes=minutes_outward(times.elapsed.low_s, times.elapsed.high_s)[1])


def test_costs_are_those_of_the_page(demo_documents: Mapping[str, str], demo_publication: Publication) -> None:
    """The whole recipe without options, rounded once; optional lines have a cost of their own."""
    for recipe_id, data in _recipes(demo_documents).items():
        cost = demo_publication.costs.recipe(recipe_id)
        assert cost is not None
        told = Fraction(str(data["estimatedCost"]["value"]))
        assert abs(told - cost.core.exact) <= Fraction(1, 2 * 10**demo_publication.costs.places)
        assert data["estimatedCost"]["currency"] == demo_publication.costs.currency


def test_what_the_author_did_not_write_is_not_there(demo_documents: Mapping[str, str]) -> None:
    """No keywords, no diet, no picture and no video are made up."""
    for data in _recipes(demo_documents).values():
        assert not {"keywords", "suitableForDiet", "image", "video", "nutrition", "aggregateRating"} & set(data)


@pytest.fixture(scope="module")
def with_video(supper_publication: Publication) -> dict[str, Any]:
    """Return the data of a recipe whose episode gives a video and whose author tries to break out of the page."""
    made = supper_publication
    episode = replace(
        made.resolved.episode, video="https://videos.example/watch?v=1&list=2", publish_date=date(2026, 11, 20)
    )
    first = made.resolved.recipes[0]
    nasty = replace(first, recipe=replace(first.recipe, title="</script><script>window.ran=1</script><!-- & \u2028"))
    resolved = replace(made.resolved, episode=episode, recipes=(nasty, *made.resolved.recipes[1:]))
    page = documents(replace(made, resolved=resolved))[f"blog/{first.id}.html"]
    assert "</script><script>" not in page
    return data_of(page)


def test_nothing_in_the_data_ends_its_element(with_video: dict[str, Any]) -> None:
    """The title comes back whole."""
    assert with_video["name"] == "</script><script>window.ran=1</script><!-- & \u2028"


def test_a_video_has_a_clip_for_each_chapter(with_video: dict[str, Any]) -> None:
    """Clips follow each other from 0 to the end, in whole seconds, each with an address of its own."""
    _check(with_video)
    video = with_video["video"]
    clips = video["hasPart"]
    assert len(clips) >= 3
    assert clips[0]["startOffset"] == 0
    assert [clip["endOffset"] for clip in clips[:-1]] == [clip["startOffset"] for clip in clips[1:]]
    length = isodate.parse_duration(video["duration"]).total_seconds()
    assert 0 <= length - clips[-1]["endOffset"] <= 1
    assert clips[1]["url"].startswith("https://videos.example/watch?v=1&list=2#t=")
    assert len({clip["url"] for clip in clips}) == len(clips)
