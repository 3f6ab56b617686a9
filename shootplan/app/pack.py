"""The use case pack: the day's papers in one PDF, where something is there that prints one."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from shootplan.app import Progress, documents, load, publish
from shootplan.problems import OutputError

__all__ = ["PAPERS", "joined_pages", "pack"]

#: The papers of the day in the order in which a crew reads them; those that a build does not have are left out.
PAPERS = ("call_sheet.html", "shoot_day.html", "shooting_order.html", "prep.html", "shopping.html")
_MAIN = re.compile(r"<main>(.*?)</main>", re.DOTALL)
_HEAD = re.compile(r"^.*?<body[^>]*>", re.DOTALL)
_NAV = re.compile(r"<nav\b.*?</nav>", re.DOTALL)
_BREAK = "<style>.paper + .paper { break-before: page; }</style>"


def pack(folder: str | Path, *, out: str | Path | None = None, progress: Progress | None = None) -> Path:
    """
    Print the day's papers into one PDF (default: ``FOLDER/out/pack.pdf``) and return where it is.

    Raises
    ------
    InputError
        If the files have errors; nothing is written.
    InfeasiblePlan
        If no schedule keeps all rules; nothing is written.
    OutputError
        If nothing here can print, or the file cannot be written.
    """
    from shootplan.write.disk import Disk, reason
    from shootplan.write.pdf import print_pdf

    own = Path(folder) / "templates"
    files = documents(publish(load(folder), progress=progress), templates=own if own.is_dir() else None)
    if progress is not None:
        progress("printing")
    printed = print_pdf(joined_pages(files))
    target, disk = Path(out) if out is not None else Path(folder) / "out" / "pack.pdf", Disk()
    beside = target.with_name(f".{target.name}.new")
    try:
        disk.make_folder(target.parent)
        disk.write(beside, printed)
        disk.rename(beside, target)
    except OSError as error:
        raise OutputError(f"{target} cannot be written: {reason(error)}") from error
    return target


def joined_pages(files: Mapping[str, str]) -> str:
    """Return the papers as one page, each beginning on a sheet of its own, with the first one's style."""
    papers = [files[name] for name in PAPERS if name in files]
    mains = [found[1] for text in papers if (found := _MAIN.search(text)) is not None]
    head = _HEAD.match(papers[0]) if papers else None
    if not mains or head is None:
        raise OutputError("the papers of the day are not among the documents")
    body = "".join(f'<section class="paper">{_NAV.sub("", main)}</section>' for main in mains)
    return f"{head[0]}{_BREAK}<main>{body}</main></body></html>"
