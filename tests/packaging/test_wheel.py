"""The wheel itself is tested: built, unpacked apart from the checkout, and run from an empty folder."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.packaging


def _run(*words: str, cwd: Path, **env: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        words, cwd=cwd, env={**os.environ, **env}, capture_output=True, text=True, timeout=300, check=False
    )


@pytest.fixture(scope="module")
def installed(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder that holds the wheel's contents and nothing of the checkout."""
    place = tmp_path_factory.mktemp("wheel")
    pip = (sys.executable, "-m", "pip", "--disable-pip-version-check", "-q")
    made = _run(*pip, "wheel", str(root), "--no-deps", "-w", str(place / "dist"), cwd=place)
    assert made.returncode == 0, made.stderr
    (wheel,) = (place / "dist").glob("shootplan-*.whl")
    site = place / "site"
    put = _run(*pip, "install", "--no-deps", "--target", str(site), str(wheel), cwd=place)
    assert put.returncode == 0, put.stderr
    return site


def test_the_wheel_carries_templates_tables_and_types(installed: Path) -> None:
    """What the program needs at run time is in the wheel; tests and demos are not."""
    assert (installed / "shootplan" / "_templates" / "style.css").is_file()
    assert (installed / "shootplan" / "py.typed").is_file()
    assert not (installed / "tests").exists()


def test_the_installed_wheel_writes_what_the_checkout_writes(installed: Path, root: Path, tmp_path: Path) -> None:
    """A build by the wheel from an empty folder is byte for byte the checkout's."""
    shutil.copytree(
        root / "demo_episodes" / "tuesday-supper", tmp_path / "supper", ignore=shutil.ignore_patterns("out")
    )
    where = _run(
        sys.executable, "-c", "import shootplan; print(shootplan.__file__)", cwd=tmp_path, PYTHONPATH=str(installed)
    )
    assert where.stdout.startswith(str(installed)), where.stdout + where.stderr
    outs = {}
    for name, path in (("wheel", str(installed)), ("checkout", str(root))):
        ran = _run(sys.executable, "-m", "shootplan", "build", "supper", "--out", name, cwd=tmp_path, PYTHONPATH=path)
        assert ran.returncode == 0, ran.stderr
        outs[name] = {
            str(file.relative_to(tmp_path / name)): file.read_bytes()
            for file in sorted((tmp_path / name).rglob("*"))
            if file.is_file()
        }
    assert len(outs["wheel"]) > 10
    assert outs["wheel"] == outs["checkout"]
