"""A machine without the usual fonts, or with none: what is drawn stays readable, and nothing empty is passed off."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from typer.testing import CliRunner

from shootplan.app import build
from shootplan.cli import app

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

DEMO = Path(__file__).resolve().parents[2] / "demo_episodes" / "tuesday-supper"
_OUT = """() => [...document.querySelectorAll('h1, h2, th, td, p, li, dd, dt')].filter(item => {
  const box = item.getBoundingClientRect();
  return box.width && box.right > innerWidth + 1 && !item.closest('thead, [role=region], .wide, .chart'); }).length"""


def fonts_file(folder: Path, *files: Path) -> Path:
    """Return a configuration in which the machine has only these font files."""
    (folder / "fonts").mkdir()
    for file in files:
        (folder / "fonts" / file.name).symlink_to(file)
    dirs = f"<dir>{folder}/fonts</dir><cachedir>{folder}/cache</cachedir>"
    config = folder / "fonts.conf"
    config.write_text(f'<?xml version="1.0"?><fontconfig>{dirs}</fontconfig>', encoding="utf-8")
    return config


@pytest.mark.usefixtures("browser")
def test_without_any_font_no_empty_pack_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Chromium prints blank sheets and says that all is well; the command says what is missing, and writes nothing."""
    monkeypatch.setenv("FONTCONFIG_FILE", str(fonts_file(tmp_path)))
    run = CliRunner().invoke(app, ["pack", str(DEMO), "--out", str(tmp_path / "pack.pdf")])
    assert run.exit_code == 4, run.output
    assert "found no font" in run.output.replace("\n", " ")
    assert "fonts-dejavu-core" in run.output
    assert not (tmp_path / "pack.pdf").exists()


def test_with_one_wide_font_the_pages_hold(browser: Browser, tmp_path: Path) -> None:
    """With nothing but a typewriter face, the widest there is, no text of a page leaves a phone's width."""
    mono = next(Path("/usr/share/fonts").rglob("DejaVuSansMono-Bold.ttf"), None)
    if mono is None:
        pytest.skip("the face is not on this machine")
    build(DEMO, out=tmp_path / "out")
    environment = {**os.environ, "FONTCONFIG_FILE": str(fonts_file(tmp_path, mono))}
    flags = ["--no-sandbox"] if os.geteuid() == 0 else []
    poor = browser.browser_type.launch(executable_path=shutil.which("chromium"), args=flags, env=environment)
    page = poor.new_page(viewport={"width": 390, "height": 844})
    for name in ("index", "shooting_order", "costing", "blog/oat-crumble"):
        page.goto((tmp_path / "out" / f"{name}.html").as_uri())
        assert page.evaluate(_OUT) == 0, name
        assert page.evaluate("document.documentElement.scrollWidth") == 390, name
    poor.close()
