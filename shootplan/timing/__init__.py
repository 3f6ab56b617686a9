"""
The cut clock: how long the finished video is, and when each caption stands.

The resolved episode and its filled texts come in, a ``Cut`` and findings go out; the caption files are written from it.
Nothing of the shoot day or the kitchen is known here.
"""

from __future__ import annotations

from shootplan.timing.cut import cut_episode

__all__ = ["cut_episode"]
