"""What is kept between runs: solved plans and compiled templates, which must never change what comes out."""

from __future__ import annotations

import os
import pickle
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import shootplan.plan
from shootplan.app import Solver, load, plan
from shootplan.app.film import filmed_plan
from shootplan.model.filming import PickUp, PickUps
from shootplan.model.planning import Schedule, SolveResult, SolveStatus
from shootplan.plan.cp_sat import Limits, Model, Outcome
from shootplan.plan.film_planner import FilmedPlan
from shootplan.plan.tasks import build_plan
from shootplan.resources import cache_folder
from shootplan.write.kept import Kept
from tests.planning_helpers import KITCHEN, recipe, write_episode


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty cache of this test's own."""
    monkeypatch.setenv("SHOOTPLAN_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


@pytest.fixture
def demo_one(demos_root: Path) -> Path:
    """The first demo."""
    return demos_root / "tuesday-supper"


@pytest.fixture
def demos_root(root: Path) -> Path:
    """The folder of the demos."""
    return root / "demo_episodes"


def count_solves(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Return a list that grows with each call of the planner."""
    calls: list[int] = []
    whole = shootplan.plan.solve

    def counted(*args: object, **kwargs: object) -> SolveResult:
        calls.append(1)
        return whole(*args, **kwargs)  # type: ignore[arg-type]

    monkeypatch.setattr(shootplan.plan, "solve", counted)
    return calls


def test_the_same_day_is_planned_once(cache: Path, demo_one: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A second run takes the kept plan and gets the very same one."""
    calls = count_solves(monkeypatch)
    first = plan(load(demo_one), solver=Solver()).result
    second = plan(load(demo_one), solver=Solver()).result
    assert calls == [1]
    assert first == second
    assert len(list((cache / "plans").iterdir())) == 1


class _Written:
    """Writes itself as the attribute of a class, as members of enumerations do in Python up to 3.11.3."""

    def __init__(self, kind: type, name: str) -> None:
        self.kind, self.name = kind, name

    def __reduce__(self) -> tuple[object, ...]:
        return getattr, (self.kind, self.name)


@pytest.mark.parametrize(
    ("written", "read"),
    [
        (_Written(SolveStatus, "OPTIMAL"), SolveStatus.OPTIMAL),
        (_Written(SolveStatus, "__init__"), None),
        (_Written(SolveStatus, "mro"), None),
        (_Written(SolveResult, "gap_percent"), None),
    ],
)
def test_a_member_of_an_enumeration_is_read_however_python_writes_it(
    tmp_path: Path, written: _Written, read: object
) -> None:
    """A member of ours is read back; any other attribute is as good as nothing."""
    kept = Kept(tmp_path, most=2)
    kept.put("told", written)
    assert kept.get("told") is read


@pytest.mark.parametrize(
    "spoiled",
    [
        b"",
        b"no plan",
        pickle.dumps(os.getcwd),
        pickle.dumps(SolveResult(status=SolveStatus.OPTIMAL, schedule=None, bound_s=0, engine="cp-sat")),
        pickle.dumps(SolveResult(status=SolveStatus.OPTIMAL, schedule=Schedule(assignments=()), bound_s=0, engine="x")),
    ],
    ids=["empty", "text", "code", "no schedule", "a schedule that leaves everything out"],
)
def test_a_spoiled_plan_is_made_anew(
    cache: Path, demo_one: Path, monkeypatch: pytest.MonkeyPatch, spoiled: bytes
) -> None:
    """A kept file that is broken, does something, or breaks a rule of the day is not used and is replaced."""
    right = plan(load(demo_one), solver=Solver()).result
    (kept,) = (cache / "plans").iterdir()
    kept.write_bytes(spoiled)
    calls = count_solves(monkeypatch)
    assert plan(load(demo_one), solver=Solver()).result == right
    assert calls == [1]
    assert plan(load(demo_one), solver=Solver()).result == right
    assert calls == [1]


def filmed(folder: Path) -> FilmedPlan:
    """Return the filmed plan of a soup: chop (over), simmer (hob, filmed as it goes on), serve within 5 min (over)."""
    steps = (
        "Chop | Chop the [beans]. | hands: 5 min | shot: over, hands",
        "Simmer | Simmer. | leave: 30 min | uses: ring | until: soft | shot: hob, steam",
        "Serve | Serve. | hands: 1 min | after: Simmer within 5 min | shot: over, ladle",
    )
    if not folder.exists():
        kitchen = KITCHEN + '[cameras]\npositions = ["over", "hob"]\nrerig = "8 min"\n'
        write_episode(folder, {"soup": recipe("Soup", "- 500 g beans", *steps)}, kitchen=kitchen)
    return filmed_plan(load(folder).resolved, Solver())


def test_the_same_filmed_day_is_planned_once(cache: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """
    A second run solves nothing, neither pick-ups nor the day, and places are those of the files as they are now.

    With other aims, and on another day, it is solved.
    """
    first = filmed(tmp_path / "e")
    path = tmp_path / "e" / "recipes" / "soup.md"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("# Soup\n", "# Soup\n\nWarm.\n"), encoding="utf-8")
    asked: list[float] = []
    whole = Model.solve

    def counted(self: Model, limits: Limits, progress: Any = None) -> Outcome:
        asked.append(limits.budget)
        return whole(self, limits, progress)

    monkeypatch.setattr(Model, "solve", counted)
    again = filmed(tmp_path / "e")
    assert asked == []
    assert again == first
    lines = [plan.plan_input.activities[0].span.line for plan in (first, again)]
    assert lines[1] == lines[0] + 2
    filmed_plan(load(tmp_path / "e").resolved, Solver(), aims=("camera",))
    assert len(asked) > 0
    asked.clear()
    path.write_text(text.replace("30 min", "31 min"), encoding="utf-8")
    assert filmed(tmp_path / "e").result.schedule != first.result.schedule
    assert len(asked) > 0


@pytest.mark.parametrize("spoiled", [b"no plan", pickle.dumps(PickUps()), pickle.dumps(Schedule(assignments=()))])
def test_a_spoiled_filmed_plan_is_made_anew(cache: Path, tmp_path: Path, spoiled: bytes) -> None:
    """Whatever stands in the kept files, the same day comes out; a shot that is not there is not picked up."""
    right = filmed(tmp_path / "e")
    nowhere = PickUp(recipe="soup", step="nowhere", label="", position="over", because="")
    for content in (spoiled, pickle.dumps(PickUps(shots=(nowhere,)))):
        for kept in (cache / "plans").iterdir():
            kept.write_bytes(content)
        assert filmed(tmp_path / "e") == right


def test_a_meal_that_is_planned_is_there_again(cache: Path, tmp_path: Path) -> None:
    """Of a day that is longer than its meal rule the kept plan has the break, and its input too."""
    kitchen = KITCHEN.replace("[hours]", '[hours]\nmeal = "30 min within 2 h"')
    steps = ("Chop | Chop the [beans]. | hands: 80 min | shot: over", "Serve | Serve. | hands: 80 min | shot: over")
    write_episode(tmp_path / "e", {"soup": recipe("Soup", "- 500 g beans", *steps)}, kitchen=kitchen)
    first, again = filmed(tmp_path / "e"), filmed(tmp_path / "e")
    assert first == again
    assert again.plan_input.meal is not None
    assert again.plan_input.meal.activity
    assert again.result.schedule is not None
    assert again.result.schedule.makespan_s == (80 + 30 + 80) * 60


@pytest.mark.parametrize("is_filmed", [False, True])
def test_what_the_user_stopped_is_not_kept(
    cache: Path, tmp_path: Path, demo_one: Path, monkeypatch: pytest.MonkeyPatch, is_filmed: bool
) -> None:
    """The plan so far is given, and the next run looks for a better one."""

    def planned() -> SolveResult:
        return filmed(tmp_path / "e").result if is_filmed else plan(load(demo_one), solver=Solver()).result

    whole = Model.solve

    def stopped(self: Model, limits: Limits, progress: Any = None) -> Outcome:
        return replace(whole(self, limits, progress), is_stopped=True)

    with monkeypatch.context() as patch:
        patch.setattr(Model, "solve", stopped)
        assert planned().is_stopped
        assert list((cache / "plans").iterdir()) == []
    assert not planned().is_stopped
    assert list((cache / "plans").iterdir())


def test_another_input_is_another_plan(cache: Path, demo_one: Path) -> None:
    """Anything that the plan depends on is in the file's name: settings and the whole input."""
    from shootplan.app import _kept_plans

    store = _kept_plans()
    assert store is not None
    plan_input = build_plan(load(demo_one).resolved)
    shorter = build_plan(load(demo_one.parent / "six-lunches").resolved)
    places = {store.place(plan_input, "tidy True"), store.place(plan_input, "tidy False")}
    places.add(store.place(shorter, "tidy True"))
    assert len(places) == 3


def test_nothing_is_kept_where_nothing_can_be(tmp_path: Path, demo_one: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Off, a file in the way, or a folder that others may write to: the plan is made all the same."""
    in_the_way = tmp_path / "file"
    in_the_way.write_text("")
    shared = tmp_path / "shared" / "plans"
    shared.mkdir(parents=True)
    shared.chmod(0o777)
    for told in ("off", str(in_the_way), str(shared.parent)):
        monkeypatch.setenv("SHOOTPLAN_CACHE", told)
        assert cache_folder("plans") is None
        assert plan(load(demo_one), solver=Solver()).result.schedule is not None


def test_the_usual_place_follows_the_standard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """XDG Base Directory Specification: XDG_CACHE_HOME if it is an absolute path, else .cache in the user's home."""
    monkeypatch.delenv("SHOOTPLAN_CACHE", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "xdg"))
    assert cache_folder("plans") == tmp_path / "xdg" / "shootplan" / "plans"
    monkeypatch.setenv("XDG_CACHE_HOME", "not/absolute")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    assert cache_folder("plans") == tmp_path / "home" / ".cache" / "shootplan" / "plans"


def test_old_plans_go(cache: Path, demo_one: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No more plans are kept than the limit; the longest unused go first."""
    monkeypatch.setattr("shootplan.write.kept_plans._MOST", 2)
    folder = cache / "plans"
    folder.mkdir(parents=True)
    folder.chmod(0o700)
    for age in range(3):
        (folder / f"{age}.kept").write_bytes(b"")
        os.utime(folder / f"{age}.kept", (age, age))
    plan(load(demo_one), solver=Solver())
    kept = sorted(path.name for path in folder.iterdir())
    assert len(kept) == 2
    assert "2.kept" in kept
