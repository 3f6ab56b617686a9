"""
The built documents read back by parsers of their own, and compared with the values they were made from.

A publication and {relative path: text} come in, a ``CheckResult`` for each check on documents goes out. Nothing here
knows how the documents were written: a fault of a writer cannot hide in its own reader.
"""

from __future__ import annotations

from collections.abc import Mapping

from shootplan.model.agreement import CheckResult
from shootplan.model.publication import Publication
from shootplan.readback.captions import check_captions
from shootplan.readback.frames import check_frames
from shootplan.readback.pages import check_data, check_dates, check_pages
from shootplan.readback.tables import check_chapters, check_tables

__all__ = ["read_back"]


def read_back(
    publication: Publication, files: Mapping[str, str], *, is_thorough: bool = True
) -> tuple[CheckResult, ...]:
    """
    Return what the written documents say differently (checks C3, C4, C16, C18, C19, C20).

    A quick reading, after each build, leaves out ``plan.json`` and the edit, which take longer than all the rest.
    """
    texts, timed = check_captions(publication.cut, files)
    parts = (timed, check_tables(publication, files, is_thorough=is_thorough), check_pages(publication, files))
    shown = CheckResult(
        id="C3",
        title="what is shown is what is published",
        compared=sum(part.compared for part in parts),
        broken=tuple(text for part in parts for text in part.broken),
    )
    return (
        shown,
        check_data(publication, files),
        *([check_frames(publication.cut, publication.resolved.episode.edit_rate, files)] if is_thorough else []),
        check_dates(publication, files),
        texts,
        check_chapters(publication, files),
    )
