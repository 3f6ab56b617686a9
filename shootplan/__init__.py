"""Plan, cost, script and caption a multi-recipe cooking episode from one plain-text source."""

__version__ = "0.1.0"
