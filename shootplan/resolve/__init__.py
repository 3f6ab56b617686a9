"""
The resolve stage: names tied to prices and to each other, amounts in both measures, parts as shares.

An ``Episode`` comes in, a ``ResolvedEpisode`` and problems go out. It costs nothing and rounds nothing that is bought.
"""

from shootplan.resolve.episode import resolve_episode

__all__ = ["resolve_episode"]
