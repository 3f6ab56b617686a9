"""The command ``season``: the demos gone through together, on one core, several, and a cluster's executor."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from datetime import date
from pathlib import Path

import pytest
from typer.testing import CliRunner

from shootplan.app.season import episode_folders, review, season
from shootplan.cli import app
from shootplan.model.season import Order, Task
from shootplan.problems import InputError

run = CliRunner()


@pytest.fixture
def shelf(root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A season of two demos in folders of their own, and a cache of this test's own."""
    monkeypatch.setenv("SHOOTPLAN_CACHE", str(tmp_path / "cache"))
    for place, name in (("2026/autumn", "tuesday-supper"), ("2026/winter", "six-lunches")):
        shutil.copytree(root / "demo_episodes" / name, tmp_path / "shelf" / place / name)
    yield tmp_path / "shelf"


def test_every_episode_is_found_and_sound(shelf: Path) -> None:
    """Both demos hold all their claims (demos.md: three and two)."""
    found = run.invoke(app, ["season", str(shelf), "--workers", "1"])
    assert found.exit_code == 0, found.output
    assert "2026-11-17  Tuesday supper, one oven         3 of 3 claims hold" in found.output
    assert "2026-11-19  Six lunches, two rings, no oven  2 of 2 claims hold" in found.output
    assert "2 episodes, 2 sound, 0 unchanged since the last time" in found.output


def test_dearer_oats_break_a_published_total(shelf: Path) -> None:
    """
    Oats at 2.10 instead of 1.10 a kilogram: 80 g of them make the crumble dearer by 0.08, a quarter of it by 0.02.

    The total with options was 2.58 (demos.md) and becomes 2.60, which is not under 2.60. By hand: 0.8213 + 0.02.
    """
    found = run.invoke(app, ["season", str(shelf), "--price", "rolled oats=2.10", "--json"])
    assert found.exit_code == 0, found.output
    episodes = {item["title"]: item for item in json.loads(found.output)["episodes"]}
    supper = episodes["Tuesday supper, one oven"]
    assert "oat-crumble, a serving without options: 0.8213 → 0.8413 GBP" in supper["moved"]
    broken = [claim for claim in supper["claims"] if claim["was_allowed"] and not claim["is_allowed"]]
    assert [claim["text"] for claim in broken] == ["total: under 2.60 per serving, with options"]
    text = run.invoke(app, ["season", str(shelf), "--price", "rolled oats=2.10"]).output
    assert "claims that held when published and fail now" in text


def test_only_what_changed_is_gone_through_again(shelf: Path) -> None:
    """A changed price book makes its own episode anew; a review with another order is another review."""
    first = season(shelf, task=Task.COSTS, workers=1)
    assert first.kept == 0
    again = season(shelf, task=Task.COSTS, workers=1)
    assert (again.kept, again.reviews) == (2, first.reviews)
    prices = next(shelf.rglob("tuesday-supper/prices.csv"))
    prices.write_text(prices.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    assert season(shelf, task=Task.COSTS, workers=1).kept == 1
    assert season(shelf, task=Task.CHECK, workers=1).kept == 0
    assert season(shelf, task=Task.COSTS, workers=1, is_anew=True).kept == 0


def test_a_build_is_done_again_where_its_documents_went(shelf: Path) -> None:
    """Unchanged source alone is not enough: the manifest must stand as it was written."""
    built = season(shelf, task=Task.BUILD, workers=1)
    assert all(item.documents > 10 for item in built.reviews)
    assert season(shelf, task=Task.BUILD, workers=1).kept == 2
    shutil.rmtree(next(shelf.rglob("tuesday-supper")) / "out")
    assert season(shelf, task=Task.BUILD, workers=1).kept == 1
    assert (next(shelf.rglob("tuesday-supper")) / "out" / "index.html").is_file()


def test_a_broken_episode_is_told_and_stops_no_other(shelf: Path) -> None:
    """Faults are listed with file and line, the rest is judged, the exit code says that something is to be mended."""
    recipe = next(shelf.rglob("tuesday-supper/recipes/*.md"))
    recipe.write_text(recipe.read_text(encoding="utf-8").replace("hands:", "hnads:", 1), encoding="utf-8")
    found = run.invoke(app, ["season", str(shelf), "--workers", "1"])
    assert found.exit_code == 1
    assert "to be mended:" in found.output
    assert f"{recipe}:" in found.output
    assert "2 of 2 claims hold" in found.output


def test_prices_of_another_day(shelf: Path) -> None:
    """Months later every price is older than the limit: no claim may be made of it (rule M5)."""
    report = season(shelf, task=Task.COSTS, on=date(2027, 6, 1), workers=1)
    assert all(claim.fails_now for item in report.reviews for claim in item.claims)
    assert all("stale" in claim.reason for item in report.reviews for claim in item.claims)


def test_a_correction_that_is_none_is_refused_once(shelf: Path) -> None:
    """ "oats" is no price."""
    with pytest.raises(InputError) as caught:
        season(shelf, corrections=("oats",))
    assert [problem.code for problem in caught.value.problems] == ["price-correction-bad"]
    assert run.invoke(app, ["season", str(shelf), "--price", "oats"]).exit_code == 1


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    """It is named, exit code 4; an empty one has no episodes."""
    missing = run.invoke(app, ["season", str(tmp_path / "nowhere")])
    assert missing.exit_code == 4
    assert "nowhere" in missing.output
    assert episode_folders(tmp_path) == ()


def test_what_cannot_be_planned_is_a_failure_of_that_episode(shelf: Path) -> None:
    """A day that cannot be is told in words."""
    place = next(shelf.rglob("tuesday-supper"))
    kitchen = place / "episode.md"
    kitchen.write_text(
        kitchen.read_text(encoding="utf-8").replace("call:", "latest wrap: 09:05\ncall:", 1), encoding="utf-8"
    )
    found = review(Order(folder=str(place), task=Task.BUILD))
    assert not found.is_sound
    assert "rules together" in found.failure or found.errors


def is_alike(executor: Executor, shelf: Path) -> bool:
    """Whether an executor and this process alone give the same reviews, of both episodes."""
    alone = season(shelf, task=Task.COSTS, workers=1, is_anew=True)
    sent = season(shelf, task=Task.COSTS, executor=executor, is_anew=True)
    return sent.reviews == alone.reviews and len(sent.reviews) == 2


def test_several_processes_find_the_same(shelf: Path) -> None:
    """Two processes of this machine."""
    alone = season(shelf, task=Task.COSTS, workers=1, is_anew=True)
    assert season(shelf, task=Task.COSTS, workers=2, is_anew=True).reviews == alone.reviews


def test_any_executor_will_do(shelf: Path) -> None:
    """Threads, as a stand-in for whatever a caller has."""
    with ThreadPoolExecutor(2) as executor:
        assert is_alike(executor, shelf)


def test_a_cluster_s_executor_will_do(shelf: Path) -> None:
    """A local cluster of dask.distributed, the optional extra ``cluster``."""
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        assert is_alike(client.get_executor(), shelf)
