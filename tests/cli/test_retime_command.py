"""``retime`` as its user meets it: build a demo, cut a row out of its edit, move another, re-time, read the report."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pysubs2
import pytest
import webvtt
from typer.testing import CliRunner

from shootplan.app.edit import caption_files
from shootplan.cli import app
from shootplan.model.cut import Cut

BAKE = "leek-bean-bake"


def run(*words: str) -> tuple[int, str, str]:
    """Run the command line in this process: exit code, stdout, stderr."""
    result = CliRunner().invoke(app, list(words))
    return result.exit_code, result.stdout, result.stderr


@pytest.fixture(scope="module")
def built(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a copy of the first demo, built once."""
    folder = tmp_path_factory.mktemp("retime") / "supper"
    shutil.copytree(root / "demo_episodes" / "tuesday-supper", folder, ignore=shutil.ignore_patterns("out"))
    assert run("build", str(folder))[0] == 0
    return folder


@pytest.fixture
def supper(built: Path, tmp_path: Path) -> Path:
    """Return a copy of the built demo that may be spoiled."""
    folder = tmp_path / "supper"
    shutil.copytree(built, folder)
    return folder


def frames(text: str) -> int:
    """Return the frames of a timecode at 25, worked out here."""
    hours, minutes, seconds, rest = map(int, text.split(":"))
    return ((hours * 60 + minutes) * 60 + seconds) * 25 + rest


def timecode(count: int) -> str:
    """Return the timecode of frames at 25."""
    seconds, rest = divmod(count, 25)
    return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}:{rest:02d}"


def events(text: str) -> dict[str, tuple[str, str, int]]:
    """Return {row: (reel, source times, length)} of a list in its order."""
    found = {}
    for block in text.split("\n\n")[1:]:
        words = block.split("\n")[0].split()
        name = re.search(r"CLIP NAME: (\S+)", block)
        assert name is not None
        found[name[1]] = (words[1], f"{words[4]} {words[5]}", frames(words[7]) - frames(words[6]))
    return found


def written(order: list[str], of: dict[str, tuple[str, str, int]]) -> str:
    """Return a list of these rows one after the other from 01:00:00:00."""
    lines, at = ["TITLE: cut by hand", "FCM: NON-DROP FRAME"], 90_000
    for number, row in enumerate(order, start=1):
        reel, source, length = of[row]
        lines += [f"{number:03d}  {reel:<8} V     C        {source} {timecode(at)} {timecode(at + length)}"]
        lines += [f"* FROM CLIP NAME: {row}"]
        at += length
    return "\n".join(lines) + "\n"


@pytest.fixture
def cut(supper: Path) -> Path:
    """Return an edit without the row of the leeks and with the oven's row moved behind the boil."""
    of = events((supper / "out" / "edit.edl").read_text(encoding="utf-8"))
    order = list(of)
    order.remove(f"{BAKE}.slice-the-leeks")
    order.remove(f"{BAKE}.heat-the-oven")
    order.insert(order.index(f"{BAKE}.boil-the-potatoes") + 1, f"{BAKE}.heat-the-oven")
    path = supper.parent / "final.edl"
    path.write_text(written(order, of), encoding="utf-8")
    return path


def snapshot(folder: Path) -> dict[str, bytes]:
    """Return every file under a folder."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


TOUCHED = {
    "captions.csv",
    "captions.srt",
    "captions.ttml",
    "captions.vtt",
    "chapters.txt",
    "description.txt",
    "manifest.json",
}


def test_the_report_is_that_of_the_hand_worked_edit(supper: Path, cut: Path) -> None:
    """
    At 25 frames a second the oven's row has 117 frames (34:17 to 39:09), the leeks' 113 (53:00 to 57:13).

    Peel, bring and boil come 117 frames, 4.68 s, sooner: frame 984 becomes 867, 34.68 s. They have 341 frames, so the
    oven comes 13.64 s later, at frame 1208, 48.32 s. What follows the leeks comes 113 frames, 4.52 s, sooner.
    """
    code, out, err = run("retime", str(supper), "--cut", str(cut))
    assert (code, err) == (0, "")
    lines = [" ".join(line.split()) for line in out.splitlines()]
    assert lines[0] == "placed by: shots of the edit"
    table = lines[lines.index("row planned now moved longer remark") + 1 :]
    assert table[:3] == [
        f"{BAKE}.heat-the-oven 0:34.68 0:48.32 +13.64 s",
        f"{BAKE}.peel-and-cut-the-potatoes to {BAKE}.boil-the-potatoes (3 rows) 0:39.36 0:34.68 −4.68 s",
        f"{BAKE}.slice-the-leeks 0:53.00 lost not in the edit",
    ]
    assert re.fullmatch(
        rf"{BAKE}\.sweat-the-leeks to closing\.all-on-the-table \(\d+ rows\) 0:57\.52 0:53\.00 −4\.52 s", table[3]
    )
    assert table[4] == ""
    assert f"{BAKE}.slice-the-leeks.1 0:53.60 lost its picture is not in the edit" in lines
    assert "note[cut-row-lost]: 1 row of the script not found in the video: leek-bean-bake.slice-the-leeks" in out
    assert re.search(r"\d+ captions: \d+ moved, 0 held longer, 0 shorter but long enough, 1 lost", out)


def test_captions_move_with_their_rows_to_the_frame(supper: Path, cut: Path) -> None:
    """
    The potatoes' caption, planned at 40.347 s (frame 1009), comes 117 frames sooner: frame 892, 35.68 s.

    The oven's, planned at 35.647 s (frame 891, 24 into its row): 1208 + 24 = 1232, 49.28 s. That of the sweated leeks,
    planned at 58.501 s (frame 1463): 113 frames sooner, frame 1350, 54.00 s.
    """
    code, out, _ = run("retime", str(supper), "--cut", str(cut), "--json")
    found = {item["caption"].removeprefix(f"{BAKE}."): item["in_ms"] for item in json.loads(out)["captions"]}
    assert code == 0
    assert found["peel-and-cut-the-potatoes.1"] == 35_680
    assert found["heat-the-oven.1"] == 49_280
    assert found["slice-the-leeks.1"] is None
    assert found["sweat-the-leeks.1"] == 54_000


def test_the_written_files_are_read_back_and_the_checks_told(supper: Path, cut: Path) -> None:
    """Holds, captions and frames of the re-timed files (C12, C15, C16), for people and for machines."""
    code, out, _ = run("retime", str(supper), "--cut", str(cut))
    lines = [" ".join(line.split()) for line in out.splitlines()]
    assert code == 0
    assert "C12 every caption stays long enough holds 32" in lines
    assert [line.split()[-2] for line in lines if re.match(r"C1[256] ", line)] == ["holds"] * 3
    checks = json.loads(run("retime", str(supper), "--cut", str(cut), "--json")[1])["checks"]
    assert [(item["id"], item["status"], item["broken"]) for item in checks] == [
        (name, "holds", []) for name in ("C12", "C15", "C16")
    ]
    assert all(item["compared"] >= 32 for item in checks)


def test_a_fault_in_the_written_files_is_told(supper: Path, cut: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A writer that moves captions off their frames is found: the check is broken, and ``--strict`` fails."""
    import shootplan.app.retime as use_case

    def spoilt(timed: Cut) -> dict[str, str]:
        files = caption_files(timed)
        return {**files, "captions.srt": re.sub(r",(\d)\d0 -->", r",\g<1>11 -->", files["captions.srt"])}

    monkeypatch.setattr(use_case, "caption_files", spoilt)
    code, out, _ = run("retime", str(supper), "--cut", str(cut), "--strict")
    assert code == 1
    assert re.search(r"C16 .* broken", out)
    assert re.search(r"C16: captions\.srt: \d+11 ms is no frame at 25 frames a second", out)


def test_only_captions_chapters_and_description_change(supper: Path, cut: Path) -> None:
    """Every other document keeps its bytes, the manifest still knows them all, and a second run changes nothing."""
    before = snapshot(supper / "out")
    assert run("retime", str(supper), "--cut", str(cut))[0] == 0
    after = snapshot(supper / "out")
    assert set(before) == set(after)
    assert {name for name in after if before[name] != after[name]} == TOUCHED
    assert set(json.loads(after["manifest.json"])["files"]) == set(json.loads(before["manifest.json"])["files"])
    assert run("retime", str(supper), "--cut", str(cut))[0] == 0
    assert snapshot(supper / "out") == after
    assert run("build", str(supper))[0] == 0
    assert snapshot(supper / "out") == before


def test_other_readers_find_the_new_times_in_every_file(supper: Path, cut: Path) -> None:
    """webvtt-py and pysubs2 read the potatoes' caption at 35.680 s; chapters and description agree."""
    assert run("retime", str(supper), "--cut", str(cut))[0] == 0
    out = supper / "out"
    cues = {cue.identifier: cue.start for cue in webvtt.read(str(out / "captions.vtt"))}
    assert cues[f"{BAKE}.peel-and-cut-the-potatoes.1"] == "00:00:35.680"
    assert f"{BAKE}.slice-the-leeks.1" not in cues
    events_ = pysubs2.load(str(out / "captions.srt"))
    assert [event.start for event in events_ if "floury potatoes" in event.plaintext] == [35_680]
    assert "0:00:35.680" in (out / "captions.csv").read_text(encoding="utf-8-sig")
    chapters = (out / "chapters.txt").read_text(encoding="utf-8").splitlines()
    assert chapters[:3] == [
        "0:00 Tuesday supper, one oven",
        "0:34 Leek and butter bean bake under mash",
        "1:37 Savoy cabbage with garlic and lemon crumbs",
    ]  # planned 1:41.8, less 4.52 s
    description = (out / "description.txt").read_text(encoding="utf-8")
    assert "\n1:37 Savoy cabbage with garlic and lemon crumbs £0.35 (£0.36 with chilli flakes)\n" in description
    assert "\n1:41 " not in description


def test_an_unchanged_edit_moves_nothing(demo: Path, tmp_path: Path) -> None:
    """For each demo, its own list and its own timeline: no row and no caption moves by more than a frame."""
    assert run("build", str(demo), "--out", str(tmp_path / "out"))[0] == 0
    for name in ("edit.edl", "edit.otio"):
        again = tmp_path / name
        shutil.copy(tmp_path / "out" / name, again)
        code, out, _ = run("retime", str(demo), "--cut", str(again), "--out", str(tmp_path / "new"), "--json")
        assert code == 0
        found = json.loads(out)
        assert found["rows_lost"] == []
        assert all(abs(row["start_ms"] - row["planned_ms"]) <= 40 for row in found["rows"])
        assert not any(item["is_lost"] for item in found["captions"])
        assert all(item["out_ms"] - item["in_ms"] >= item["need_ms"] for item in found["captions"])


def test_a_length_alone_is_a_first_guess(supper: Path) -> None:
    """Twice as long: the report says that it is a guess, and by how much everything moves."""
    code, out, _ = run("retime", str(supper), "--length", "7:55.44", "--json")
    found = json.loads(out)
    assert code == 0
    assert (found["placed_by"], found["is_provisional"], found["length_ms"]) == ("length", True, 475_440)
    assert [item["code"] for item in found["findings"]][:1] == ["cut-provisional"]
    potatoes = next(item for item in found["captions"] if item["caption"].endswith("cut-the-potatoes.1"))
    assert potatoes["in_ms"] == 80_720  # frame 1009 of 5943, now of 11886: frame 2018


def test_markers_and_subtitles_are_taken_too(supper: Path) -> None:
    """A list of markers in a spreadsheet's form, and the narration itself as subtitles ten seconds later."""
    marks = supper.parent / "marks.csv"
    marks.write_text("name,time\nopening.welcome,0:10\nleek-bean-bake.bake,2:00\n", encoding="utf-8")
    code, out, _ = run("retime", str(supper), "--cut", str(marks), "--json")
    assert (code, json.loads(out)["placed_by"]) == (0, "markers")
    plan = json.loads((supper / "out" / "plan.json").read_text(encoding="utf-8"))
    rows = [row for section in plan["cut"]["sections"] for row in section["rows"] if row["say"]]
    lines = ["WEBVTT", ""]
    for row in rows:
        start, end = row["start_ms"] + 10_000, row["start_ms"] + 10_000 + row["speech_ms"]
        stamps = (f"{at // 60_000:02d}:{at // 1000 % 60:02d}.{at % 1000:03d}" for at in (start, end))
        lines += [" --> ".join(stamps), row["say"], ""]
    speech = supper.parent / "speech.vtt"
    speech.write_text("\n".join(lines), encoding="utf-8")
    code, out, _ = run("retime", str(supper), "--cut", str(speech), "--json")
    found = json.loads(out)
    assert (code, found["placed_by"], found["rows_lost"]) == (0, "speech", [])
    spoken = {row["id"] for row in rows}
    moves = [item["in_ms"] - item["planned_in_ms"] for item in found["captions"] if item["row"] in spoken]
    assert all(abs(move - 10_000) <= 60 for move in moves)


def test_what_is_lost_counts_with_strict(supper: Path, cut: Path) -> None:
    """Exit code 1, the files written all the same."""
    assert run("retime", str(supper), "--cut", str(cut), "--strict")[0] == 1
    own = supper / "out" / "edit.edl"
    assert run("retime", str(supper), "--cut", str(own), "--strict")[0] == 0


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ((), 2, "--cut"),
        (("--cut", "CUT", "--length", "3:00"), 2, "--cut"),
        (("--length", "soon"), 2, "11:20"),
        (("--length", "0:00"), 2, "length"),
        (("--cut", "CUT", "--rate", "26"), 2, "known are"),
        (("--cut", "CUT", "--start", "one"), 2, "timecode"),
        (("--cut", "CUT", "--start", "01:00:00:29"), 1, "edit-time-bad"),
        (("--cut", "nowhere.edl"), 4, "nowhere.edl"),
        (("--cut", "CUT", "--rate", "24"), 1, "edit-time-bad"),
    ],
)
def test_wrong_words_are_told(supper: Path, cut: Path, words: tuple[str, ...], code: int, said: str) -> None:
    """Each ends with its exit code and says what to write; nothing is written."""
    before = snapshot(supper / "out")
    found, out, err = run("retime", str(supper), *(str(cut) if word == "CUT" else word for word in words))
    assert found == code
    assert said in err.replace("│", "").replace("\n", " ") + out
    assert snapshot(supper / "out") == before


def test_a_broken_list_writes_nothing_and_shows_its_line(supper: Path, cut: Path) -> None:
    """The line with a marker under the timecode, a hint, exit code 1, the earlier files untouched."""
    before = snapshot(supper / "out")
    text = cut.read_text(encoding="utf-8")
    first = re.search(r"01:00:00:00", text)
    assert first is not None
    cut.write_text(text.replace("01:00:00:00", "01:00:61:00", 1), encoding="utf-8")
    code, out, err = run("retime", str(supper), "--cut", str(cut))
    assert (code, out) == (1, "")
    assert "final.edl:3:" in err
    assert "error[edit-time-bad]" in err
    assert "^^^^^^^^^^^" in err
    assert "Traceback" not in err
    assert snapshot(supper / "out") == before


def test_your_own_captions_are_kept_aside(supper: Path, cut: Path) -> None:
    """A caption file that was changed by hand is kept as .yours."""
    mine = supper / "out" / "captions.srt"
    mine.write_text("1\n00:00:01,000 --> 00:00:02,000\nmine\n", encoding="utf-8")
    code, out, _ = run("retime", str(supper), "--cut", str(cut))
    assert code == 0
    assert "your own version was kept as captions.srt.yours" in out
    assert "mine" in (supper / "out" / "captions.srt.yours").read_text(encoding="utf-8")


def test_as_a_process_it_prints_to_stdout_only(supper: Path, cut: Path) -> None:
    """No progress and no colour where nobody looks; a start of its own puts everything later."""
    words = ("retime", str(supper), "--cut", str(cut), "--start", "00:59:50:00", "--json")
    ran = subprocess.run(
        [sys.executable, "-m", "shootplan", *words],
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert (ran.returncode, ran.stderr) == (0, "")
    found = json.loads(ran.stdout)
    potatoes = next(item for item in found["captions"] if item["caption"].endswith("cut-the-potatoes.1"))
    assert potatoes["in_ms"] == 45_680
    assert found["schema_version"] == 1


def test_the_clips_of_the_blog_are_the_re_timed_chapters(supper: Path) -> None:
    """With the video's address given, each page's clips begin at the pasted chapters and end with the video, 20:00."""
    source = supper / "episode.md"
    text = source.read_text(encoding="utf-8")
    source.write_text(text.replace("---\n", "---\nvideo: https://video.example/1\n", 1), encoding="utf-8")
    code, out, err = run("retime", str(supper), "--length", "20:00")
    assert (code, err.count("error")) == (0, 0)
    assert f"blog/{BAKE}.html" in out
    lines = (supper / "out" / "chapters.txt").read_text(encoding="utf-8").splitlines()
    begins = [
        sum(int(part) * 60**place for place, part in enumerate(reversed(line.split()[0].split(":"))))
        for line in lines
        if line
    ]
    page = (supper / "out" / "blog" / f"{BAKE}.html").read_text(encoding="utf-8")
    clips = re.findall(r'"startOffset": ?(\d+),\s*"endOffset": ?(\d+)', page)
    assert [int(start) for start, _ in clips] == begins
    assert [int(end) for _, end in clips] == [*begins[1:], 1200]
    assert run("retime", str(supper), "--length", "20:00")[0] == 0
