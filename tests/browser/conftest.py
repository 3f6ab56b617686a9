"""A headless Chromium for all browser tests of a session, and the pages of a small publication on disk."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "unit"))

_FLAGS = ("--disable-gpu", "--disable-background-networking", "--disable-component-update")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Return a browser; without Chromium the tests are skipped, on the build machine they fail."""
    path = shutil.which("chromium")
    if path is None:
        if os.environ.get("CI"):
            pytest.fail("chromium is not installed")
        pytest.skip("chromium is not installed")
    from playwright.sync_api import sync_playwright

    flags = [*_FLAGS, *(["--no-sandbox"] if os.geteuid() == 0 else [])]
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=path, headless=True, args=flags)
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the documents of the publication made by hand."""
    from publication_factory import publication

    from shootplan.render import render_documents
    from shootplan.write import write_documents

    out = tmp_path_factory.mktemp("pages")
    write_documents(out, render_documents(publication(), captions={"captions.vtt": "WEBVTT\n"}), version="0")
    return out
