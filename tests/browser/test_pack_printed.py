"""The day's papers, printed by Chromium itself."""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

import pytest

from shootplan.app.pack import pack

pytestmark = pytest.mark.browser

DEMO = Path(__file__).resolve().parents[2] / "demo_episodes" / "tuesday-supper"


def test_chromium_prints_the_pack_on_several_sheets(tmp_path: Path) -> None:
    """A PDF with a sheet or more for each paper (ISO 32000: page objects and their count)."""
    if shutil.which("chromium") is None:
        if os.environ.get("CI"):
            pytest.fail("chromium is not installed")
        pytest.skip("chromium is not installed")
    target = pack(DEMO, out=tmp_path / "pack.pdf")
    content = target.read_bytes()
    assert content.startswith(b"%PDF-")
    counts = [int(count) for count in re.findall(rb"/Count (\d+)", content)]
    assert max(counts) >= 4
