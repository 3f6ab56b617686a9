"""Recipes of other pages (schema.org/Recipe, JSON-LD or microdata) into our Markdown: with bounds, nothing made up."""

from __future__ import annotations

from shootplan.bring.brought import Brought
from shootplan.bring.find import Found, recipes_in
from shootplan.bring.markdown import markdown_of
from shootplan.bring.recipe import brought_from

__all__ = ["Brought", "Found", "brought_from", "markdown_of", "recipes_in"]
