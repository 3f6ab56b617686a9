"""
All documents of an episode as text.

A publication and the captions, already serialised, come in; {relative path: text} goes out. Nothing is computed and
nothing is written here: templates lay out what the views hold.
"""

from __future__ import annotations

import base64
import csv
import hashlib
import io
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shootplan.model.agreement import Agreement
from shootplan.model.publication import Publication
from shootplan.model.shopping import Shopping
from shootplan.model.show import join_words, running_text, spreadsheet_cell
from shootplan.render.basis import Basis
from shootplan.render.environment import Renderer, make_renderer
from shootplan.render.pictures import cost_picture, cut_picture, peaks_picture, times_picture
from shootplan.render.plan_json import plan_json
from shootplan.render.prep_calendar import prep_calendar
from shootplan.render.prose import cell, first_upper, line_html, md_text, parts_marked, to_html
from shootplan.render.recipe_data import data_block, episode_data, recipe_data
from shootplan.render.swaps_text import swap_view
from shootplan.render.timeline import draw_day, fold_day
from shootplan.render.views_agreement import agreement_view
from shootplan.render.views_blog import BlogView, blog_view
from shootplan.render.views_blog_index import blog_index_view
from shootplan.render.views_board import board_view
from shootplan.render.views_call import call_view
from shootplan.render.views_costing import CostingView, claim_views, costing_view
from shootplan.render.views_day import ahead_rows, explained, order_rows, peak_rows, proof_text, wrap_text
from shootplan.render.views_days import dates_text
from shootplan.render.views_description import description_view
from shootplan.render.views_film import FilmView, film_view
from shootplan.render.views_index import index_view
from shootplan.render.views_notes import LABELS, LOCAL_RULES, SET_CAUTIONS, all_notes
from shootplan.render.views_prep import prep_view
from shootplan.render.views_script import pace_text, reading_parts, script_view
from shootplan.render.views_shopping import bills, shop_groups, shopping_csv

if TYPE_CHECKING:
    from markupsafe import Markup

__all__ = [
    "AGREEMENT_PAGES",
    "costing_csv",
    "render_agreement",
    "render_blog",
    "render_description",
    "render_documents",
]

_FILTERS: dict[str, Callable[..., Any]] = {
    "prose": to_html,
    "line": line_html,
    "md": md_text,
    "cell": cell,
    "first_upper": first_upper,
    "join_words": join_words,
    "data_block": data_block,
    "parts": parts_marked,
}
#: The documents that are made from the others.
AGREEMENT_PAGES = ("agreement.html", "agreement.md")
_COSTING_HEAD = (
    *("recipe", "line", "amount", "form", "yield %", "as bought", "pack", "price", "currency", "unit price", "seen"),
    *("shop", "kind", "cost used", "optional"),
)


def render_documents(
    publication: Publication,
    *,
    captions: Mapping[str, str],
    user_templates: Path | None = None,
    later: tuple[str, ...] = (),
) -> dict[str, str]:
    """
    Return every document by its relative path.

    Parameters
    ----------
    publication
        Everything computed.
    captions
        {file name: text} of the caption files, which are passed through.
    user_templates
        A folder of the user's templates, which stand before the built-in ones of the same name.
    later
        Documents that are made from these and that the cover links to as well.

    Raises
    ------
    InputError
        If a template of the user's is broken.
    """
    basis, renderer = Basis.of(publication), make_renderer(user_templates, _FILTERS)
    common = _common(basis, renderer)
    chart = draw_day(basis)
    drawing = _drawing(renderer, basis, {**common, "chart": chart})
    files = {
        **captions,
        "timeline.svg": renderer.render("timeline.svg.j2", {**common, "chart": chart, "is_alone": True}),
        "plan.json": plan_json(publication),
        "costing.csv": costing_csv(basis),
    }
    if publication.shopping is not None:
        files["shopping.csv"] = shopping_csv(publication.resolved, publication.shopping, basis.printer)
        _add(files, renderer, "shopping", ("html", "md"), {**common, **_shopping(basis, publication.shopping)})
    _add(files, renderer, "costing", ("html",), {**common, "sheets": _sheets(basis), "claims": claim_views(basis)})
    _add(files, renderer, "shooting_order", ("html", "md"), {**common, **_day(basis), "drawing": drawing})
    if publication.filmed is not None:
        notes = tuple(note for note in all_notes(basis) if note.is_caution)
        film = film_view(publication.resolved, publication.filmed)
        drawing = _film_drawing(renderer, basis, film, common)
        _add(
            files,
            renderer,
            "shoot_day",
            ("html", "md"),
            {**common, "film": film, "cautions": notes, "drawing": drawing},
        )
    board = board_view(basis)
    if board is not None:
        _add(files, renderer, "board", ("html",), {**common, **_board_parts(renderer), "board": board})
    if publication.prep is not None:
        cautions = tuple(note for note in all_notes(basis) if note.is_caution)
        prep = {**common, "prep": prep_view(basis, publication.prep), "cautions": cautions}
        _add(files, renderer, "prep", ("html", "md"), prep)
        files["prep.ics"] = prep_calendar(basis, publication.prep)
        _add(files, renderer, "call_sheet", ("html", "md"), {**common, "sheet": call_view(basis), "cautions": cautions})
    script = {**common, "script": script_view(basis.episode, publication.cut)}
    _add(files, renderer, "script", ("html", "md"), script)
    _add(files, renderer, "reading", ("html",), {**common, "reading": _reading(basis, renderer)})
    files |= _blog(basis, renderer, common)
    _add(files, renderer, "description", ("txt",), {**common, "page": description_view(basis)})
    cover = {
        **common,
        "cover": index_view(basis, (*files, *later)),
        "drawing": drawing,
    }
    cover |= {"times_picture": times_picture(basis), "cut_picture": cut_picture(basis)}
    _add(files, renderer, "index", ("html",), cover)
    return dict(sorted(files.items()))


def render_agreement(
    publication: Publication, agreement: Agreement, *, user_templates: Path | None = None
) -> dict[str, str]:
    """
    Return the agreement report, on a page and as plain text.

    Raises
    ------
    InputError
        If a template of the user's is broken.
    """
    basis, renderer = Basis.of(publication), make_renderer(user_templates, _FILTERS)
    files: dict[str, str] = {}
    view = {**_common(basis, renderer), "agreement": agreement_view(basis, agreement)}
    _add(files, renderer, "agreement", ("html", "md"), view)
    return files


def render_description(publication: Publication, *, user_templates: Path | None = None) -> str:
    """
    Return the description of the video alone, for a cut that was re-timed.

    Raises
    ------
    InputError
        If a template of the user's is broken.
    """
    basis, renderer = Basis.of(publication), make_renderer(user_templates, _FILTERS)
    view = {**_common(basis, renderer), "page": description_view(basis)}
    return _ended(renderer.render("description.txt.j2", view))


def render_blog(publication: Publication, *, user_templates: Path | None = None) -> dict[str, str]:
    """
    Return the pages of the blog alone, for a cut that was re-timed: their data names the clips of the video.

    Raises
    ------
    InputError
        If a template of the user's is broken.
    """
    basis, renderer = Basis.of(publication), make_renderer(user_templates, _FILTERS)
    return _blog(basis, renderer, _common(basis, renderer))


def _blog(basis: Basis, renderer: Renderer, common: Mapping[str, Any]) -> dict[str, str]:
    """Return a page and a plain text for each dish and for the episode."""
    files: dict[str, str] = {}
    servings_script, servings_hash = _script(renderer.source("blog/servings.js"))
    pages: list[BlogView] = []
    for recipe in basis.dishes:
        page = blog_view(basis, recipe.id)
        pages.append(page)
        view = {**common, "page": page, "data": recipe_data(basis, recipe.id), "servings_script": servings_script}
        view["cost_picture"] = cost_picture(basis, recipe.id)
        view["script_hash"] = servings_hash if page.servings is not None else ""
        for kind in ("html", "md"):
            files[f"blog/{recipe.id}.{kind}"] = _ended(renderer.render(f"blog/recipe.{kind}.j2", view))
    index = {**common, "page": blog_index_view(basis, pages), "data": episode_data(basis)}
    _add(files, renderer, "blog/index", ("html", "md"), index)
    return files


def costing_csv(basis: Basis) -> str:
    """Return the costing sheet for a spreadsheet (RFC 4180): a row a line, then the totals of each recipe."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(_COSTING_HEAD)
    for sheet in _sheets(basis):
        for row in _csv_rows(sheet, basis.printer.currency):
            writer.writerow([spreadsheet_cell(value) for value in row])
    return text.getvalue()


def _csv_rows(sheet: CostingView, currency: str) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = [
        (
            *(sheet.id, row.item, row.amount, row.form, row.yield_percent, row.as_bought, row.pack, row.price),
            *(
                currency if row.price else "",
                row.unit_price,
                row.seen,
                row.shop,
                row.kind,
                row.used,
                "yes" if row.is_optional else "",
            ),
        )
        for row in sheet.rows
    ]
    for label, exact, serving, small in sheet.totals:
        words = f"{label}: {serving} a serving" + (f", {small} small" if small else "")
        rows.append((sheet.id, words, *("",) * 6, currency, "", "", "", "total", exact, ""))
    return rows


def _common(basis: Basis, renderer: Renderer) -> dict[str, Any]:
    """Return what every page has: the style sheet in the page, the standing sentences, the language."""
    from markupsafe import Markup

    css = "\n".join(renderer.source(name) for name in ("style.css", "chart.css")).replace("</", "<\\/")
    return {
        "style": Markup(css),
        "language": "en",
        "script_hash": "",
        "episode_title": basis.episode.title,
        "date": dates_text(basis.episode),
        "call": basis.clock(0),
        "wrap": wrap_text(basis),
        "film_wrap": basis.clock(filmed.parts.total_s) if (filmed := basis.publication.filmed) is not None else "",
        "local_rules": LOCAL_RULES,
        "labels": LABELS,
        "set_cautions": SET_CAUTIONS,
    }


def _shopping(basis: Basis, shopping: Shopping) -> dict[str, Any]:
    groups = shop_groups(basis.publication.resolved, shopping, basis.printer)
    return {"groups": groups, "bills": bills(shopping, basis.printer)}


def _drawing(renderer: Renderer, basis: Basis, values: Mapping[str, Any]) -> Markup:
    """Return the day's chart for the pages, wide and folded: drawn once, because two pages show it."""
    from markupsafe import Markup

    return Markup(renderer.render("drawing.html.j2", {**values, "folds": fold_day(basis), "is_alone": False}))


def _film_drawing(renderer: Renderer, basis: Basis, film: FilmView, values: Mapping[str, Any]) -> Markup:
    """Return the chart of the filmed day; the modules are read only for the builds that have one."""
    from markupsafe import Markup

    from shootplan.render.timeline_film import draw_film, fold_film

    charts = {"chart": draw_film(basis, film), "folds": fold_film(basis, film), "is_alone": False}
    return Markup(renderer.render("drawing.html.j2", {**values, **charts}))


def _day(basis: Basis) -> dict[str, Any]:
    return {
        "rows": order_rows(basis),
        "peaks": peak_rows(basis),
        "peaks_picture": peaks_picture(basis),
        "ahead": ahead_rows(basis),
        "proof": proof_text(basis.publication.plan),
        "explained": explained(basis),
        "swaps": swap_view(basis.publication.swaps, basis.printer, basis.episode.clock),
        "cautions": tuple(note for note in all_notes(basis) if note.is_caution),
    }


def _reading(basis: Basis, renderer: Renderer) -> dict[str, Any]:
    """Return the reading view with its own style sheet and script."""
    from markupsafe import Markup

    cut = basis.publication.cut
    script, script_hash = _script(renderer.source("reading.js"))
    return {
        "parts": reading_parts(cut),
        "length": running_text(cut.length_ms),
        "length_ms": cut.length_ms,
        "pace": f"Lengths are reckoned {pace_text(basis.episode.kitchen.pace)}.",
        "style": Markup(renderer.source("reading.css").replace("</", "<\\/")),
        "script": script,
        "script_hash": script_hash,
    }


def _board_parts(renderer: Renderer) -> dict[str, Any]:
    """Return style and script of the board on the wall: those of the live board that it shares, as one text each."""
    from markupsafe import Markup

    css = "\n".join(renderer.source(name) for name in ("style.css", "board/board.css", "board/wall.css"))
    shared = "".join(renderer.source(f"board/{name}.js").replace("export ", "") for name in ("times", "strip"))
    script, script_hash = _script(f'"use strict";\n{{\n{shared}{renderer.source("board/wall.js")}}}\n')
    return {"style": Markup(css.replace("</", "<\\/")), "script": script, "script_hash": script_hash}


def _script(text: str) -> tuple[Markup, str]:
    """Return a script for the page, and the hash under which the page's policy lets it run (W3C CSP 3)."""
    from markupsafe import Markup

    script = text.replace("</", "<\\/")
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    return Markup(script), f"sha256-{digest}"


def _sheets(basis: Basis) -> tuple[CostingView, ...]:
    return tuple(costing_view(basis, recipe.id) for recipe in basis.dishes)


def _add(
    files: dict[str, str], renderer: Renderer, name: str, kinds: tuple[str, ...], values: Mapping[str, Any]
) -> None:
    for kind in kinds:
        files[f"{name}.{kind}"] = _ended(renderer.render(f"{name}.{kind}.j2", values))


def _ended(text: str) -> str:
    """End a text file with exactly one line feed."""
    return text.strip() + "\n"
