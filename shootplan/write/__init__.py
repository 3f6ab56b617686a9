"""Text to disk: the only stage that writes; all documents of a build land together, or none does."""

from __future__ import annotations

from shootplan.write.landing import write_documents
from shootplan.write.manifest import Manifest, WrittenFile

__all__ = ["Manifest", "WrittenFile", "write_documents"]
