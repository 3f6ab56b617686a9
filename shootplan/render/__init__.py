"""Values to documents: lays out what the earlier stages computed, as text by relative path; writes nothing."""

from __future__ import annotations

from shootplan.render.documents import render_blog, render_description, render_documents

__all__ = ["render_blog", "render_description", "render_documents"]
