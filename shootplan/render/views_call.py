"""
The call sheet as it is printed: who comes when, hours, what is on heat, roles to be named, allergens, look-ins, gear.

A publication with its ``Prep`` comes in, rows of ready strings go out. Who is allergic to what is asked on set and
never printed.
"""

from __future__ import annotations

from dataclasses import replace

from shootplan.model.day import DayRow, RowKind
from shootplan.model.episode import Person
from shootplan.model.filmed_day import FilmedDay
from shootplan.model.filming import Recording
from shootplan.model.prep import Tasting, Washing
from shootplan.model.show import join_words, minutes_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis, step_name
from shootplan.render.views_day import PeakRow, crew_peak_rows, proof_text, wrap_text
from shootplan.render.views_days import DayLine, days_lines
from shootplan.render.views_film import FilmView, film_view

__all__ = ["CallView", "call_view"]

#: What is looked at and by whom before anything is switched on (common practice, no source; local rules override it).
SAFETY = (
    ("Fire extinguisher and fire blanket: where they are, and that they are in date", "shown to all by"),
    ("Smoke alarm works and is not covered; extractor back on between takes", "checked by"),
    ("First aider and first-aid kit with burn dressings", "first aider"),
    ("Somebody at the hob for every minute that a ring is on, breaks included", "at the hob"),
    ("Cables, lamps and tripods clear of hob, sink and paths; pan handles inwards", "checked by"),
    ("Knives, hot oil, boiling sugar: one person talks, nobody walks behind", "called by"),
    ("Raw meat, raw egg and raw flour apart from what is eaten; boards and hands washed", "checked by"),
    ("Fridge at 5 °C or below, thermometer in it; hot food held at 63 °C or above", "read by"),
    ("Tasting: what may be eaten, how old it is, and who must not", "decided by"),
)


#: A vessel that is wanted later than this after it is clean is nobody's worry.
_WASHED_SOON_S = 15 * 60


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonRow:
    """One of the crew: role, when called, first and last job of the plan, how much of the day is hands-on."""

    name: str
    role: str
    call: str
    first: str
    last: str
    hands: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LookInRow:
    """Somebody looks in on something that runs alone."""

    clock: str
    what: str
    dish: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TastingRow:
    """A dish on camera: when it is served, what starts its clock, until when it may be eaten, by which rule."""

    dish: str
    served: str
    since: str
    until: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WashingRow:
    """A vessel between two uses: free after what, clean when, wanted when and for what, with how much to spare."""

    label: str
    free: str
    clean: str
    wanted: str
    spare: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CallView:
    """The sheet."""

    facts: tuple[tuple[str, str], ...]
    days: tuple[DayLine, ...]
    people: tuple[PersonRow, ...]
    on_heat: tuple[str, ...]
    oven: tuple[str, ...]
    safety: tuple[tuple[str, str], ...]
    allergens: tuple[tuple[str, str], ...]
    duplicates: tuple[str, ...]
    look_ins: tuple[tuple[str, tuple[LookInRow, ...]], ...]
    gear: tuple[PeakRow, ...]
    washing: tuple[WashingRow, ...]
    tasting: tuple[TastingRow, ...]


def call_view(basis: Basis) -> CallView:
    """Return the call sheet of the day that the crew works by: the filmed one where cameras are planned."""
    prep, swaps = basis.publication.prep, basis.publication.swaps
    rows = basis.crew_rows
    people = basis.episode.kitchen.people
    return CallView(
        facts=_facts(basis),
        days=days_lines(basis),
        people=tuple(row for person in people for row in _person_rows(basis, person, rows)),
        on_heat=tuple(_on_heat(basis, span) for span in (prep.on_heat if prep is not None else ())),
        oven=_oven(basis, rows),
        safety=SAFETY,
        allergens=_allergens(basis),
        duplicates=tuple(
            f"{basis.title(item.recipe)}: {step_name(item.label)}" for item in (swaps.steps if swaps else ())
        ),
        look_ins=_look_ins(basis, rows),
        gear=crew_peak_rows(basis),
        washing=tuple(
            _washing(basis, item)
            for item in (prep.washing if prep is not None else ())
            if item.wanted_s - item.clean_s <= _WASHED_SOON_S
        ),
        tasting=tuple(_tasting(basis, item) for item in (prep.tasting if prep is not None else ())),
    )


def _days_facts(basis: Basis) -> tuple[tuple[str, str], ...]:
    """Return what holds for all days together: first shot, meals, the end."""
    kitchen, meals = basis.episode.kitchen, []
    for opens_s, closes_s in basis.episode.staffed_s:
        if closes_s - opens_s > kitchen.meal_within_s:
            meals.append(f"begun by {basis.clock(opens_s + kitchen.meal_within_s)}")
    meal = f"{minutes_text(kitchen.meal_s)}, {join_words(meals)}" if meals else ""
    words = f"{wrap_text(basis)} ({proof_text(basis.publication.plan)}); cameras, re-rigs and the meals come on top"
    shot, end = _first_shot(basis), ("Cooking planned to end", words)
    if basis.publication.filmed is not None:
        film = film_view(basis.publication.resolved, basis.publication.filmed)
        meal = film.meal or _no_meal(basis)
        shot, end = _first_filmed(basis, film), ("Planned wrap", f"{film.wrap} ({film.proof})")
    found = [("First call", basis.clock(0)), ("First shot", shot), ("Meals", meal), end]
    return tuple((what, text) for what, text in found if text)


def _facts(basis: Basis) -> tuple[tuple[str, str], ...]:
    if basis.episode.days:
        return _days_facts(basis)
    episode, kitchen = basis.episode, basis.episode.kitchen
    latest = episode.latest_wrap or kitchen.latest_wrap
    wrap = wrap_text(basis)
    hours = (
        f"{kitchen.staffed_from:%H:%M}–{kitchen.staffed_until:%H:%M}"
        if kitchen.staffed_from and kitchen.staffed_until
        else ""
    )
    meal = f"{minutes_text(kitchen.meal_s)}, begun by {basis.clock(kitchen.meal_within_s)}"
    filmed = basis.publication.filmed
    if filmed is not None:
        day = film_view(basis.publication.resolved, filmed)
        meal = day.meal or _no_meal(basis)
        shot, end = _first_filmed(basis, day), ("Planned wrap", f"{day.wrap} ({day.proof})")
    else:
        # The cooking alone: whoever reads 10:38 as wrap sends the crew home before the camera has moved once.
        words = f"{wrap} ({proof_text(basis.publication.plan)}); cameras, re-rigs and the meal come on top"
        shot, end = _first_shot(basis), ("Cooking planned to end", words if wrap else "")
    found = [
        ("Call", basis.clock(0)),
        ("First shot", shot),
        ("Meal", meal),
        end,
        ("Latest wrap", latest.strftime("%H:%M") if latest is not None else ""),
        ("Somebody is there", hours),
    ]
    return tuple((what, text) for what, text in found if text)


def _first_filmed(basis: Basis, film: FilmView) -> str:
    """Return when the first shot is; a crew that is to shoot as it comes in is told that nobody planned a set-up."""
    is_unset = film.first_shot == film.call and not basis.episode.kitchen.set_up_s
    return film.first_shot + (" (no set-up is planned: set_up in kitchen.toml)" if is_unset else "")


def _no_meal(basis: Basis) -> str:
    """Return why a filmed day has no break: it is due within so long of call, and the day is over before."""
    within = basis.episode.kitchen.meal_within_s
    return f"none is due: wrap is within {minutes_text(within)} of call (local law decides)" if within else ""


def _first_shot(basis: Basis) -> str:
    for row in basis.publication.day:
        step = basis.step(row.recipe, row.step)
        if row.kind is RowKind.STEP and step is not None and step.shot is not None:
            where = f", {step.shot.set_up}" if step.shot.set_up else ""
            return f"{basis.clock(row.clock_s)}{where}: {step_name(row.label)}"
    return ""


def _person_rows(basis: Basis, person: Person, rows: tuple[DayRow, ...]) -> list[PersonRow]:
    """Return a row for somebody, over several days one for each day on which they have work or run a camera."""
    if not basis.episode.days:
        return [_person(basis, person, rows, _filmed_by(basis, person))]
    found = []
    for day, (opens_s, closes_s) in zip(basis.episode.days, basis.episode.staffed_s, strict=True):
        own = tuple(row for row in rows if opens_s <= row.clock_s < closes_s)
        taken = tuple(item for item in _filmed_by(basis, person) if opens_s <= item.start_s < closes_s)
        if taken or any(row.who == person.name for row in own):
            call = max(day.opens, person.start or day.opens)
            called = basis.clock(opens_s + (call.hour - day.opens.hour) * 3600 + (call.minute - day.opens.minute) * 60)
            found.append(replace(_person(basis, person, own, taken), call=called))
    return found or [replace(_person(basis, person, (), ()), call="as told on the day")]


def _person(basis: Basis, person: Person, rows: tuple[DayRow, ...], taken: tuple[Recording, ...]) -> PersonRow:
    own = [row for row in rows if row.who == person.name]
    hands = sum(row.hands_s for row in own)
    call = person.start.strftime("%H:%M") if person.start is not None else basis.clock(0)
    role = ", ".join([*(["presenter"] if person.is_presenter else []), person.role, *_cameras(basis, person)])
    first, last = "as told on the day", ""
    if taken:
        begins, ends = basis.clock(taken[0].start_s), basis.clock(max(item.end_s for item in taken))
        first, last = f"{begins} camera, {taken[0].position}", f"filming {begins} to {ends}"
    if own:
        first = f"{basis.clock(own[0].clock_s)} {step_name(own[0].label)}"
        last = f"to {basis.clock(max(row.end_s for row in own))}"
    return PersonRow(
        name=person.name,
        role=role,
        call=call,
        first=first,
        last=last,
        hands=minutes_text(hands) if hands else "none planned",
    )


def _cameras(basis: Basis, person: Person) -> list[str]:
    """Return the cameras that somebody runs on a filmed day."""
    filmed = basis.publication.filmed
    cameras = filmed.plan_input.cameras if filmed is not None else ()
    return [item.name for item in cameras if item.operator == person.name]


def _filmed_by(basis: Basis, person: Person) -> tuple[Recording, ...]:
    """Return what somebody records, by the clock."""
    filmed, cameras = basis.publication.filmed, _cameras(basis, person)
    return tuple(item for item in filmed.recordings if item.camera in cameras) if filmed is not None else ()


def _span(basis: Basis, span: tuple[int, int]) -> str:
    return f"{basis.clock(span[0])}–{basis.clock(span[1])}"


def _on_heat(basis: Basis, span: tuple[int, int]) -> str:
    """Return a stretch in which a ring is on, and whether it runs into the meal: somebody is named for that too."""
    filmed = basis.publication.filmed
    meals = _meals(filmed) if filmed is not None else ()
    is_eaten = any(start < span[1] and span[0] < end for start, end in meals)
    return _span(basis, span) + (" (in the meal break too: somebody stays)" if is_eaten else "")


def _meals(filmed: FilmedDay) -> tuple[tuple[int, int], ...]:
    schedule = filmed.result.schedule
    placed = [schedule.of(item.activity) for item in filmed.plan_input.breaks] if schedule is not None else []
    return tuple((item.start_s, item.end_s) for item in placed)


def _oven(basis: Basis, rows: tuple[DayRow, ...]) -> tuple[str, ...]:
    """
    Return when each oven is heated and to what, what bakes in it, and when it stays on empty.

    A later heat is planned as a change from the temperature before (the kitchen's change time), so the oven does not go
    off in between. In the morning of each of several days it is cold.
    """
    found: list[tuple[int, int, str]] = []
    last: dict[tuple[str, int], int] = {}
    for row in sorted((row for row in rows if row.kind is RowKind.STEP), key=lambda row: (row.clock_s, row.end_s)):
        for use in row.equipment:
            if not use.endswith("°C"):
                continue
            oven, degrees = _oven_words(use)
            heats = any(part.kind == "heat" for part in row.parts)
            day = sum(opens_s <= row.clock_s for opens_s, _ in basis.episode.staffed_s)
            on_s = last.get((oven, day))
            if on_s is not None and row.clock_s > on_s:
                found.append((on_s, row.clock_s, f"{oven} stays on, empty: nobody planned to heat it from cold again"))
            words = f"{oven} {'changes' if on_s is not None else 'heats'} to {degrees}" if heats else ""
            found.append((row.clock_s, row.end_s, words or f"{use}: {step_name(row.label)}"))
            last[oven, day] = max(on_s or 0, row.end_s)
    return tuple(f"{_span(basis, (start, end))} {words}" for start, end, words in sorted(found))


def _oven_words(use: str) -> tuple[str, str]:
    """Return "oven" and "180 °C" of "oven 180 °C"."""
    name, degrees, unit = use.rsplit(" ", 2)
    return name, f"{degrees} {unit}"


def _washing(basis: Basis, item: Washing) -> WashingRow:
    spare = item.wanted_s - item.clean_s
    return WashingRow(
        label=item.label,
        free=f"{basis.clock(item.free_s)}, {item.before}",
        clean=basis.clock(item.clean_s),
        wanted=f"{basis.clock(item.wanted_s)}, {item.after}",
        spare=minutes_text(spare) if spare else "nothing",
    )


def _tasting(basis: Basis, item: Tasting) -> TastingRow:
    is_swapped = any(swap.recipe == item.recipe for swap in basis.episode.swap_outs)
    until, since = (item.until_s, item.since_s) if not is_swapped else (None, None)
    words = "by the duplicate's label" if is_swapped else "no limit worked out: by the dish and the label"
    return TastingRow(
        dish=basis.title(item.recipe),
        served=basis.clock(item.served_s),
        since=f"{basis.clock(since)}, {item.since}" if since is not None else "–",
        until=basis.clock(until) if until is not None else words,
        why=item.why if until is not None else "–",
    )


def _allergens(basis: Basis) -> tuple[tuple[str, str], ...]:
    """Return each group handled today with the ingredients that bring it, what is optional or instead marked."""
    found: dict[str, dict[str, None]] = {}
    for care in basis.publication.care:
        parts = [
            ("", care.core),
            *(("optional", part) for part in care.options),
            *(("instead", part) for part in care.alternates),
        ]
        for mark, part in parts:
            for note in part.notes:
                words = f"{note.ingredient} ({mark})" if mark else note.ingredient
                found.setdefault(note.group, {}).setdefault(words)
    return tuple((group, join_words(names)) for group, names in sorted(found.items()))


def _look_ins(basis: Basis, rows: tuple[DayRow, ...]) -> tuple[tuple[str, tuple[LookInRow, ...]], ...]:
    found: dict[str, list[LookInRow]] = {}
    for row in rows:
        if row.kind is RowKind.LOOK_IN:
            entry = LookInRow(clock=basis.clock(row.clock_s), what=step_name(row.label), dish=basis.title(row.recipe))
            found.setdefault(row.who or "anybody", []).append(entry)
    return tuple((who, tuple(entries)) for who, entries in sorted(found.items()))
