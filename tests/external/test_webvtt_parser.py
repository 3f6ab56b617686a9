"""
Our WebVTT files before the W3C's own validator (``webvtt_parser/SOURCE.md``), and the validator before known faults.

The faults are rows T028 to T033 and T038 of the published values: W3C WebVTT syntax; webvtt-parser 2.2.0 agrees.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from shootplan.model.cut import Caption, CaptionKind, Cut, Row, Section
from shootplan.timing.webvtt import write_chapters, write_webvtt

PARSER = Path(__file__).with_name("webvtt_parser") / "parser.js"
_RUN = """
const { WebVTTParser } = require(process.argv[1]);
const text = require('fs').readFileSync(0, 'utf8');
const entities = { '&amp': '&', '&lt': '<', '&gt': '>', '&amp;': '&', '&lt;': '<', '&gt;': '>' };
const found = new WebVTTParser(entities).parse(text, process.argv[2]);
console.log(JSON.stringify({
  errors: found.errors.map(item => item.message),
  cues: found.cues.map(cue => ({ id: cue.id, start: cue.startTime, end: cue.endTime, line: cue.linePosition,
    position: cue.textPosition, size: cue.size, alignment: cue.alignment, text: cue.text })),
}));
"""


@pytest.fixture(scope="module")
def node() -> str:
    """Return the path of node; without it these tests are skipped."""
    found = shutil.which("node")
    if found is None:
        pytest.skip("node is not installed")
    return found


def parsed(node: str, text: str, kind: str = "subtitles/captions/descriptions") -> dict[str, Any]:
    """Return what the validator says of a file."""
    command = [node, "-e", _RUN, str(PARSER), kind]
    run = subprocess.run(command, input=text.encode(), capture_output=True, check=True, timeout=60)
    record: dict[str, Any] = json.loads(run.stdout)
    return record


FAULTS = {
    "T028 raw ampersand": "00:01.000 --> 00:02.000\na & b",
    "T029 two digits of milliseconds": "00:01.00 --> 00:02.000\na",
    "T030 ends before it begins": "00:02.000 --> 00:01.000\na",
    "T031 starts do not ascend": "00:05.000 --> 00:06.000\na\n\n00:01.000 --> 00:02.000\nb",
    "T033 arrow in a note": "NOTE a --> b\n\n00:01.000 --> 00:02.000\na",
    "T038 one digit of minutes": "1:02.003 --> 00:03.000\na",
}


@pytest.mark.parametrize("name", FAULTS)
def test_the_validator_sees_the_published_faults(node: str, name: str) -> None:
    """Else its silence about our files would say nothing."""
    assert parsed(node, f"WEBVTT\n\n{FAULTS[name]}\n")["errors"]


def test_the_validator_allows_what_the_standard_allows(node: str) -> None:
    """T032: a bare ">"; T037: minutes and seconds without hours, 62.003 s."""
    found = parsed(node, "WEBVTT\n\n01:02.003 --> 01:03.000\na > b\n")
    assert found["errors"] == []
    assert found["cues"][0]["start"] == 62.003


def captions(*texts: str) -> Cut:
    """Return a cut with odd texts and two sections."""
    rows = [Row(id=f"r{index}", section="x", start_ms=start) for index, start in enumerate((0, 30_500))]
    return Cut(
        sections=(
            Section(id="a", title="Peas & <rice>", rows=(rows[0],)),
            Section(id="b", title="a --> b", rows=(rows[1],)),
        ),
        captions=tuple(
            Caption(
                id=f"a --> b.{n}",
                row="r0",
                kind=CaptionKind.STEP,
                text=text,
                in_ms=n * 4000,
                out_ms=n * 4000 + 3000,
                need_ms=0,
            )
            for n, text in enumerate(texts, start=1)
        ),
        length_ms=60_000,
    )


ODD = (
    "Salt & pepper",
    "under <2 tsp",
    "AT&amp;T",
    "line one\n\nline two",
    "a --> b",
    "<b>bold</b> &nbsp;",
    "900\u00a0g £0.70 ½ é 粉",
)


@pytest.mark.parametrize("is_vertical", [False, True])
def test_odd_texts_are_written_without_a_fault(node: str, is_vertical: bool) -> None:
    """Every cue comes back with its time, place and text."""
    made = replace(captions(*ODD), is_vertical=is_vertical)
    found = parsed(node, write_webvtt(made))
    assert found["errors"] == []
    assert [(cue["start"], cue["end"]) for cue in found["cues"]] == [(4.0 * n, 4.0 * n + 3) for n in range(1, 8)]
    assert {(cue["line"], cue["position"], cue["size"], cue["alignment"]) for cue in found["cues"]} == {
        (15 if is_vertical else 10, 5, 90, "left")
    }


def test_chapters_are_written_without_a_fault(node: str) -> None:
    """Chapter cues do not overlap and hold text only."""
    found = parsed(node, write_chapters(captions()), "chapters")
    assert found["errors"] == []
    assert [(cue["start"], cue["end"]) for cue in found["cues"]] == [(0, 30.5), (30.5, 60)]


def test_the_captions_of_each_demo_are_valid(node: str, demo: Path) -> None:
    """As many cues as captions, no fault."""
    from shootplan.app import load
    from shootplan.app.script import script

    made = script(load(demo)).cut
    found = parsed(node, write_webvtt(made))
    assert found["errors"] == []
    assert len(found["cues"]) == len(made.captions)
    assert parsed(node, write_chapters(made), "chapters")["errors"] == []
