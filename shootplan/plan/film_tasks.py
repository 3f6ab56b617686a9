"""
From an episode's steps to what the planner is given on a filmed day.

The kitchen clock's activities are those of ``tasks``; here they get what filming asks: takes and resets, the presenter
in the picture, a recording while something is left, opening, links and closing, and shots that are picked up later.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from shootplan.model.clock import MINUTE, Window
from shootplan.model.episode import Kitchen
from shootplan.model.filming import Camera, Film, PickUp
from shootplan.model.planning import Activity, ActivityKind, Anchor, Lag, Occupation, PlanInput
from shootplan.model.recipe import Shot, Step, When
from shootplan.model.resolved import ResolvedEpisode
from shootplan.plan.duplicates import duplicates_of_the_day, with_duplicates
from shootplan.plan.film_setting import FilmSetting, make_film_setting
from shootplan.plan.swaps import with_swaps
from shootplan.plan.task_gear import all_gear_of
from shootplan.plan.task_lags import minutes, plain_lag
from shootplan.plan.task_scope import Key, Scope, ScopedStep, make_scope
from shootplan.plan.tasks import Builder
from shootplan.records import dataclass

__all__ = ["CLOSING", "OPENING", "build_filmed_plan"]

#: What stands for a recipe's id at the rows around the dishes.
OPENING, LINK, CLOSING = "opening", "link", "closing"
#: A picture of something left alone where the shot does not say how long the action is (common practice, no source).
_ACTION_S = 60
#: The longest that an oven stands hot and empty before a bake (common practice, no source).
_HOT_S = 1800
_BOUND = (ActivityKind.HANDS, ActivityKind.WATCH)
#: When what is left alone is filmed, in the words of its rule.
_MOMENTS = {"start": "as it begins", "end": "when it has come to its end", "": "while it goes on"}
#: Words a minute where the kitchen has no measured pace; only the length of spoken rows hangs on it.
_WORDS_PER_MINUTE = 130


def build_filmed_plan(
    resolved: ResolvedEpisode, *, pick_ups: tuple[PickUp, ...] = (), with_options: bool = False
) -> PlanInput:
    """
    Return the planner's input for the filmed day.

    Parameters
    ----------
    resolved
        The episode; its kitchen has the cameras and the crew.
    pick_ups
        Shots that are not taken while the dish is made but recorded after it.
    with_options
        Whether optional steps are planned.

    Returns
    -------
    PlanInput
        Activities as in ``tasks.build_plan``; a recording while a step is left is "recipe/step+shot", one picked up
        "recipe/step+pick-up", rows around the dishes "opening/row+shot", "link/row+shot", "closing/row+shot".
    """
    chosen = tuple(item.recipe for item in resolved.recipes)
    episode = resolved.episode
    swapped = [(item.recipe, item.step) for item in episode.swap_outs]
    made = duplicates_of_the_day(resolved, swapped)
    beside = tuple(item.recipe for item in made)
    scope = make_scope((*chosen, *beside), with_options=with_options, include_ahead=bool(episode.days))
    rows = (*episode.opening, *episode.between, *episode.closing)
    shots = [step.shot for step in (*rows, *(item.step for item in scope.steps)) if step.shot is not None]
    film = make_film_setting(episode, [shot.set_up for shot in shots])
    later = frozenset((item.recipe, item.step) for item in pick_ups)
    filming = Filming(scope, film, resolved, later)
    plan_input = Builder(scope, film.setting, extra=filming).build(episode.together)
    plan_input = with_duplicates(with_swaps(plan_input, swapped), resolved, swapped, made)
    from shootplan.plan.over_days import over_days  # it reads the limits of food, which read this module

    return over_days(plan_input, resolved, swapped, beside) if episode.days else plan_input


@dataclass(slots=True)
class Filming:
    """Adds to each step what filming it asks; the builder's setting is that of the film's crew."""

    scope: Scope
    film: FilmSetting
    resolved: ResolvedEpisode
    later: frozenset[Key]

    @property
    def cameras(self) -> tuple[Camera, ...]:
        return self.film.cameras

    def heroes(self, builder: Builder) -> tuple[str, ...]:
        finals = [self.scope.final(recipe.id) for recipe in self.resolved.episode.recipes]
        return tuple(builder.runs[final.key][0][0].id for final in finals if final is not None)

    def complete(self, builder: Builder) -> None:
        """Add recordings, pick-ups, rows around the dishes, and how long results stay fit."""
        for item in self.scope.steps:
            self._add_fit(builder, item)
        for item in self.scope.steps:
            self._add_shot(builder, item)
        self._order_pick_ups(builder)
        for heat in [activity for activity in builder.activities if activity.kind is ActivityKind.HEAT]:
            self._add_hot_limit(builder, heat)
        self._add_rows(builder)
        self._add_screen_order(builder)

    # ------------------------------------------------------------------------------------------------ steps

    def parts(self, item: ScopedStep, batch: int, parts: list[Activity]) -> list[Activity]:
        """Return a step's parts with the camera on its hands-on work; nothing is broken off on a filmed day."""
        step, shot = item.step, item.step.shot
        is_noisy = _is_noisy(step, self._kitchen)
        is_live = shot is not None and batch == 1 and item.key not in self.later
        found = []
        for part in parts:
            changed = replace(part, is_pausable=False, is_noisy=is_noisy)
            if part.kind in _BOUND and is_live and shot is not None:
                changed = self._recorded(changed, step, shot)
            elif part.workers and not step.who:
                changed = replace(changed, workers=self.film.hands)
            if part.kind is ActivityKind.LEAVE and is_live and shot is not None and self._runs_alone(shot):
                changed = replace(changed, film=self._film_of(shot))
            found.append(changed)
        return found

    def _runs_alone(self, shot: Shot) -> bool:
        """Whether a camera that nobody runs records all of what is left, as it does where no action is said."""
        return not self.film.camera_at(shot.set_up)[0].operator and shot.action_s is None

    @property
    def _kitchen(self) -> Kitchen:
        return self.resolved.episode.kitchen

    def _recorded(self, part: Activity, step: Step, shot: Shot) -> Activity:
        """Return hands-on work as it is filmed: takes times its minutes and the resets between (rule T9)."""
        factor = self._kitchen.pace.filming_factor if part.kind is ActivityKind.HANDS else Fraction(1)
        film = self._film_of(shot)
        able = self.film.setting.may_do(step) if step.who else self.film.presenters
        return replace(
            part,
            film=film,
            workers=tuple(name for name in able if name in self.film.presenters),
            short_s=film.takes * _whole_minutes(part.short_s, factor) + film.resets_s,
            long_s=film.takes * _whole_minutes(part.long_s, factor) + film.resets_s,
        )

    def _film_of(self, shot: Shot) -> Film:
        camera, position = self.film.camera_at(shot.set_up)
        return Film(
            camera=camera.name,
            position=position,
            framing=shot.framing,
            takes=shot.takes,
            reset_s=shot.reset_s,
            has_sync_sound=shot.has_sync_sound,
        )

    # ------------------------------------------------------------------------------------------------ recordings

    def _add_shot(self, builder: Builder, item: ScopedStep) -> None:
        """Add the recording of what is left alone, or of a shot that is picked up later."""
        shot = item.step.shot
        if shot is None:
            return
        run = builder.runs[item.key][0]
        if item.key in self.later:
            self._add_pick_up(builder, item, shot, run)
        elif not any(part.kind in _BOUND for part in run) and not any(part.film for part in run):
            self._add_left_shot(builder, item, shot, run)

    def _add_left_shot(self, builder: Builder, item: ScopedStep, shot: Shot, run: list[Activity]) -> None:
        left = run[-1]
        recording = self._shot_activity(item, shot, "shot")
        builder.activities.append(recording)
        rule = f"{item.label} is filmed {_MOMENTS[shot.moment]}"
        most_s = item.step.leave.at_most_s if isinstance(item.step.leave, Window) else None
        begun = plain_lag(left, recording, at_most_s=0 if shot.moment == "start" else None, rule=rule)
        if shot.moment != "end" or most_s is None:
            begun = replace(begun, predecessor_anchor=Anchor.START)
        builder.lags.append(begun)
        span = shot.span
        if left.kind is ActivityKind.HEAT:
            builder.lags += [_ends_by(bake, recording, 0, Anchor.END, rule) for bake in _last_bake(builder, left)]
            return
        if most_s is not None:
            builder.lags.append(_ends_by(left, recording, most_s, Anchor.START, rule))
            for after in self.scope.successors(item.key):
                first = builder.runs[after.key][0][0]
                builder.lags.append(plain_lag(recording, first, rule=f"{rule}, before {after.step.name}", span=span))
            return
        if shot.moment == "end":
            ends = replace(plain_lag(left, recording, rule=rule), successor_anchor=Anchor.END)
            builder.lags.append(replace(ends, at_most_s=0))
            return
        # By the short end of its range: what may be over two minutes sooner is not filmed in its last minute.
        soonest_s = max(left.short_s, recording.long_s)
        builder.lags.append(_ends_by(left, recording, soonest_s, Anchor.START, rule))

    def _add_pick_up(self, builder: Builder, item: ScopedStep, shot: Shot, run: list[Activity]) -> None:
        """
        Add a shot that is taken later, on a portion kept back, after the step itself.

        It takes all that the step works with, vessels held from an earlier step too: a pan that has gone on to another
        dish is waited for, and washed after the shot.
        """
        recording = self._shot_activity(item, shot, "pick-up")
        worked = [part for part in run if part.kind in _BOUND]
        if worked:
            film = self._film_of(shot)
            long_s = film.takes * sum(part.long_s for part in worked) + film.resets_s
            recording = replace(
                recording, kind=ActivityKind.HANDS, workers=self.film.presenters, short_s=long_s, long_s=long_s
            )
        gear = all_gear_of(item, builder.holds[item.recipe.id], self.scope, self._kitchen)
        washed = {name: builder.wash_s(name) for name in gear if builder.wash_s(name)}
        needs = tuple((name, count) for name, count in gear.items() if name not in washed)
        recording = replace(recording, needs=needs, is_noisy=_is_noisy(item.step, self._kitchen))
        builder.activities.append(recording)
        for name, after_s in washed.items():
            label = f"{item.recipe.id}: {name}"
            builder.occupations.append(
                Occupation(
                    id=f"{recording.id}/{name}", resource=name, first=recording.id, last=recording.id,
                    count=gear[name], after_s=after_s, label=label, span=shot.span,
                )
            )  # fmt: skip
        builder.lags.append(plain_lag(run[-1], recording, rule=f"{item.label} is picked up after it is done"))

    def _order_pick_ups(self, builder: Builder) -> None:
        """Take what is picked up of one dish from one position as it was cooked: what is seasoned is crushed before."""
        taken = {item.id: item for item in builder.activities}
        later = [item for item in self.scope.steps if item.key in self.later]
        for before, after in itertools.combinations(later, 2):
            first, then = (taken[f"{item.recipe.id}/{item.step.id}+pick-up"] for item in (before, after))
            is_same = first.film is not None and then.film is not None and first.film.position == then.film.position
            if is_same and before.recipe is after.recipe and self.scope.leads_to(before.key, after.key):
                rule = f"{then.label} comes after {first.label}, as it was cooked"
                builder.lags.append(plain_lag(first, then, rule=rule))

    def _shot_activity(self, item: ScopedStep, shot: Shot, name: str) -> Activity:
        film = self._film_of(shot)
        action = shot.action_s or max(_ACTION_S, _whole_minutes(shot.screen_s or 0))
        long_s = film.takes * _whole_minutes(action) + film.resets_s
        words = "filmed" if name == "shot" else "picked up"
        return Activity(
            id=f"{item.recipe.id}/{item.step.id}+{name}",
            kind=ActivityKind.HANDS if shot.has_hands else ActivityKind.LEAVE,
            short_s=long_s,
            long_s=long_s,
            label=f"{item.label} ({words})",
            recipe=item.recipe.id,
            step=item.step.id,
            workers=self.film.presenters if shot.has_hands else (),
            film=film,
            span=shot.span,
        )

    # ------------------------------------------------------------------------------------------------ rows around

    def _add_rows(self, builder: Builder) -> None:
        """Add opening, links and closing: a link before its dish is begun, the closing when every dish is served."""
        episode = self.resolved.episode
        finals = [self.scope.final(recipe.id) for recipe in episode.recipes]
        for step in episode.opening:
            self._add_row(builder, OPENING, step)
        for step in episode.between:
            recording = self._add_row(builder, LINK, step)
            if recording is None or step.number >= len(episode.recipes):
                continue
            for activity in self._first_work(builder, episode.recipes[step.number].id):
                rule = f"{step.name} is filmed before the dish is begun"
                builder.lags.append(plain_lag(recording, activity, rule=rule, span=step.span))
        for step in episode.closing:
            recording = self._add_row(builder, CLOSING, step)
            for final in finals:
                if recording is not None and final is not None:
                    rule = f"{step.name} is filmed when {final.recipe.id} is served"
                    builder.lags.append(
                        plain_lag(builder.runs[final.key][-1][-1], recording, rule=rule, span=step.span)
                    )

    def _first_work(self, builder: Builder, recipe_id: str) -> Iterator[Activity]:
        """Yield the first work of the day on a dish in each chain: hands on what nothing in the plan comes before."""
        for item in self.scope.of_recipe(recipe_id):
            first = builder.runs[item.key][0][0]
            if not item.links and first.kind in _BOUND and item.step.when is not When.AHEAD:
                yield first

    def _add_row(self, builder: Builder, recipe: str, step: Step) -> Activity | None:
        if step.shot is None:
            return None
        film = self._film_of(step.shot)
        pace = self._kitchen.pace.words_per_minute or _WORDS_PER_MINUTE
        spoken = len(step.say.split()) * 60 // pace
        action = _whole_minutes(max(_ACTION_S, spoken, step.shot.action_s or 0, step.shot.screen_s or 0))
        long_s = film.takes * action + film.resets_s
        activity = Activity(
            id=f"{recipe}/{step.id}+shot",
            kind=ActivityKind.HANDS,
            short_s=long_s,
            long_s=long_s,
            label=f"{recipe}: {step.name}",
            recipe=recipe,
            step=step.id,
            workers=self.film.presenters,
            film=film,
            span=step.span,
        )
        builder.activities.append(activity)
        return activity

    # ------------------------------------------------------------------------------------------------ limits

    def _add_fit(self, builder: Builder, item: ScopedStep) -> None:
        """What stays fit for so long is used, served or shot within it."""
        if item.step.fit_s is None:
            return
        last = builder.runs[item.key][-1][-1]
        for after in self.scope.successors(item.key):
            first = builder.runs[after.key][0][0]
            if any(_holds_as_tight(lag, last, first, item.step.fit_s) for lag in builder.lags):
                continue
            fit = minutes(item.step.fit_s)
            rule = f"{after.label} starts at most {fit} after {item.step.name}: it stays good for {fit}"
            span = item.step.place("good for")
            builder.lags.append(plain_lag(last, first, at_most_s=item.step.fit_s, rule=rule, span=span))

    def _add_hot_limit(self, builder: Builder, heat: Activity) -> None:
        """An oven heated for one bake is not left hot and empty for long, only because the dial is filmed early."""
        bakes = [item for item in builder.activities if item.oven is not None and item.oven.heat == heat.id]
        if len({(item.recipe, item.step) for item in bakes}) == 1:
            rule = f"{bakes[0].label} starts at most {minutes(_HOT_S)} after {heat.label}: the oven is not left hot"
            builder.lags.append(plain_lag(heat, bakes[0], at_most_s=_HOT_S, rule=rule, span=heat.span))

    def _add_screen_order(self, builder: Builder) -> None:
        """Finish the dishes in the order of the screen, where the episode asks for it."""
        if not self.resolved.episode.keeps_screen_order:
            return
        finals = [self.scope.final(recipe.id) for recipe in self.resolved.episode.recipes]
        ends = [item for item in finals if item is not None]
        for before, after in itertools.pairwise(ends):
            rule = f"{after.recipe.id} is served after {before.recipe.id}, as on screen"
            lag = plain_lag(builder.runs[before.key][-1][-1], builder.runs[after.key][-1][-1], rule=rule)
            builder.lags.append(replace(lag, successor_anchor=Anchor.END))


# ---------------------------------------------------------------------------------------------------- small pieces


def _ends_by(left: Activity, recording: Activity, at_most_s: int, anchor: Anchor, rule: str) -> Lag:
    return Lag(
        predecessor=left.id,
        successor=recording.id,
        at_least_s=None,
        at_most_s=at_most_s,
        predecessor_anchor=anchor,
        successor_anchor=Anchor.END,
        rule=rule,
        span=recording.span,
    )


def _holds_as_tight(lag: Lag, before: Activity, after: Activity, at_most_s: int) -> bool:
    """Whether a limit between the same two says as much already: the same moment is not told twice."""
    is_own = (lag.predecessor, lag.successor) == (before.id, after.id)
    is_wait = (lag.predecessor_anchor, lag.successor_anchor) == (Anchor.END, Anchor.START)
    return is_own and is_wait and lag.at_most_s is not None and lag.at_most_s <= at_most_s


def _last_bake(builder: Builder, heat: Activity) -> list[Activity]:
    """Return the last bake at a heat, in list order: while it is in, the dial still says so."""
    return [item for item in builder.activities if item.oven is not None and item.oven.heat == heat.id][-1:]


def _whole_minutes(seconds: int, factor: Fraction = Fraction(1)) -> int:
    """Return whole minutes in seconds, rounded up where a factor or a short time asks for it."""
    if factor == 1 and seconds % MINUTE == 0:
        return seconds
    return -(-(seconds * factor.numerator) // (factor.denominator * MINUTE)) * MINUTE


def _is_noisy(step: Step, kitchen: Kitchen) -> bool:
    vessels = [kitchen.vessel(use.kind) for use in step.uses]
    is_loud = any(use.is_noisy for use in step.uses) or any(item is not None and item.is_noisy for item in vessels)
    return is_loud or (step.shot is not None and step.shot.is_noisy)
