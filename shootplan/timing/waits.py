"""
How the waits of the kitchen are shortened in the video.

A step comes in; words for the picture's column of the script go out. Nothing is timed here.
"""

from __future__ import annotations

from shootplan.model.clock import Known, Window
from shootplan.model.recipe import Step
from shootplan.model.show import minutes_text, range_text

__all__ = ["wait_words"]

#: How the author says in the shot's framing that a wait is filmed.
_WAYS = ("time-lapse", "swap-out", "real time")


def wait_words(step: Step) -> str:
    """
    Return "12–15 min: cut" for a step that is left or watched, empty for one that is all hands.

    The way is what the shot's framing names (time-lapse, swap-out, real time); else a swap-out where a duplicate may
    stand in, else a cut (common practice, no source).
    """
    waits = [item for item in (step.watch, step.leave) if item is not None and item.high_s]
    if not waits or step.shot is None:
        return ""
    framing = step.shot.framing.casefold()
    way = next((word for word in _WAYS if word in framing), "swap-out" if step.may_swap_out else "cut")
    return f"{' + '.join(_length(item) for item in waits)}: {way}"


def _length(wait: Known) -> str:
    if not isinstance(wait, Window):
        return range_text(wait.low_s, wait.high_s)
    if wait.at_most_s is None:
        return f"at least {minutes_text(wait.at_least_s)}"
    return range_text(wait.at_least_s, wait.at_most_s)
