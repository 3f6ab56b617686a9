"""The command ``changes`` on the first demo, with the figures worked by hand."""

from __future__ import annotations

import json
import shutil
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from shootplan.app.changes import CARRIERS
from shootplan.cli import app


def run(*words: str) -> tuple[int, str, str]:
    """Run the command line in this process: exit code, stdout, stderr."""
    result = CliRunner().invoke(app, list(words))
    return result.exit_code, result.stdout, result.stderr


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Build the first demo as it is and with oats at 2.10; return both folders of documents."""
    root = Path(__file__).resolve().parents[2]
    folder = tmp_path_factory.mktemp("changes") / "supper"
    shutil.copytree(root / "demo_episodes" / "tuesday-supper", folder, ignore=shutil.ignore_patterns("out"))
    prices = folder / "prices.csv"
    outs = []
    for name, old, new in (("before", "", ""), ("after", "rolled oats,1000 g,1.10", "rolled oats,1000 g,2.10")):
        text = prices.read_text(encoding="utf-8")
        assert old in text
        prices.write_text(text.replace(old, new), encoding="utf-8")
        assert run("build", str(folder), "--out", str(folder / name))[0] == 0
        outs.append(folder / name)
    return outs[0], outs[1]


def report(*words: str) -> Any:
    """Return what the command says to machines."""
    code, out, err = run("changes", *words, "--json")
    assert (code, err) == (0, "")
    return json.loads(out)


def test_dearer_oats_change_the_crumble_as_worked_by_hand(root: Path) -> None:
    """
    80 g of 1000 g oats at 2.10 instead of 1.10 is 0.08 more: 3.2852 becomes 3.3652.

    By four 0.8213 and 0.8413: £0.82 becomes £0.84. The head of all three courses rises by 0.02, from 2.4514 to 2.4714.
    """
    found = report(str(root / "demo_episodes" / "tuesday-supper"), "--price", "rolled oats=2.10")
    moves = {(item["about"], item["label"]): (item["old"], item["new"]) for item in found["changes"]}
    assert moves["oat-crumble", "rolled oats"] == ("£0.09 (0.0880)", "£0.17 (0.1680)")
    assert moves["oat-crumble", "the recipe without options"] == ("£3.29 (3.2852)", "£3.37 (3.3652)")
    assert moves["oat-crumble", "a serving without options"] == ("£0.82 (0.8213)", "£0.84 (0.8413)")
    assert moves["", "one serving of each, without options"] == ("£2.45 (2.4514)", "£2.47 (2.4714)")
    assert found["recipes"] == ["oat-crumble"]
    refused = [item for item in found["changes"] if item["kind"] == "claim" and item["new"].startswith("refused")]
    assert [item["label"] for item in refused] == ["total: under 2.60 per serving, with options"]
    burned = {item["label"].split()[1] for item in found["changes"] if item["is_burned"]}
    assert "oat-crumble.serve-the-pudding.1" in burned
    assert "closing.all-on-the-table" in burned


def test_two_saved_plans_tell_the_same_as_the_corrected_price(built: tuple[Path, Path], root: Path) -> None:
    """A price touches neither plan nor times: without solving again every change is found, and no other."""
    before, after = built
    by_files = report(str(before / "plan.json"), str(after / "plan.json"))
    by_price = report(str(root / "demo_episodes" / "tuesday-supper"), "--price", "Rolled oats = 2,10")
    assert by_files["changes"] == by_price["changes"]
    assert by_files["not_compared"] == []
    assert by_price["not_compared"] == []


def test_the_documents_named_are_those_that_differ_on_disk(built: tuple[Path, Path]) -> None:
    """Every file of the two builds that ``CARRIERS`` knows is compared: each that differs is named."""
    before, after = built
    names = {path.relative_to(before).as_posix() for path in before.rglob("*") if path.is_file()}
    differ = {name for name in names if (before / name).read_bytes() != (after / name).read_bytes()}
    patterns = {pattern.replace("{recipe}", "*") for known in CARRIERS.values() for pattern in known}
    carriers = {name for name in names if any(fnmatch(name, pattern) for pattern in patterns)}
    named = set(report(str(before), str(after))["documents"])
    assert len(carriers) >= 15
    assert differ & carriers <= named
    assert named - differ <= {"chapters.txt"}  # whole seconds, which the fifth of a second less speech does not move


def test_the_words_for_people_say_what_is_fixed_in_the_video(built: tuple[Path, Path]) -> None:
    """Captions and narration stand apart from what is built again."""
    code, out, _ = run("changes", *map(str, built))
    assert code == 0
    fixed, again = out.index("fixed in the picture and in the sound"), out.index("put right by building again")
    assert fixed < out.index("1 cup oats £0.09 → 1 cup oats £0.17") < again < out.index("blog/oat-crumble.html")


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("EPISODE", "--price", "oatmeal flakes=2.10"), 1, "price-correction-bad"),
        (("EPISODE", "--price", "rolled oats"), 1, "price-correction-bad"),
        (("EPISODE", "--price", "rolled oats=cheap"), 1, "price-correction-bad"),
        (("EPISODE", "--price", "=1"), 1, "price-correction-bad"),
        (("EPISODE",), 2, ""),
        (("EPISODE", "EPISODE"), 4, "build the episode first"),
        (("EPISODE/prices.csv", "EPISODE/episode.md"), 1, "saved-broken"),
        (("EPISODE/none.json", "EPISODE/none.json"), 4, "none.json"),
    ],
)
def test_what_cannot_be_compared_is_said_without_a_traceback(
    root: Path, words: tuple[str, ...], code: int, said: str
) -> None:
    """Unknown items, no price, no plan: the usual exit codes."""
    episode = str(root / "demo_episodes" / "tuesday-supper")
    found, _, err = run("changes", *(word.replace("EPISODE", episode) for word in words))
    assert found == code
    assert said in err
    assert "Traceback" not in err
