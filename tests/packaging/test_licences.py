"""Everything that comes with an installed shootplan has a licence under which it may be passed on with ours (MIT)."""

from __future__ import annotations

import re
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement

#: Words of licences that ask for no more than notice, and of num2words' LGPL, which is used unchanged as a library.
#: Their texts: spdx.org/licenses; that they go together with MIT is common practice, no source.
ALLOWED = ("MIT", "BSD", "Apache", "ISC", "PSF", "MPL-2.0", "Zlib", "CC0", "Python Software Foundation", "Mozilla")
#: Names and versions of the lock, each line's first words.
PINNED = re.compile(r"^([A-Za-z0-9][\w.-]*)==(\S+) \\$", re.MULTILINE)
LIBRARIES_ONLY = {"num2words": "LGPL"}


def needed(name: str, seen: dict[str, metadata.Distribution]) -> dict[str, metadata.Distribution]:
    """Gather what a distribution needs without extras, at any depth."""
    key = re.sub(r"[-_.]+", "-", name).lower()
    if key not in seen:
        seen[key] = metadata.distribution(name)
        for text in seen[key].requires or ():
            asked = Requirement(text)
            if asked.marker is None or asked.marker.evaluate({"extra": ""}):
                needed(asked.name, seen)
    return seen


def licence(found: metadata.Distribution) -> str:
    """Return a distribution's licence: its expression, its classifiers, or its first words."""
    told = found.metadata.get("License-Expression")
    classes = [text for text in found.metadata.get_all("Classifier") or () if text.startswith("License ::")]
    return told or "; ".join(classes) or (found.metadata.get("License") or "").splitlines()[0]


def test_every_licence_is_known_and_goes_with_ours() -> None:
    """None is missing, none asks for more than is granted here."""
    found = needed("shootplan", {})
    assert len(found) > 15
    for name, distribution in sorted(found.items()):
        told = licence(distribution)
        allowed = (*ALLOWED, LIBRARIES_ONLY[name]) if name in LIBRARIES_ONLY else ALLOWED
        assert any(word in told for word in allowed), f"{name}: {told!r}"
        assert "GPL" not in told or name in LIBRARIES_ONLY, f"{name}: {told!r}"


def test_the_whole_lock_has_hashes_and_licences_that_go_with_ours(root: Path) -> None:
    """Tools of the tests too; what this environment lacks (the lock is of Python 3.11) is not judged, and is little."""
    text = (root / ".ci" / "lock-3.11.txt").read_text(encoding="utf-8")
    parts = re.split(r"(?m)^(?=[A-Za-z0-9])", re.sub(r"(?m)^#.*\n", "", text))
    pinned = [part for part in parts if part.strip()]
    names = [found[1] for part in pinned if (found := PINNED.match(part)) is not None]
    assert len(names) == len(pinned) > 60
    assert all(re.search(r"--hash=sha256:[0-9a-f]{64}", part) for part in pinned)
    judged = 0
    for name in names:
        try:
            told = licence(metadata.distribution(name))
        except metadata.PackageNotFoundError:
            continue
        judged += 1
        allowed = (*ALLOWED, LIBRARIES_ONLY[name]) if name in LIBRARIES_ONLY else ALLOWED
        assert any(word in told for word in allowed), f"{name}: {told!r}"
        assert "GPL" not in told or name in LIBRARIES_ONLY, f"{name}: {told!r}"
    assert judged >= len(names) - 8
