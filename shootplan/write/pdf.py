"""
A page as a PDF, by a browser or a library that is there: neither comes with the program.

HTML text comes in, bytes of a PDF go out. What prints it puts the time of printing into the file, so the result differs
from run to run and is no part of a build.
"""

from __future__ import annotations

import importlib
import importlib.util
import os
import re
import shutil
import subprocess
import tempfile
from pathlib import Path

from shootplan.problems import OutputError

__all__ = ["HOW_TO", "print_pdf"]

#: What to do where nothing can print.
HOW_TO = (
    "nothing here can print a PDF: install chromium (Debian: apt-get install chromium) or the library "
    "(pip install weasyprint), or open the pages of a build in a browser and print them"
)
_SECONDS = 180
#: A font's dictionary in a PDF (ISO 32000-1, 9.5); without one no letter stands on the sheets.
_FONT = re.compile(rb"/Type\s*/Font\b")
_FONTS = "install one (Debian: apt-get install fonts-dejavu-core)"


def print_pdf(html: str) -> bytes:
    """
    Return the page as a PDF.

    Raises
    ------
    OutputError
        If neither Chromium nor WeasyPrint is there, or the one that is fails or finds no font.
    """
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser is not None:
        return _by_browser(browser, html)
    if importlib.util.find_spec("weasyprint") is not None:
        return _by_library(html)
    raise OutputError(HOW_TO)


def _by_browser(browser: str, html: str) -> bytes:
    with tempfile.TemporaryDirectory(prefix="shootplan-") as folder:
        page, printed = Path(folder) / "pack.html", Path(folder) / "pack.pdf"
        page.write_text(html, encoding="utf-8")
        options = ["--headless", "--disable-gpu", "--no-pdf-header-footer", f"--user-data-dir={folder}/profile"]
        options += ["--no-sandbox"] if _is_root() else []
        command = [browser, *options, f"--print-to-pdf={printed}", page.as_uri()]
        try:
            run = subprocess.run(command, capture_output=True, timeout=_SECONDS, check=False)
        except (OSError, subprocess.TimeoutExpired) as error:
            raise OutputError(f"{browser} could not print: {error}") from error
        if run.returncode or not printed.is_file():
            said = run.stderr.decode("utf-8", "replace").strip().splitlines()[-1:]
            raise OutputError(f"{browser} could not print: {' '.join(said) or 'it said nothing'}")
        made = printed.read_bytes()
        if _FONT.search(made) is None:
            raise OutputError(f"{browser} found no font and printed empty sheets: {_FONTS}")
        return made


def _is_root() -> bool:
    """As root a browser refuses its own sandbox; the page it prints is ours and loads nothing."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def _by_library(html: str) -> bytes:
    try:
        weasyprint = importlib.import_module("weasyprint")
        return bytes(weasyprint.HTML(string=html).write_pdf())
    except Exception as error:
        raise OutputError(f"weasyprint could not print: {error}") from error
