"""
The call sheet as it is printed: who comes when, hours, what is on heat, roles to be named, allergens, look-ins, gear.

A publication with its ``Prep`` comes in, rows of ready strings go out. Who is allergic to what is asked on set and
never printed.
"""

from __future__ import annotations

from dataclasses import replace

from shootplan.model.day import DayRow, RowKind
from shootplan.model.episode import Person
from shootplan.model.show import join_words, minutes_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis, step_name
from shootplan.render.views_day import PeakRow, crew_peak_rows, proof_text, wrap_text
from shootplan.render.views_days import DayLine, days_lines
from shootplan.render.views_film import film_view

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


def call_view(basis: Basis) -> CallView:
    """Return the call sheet of the day that the crew works by: the filmed one where cameras are planned."""
    prep, swaps = basis.publication.prep, basis.publication.swaps
    rows = basis.crew_rows
    people = basis.episode.kitchen.people
    return CallView(
        facts=_facts(basis),
        days=days_lines(basis),
        people=tuple(row for person in people for row in _person_rows(basis, person, rows)),
        on_heat=tuple(_span(basis, span) for span in (prep.on_heat if prep is not None else ())),
        oven=_oven(basis, rows),
        safety=SAFETY,
        allergens=_allergens(basis),
        duplicates=tuple(
            f"{basis.title(item.recipe)}: {step_name(item.label)}" for item in (swaps.steps if swaps else ())
        ),
        look_ins=_look_ins(basis, rows),
        gear=crew_peak_rows(basis),
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
        shot, meal, end = film.first_shot, film.meal or meal, ("Planned wrap", f"{film.wrap} ({film.proof})")
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
        shot, meal, end = day.first_shot, day.meal or meal, ("Planned wrap", f"{day.wrap} ({day.proof})")
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


def _first_shot(basis: Basis) -> str:
    for row in basis.publication.day:
        step = basis.step(row.recipe, row.step)
        if row.kind is RowKind.STEP and step is not None and step.shot is not None:
            where = f", {step.shot.set_up}" if step.shot.set_up else ""
            return f"{basis.clock(row.clock_s)}{where}: {step_name(row.label)}"
    return ""


def _person_rows(basis: Basis, person: Person, rows: tuple[DayRow, ...]) -> list[PersonRow]:
    """Return a row for somebody, over several days one for each day on which they have work."""
    if not basis.episode.days:
        return [_person(basis, person, rows)]
    found = []
    for day, (opens_s, closes_s) in zip(basis.episode.days, basis.episode.staffed_s, strict=True):
        own = tuple(row for row in rows if opens_s <= row.clock_s < closes_s)
        if any(row.who == person.name for row in own):
            call = max(day.opens, person.start or day.opens)
            called = basis.clock(opens_s + (call.hour - day.opens.hour) * 3600 + (call.minute - day.opens.minute) * 60)
            found.append(replace(_person(basis, person, own), call=called))
    return found or [replace(_person(basis, person, ()), call="as told on the day")]


def _person(basis: Basis, person: Person, rows: tuple[DayRow, ...]) -> PersonRow:
    own = [row for row in rows if row.who == person.name]
    hands = sum(row.hands_s for row in own)
    call = person.start.strftime("%H:%M") if person.start is not None else basis.clock(0)
    cameras, filming = _filming(basis, person)
    role = ", ".join([*(["presenter"] if person.is_presenter else []), person.role, *cameras])
    first, last = (own[0], max(own, key=lambda row: row.end_s)) if own else (None, None)
    return PersonRow(
        name=person.name,
        role=role,
        call=call,
        first=f"{basis.clock(first.clock_s)} {step_name(first.label)}" if first is not None else "as told on the day",
        last=f"to {basis.clock(last.end_s)}" if last is not None else filming,
        hands=minutes_text(hands) if hands else "none planned",
    )


def _filming(basis: Basis, person: Person) -> tuple[list[str], str]:
    """Return the cameras that somebody runs on a filmed day, and from when to when: "filming 09:00 to 12:05"."""
    filmed = basis.publication.filmed
    if filmed is None:
        return [], ""
    cameras = [item.name for item in filmed.plan_input.cameras if item.operator == person.name]
    taken = [item for item in filmed.recordings if item.camera in cameras]
    if not taken:
        return cameras, ""
    return cameras, f"filming {basis.clock(taken[0].start_s)} to {basis.clock(max(item.end_s for item in taken))}"


def _span(basis: Basis, span: tuple[int, int]) -> str:
    return f"{basis.clock(span[0])}–{basis.clock(span[1])}"


def _oven(basis: Basis, rows: tuple[DayRow, ...]) -> tuple[str, ...]:
    """Return when which oven is used at what temperature."""
    found = [
        (row.clock_s, row.end_s, use)
        for row in rows
        if row.kind is RowKind.STEP
        for use in row.equipment
        if use.endswith("°C")
    ]
    return tuple(f"{_span(basis, (start, end))} {use}" for start, end, use in sorted(found))


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
