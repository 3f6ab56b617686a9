"""
What the ovens are at when the rest of a day is planned: heats that happened become one heat without length, now.

A plan input and what happened come in; the oven state of each bake that is left, and the heats of the rest, go out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import field, replace

from shootplan.model.days import day_of
from shootplan.model.planning import Activity, ActivityKind, Lag, OvenState, PlanInput
from shootplan.model.replanning import Fact
from shootplan.plan.ovens import Oven, Session, ovens_of
from shootplan.records import dataclass

__all__ = ["AGAIN", "NOW", "OvenStates", "RestOvens", "at_once"]

#: The activity without length that stands for this moment.
NOW = "~now"
#: The end of the id of a heat that was not planned: of what was not baked while the oven was hot.
AGAIN = "~again"
_GOES_ON = "~goes on"


def at_once(activity: str) -> Lag:
    """Return the lag that lets an activity begin at this very moment."""
    return Lag(predecessor=NOW, successor=activity, at_most_s=0, rule="it runs already")


@dataclass(slots=True)
class OvenStates:
    """
    The oven state of each activity that is not over, heats that stand for what the ovens are at, their lags.

    ``again`` maps a heat that is over to the one for what is left of its session.
    """

    states: dict[str, OvenState] = field(default_factory=dict)
    heats: list[Activity] = field(default_factory=list)
    lags: list[Lag] = field(default_factory=list)
    ends_at: dict[str, str] = field(default_factory=dict)
    again: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)

    def of(self, activity: Activity) -> OvenState | None:
        """Return an activity's oven state, its own where nothing happened to the oven."""
        return self.states.get(activity.id, activity.oven)


class RestOvens:
    """
    Each oven that was heated gets one heat without length, now, at the temperature of its dial.

    Over several days what is not in an oven yet may be baked on any day, so it gets a heat of its own, which takes no
    time while the oven is still hot.
    """

    def __init__(self, plan_input: PlanInput, facts: Mapping[str, Fact], now_s: int) -> None:
        self.input, self.facts, self.now_s = plan_input, facts, now_s
        self.answer = OvenStates()

    def states(self) -> OvenStates:
        """Return what is left of every oven that was heated; the others are as they were planned."""
        for oven in ovens_of(self.input):
            begun = [session for session in oven.sessions if session.id in self.facts]
            begun = [session for session in begun if self._is_warm(session)]
            if begun:
                begun.sort(key=lambda session: (self.facts[session.id].start_s, session.id))
                self._oven(oven, begun)
        return self.answer

    def _is_warm(self, session: Session) -> bool:
        """Whether an oven that was heated is still so: something of it began today, or is in it."""
        today = day_of(self.input, self.now_s)
        known = [self.facts[item.id] for item in session.members if item.id in self.facts]
        return any(day_of(self.input, fact.start_s) == today or not fact.is_done for fact in known)

    def _heat_anew(self, session: Session, after: str) -> None:
        """Heat the oven for what is left to bake, on whatever day that is, after what it is at now."""
        left = [bake for bake in self._left(session) if bake.id not in self.facts]
        for bake in left:
            assert bake.oven is not None
            self.answer.states[bake.id] = replace(bake.oven, heat=session.id + AGAIN)
        if left:
            self.answer.again[session.id] = session.id + AGAIN
            self.answer.heats.append(replace(session.heat, id=session.id + AGAIN, release_s=self.now_s))
            self._after(self.answer.ends_at.get(after, after), session.id + AGAIN)

    def _oven(self, oven: Oven, begun: list[Session]) -> None:
        latest = begun[-1]
        dial = self._dial(latest)
        has_night = any(till_s > self.now_s for _, till_s in self.input.closed)
        self._anchor(latest.heat, oven.name, dial)
        for session in begun:
            for bake in self._left(session):
                assert bake.oven is not None
                state = replace(bake.oven, heat=latest.id)
                if bake.id in self.facts:
                    self.answer.states[bake.id] = replace(state, temperature_c=dial)
                elif has_night:
                    continue
                elif session is latest or abs(bake.oven.temperature_c - dial) <= oven.tolerance_c:
                    self.answer.states[bake.id] = state
                else:
                    self.answer.states[bake.id] = replace(bake.oven, heat=self._again(session, oven, latest.id))
            if has_night:
                self._heat_anew(session, latest.id)
        for session in oven.sessions:
            if session.id not in self.facts:
                self._after(latest.id, session.id)
        self._shelves(oven, [bake for session in begun for bake in self._left(session) if bake.id in self.facts])

    def _left(self, session: Session) -> Iterator[Activity]:
        for bake in session.bakes:
            if bake.id not in self.facts or not self.facts[bake.id].is_done:
                yield bake

    def _dial(self, session: Session) -> int:
        """Return where the dial stands: at the heat's temperature or at that of the last bake it was turned for."""
        begun = [bake for bake in session.bakes if bake.id in self.facts and bake.oven is not None]
        begun.sort(key=lambda bake: self.facts[bake.id].start_s)
        turned = [bake.oven.temperature_c for bake in begun if bake.oven is not None]
        return next((value for value in reversed(turned) if value in session.temperatures), session.temperatures[0])

    def _anchor(self, heat: Activity, oven: str, dial: int) -> None:
        state = OvenState(oven=oven, temperature_c=dial)
        at = replace(heat, short_s=0, long_s=0, release_s=self.now_s, deadline_s=self.now_s, oven=state)
        self.answer.heats.append(at)
        fact = self.facts[heat.id]
        if fact.is_done:
            return
        name = heat.id + _GOES_ON
        left = fact.end_s - self.now_s
        short = min(left, max(0, heat.short_s - (self.now_s - fact.start_s)))
        self.answer.ends_at[heat.id] = name
        self.answer.heats.append(
            replace(heat, id=name, kind=ActivityKind.LEAVE, short_s=short, long_s=left, release_s=self.now_s, oven=None)
        )
        self.answer.lags.append(at_once(name))
        for item in self.input.activities:
            if item.oven is not None and item.oven.heat == heat.id and item.id not in self.facts:
                self._after(name, item.id, f"{item.label or item.id} waits for the {oven} to be hot")

    def _again(self, session: Session, oven: Oven, latest: str) -> str:
        """Heat the oven once more for what should have been baked before it was turned."""
        name = session.id + AGAIN
        if all(heat.id != name for heat in self.answer.heats):
            own = oven.change_s
            self.answer.heats.append(replace(session.heat, id=name, short_s=own, long_s=own, release_s=self.now_s))
            self._after(latest, name)
            note = f"{session.heat.label or session.id}: the oven was turned before everything was baked"
            self.answer.notes.append(note)
        return name

    def _after(self, before: str, after: str, rule: str = "the oven is heated first") -> None:
        self.answer.lags.append(Lag(predecessor=before, successor=after, rule=rule))

    def _shelves(self, oven: Oven, running: list[Activity]) -> None:
        left = oven.shelves
        for bake in running:
            state = self.answer.states[bake.id]
            left -= state.shelves
            if left < 0:
                left += state.shelves
                self.answer.states[bake.id] = replace(state, shelves=0)
                self.answer.notes.append(f"more is in the {oven.name} than it has shelves")
