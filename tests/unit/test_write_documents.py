"""Documents land together or not at all, and what the user changed is kept."""

from __future__ import annotations

import errno
import hashlib
import json
from contextlib import suppress
from pathlib import Path

import pytest

from shootplan.problems import OutputError
from shootplan.write import write_documents
from shootplan.write.disk import Disk
from shootplan.write.lock import LOCK_NAME, hold_folder
from shootplan.write.manifest import read_manifest

FIRST: dict[str, str | bytes] = {"index.html": "one", "blog/soup.md": "soup", "plan.json": "{}"}
SECOND: dict[str, str | bytes] = {"index.html": "two", "blog/bread.md": "bread", "plan.json": "{}"}


def state(folder: Path) -> dict[str, bytes]:
    """Return every file under a folder with its bytes."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


class FailingDisk(Disk):
    """Counts the operations and refuses the n-th (counted from 0) with a full disk; later ones work again."""

    def __init__(self, fail_at: int = -1, code: int = errno.ENOSPC) -> None:
        self.count, self.fail_at, self.code = 0, fail_at, code

    def _count(self) -> None:
        self.count += 1
        if self.count - 1 == self.fail_at:
            raise OSError(self.code, "refused")

    def make_folder(self, folder: Path) -> None:
        self._count()
        super().make_folder(folder)

    def write(self, path: Path, content: bytes) -> None:
        self._count()
        if self.count == self.fail_at + 1:
            path.write_bytes(content[: len(content) // 2])
        super().write(path, content)

    def rename(self, old: Path, new: Path) -> None:
        self._count()
        super().rename(old, new)

    def settle(self, folder: Path) -> None:
        self._count()
        super().settle(folder)


class Killed(BaseException):
    """The process ends at once: nothing may be undone."""


class DyingDisk(FailingDisk):
    """From the n-th operation on nothing works any more, as when the power fails."""

    def _count(self) -> None:
        self.count += 1
        if self.count - 1 >= self.fail_at:
            raise Killed

    def remove(self, path: Path) -> None:
        self._count()
        super().remove(path)

    def remove_folder(self, folder: Path) -> None:
        self._count()
        super().remove_folder(folder)


def operations(tmp_path: Path) -> int:
    """Return how many operations the second build needs."""
    out = tmp_path / "counted"
    write_documents(out, FIRST, version="1")
    disk = FailingDisk()
    write_documents(out, SECOND, version="2", disk=disk)
    return disk.count


def test_the_documents_and_their_checksums_are_written(tmp_path: Path) -> None:
    """The manifest names each document with the SHA-256 of what is on the disk."""
    manifest = write_documents(tmp_path / "a" / "out", FIRST, version="1.2")
    record = json.loads((tmp_path / "a" / "out" / "manifest.json").read_text())
    assert record["schema_version"] == 1
    assert record["version"] == "1.2"
    assert sorted(record["files"]) == sorted(FIRST)
    for path, entry in record["files"].items():
        assert entry["sha256"] == hashlib.sha256((tmp_path / "a" / "out" / path).read_bytes()).hexdigest()
    assert manifest.kept_aside == ()


def test_the_checksum_is_the_published_one(tmp_path: Path) -> None:
    """SOURCE: FIPS 180-4, NIST example "abc": ba7816bf … f20015ad."""
    manifest = write_documents(tmp_path, {"a.txt": b"abc"}, version="1")
    expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert manifest.sha256_of("a.txt") == expected


def test_stale_documents_go_and_only_those(tmp_path: Path) -> None:
    """What the last build made and this one does not is removed; the user's own files stay."""
    write_documents(tmp_path, FIRST, version="1")
    (tmp_path / "blog" / "mine.txt").write_text("mine")
    manifest = write_documents(tmp_path, SECOND, version="2")
    assert manifest.removed == ("blog/soup.md",)
    assert sorted(state(tmp_path)) == ["blog/bread.md", "blog/mine.txt", "index.html", "manifest.json", "plan.json"]


def test_a_folder_left_empty_goes_too(tmp_path: Path) -> None:
    """No empty folder stays behind."""
    write_documents(tmp_path, FIRST, version="1")
    write_documents(tmp_path, {"index.html": "x"}, version="2")
    assert not (tmp_path / "blog").exists()


def test_a_document_changed_by_hand_is_kept_aside(tmp_path: Path) -> None:
    """The new text takes the name, the user's stays as NAME.yours, and it is reported."""
    write_documents(tmp_path, FIRST, version="1")
    (tmp_path / "index.html").write_text("my own words")
    manifest = write_documents(tmp_path, SECOND, version="2")
    assert manifest.kept_aside == ("index.html.yours",)
    assert (tmp_path / "index.html").read_text() == "two"
    assert (tmp_path / "index.html.yours").read_text() == "my own words"


def test_an_earlier_kept_document_is_not_lost(tmp_path: Path) -> None:
    """A second change gets a name of its own."""
    for number in range(3):
        write_documents(tmp_path, {"index.html": f"built {number}"}, version="1")
        (tmp_path / "index.html").write_text(f"mine {number}")
    manifest = write_documents(tmp_path, {"index.html": "last"}, version="1")
    assert manifest.kept_aside == ("index.html.yours-3",)
    assert (tmp_path / "index.html.yours").read_text() == "mine 0"
    assert (tmp_path / "index.html.yours-3").read_text() == "mine 2"


def test_a_stale_document_changed_by_hand_is_kept_aside(tmp_path: Path) -> None:
    """Removing is no way to lose the user's words either."""
    write_documents(tmp_path, FIRST, version="1")
    (tmp_path / "blog" / "soup.md").write_text("my soup")
    manifest = write_documents(tmp_path, SECOND, version="2")
    assert manifest.kept_aside == ("blog/soup.md.yours",)
    assert (tmp_path / "blog" / "soup.md.yours").read_text() == "my soup"


def test_a_file_that_no_build_wrote_is_kept_aside(tmp_path: Path) -> None:
    """A document's name may already be taken in a folder that we never wrote to."""
    (tmp_path / "index.html").write_text("was here first")
    assert write_documents(tmp_path, FIRST, version="1").kept_aside == ("index.html.yours",)


def test_a_damaged_manifest_loses_nothing(tmp_path: Path) -> None:
    """Without a readable record every document counts as the user's."""
    write_documents(tmp_path, FIRST, version="1")
    (tmp_path / "manifest.json").write_text('{"files": [1, 2')
    manifest = write_documents(tmp_path, SECOND, version="2")
    assert "index.html.yours" in manifest.kept_aside
    assert read_manifest(b"[1]").files == ()


def test_the_user_may_ask_to_overwrite(tmp_path: Path) -> None:
    """With keep_user_changes off nothing is kept aside."""
    write_documents(tmp_path, FIRST, version="1")
    (tmp_path / "index.html").write_text("my own words")
    assert write_documents(tmp_path, SECOND, version="2", keep_user_changes=False).kept_aside == ()
    assert sorted(state(tmp_path)) == ["blog/bread.md", "index.html", "manifest.json", "plan.json"]


def test_an_unchanged_document_is_not_touched(tmp_path: Path) -> None:
    """Equal bytes keep their file, so that watchers see only what changed."""
    write_documents(tmp_path, FIRST, version="1")
    before = (tmp_path / "plan.json").stat()
    write_documents(tmp_path, SECOND, version="1")
    after = (tmp_path / "plan.json").stat()
    assert (before.st_ino, before.st_mtime_ns) == (after.st_ino, after.st_mtime_ns)


def test_a_failure_at_every_step_leaves_the_old_output_whole(tmp_path: Path) -> None:
    """Whichever operation the disk refuses, every old byte is there, nothing new is, and a second try succeeds."""
    for step in range(operations(tmp_path)):
        out = tmp_path / f"out{step}"
        write_documents(out, FIRST, version="1")
        (out / "index.html").write_text("my own words")
        before = state(out)
        with pytest.raises(OutputError, match=r"disk is full.*earlier output is untouched"):
            write_documents(out, SECOND, version="2", disk=FailingDisk(step))
        assert state(out) == before, step
        assert write_documents(out, SECOND, version="2").kept_aside == ("index.html.yours",)


def test_a_failed_first_build_leaves_no_documents(tmp_path: Path) -> None:
    """There is no half of a first build either."""
    for step in range(8):
        out = tmp_path / f"out{step}"
        with pytest.raises(OutputError):
            write_documents(out, FIRST, version="1", disk=FailingDisk(step))
        assert state(out) == {} if out.exists() else True


def test_a_run_killed_at_any_moment_is_put_right_by_the_next(tmp_path: Path) -> None:
    """After a crash the next build ends as if nothing had happened and keeps the user's words."""
    for step in range(operations(tmp_path) + 8):
        out = tmp_path / f"out{step}"
        write_documents(out, FIRST, version="1")
        (out / "index.html").write_text("my own words")
        with suppress(Killed):
            write_documents(out, SECOND, version="2", disk=DyingDisk(step))
        manifest = write_documents(out, SECOND, version="2")
        assert (out / "index.html").read_text() == "two"
        kept = [text for name, text in state(out).items() if ".yours" in name]
        assert kept == [b"my own words"], (step, manifest)
        assert not [name for name in state(out) if name.startswith(".shootplan")]
        assert "blog/soup.md" not in state(out)


def test_a_crash_before_the_new_manifest_is_undone_first(tmp_path: Path) -> None:
    """Without a manifest the set-aside files are the good ones and come back."""
    write_documents(tmp_path, FIRST, version="1")
    (tmp_path / ".shootplan-old").mkdir()
    (tmp_path / "manifest.json").rename(tmp_path / ".shootplan-old" / "manifest.json")
    (tmp_path / "index.html").rename(tmp_path / ".shootplan-old" / "index.html")
    (tmp_path / "index.html").write_text("half a new build")
    manifest = write_documents(tmp_path, FIRST, version="1")
    assert manifest.kept_aside == ()
    assert (tmp_path / "index.html").read_text() == "one"


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EROFS, "read-only"),
        (errno.EACCES, "no right to write"),
        (errno.EIO, "refused"),
    ],
)
def test_the_reason_is_told_in_plain_words(tmp_path: Path, code: int, words: str) -> None:
    """The message names the folder and says why."""
    with pytest.raises(OutputError, match=words) as caught:
        write_documents(tmp_path, FIRST, version="1", disk=FailingDisk(0, code))
    assert str(tmp_path) in str(caught.value)


def test_a_file_in_place_of_the_folder_is_told(tmp_path: Path) -> None:
    """A name that is taken by a file is no bug of ours."""
    (tmp_path / "out").write_text("a file")
    with pytest.raises(OutputError, match="in the way"):
        write_documents(tmp_path / "out", FIRST, version="1")


def test_a_folder_in_place_of_a_document_stays(tmp_path: Path) -> None:
    """A folder named like a document is not touched, and the build says so."""
    (tmp_path / "index.html").mkdir()
    (tmp_path / "index.html" / "note.txt").write_text("mine")
    with pytest.raises(OutputError):
        write_documents(tmp_path, FIRST, version="1")
    assert state(tmp_path) == {"index.html/note.txt": b"mine"}


def test_two_builds_at_once_are_refused(tmp_path: Path) -> None:
    """The second build says that the first is still writing, and changes nothing."""
    write_documents(tmp_path, FIRST, version="1")
    with hold_folder(tmp_path), pytest.raises(OutputError, match="another build is writing"):
        write_documents(tmp_path, SECOND, version="2")
    assert (tmp_path / "index.html").read_text() == "one"
    assert not (tmp_path / LOCK_NAME).exists()


def test_a_lock_file_left_by_a_crash_does_not_block(tmp_path: Path) -> None:
    """The system lets go of the lock when its holder ends; the file alone means nothing."""
    (tmp_path / LOCK_NAME).write_text("")
    assert write_documents(tmp_path, FIRST, version="1").version == "1"


def test_nothing_is_written_through_a_link_that_leads_outside(tmp_path: Path) -> None:
    """A folder of the output that is a link to elsewhere is refused."""
    elsewhere, out = tmp_path / "elsewhere", tmp_path / "out"
    elsewhere.mkdir()
    out.mkdir()
    (out / "blog").symlink_to(elsewhere)
    with pytest.raises(OutputError, match="outside"):
        write_documents(out, FIRST, version="1")
    assert list(elsewhere.iterdir()) == []


@pytest.mark.parametrize("path", ["/etc/x", "../x", "a/../../x", "", "manifest.json", ".shootplan-old/x", "a\\b"])
def test_a_path_that_is_none_of_a_document_is_our_own_mistake(tmp_path: Path, path: str) -> None:
    """Such a path is a programmer's slip."""
    with pytest.raises(ValueError, match="not a path"):
        write_documents(tmp_path, {path: "x"}, version="1")
