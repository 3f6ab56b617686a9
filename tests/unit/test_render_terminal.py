"""The views of the terminal are aligned plain text, and their JSON carries a schema version."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from publication_factory import claim, publication

from shootplan.render.encode import encode
from shootplan.render.table_text import shown_width, table
from shootplan.render.terminal import (
    build_view,
    costs_json,
    costs_view,
    day_json,
    day_view,
    times_json,
    times_view,
)

MADE = publication()


def test_times_are_aligned() -> None:
    """Every row begins its columns where the head does."""
    lines = times_view(MADE.resolved, MADE.times).splitlines()
    column = lines[0].index("waiting")
    assert [line[column : column + 9].strip() for line in lines[1:4]] == ["30–35 min", "0 min", "28–32 min"]
    assert "one after the other: 43–51 min" in lines
    assert "before the day: barley-soup: Soak the barley: 10–12 h left alone and 2 min hands-on" in lines


def test_a_step_without_time_is_named() -> None:
    """The figures are lower bounds and the step is listed."""
    first = replace(MADE.times.recipes[0], unknown=("simmer",))
    text = times_view(MADE.resolved, replace(MADE.times, recipes=(first, *MADE.times.recipes[1:])))
    assert "at least 11–13 min" in text
    assert "no time is known for: barley-soup: simmer" in text


def test_costs_show_lines_totals_and_claims() -> None:
    """Four places for lines and totals, two for prices; a refused claim with its reason and what may be said."""
    text = costs_view(MADE.resolved, MADE.costs)
    assert "without options: 0.3824 / 4 = 0.0956, £0.10 a serving (6 small: £0.06)" in text
    assert "with all options: 0.7024 / 4 = 0.1756, £0.18 a serving (6 small: £0.12)" in text
    assert "one serving of each: £0.15, with all options £0.23" in text
    assert "claim refused: under 0.10 per serving: £0.10; printed 0.10 is not under 0.10; say" in text


def test_a_missing_price_is_at_least_and_named() -> None:
    """The total is a lower bound and the item is named."""
    first = MADE.costs.recipes[0]
    bare = replace(first.lines[0], cost=None, line=replace(first.lines[0].line, price=None, as_bought=None, pack=None))
    recipe = replace(first, lines=(bare, *first.lines[1:]), missing=("barley",))
    text = costs_view(MADE.resolved, replace(MADE.costs, recipes=(recipe, *MADE.costs.recipes[1:])))
    assert "at least £0.10 a serving" in text
    assert "no price for: pearl barley" in text
    assert "one serving of each: at least £0.15" in text


def test_headroom_is_shown() -> None:
    """An allowed claim says how far prices may rise."""
    from decimal import Decimal

    verdict = replace(claim(allowed=True), headroom_percent=Decimal("1.4"), is_thin=True)
    text = costs_view(MADE.resolved, replace(MADE.costs, verdicts=(verdict,)))
    assert "claim may be said: under 0.10 per serving: £0.10; headroom 1.4 % (thin)" in text


def test_the_day_follows_the_clock() -> None:
    """Rows by start, the look-in among them, then limits and the most of each equipment at once."""
    lines = day_view(MADE.resolved, MADE.plan, MADE.day, MADE.peaks).splitlines()
    assert lines[0] == "call 09:00, wrap 09:47 (no shorter plan exists)"
    clock = lines[1].index("clock")
    assert [line[clock : clock + 5] for line in lines[2:8]] == ["09:00", "09:10", "09:12", "09:30", "09:40", "09:45"]
    assert "look in: Simmer" in lines[5]
    assert "Simmer to 09:40" in lines[4]
    assert any(line.startswith("limit 09:20: ") and "10 min to spare" in line for line in lines)
    assert "at once: 1 of 4 ring, first at 09:10" in lines


def test_a_build_says_what_it_wrote() -> None:
    """The figures at a glance, what is refused, what was kept aside, and where it all is."""
    text = build_view(MADE, folder="here/out", kept_aside=("index.html.yours",))
    for words in ("wrap 09:47", "claims: 0 of 1 may be said", "refused: under 0.10", "kept as index.html.yours"):
        assert words in text
    assert text.endswith("written to here/out")


def test_colour_comes_only_when_told() -> None:
    """Without asking there is no escape sequence; with it, the head is bold and the words are the same."""
    plain, bold = (times_view(MADE.resolved, MADE.times, colour=flag) for flag in (False, True))
    assert "\x1b" not in plain
    assert bold.replace("\x1b[1m", "").replace("\x1b[0m", "") == plain
    assert "\x1b[1m" in bold


def test_wide_letters_count_twice() -> None:
    """SOURCE: Unicode UAX 11: wide and fullwidth letters take two columns; a combining mark takes none."""
    assert [shown_width("豆"), shown_width("e\u0301"), shown_width("bean")] == [2, 1, 4]
    assert table(("a", "b"), [("豆", "x"), ("yy", "z")]) == "a   b\n豆  x\nyy  z"


def test_the_json_of_each_view_can_be_dumped() -> None:
    """A schema version, and no value that JSON does not know."""
    views = (
        times_json(MADE.resolved, MADE.times),
        costs_json(MADE.resolved, MADE.costs),
        day_json(MADE.resolved, MADE.plan, MADE.day, MADE.peaks),
    )
    for view in views:
        assert json.loads(json.dumps(view))["schema_version"] == 1


def test_a_float_has_no_form() -> None:
    """Nothing computed may be a float; one that slips in is found."""
    with pytest.raises(TypeError, match="float"):
        encode({"x": 0.1})
