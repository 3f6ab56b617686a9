"""The day's papers in one PDF: joined in order, printed by what is there, or told how to get it."""

from __future__ import annotations

import subprocess
import sys
import types
from pathlib import Path

import pytest
from typer.testing import CliRunner

from shootplan.app.pack import joined_pages
from shootplan.cli import app
from shootplan.problems import OutputError
from shootplan.write import pdf

DEMO = Path(__file__).resolve().parents[2] / "demo_episodes" / "tuesday-supper"
PAGE = "<!DOCTYPE html><html><head><style>p {}</style></head><body><main><nav><p>Cover</p></nav>%s</main></body></html>"


def test_papers_are_joined_in_the_order_a_crew_reads_them() -> None:
    """Each begins on its own sheet, without the way back to the cover; other documents stay out."""
    files = {"shopping.html": PAGE % "third", "call_sheet.html": PAGE % "first", "prep.html": PAGE % "second"}
    page = joined_pages({**files, "costing.html": PAGE % "no"})
    assert [page.index(word) for word in ("first", "second", "third")] == sorted(
        page.index(word) for word in ("first", "second", "third")
    )
    assert page.count('<section class="paper">') == 3
    assert "Cover" not in page
    assert ">no<" not in page
    assert "break-before: page" in page


def test_without_papers_nothing_is_printed() -> None:
    """A template of the user's that has no main part leaves nothing to join."""
    with pytest.raises(OutputError, match="not among the documents"):
        joined_pages({"call_sheet.html": "nothing"})


def test_where_nothing_can_print_it_is_told_how_to_get_it(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Exit code 4, what to install, and no file."""
    monkeypatch.setattr(pdf.shutil, "which", lambda _: None)
    monkeypatch.setattr(pdf.importlib.util, "find_spec", lambda _: None)
    run = CliRunner().invoke(app, ["pack", str(DEMO), "--out", str(tmp_path / "pack.pdf")])
    assert run.exit_code == 4
    assert "install chromium" in run.output
    assert "weasyprint" in run.output
    assert list(tmp_path.iterdir()) == []


def test_a_browser_that_fails_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Its last words are passed on; one that hangs is given up."""
    monkeypatch.setattr(pdf.shutil, "which", lambda _: "/bin/chromium")
    failed = subprocess.CompletedProcess([], 1, b"", b"first\nno room\n")
    monkeypatch.setattr(pdf.subprocess, "run", lambda *_, **__: failed)
    with pytest.raises(OutputError, match="could not print: no room"):
        pdf.print_pdf(PAGE)

    def hang(*_: object, **__: object) -> None:
        raise subprocess.TimeoutExpired("chromium", 180)

    monkeypatch.setattr(pdf.subprocess, "run", hang)
    with pytest.raises(OutputError, match="could not print"):
        pdf.print_pdf(PAGE)


def test_the_library_prints_where_there_is_no_browser(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its bytes are passed on; what it says when it fails too (it needs libraries of the system)."""
    monkeypatch.setattr(pdf.shutil, "which", lambda _: None)
    monkeypatch.setattr(pdf.importlib.util, "find_spec", lambda _: object())

    class Page:
        def __init__(self, *, string: str) -> None:
            self.string = string

        def write_pdf(self) -> bytes:
            if not self.string:
                raise OSError("cannot load library")
            return b"%PDF-1.7"

    monkeypatch.setitem(sys.modules, "weasyprint", types.SimpleNamespace(HTML=Page))  # type: ignore[arg-type]
    assert pdf.print_pdf(PAGE) == b"%PDF-1.7"
    with pytest.raises(OutputError, match="cannot load library"):
        pdf.print_pdf("")


def test_the_file_lands_whole_or_not_at_all(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Written beside and renamed; a folder that cannot be made is an error with its reason."""
    from shootplan.write import pdf as printer

    monkeypatch.setattr(printer, "print_pdf", lambda _html: b"%PDF-1.4 test")
    target = tmp_path / "papers" / "pack.pdf"
    run = CliRunner().invoke(app, ["pack", str(DEMO), "--out", str(target)])
    assert run.exit_code == 0
    assert target.read_bytes() == b"%PDF-1.4 test"
    assert [item.name for item in target.parent.iterdir()] == ["pack.pdf"]
    blocked = CliRunner().invoke(app, ["pack", str(DEMO), "--out", str(target / "below.pdf")])
    assert blocked.exit_code == 4
    assert "cannot be written" in blocked.output
