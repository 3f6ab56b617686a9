"""
The use cases: load, cost, times, plan, publish, check, build. One line per stage; nothing is printed here.

Each takes an episode's folder or a loaded episode and returns values. Faults in the user's files raise
``InputError`` with all problems of the run; a plan that cannot be raises ``InfeasiblePlan``.
"""

from __future__ import annotations

import posixpath
from collections.abc import Callable, Collection, Mapping
from dataclasses import field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from shootplan.problems import Finding, InputError, OutOfTime, Problem, Span
from shootplan.records import dataclass

if TYPE_CHECKING:
    from shootplan.model.agreement import Agreement, Statement
    from shootplan.model.care import RecipeCare
    from shootplan.model.costing import EpisodeCost
    from shootplan.model.cut import Cut
    from shootplan.model.day import DayRow, EquipmentPeak, IdleGap
    from shootplan.model.episode import Episode
    from shootplan.model.filled import FilledEpisode
    from shootplan.model.filmed_day import FilmedDay
    from shootplan.model.larder import OwnRow
    from shootplan.model.pace import PaceFit
    from shootplan.model.planning import ChainLink, PlanInput, SolveResult
    from shootplan.model.prep import Prep
    from shootplan.model.publication import Publication
    from shootplan.model.resolved import ResolvedEpisode
    from shootplan.model.shopping import Shopping
    from shootplan.model.times import EpisodeTimes
    from shootplan.plan.keeping import Found
    from shootplan.read.files import Files
    from shootplan.write.kept_plans import KeptPlans

__all__ = [
    "Built",
    "Checked",
    "Day",
    "DiskFiles",
    "Loaded",
    "Progress",
    "Solver",
    "build",
    "check",
    "cost",
    "day_input",
    "documents",
    "explain",
    "fill_and_cut",
    "for_one_day",
    "load",
    "pace",
    "plan",
    "publish",
    "shop",
    "times",
]

#: Called with a few words each time a stage begins or a better plan is found.
Progress = Callable[[str], None]

#: Gaps shorter than this are no use to anybody.
_LEAST_GAP_S = 3 * 60
_MAX_BYTES = 32 * 1024 * 1024


class DiskFiles:
    """The user's files on disk, read as UTF-8 text; a byte order mark goes and line ends become line feeds."""

    def text(self, path: str) -> str:
        """
        Return the text of a file.

        Raises
        ------
        FileNotFoundError
            If there is no such file.
        OSError
            If it cannot be opened or is larger than 32 MiB.
        UnicodeDecodeError
            If it is not UTF-8.
        """
        file = Path(path)
        if file.is_file() and file.stat().st_size > _MAX_BYTES:
            raise OSError(f"larger than {_MAX_BYTES // 1024 // 1024} MiB")
        text = file.read_bytes().decode("utf-8-sig")
        return text.replace("\r\n", "\n").replace("\r", "\n")

    def names(self, folder: str) -> tuple[str, ...]:
        """Return the sorted names of the files in a folder, empty if there is no such folder."""
        place = Path(folder)
        if not place.is_dir():
            return ()
        return tuple(sorted(item.name for item in place.iterdir() if item.is_file()))


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """An episode that was read and resolved, with the warnings found on the way."""

    resolved: ResolvedEpisode
    problems: tuple[Problem, ...] = ()

    @property
    def episode(self) -> Episode:
        """The episode as the user wrote it."""
        return self.resolved.episode


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """All problems and findings of a run, sorted by place; ``files`` counts the files read."""

    problems: tuple[Problem, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def has_errors(self) -> bool:
        """Whether a build would stop."""
        return any(problem.is_error for problem in self.problems)


@dataclass(frozen=True, slots=True, kw_only=True)
class Built:
    """What a build wrote: the folder, the relative paths, files kept aside because the user had changed them."""

    folder: Path
    publication: Publication
    paths: tuple[str, ...]
    kept_aside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """
    The planned day: what was asked, the answer, its rows by the clock and the most of each equipment at once.

    ``chain`` is what decides wrap, each link with what it waited for (rule T10). ``gaps`` are the stretches of some
    minutes in which somebody has nothing to do.
    """

    plan_input: PlanInput
    result: SolveResult
    rows: tuple[DayRow, ...]
    peaks: tuple[EquipmentPeak, ...]
    chain: tuple[ChainLink, ...] = ()
    gaps: tuple[IdleGap, ...] = ()


@dataclass(slots=True, kw_only=True)
class Solver:
    """The planner with its settings, which solves each input once: the day and the kitchen clock share plans."""

    progress: Progress | None = None
    workers: int = 1
    _known: dict[PlanInput, SolveResult] = field(default_factory=dict)
    _untidy: dict[PlanInput, SolveResult] = field(default_factory=dict)

    def __call__(self, plan_input: PlanInput) -> SolveResult:
        """Return the solution, from memory if this input was solved before."""
        if plan_input not in self._known:
            self._known[plan_input] = self._solved(plan_input)
        return self._known[plan_input]

    def lengths(self, plan_input: PlanInput) -> SolveResult:
        """Return a solution whose lengths are asked for and nothing else: who starts early does not matter."""
        if plan_input in self._known:
            return self._known[plan_input]
        if plan_input not in self._untidy:
            self._untidy[plan_input] = self._solved(plan_input, is_tidy=False)
        return self._untidy[plan_input]

    def _solved(self, plan_input: PlanInput, *, is_tidy: bool = True) -> SolveResult:
        from shootplan.plan import is_sound, solve

        def solved() -> SolveResult:
            return solve(plan_input, workers=self.workers, progress=self.progress, is_tidy=is_tidy)

        return self.keep(plan_input, f"tidy {is_tidy}", solved, lambda result: is_sound(plan_input, result))

    def keep(
        self, plan_input: PlanInput, settings: str, make: Callable[[], Found], is_sound: Callable[[Found], bool]
    ) -> Found:
        """
        Return what an earlier run kept for an input and settings if it is sound, else make it and keep it.

        What the user stopped is not kept: a run to the end may find more. Nor is what several workers made.
        """
        kept = _kept_plans() if self.workers == 1 else None
        if kept is None:
            return make()
        found: Found | None = kept.get(plan_input, settings, is_sound)
        if found is None:
            found = make()
            if not found.is_stopped:
                kept.put(plan_input, settings, found)
        return found


def _kept_plans() -> KeptPlans | None:
    from shootplan.model import filming, planning
    from shootplan.plan import own_files
    from shootplan.write.kept_plans import kept_plans

    return kept_plans((*own_files(), Path(planning.__file__), Path(filming.__file__)))


@dataclass(slots=True)
class _Faults:
    """Gathers problems stage by stage and stops only where nothing further can be said."""

    problems: list[Problem] = field(default_factory=list)

    def add(self, problems: tuple[Problem, ...]) -> None:
        self.problems.extend(problems)

    def raise_if_errors(self) -> None:
        if any(problem.is_error for problem in self.problems):
            raise InputError(self.problems)

    def sorted(self) -> tuple[Problem, ...]:
        return tuple(sorted(self.problems, key=lambda problem: problem.sort_key))


def load(folder: str | Path, *, files: Files | None = None, edit: Callable[[Episode], Episode] | None = None) -> Loaded:
    """
    Read and resolve the episode in ``folder``; ``edit`` changes what was read before anything is tied together.

    Raises
    ------
    InputError
        If the files have errors; all problems of all files are in it.
    """
    faults = _Faults()
    resolved = _load(str(folder), files or DiskFiles(), faults, edit)
    faults.raise_if_errors()
    if resolved is None:
        raise InputError(faults.problems)
    return Loaded(resolved=resolved, problems=faults.sorted())


def cost(loaded: Loaded) -> tuple[EpisodeCost, tuple[Finding, ...]]:
    """Return the exact costs of all recipes, the verdict on each price claim, and what the checks found."""
    from shootplan.cost import cost_episode

    return cost_episode(loaded.resolved)


def shop(loaded: Loaded, *, with_options: bool = True) -> Shopping:
    """Return what to buy for the whole episode and what it comes to at the till (rules M2 and M3)."""
    from shootplan.app.swaps import swap_doubles
    from shootplan.cost import shop_episode

    return shop_episode(loaded.resolved, with_options=with_options, line_doubles=swap_doubles(loaded))


def explain(loaded: Loaded, ingredient: str) -> tuple[str, ...]:
    """
    Return how each figure of an ingredient came about, with its sources: every line of the episode that it names.

    An ingredient that stands in no line is looked up in the larder alone.
    """
    from shootplan.cost import explain_lines

    return explain_lines(loaded.resolved, cost(loaded)[0], ingredient)


def day_input(loaded: Loaded, *, ready: Collection[tuple[str, str]] | None = None) -> PlanInput:
    """
    Return what the shoot day, or all days of the episode as one plan, asks of the planner.

    The duplicates that the episode chooses stand in for their waits; those that do not keep until then are made on the
    day. With ``ready`` (recipe and step) these stand in instead, wherever they come from.
    """
    from shootplan.plan.duplicates import duplicates_of_the_day, with_duplicates
    from shootplan.plan.over_days import over_days
    from shootplan.plan.swaps import with_swaps
    from shootplan.plan.tasks import build_plan

    resolved, chosen = loaded.resolved, [(item.recipe, item.step) for item in loaded.episode.swap_outs]
    swapped = chosen if ready is None else ready
    made = duplicates_of_the_day(resolved, chosen) if ready is None else ()
    beside = tuple(item.recipe for item in made)
    plan_input = with_swaps(build_plan(resolved, include_ahead=bool(resolved.episode.days), beside=beside), swapped)
    plan_input = with_duplicates(plan_input, resolved, swapped, made) if ready is None else plan_input
    return over_days(plan_input, resolved, swapped, beside)


def for_one_day(loaded: Loaded, what: str) -> None:
    """
    Do nothing for an episode of one day.

    Raises
    ------
    InputError
        If the episode is planned over several days, of which ``what`` knows nothing.
    """
    if loaded.episode.days:
        hint = 'take "days:" out of episode.md, or name one day of it as "date:" and "call:"'
        message = f"{what} is for one day, and the episode is planned over {len(loaded.episode.days)}"
        span = loaded.episode.days[0].span
        raise InputError((Problem(span=span, code="days-unused", message=message, hint=hint),))


def plan(loaded: Loaded, *, solver: Solver | None = None) -> Day:
    """
    Return the day: the plan input, its solution, its rows by the clock and the peaks of the equipment.

    Raises
    ------
    InfeasiblePlan
        If no schedule keeps all rules.
    """
    from shootplan.plan.chain import critical_chain, slack
    from shootplan.plan.day import equipment_peaks, steps_by_clock
    from shootplan.plan.gaps import idle_gaps

    plan_input = day_input(loaded)
    result = (solver or Solver())(plan_input)
    if result.schedule is None:
        raise OutOfTime
    room = slack(plan_input, result.schedule)
    rows = steps_by_clock(plan_input, result.schedule)
    return Day(
        plan_input=plan_input,
        result=result,
        rows=tuple(replace(row, slack_s=room[row.activities[0]]) for row in rows),
        peaks=equipment_peaks(plan_input, result.schedule),
        chain=critical_chain(plan_input, result.schedule),
        gaps=idle_gaps(plan_input, result.schedule, least_s=_LEAST_GAP_S),
    )


def times(loaded: Loaded, *, solver: Solver | None = None) -> EpisodeTimes:
    """Return active, passive and elapsed time of each recipe alone and of the episode (rules T1-T8)."""
    from shootplan.plan.times import time_episode

    return time_episode(loaded.resolved, (solver or Solver()).lengths)


def pace(path: str | Path, *, files: Files | None = None) -> tuple[PaceFit, tuple[Problem, ...]]:
    """
    Return how fast a presenter speaks by the timed text of a past episode, and which lines of it could not be read.

    Raises
    ------
    InputError
        If the file has too little timed speech to say anything.
    OSError
        If it cannot be opened.
    """
    from shootplan.facts.say_out import say_out
    from shootplan.timing.pace import fit_pace
    from shootplan.timing.timed_text import read_timed_text

    lines, problems = read_timed_text(_timed_text(files or DiskFiles(), str(path)), str(path))
    fit = fit_pace(lines, say_out)
    if fit is None:
        hint = "give a timed text of a minute and a half of speech or more"
        short = Problem(span=Span(str(path)), code="pace-too-short", message="too little timed speech", hint=hint)
        raise InputError((*problems, short))
    return fit, problems


def publish(loaded: Loaded, *, progress: Progress | None = None, workers: int = 1) -> Publication:
    """
    Compute everything that the documents show.

    Raises
    ------
    InputError
        If a placeholder names nothing that is known.
    InfeasiblePlan
        If no schedule keeps all rules.
    """
    from shootplan.app.agreement import of_texts
    from shootplan.app.swaps import chosen_swaps
    from shootplan.model.publication import Publication

    tell = progress or _silent
    solver = Solver(progress=progress, workers=workers)
    tell("costing")
    costs, cost_findings = cost(loaded)
    tell("planning the day")
    day = plan(loaded, solver=solver)
    tell("timing the recipes")
    kitchen_times = times(loaded, solver=solver)
    tell("filling in the figures")
    care, care_findings = _care(loaded)
    filled, faults, statements = _fill(loaded, costs, kitchen_times, care)
    cut, cut_findings = _cut(loaded, filled)
    costs, time_findings = _judge_times(loaded, costs, kitchen_times)
    shopping = shop(loaded)
    publication = Publication(
        resolved=loaded.resolved,
        costs=costs,
        times=kitchen_times,
        plan_input=day.plan_input,
        plan=day.result,
        day=day.rows,
        peaks=day.peaks,
        filled=filled,
        cut=cut,
        findings=(*cost_findings, *time_findings, *cut_findings, *care_findings),
        shopping=shopping,
        care=care,
        swaps=chosen_swaps(loaded, solver, costs),
        chain=day.chain,
        gaps=day.gaps,
        problems=(*loaded.problems, *faults),
        prep=_prepare(loaded, day, shopping),
    )
    return replace(publication, agreement=of_texts(publication, statements))


def _prepare(loaded: Loaded, day: Day | FilmedDay, shopping: Shopping | None) -> Prep | None:
    from shootplan.plan.prep import make_prep

    schedule = day.result.schedule
    return make_prep(loaded.resolved, day.plan_input, schedule, day.rows, shopping) if schedule is not None else None


def fill_and_cut(
    loaded: Loaded, costs: EpisodeCost, kitchen_times: EpisodeTimes
) -> tuple[FilledEpisode, Cut, EpisodeCost]:
    """Return the texts with their figures, the cut, and the costs with the claims of time judged; no day is planned."""
    filled, _, _ = _fill(loaded, costs, kitchen_times, _care(loaded)[0])
    cut, _ = _cut(loaded, filled)
    costs, _ = _judge_times(loaded, costs, kitchen_times)
    return filled, cut, costs


def check(folder: str | Path, *, files: Files | None = None) -> Checked:
    """Read everything and return every problem and finding; writes nothing, raises nothing for faults in files."""
    faults = _Faults()
    resolved = _load(str(folder), files or DiskFiles(), faults)
    if resolved is None:
        return Checked(problems=faults.sorted())
    loaded = Loaded(resolved=resolved)
    costs, findings = cost(loaded)
    _filled, more, _ = _fill(loaded, costs, None)
    faults.add(more)
    return Checked(problems=faults.sorted(), findings=(*findings, *_care(loaded)[1]))


def build(
    folder: str | Path,
    *,
    out: str | Path | None = None,
    files: Files | None = None,
    progress: Progress | None = None,
    workers: int = 1,
    with_cards: bool = False,
    with_film: bool = False,
) -> Built:
    """
    Write every document of the episode into ``out`` (default: ``FOLDER/out``), all together or not at all.

    ``with_cards`` adds each caption as a transparent picture, a file a caption. ``with_film`` plans the filmed day too,
    which takes longer, and adds the shoot day.

    Raises
    ------
    InputError
        If the files have errors; nothing is written.
    InfeasiblePlan
        If no schedule keeps all rules; nothing is written.
    OutputError
        If the documents cannot be written; the earlier output is untouched.
    """
    from shootplan import __version__
    from shootplan.app.agreement import document_problems
    from shootplan.write import write_documents

    tell = progress or _silent
    tell("reading")
    loaded = load(folder, files=files)
    publication = publish(loaded, progress=progress, workers=workers)
    if with_film:
        from shootplan.app.film import film

        tell("planning the filmed day")
        filmed = film(loaded, workers=workers, progress=progress)
        # The crew prepares for the day that it works, whose clock the cameras set.
        prep = _prepare(loaded, filmed, publication.shopping)
        publication = replace(publication, filmed=filmed, prep=prep)
    tell("writing")
    templates = _user_templates(Path(folder))
    texts, agreement = _documents(publication, templates, with_cards=with_cards)
    faults = document_problems(agreement, has_templates=templates is not None)
    publication = replace(publication, problems=(*publication.problems, *faults))
    target = Path(out) if out is not None else Path(folder) / "out"
    written = write_documents(target, texts, version=__version__)
    return Built(folder=target, publication=publication, paths=tuple(sorted(texts)), kept_aside=written.kept_aside)


def documents(
    publication: Publication, *, templates: Path | None = None, with_cards: bool = False
) -> Mapping[str, str]:
    """Return all documents as text by relative path, without touching the disk."""
    return _documents(publication, templates, with_cards=with_cards)[0]


def _documents(
    publication: Publication, templates: Path | None, *, with_cards: bool
) -> tuple[Mapping[str, str], Agreement]:
    """Return all documents, and what they say of the facts when they are read back."""
    from shootplan.app.agreement import with_documents
    from shootplan.app.edit import caption_files, card_files, chapter_files, edit_files
    from shootplan.render.documents import AGREEMENT_PAGES, render_agreement, render_documents

    cut = publication.cut
    captions = {**caption_files(cut), **chapter_files(cut), **edit_files(publication.resolved.episode, cut)}
    if with_cards:
        captions |= card_files(cut)
    files = render_documents(publication, captions=captions, user_templates=templates, later=AGREEMENT_PAGES)
    agreement = with_documents(publication, files, is_thorough=False)
    files |= render_agreement(publication, agreement, user_templates=templates)
    return dict(sorted(files.items())), agreement


def _load(
    folder: str, files: Files, faults: _Faults, edit: Callable[[Episode], Episode] | None = None
) -> ResolvedEpisode | None:
    from shootplan.plan.task_gear import check_equipment
    from shootplan.read import read_episode
    from shootplan.resolve import resolve_episode

    episode, problems = read_episode(folder, files)
    faults.add(problems)
    if episode is None:
        return None
    own, problems = _own_table(episode, files)
    faults.add(problems)
    episode = replace(episode, own_table=own)
    resolved, problems = resolve_episode(edit(episode) if edit is not None else episode)
    faults.add(problems)
    faults.add(check_equipment(resolved))
    return resolved


def _timed_text(files: Files, path: str) -> str:
    """Return a file's text; bytes that are not UTF-8 make it unreadable."""
    try:
        return files.text(path)
    except UnicodeDecodeError as error:
        message = f'"{path}" is not UTF-8 text (byte {error.start})'
        problem = Problem(span=Span(path), code="file-unreadable", message=message, hint="save the file as UTF-8")
        raise InputError((problem,)) from error


def _own_table(episode: Episode, files: Files) -> tuple[tuple[OwnRow, ...], tuple[Problem, ...]]:
    """Read the kitchen's own weights, ``larder.csv`` beside the price book, where there are any."""
    from shootplan.larder import read_own_table

    folder = posixpath.dirname(episode.prices.path) or "."
    if "larder.csv" not in files.names(folder):
        return (), ()
    path = posixpath.join(folder, "larder.csv")
    try:
        return read_own_table(path, files.text(path))
    except (OSError, UnicodeDecodeError):
        message = "the own food table cannot be read"
        return (), (Problem(span=Span(path), code="file-unreadable", message=message, hint="save it as UTF-8 text"),)


def _fill(
    loaded: Loaded, costs: EpisodeCost, kitchen_times: EpisodeTimes | None, care: tuple[RecipeCare, ...] = ()
) -> tuple[FilledEpisode, tuple[Problem, ...], tuple[Statement, ...]]:
    from shootplan.facts import FactBook, fill_and_compare

    filled, problems, statements = fill_and_compare(FactBook(loaded.resolved, costs, kitchen_times, care))
    if kitchen_times is not None and any(problem.is_error for problem in problems):
        raise InputError((*loaded.problems, *problems))
    return filled, problems, statements


def _cut(loaded: Loaded, filled: FilledEpisode) -> tuple[Cut, tuple[Finding, ...]]:
    from shootplan.facts.spoken_order import first_spoken
    from shootplan.timing import cut_episode
    from shootplan.timing.chapters import chapter_findings

    cut, findings = cut_episode(loaded.resolved, filled, first_spoken)
    return cut, (*findings, *chapter_findings(cut))


def _care(loaded: Loaded) -> tuple[tuple[RecipeCare, ...], tuple[Finding, ...]]:
    from shootplan.cost import care_findings, care_of

    cares = care_of(loaded.resolved)
    return cares, care_findings(loaded.resolved, cares)


def _judge_times(
    loaded: Loaded, costs: EpisodeCost, kitchen_times: EpisodeTimes
) -> tuple[EpisodeCost, tuple[Finding, ...]]:
    from shootplan.cost import judge_time_claims

    return judge_time_claims(loaded.resolved, costs, kitchen_times)


def _user_templates(folder: Path) -> Path | None:
    own = folder / "templates"
    return own if own.is_dir() else None


def _silent(_words: str) -> None:
    """Tell nobody."""
