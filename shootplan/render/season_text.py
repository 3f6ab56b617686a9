"""A season as text for the terminal and as values for machines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from textwrap import shorten
from typing import Any

from shootplan.model.season import EpisodeReview, SeasonReport

__all__ = ["season_json", "season_view"]

_MOST_LETTERS = 160


def season_view(report: SeasonReport) -> str:
    """Return one line an episode, then what needs somebody: faults, claims that fail, figures that move."""
    reviews = report.reviews
    width = max((len(item.title) for item in reviews), default=0)
    lines = [f"{_day(item)}  {item.title:{width}}  {_state(item)}" for item in reviews]
    lines += _section("to be mended", _faults(reviews))
    lines += _section("claims that held when published and fail now", _claims(reviews, fails_now=True))
    lines += _section("claims that never held", _claims(reviews, fails_now=False))
    lines += _section("figures that move", _moved(reviews))
    sound = sum(item.is_sound for item in reviews)
    lines += ["", f"{len(reviews)} episodes, {sound} sound, {report.kept} unchanged since the last time"]
    return "\n".join(lines)


def _section(title: str, lines: Iterable[str]) -> list[str]:
    found = list(lines)
    return ["", f"{title}:", *(f"  {line}" for line in found)] if found else []


def _day(review: EpisodeReview) -> str:
    return review.day.isoformat() if review.day is not None else "no date   "


def _state(review: EpisodeReview) -> str:
    said = [f"{review.errors} errors"] if review.errors else []
    said += [f"{review.warnings} warnings"] if review.warnings else []
    if review.claims:
        said.append(f"{sum(claim.is_allowed for claim in review.claims)} of {len(review.claims)} claims hold")
    said += [f"{review.documents} documents"] if review.documents else []
    said += ["not done"] if review.failure else []
    return ", ".join(said) or "sound"


def _faults(reviews: Iterable[EpisodeReview]) -> Iterator[str]:
    for review in reviews:
        if review.failure:
            yield f"{review.folder}: {review.failure}"
        if review.errors:
            yield from (line for line in review.problems if ": error[" in line)


def _claims(reviews: Iterable[EpisodeReview], *, fails_now: bool) -> Iterator[str]:
    for review in reviews:
        for claim in review.claims:
            if not claim.is_allowed and claim.fails_now is fails_now:
                instead = f"; may be said: {claim.wording}" if claim.wording else ""
                reason = shorten(claim.reason, _MOST_LETTERS, placeholder=" …")
                yield f"{review.title}: {claim.text}: {reason}{instead}"


def _moved(reviews: Iterable[EpisodeReview]) -> Iterator[str]:
    for review in reviews:
        yield from (f"{review.title}: {line}" for line in review.moved)


def season_json(report: SeasonReport) -> dict[str, Any]:
    """Return everything that was found, under a schema version."""
    return {
        "schema_version": 1,
        "kept": report.kept,
        "episodes": [
            {
                "folder": item.folder,
                "title": item.title,
                "date": item.day.isoformat() if item.day is not None else None,
                "errors": item.errors,
                "warnings": item.warnings,
                "problems": list(item.problems),
                "claims": [
                    {
                        "text": claim.text,
                        "was_allowed": claim.was_allowed,
                        "is_allowed": claim.is_allowed,
                        "wording": claim.wording,
                        "reason": claim.reason,
                    }
                    for claim in item.claims
                ],
                "moved": list(item.moved),
                "documents": item.documents,
                "failure": item.failure,
            }
            for item in report.reviews
        ],
    }
