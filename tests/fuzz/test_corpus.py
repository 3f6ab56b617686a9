"""Every text that broke a reader once, texts made to break them, and sound ones: nothing but problems comes out."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzz.targets import TARGETS, seeds

CORPUS = Path(__file__).with_name("corpus")
FOUND = sorted(path for path in CORPUS.rglob("*") if path.is_file())

#: Texts that have broken readers of other programs: sizes, nesting, numbers, encodings, directions of writing.
HOSTILE = {
    "nothing": "",
    "one NUL": "\x00",
    "a long line": "a" * 200_000,
    "many lines": "- x\n" * 20_000,
    "deep lists": "".join("  " * depth + "- a\n" for depth in range(500)),
    "deep brackets": "[" * 20_000,
    "deep braces": "{" * 20_000 + "}" * 20_000,
    "deep JSON": '{"a":' * 5_000 + "1" + "}" * 5_000,
    "a huge number": "- 1e999 g flour\n- " + "9" * 5_000 + " g flour\n",
    "a huge fraction": "- 1/" + "9" * 3_000 + " cup oil\n- 1/0 cup oil\n",
    "not numbers": "price,NaN,Infinity,-0,1e400\n",
    "aliases": "---\na: &a [x,x]\nb: &b [*a,*a,*a]\nc: [*b,*b,*b]\n---\n",
    "carriage returns": "---\r\nserves: 4\r\n---\r\r\n# A\r\n",
    "a byte order mark": "\ufeff---\nserves: 4\n---\n# A\n",
    "right to left": "# \u202etxet\u202c \u2066x\u2069\n- 1 \u200f g \u05d0\n",
    "surrogates and specials": "\ufffe\uffff\U0010ffff\u2028\u2029\x85\x0b\x0c",
    "combining marks": "e" + "\u0301" * 5_000,
    "quotes": '"' * 9_999,
    "commas": "," * 50_000,
    "a script": "<script>alert(1)</script>" * 50,
    "an unclosed script": '<script type="application/ld+json">' + '{"@type":"Recipe",' * 200,
    "backticks": "`" * 20_001,
    "stars": "*a **b " * 5_000,
    "timecodes": "99:99:99:99 --> 00:00:00.000\n" * 500,
    "a path that leaves": "---\nkitchen: ../../../../etc/passwd\nprices: /dev/zero\n---\n# A\n",
    "a reserved name": "---\nkitchen: CON\nprices: NUL.csv\n---\n# A\n",
}


@pytest.mark.parametrize("reader", sorted(TARGETS))
@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_texts(reader: str, name: str) -> None:
    """Every reader bears every text; what it finds has a message and a place."""
    TARGETS[reader](HOSTILE[name])


@pytest.mark.parametrize("path", FOUND, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_what_was_found_before(path: Path) -> None:
    """Each text that broke a reader, and each sound one that the changes start from."""
    TARGETS[path.parent.name](path.read_bytes().decode("utf-8", "replace"))


@pytest.mark.parametrize("reader", sorted(TARGETS))
def test_sound_texts_are_there_to_start_from(reader: str) -> None:
    """The fuzzers start from sound texts, cut at many points as a first change."""
    texts = seeds(reader)
    assert texts
    for text in texts[:1]:
        for part in range(1, 12):
            TARGETS[reader](text[: len(text) * part // 12])
