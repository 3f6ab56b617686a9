"""Saved plans read back: whole ones, older ones, foreign and broken ones."""

from __future__ import annotations

import copy
import json
import random
from pathlib import Path
from typing import Any

import pytest
from publication_factory import publication

from shootplan.app.changes import CARRIERS, compare
from shootplan.model.changes import FactKind
from shootplan.read.saved import read_saved
from shootplan.render.changes_text import changes_json, changes_view
from shootplan.render.plan_json import SCHEMA_VERSION, plan_json

PATH = "old/plan.json"


@pytest.fixture(scope="module")
def record() -> dict[str, Any]:
    """Return the saved plan of two invented dishes."""
    found: dict[str, Any] = json.loads(plan_json(publication()))
    return found


def read(record: object) -> Any:
    """Read a record as if it had been saved."""
    return read_saved(PATH, json.dumps(record))


def test_what_build_writes_is_read_back_whole(record: dict[str, Any]) -> None:
    """Every part of the file that holds figures becomes facts, and the versions agree."""
    edition, problems = read(record)
    assert problems == ()
    assert set(edition.parts) == {"episode", "costs", "recipes", "times", "day", "care", "cut", "texts"}
    assert all(edition.parts[name] for name in ("episode", "costs", "recipes", "times", "day"))
    assert record["schema_version"] == SCHEMA_VERSION == 1


def test_a_plan_is_the_same_as_itself(record: dict[str, Any]) -> None:
    """Nothing changes, and it is said in one line."""
    edition, _ = read(record)
    report = compare(edition, edition)
    assert report.changes == ()
    assert changes_view(report).endswith("nothing changes")


def test_a_dearer_onion_is_found_by_hand(record: dict[str, Any]) -> None:
    """
    The factory's onion costs 110/1000 x 1.00 = 0.11; typed into the record as 0.21 the line moves by ten pence.

    The factory's own figures are worked in its docstring: soup core 0.3824, a serving 0.0956.
    """
    dearer = copy.deepcopy(record)
    soup = next(item for item in dearer["costs"]["recipes"] if item["recipe"] == "barley-soup")
    onion = next(line for line in soup["lines"] if line["item"] == "onion")
    assert onion["cost"]["exact"] == "11/100"
    onion["cost"]["exact"] = "21/100"
    soup["core"]["exact"] = "4824/10000"
    soup["core_per"]["per_hearty"]["exact"] = "1206/10000"
    report = compare(read(record)[0], read(dearer)[0])
    found = {(change.kind, change.label): (change.old, change.new) for change in report.changes}
    assert found == {
        (FactKind.LINE, "onion"): ("£0.11 (0.1100)", "£0.21 (0.2100)"),
        (FactKind.SERVING, "the recipe without options"): ("£0.38 (0.3824)", "£0.48 (0.4824)"),
        (FactKind.SERVING, "a serving without options"): ("£0.10 (0.0956)", "£0.12 (0.1206)"),
    }
    assert report.recipes == ("barley-soup",)
    assert report.burned == ()
    blog = ("blog/barley-soup.html", "blog/barley-soup.md", "blog/index.html", "blog/index.md")
    costing = ("costing.csv", "costing.html")
    assert report.editable == ("agreement.html", "agreement.md", *blog, *costing, "description.txt", "index.html")


def test_a_move_below_what_is_printed_is_said_so(record: dict[str, Any]) -> None:
    """0.11 to 0.110001 prints alike; the exact figure moved."""
    moved = copy.deepcopy(record)
    soup = next(item for item in moved["costs"]["recipes"] if item["recipe"] == "barley-soup")
    next(line for line in soup["lines"] if line["item"] == "onion")["cost"]["exact"] = "110001/1000000"
    report = compare(read(record)[0], read(moved)[0])
    assert [change.prints_alike for change in report.changes] == [True]
    assert "onion: £0.11 (0.1100), exact figure moves by less than is printed" in changes_view(report)


def test_lines_that_come_and_go_are_named(record: dict[str, Any]) -> None:
    """A line that is gone and a recipe that is new say so."""
    other = copy.deepcopy(record)
    soup = next(item for item in other["costs"]["recipes"] if item["recipe"] == "barley-soup")
    soup["lines"] = [line for line in soup["lines"] if line["item"] != "onion"]
    there, back = compare(read(record)[0], read(other)[0]), compare(read(other)[0], read(record)[0])
    assert "barley-soup: onion: gone: £0.11 (0.1100)" in changes_view(there)
    assert "barley-soup: onion: new: £0.11 (0.1100)" in changes_view(back)
    assert [item["new"] for item in changes_json(there)["changes"] if item["kind"] == "line"] == [None]


def test_an_older_plan_with_fewer_parts_is_compared_as_far_as_it_goes(record: dict[str, Any]) -> None:
    """A part that only one of the two has is named and not compared."""
    older = {name: part for name, part in record.items() if name not in ("care", "cut")}
    report = compare(read(older)[0], read(record)[0])
    assert report.changes == ()
    assert report.not_compared == ("care", "cut")
    assert "not compared, in one of the two only: care and cut" in changes_view(report)


def test_broken_json_names_line_and_column() -> None:
    """RFC 8259: a comma without a value behind it."""
    edition, (problem,) = read_saved(PATH, '{\n "schema_version": ,\n}')
    assert edition is None
    assert (problem.code, problem.span.line, problem.span.column) == ("saved-broken", 2, 20)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "saved-broken"),
        ("[" * 200_000, "saved-broken"),
        ('{"schema_version": 1, "episode": ' + "9" * 5000 + "}", "saved-broken"),
        ("[1, 2]", "saved-foreign"),
        ('"plan"', "saved-foreign"),
        ('{"name": "something", "version": "1.0.0"}', "saved-foreign"),
        ('{"schema_version": 1, "episode": "soup"}', "saved-foreign"),
        ('{"schema_version": 2, "episode": {}}', "saved-version"),
        ('{"schema_version": "1", "episode": {}}', "saved-version"),
    ],
)
def test_what_is_no_plan_is_refused_with_words(text: str, code: str) -> None:
    """Another program's JSON, another version, no JSON at all: one problem with a hint."""
    edition, problems = read_saved(PATH, text)
    assert edition is None
    assert [problem.code for problem in problems] == [code]
    assert problems[0].hint


def test_every_wrong_part_is_named_by_its_path(record: dict[str, Any]) -> None:
    """Two parts spoiled: two problems, each with the path of the value."""
    spoiled = copy.deepcopy(record)
    spoiled["costs"]["recipes"][0]["core"]["exact"] = "1/0"
    spoiled["times"]["recipes"][0]["active"] = "soon"
    edition, problems = read(spoiled)
    assert edition is None
    assert [problem.message for problem in problems] == [
        '"costs.recipes[0].core.exact" in the file is not a fraction like "3/4"',
        '"times.recipes[0].active" in the file is not an object',
    ]


@pytest.mark.parametrize("bad", [None, "x", 3, -1, True, [], {}, 10**30, "9" * 200 + "/1", "\ud800\x1b[31m"])
def test_no_spoiled_value_breaks_the_reader(record: dict[str, Any], bad: object) -> None:
    """Any one value replaced by nonsense gives an edition or problems; the texts hold no control characters."""
    chance = random.Random(7)
    places = list(_places(record))
    for place in chance.sample(places, min(len(places), 150)):
        spoiled = copy.deepcopy(record)
        holder = spoiled
        for name in place[:-1]:
            holder = holder[name]
        holder[place[-1]] = bad
        edition, problems = read(spoiled)
        assert (edition is None) == bool(problems)
        if edition is not None:
            shown = "".join(fact.shown + fact.label for facts in edition.parts.values() for fact in facts)
            assert "\x1b" not in shown
            shown.encode()


def _places(value: Any, place: tuple[Any, ...] = ()) -> Any:
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, item in items:
        yield (*place, name)
        yield from _places(item, (*place, name))


def test_every_kind_of_fact_says_which_documents_carry_it(root: Path) -> None:
    """The table is complete, and a spoken word stands in no file but the video."""
    assert set(CARRIERS) == set(FactKind)
    assert {kind for kind in FactKind if kind.is_burned} == {FactKind.CAPTION, FactKind.NARRATION}
