"""The commands that ask about the day: swap-outs, what if, ranges and risk, plans that trade."""

from __future__ import annotations

from datetime import time
from typing import TYPE_CHECKING, Annotated

import typer

from shootplan.cli.console import AsJson, Debug, EpisodeFolder, Progress, guard, is_colour, print_json, report

if TYPE_CHECKING:
    from pathlib import Path

    from shootplan.app import Loaded
    from shootplan.model.trade import FilmedTrade, TradePlan

__all__ = ["add_to"]

EXIT_COMMAND = 2
_TEN_MINUTES_S = 600
_Filmed = Annotated[bool, typer.Option("--filmed", help="The filmed day: cameras, takes, the meal; takes longer.")]


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command()(swaps)
    app.command()(what_if)
    app.command()(risk)
    app.command()(trade_offs)


def swaps(
    episode: EpisodeFolder,
    any_wait: Annotated[
        bool, typer.Option("--any", help="Also waits of ten minutes or more that are unmarked.")
    ] = False,
    filmed: _Filmed = False,
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Show what each duplicate, and useful combinations of them, would save of the day and cost."""

    def run() -> int:
        from shootplan.app import Solver, load
        from shootplan.app.swaps import swaps as find_swaps
        from shootplan.cost import minor_digits
        from shootplan.render.swaps_text import swaps_json, swaps_view
        from shootplan.render.terminal import printer_of

        with Progress() as progress:
            loaded = load(episode)
            progress.show("planning the day with duplicates")
            least_s = _TEN_MINUTES_S if any_wait else None
            found = find_swaps(loaded, solver=Solver(progress=progress.show), least_s=least_s, is_filmed=filmed)
        report(loaded.problems)
        if as_json:
            print_json(swaps_json(found))
            return 0
        printer = printer_of(loaded.resolved, minor_digits(loaded.episode.currency))
        typer.echo(swaps_view(found, loaded.episode.clock, printer, colour=is_colour()))
        return 0

    guard(run, debug=debug)


def what_if(
    episode: EpisodeFolder,
    cooks: Annotated[int | None, typer.Option(min=1, help="So many cooks.", show_default=False)] = None,
    rings: Annotated[int | None, typer.Option(min=0, help="So many rings.", show_default=False)] = None,
    ovens: Annotated[int | None, typer.Option(min=0, help="So many ovens, like the first.", show_default=False)] = None,
    call: Annotated[str | None, typer.Option(metavar="HH:MM", help="Another call.", show_default=False)] = None,
    without: Annotated[
        list[str] | None,
        typer.Option(metavar="RECIPE", help="Leave a recipe out; may be repeated.", show_default=False),
    ] = None,
    filmed: _Filmed = False,
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Show when the day would wrap with another crew, kitchen or call, or without a recipe; alone, the usual set."""
    from shootplan.model.what_if import Change

    change = Change(cooks=cooks, rings=rings, ovens=ovens, call=_time(call), without=tuple(without or ()))

    def run() -> int:
        from shootplan.app import Solver, load
        from shootplan.app.what_if import what_if as ask
        from shootplan.render.what_if_text import what_if_json, what_if_view

        with Progress() as progress:
            loaded = load(episode)
            wrong = _wrong_recipes(change.without, [recipe.id for recipe in loaded.episode.recipes])
            if wrong:
                typer.echo(f"error: --without: {wrong}", err=True)
                return EXIT_COMMAND
            parts = change.parts()
            changes = (*parts, change) if len(parts) > 1 else parts
            found = ask(loaded, changes, solver=Solver(progress=progress.show), is_filmed=filmed)
        report(loaded.problems)
        if as_json:
            print_json(what_if_json(found))
        else:
            typer.echo(what_if_view(found, colour=is_colour()))
        return 0

    guard(run, debug=debug)


def _time(text: str | None) -> time | None:
    if text is None:
        return None
    try:
        return time.fromisoformat(text)
    except ValueError:
        raise typer.BadParameter(f"{text!r} is not a time of day; write for example 08:30") from None


def _wrong_recipes(named: tuple[str, ...], known: list[str]) -> str:
    """Say what is wrong with the recipes to leave out, nothing if they are right."""
    unknown = [name for name in named if name not in known]
    if unknown:
        return f"no recipe {unknown[0]!r}; recipes are {', '.join(known)}"
    return "without every recipe there is nothing to plan" if set(named) == set(known) else ""


def risk(
    episode: EpisodeFolder,
    runs: Annotated[int, typer.Option(min=1, max=1_000_000, help="How many days are drawn.")] = 2000,
    seed: Annotated[int, typer.Option(min=0, help="Another seed draws other days.")] = 0,
    triangular: Annotated[
        bool, typer.Option("--triangular", help="The middle of a range is the likeliest; else all of it alike.")
    ] = False,
    filmed: _Filmed = False,
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Show when the planned day wraps if times fall anywhere in their ranges, and which limits break."""

    def run() -> int:
        from shootplan.app import Solver, load
        from shootplan.app.risk import risk as assess
        from shootplan.model.risk import Spread
        from shootplan.render.risk_text import risk_json, risk_view

        spread = Spread.TRIANGULAR if triangular else Spread.UNIFORM
        with Progress() as progress:
            loaded = load(episode)
            progress.show("planning the day")
            solver = Solver(progress=progress.show)
            found = assess(loaded, runs=runs, seed=seed, spread=spread, solver=solver, is_filmed=filmed)
        report(loaded.problems)
        if as_json:
            print_json(risk_json(found))
        else:
            typer.echo(risk_view(found, loaded.episode.clock, colour=is_colour()))
        return 0

    guard(run, debug=debug)


def trade_offs(
    episode: EpisodeFolder,
    show: Annotated[
        str | None, typer.Option(metavar="PLAN", help="Print the day of plan A, B, … by the clock.", show_default=False)
    ] = None,
    filmed: _Filmed = False,
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Show a few plans side by side: an early wrap, or fewer changes of dish and fresher plates; filmed, re-rigs."""

    def run() -> int:
        if filmed:
            return _filmed_trade_offs(episode, show, as_json=as_json)
        from shootplan.app import Solver, load
        from shootplan.app.trade import trade_offs as trade
        from shootplan.render.trade_text import letter, trade_json, trade_view

        with Progress() as progress:
            loaded = load(episode)
            progress.show("planning the day in several ways")
            plans = trade(loaded, solver=Solver(progress=progress.show))
        report(loaded.problems)
        names = [letter(number) for number in range(len(plans))]
        if show is not None and not _is_known(show, names):
            return EXIT_COMMAND
        if show is not None:
            typer.echo(_shown_day(loaded, plans[names.index(show.upper())]))
        elif as_json:
            print_json(trade_json(plans))
        else:
            typer.echo(trade_view(plans, loaded.episode.clock, colour=is_colour()))
        return 0

    guard(run, debug=debug)


def _is_known(show: str, names: list[str]) -> bool:
    """Whether there is such a plan; else say which there are."""
    if show.upper() not in names:
        typer.echo(f"error: --show: no plan {show!r}; plans are {', '.join(names)}", err=True)
        return False
    return True


def _filmed_trade_offs(episode: Path, show: str | None, *, as_json: bool) -> int:
    from shootplan.app import Solver, load
    from shootplan.app.film_trade import filmed_trade_offs
    from shootplan.render.trade_text import filmed_trade_json, filmed_trade_view, letter

    with Progress() as progress:
        loaded = load(episode)
        progress.show("planning the filmed day in several ways")
        trades = filmed_trade_offs(loaded, solver=Solver(progress=progress.show))
    report(loaded.problems)
    names = [letter(number) for number in range(len(trades.plans))]
    if show is not None and not _is_known(show, names):
        return EXIT_COMMAND
    if show is not None:
        typer.echo(_shown_filmed_day(loaded, trades.plans[names.index(show.upper())]))
    elif as_json:
        print_json(filmed_trade_json(trades))
    else:
        typer.echo(filmed_trade_view(trades, loaded.episode.clock, colour=is_colour()))
    return 0


def _shown_filmed_day(loaded: Loaded, plan: FilmedTrade) -> str:
    from shootplan.app.film import filmed_day
    from shootplan.plan.film_planner import FilmedPlan
    from shootplan.render.film_text import film_text

    planned = FilmedPlan(plan_input=plan.plan_input, result=plan.result, pick_ups=plan.pick_ups)
    return film_text(loaded.resolved, filmed_day(loaded, planned), colour=is_colour())


def _shown_day(loaded: Loaded, plan: TradePlan) -> str:
    from shootplan.plan.day import steps_by_clock
    from shootplan.render.terminal import day_view

    rows = steps_by_clock(plan.plan_input, plan.result.schedule) if plan.result.schedule is not None else ()
    return day_view(loaded.resolved, plan.result, rows, colour=is_colour())
