"""The log of a shoot day and what is told on the command line: read, matched with steps, measured."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta

import pytest

from shootplan.model.planning import Activity, ActivityKind, PlanInput, Worker
from shootplan.model.replanning import LogEvent, LogKind, LogLine, Run
from shootplan.plan.log_steps import LogClock, events_of, from_call, with_days
from shootplan.plan.measured import measured_minutes
from shootplan.problems import Problem
from shootplan.read.day_log import clock_seconds, read_at, read_day_log, read_told

LOG = """# a supper
09:00 begun soup: Chop onions

9:04:30 LEFT soup: Simmer
09:13 done soup: Chop onions
09:20 late 10 min soup: Simmer
09:40 looked-in soup: Simmer
10:05 swapped crumble: Bake
"""
FRIDAY = date(2026, 11, 20)
CLOCK = LogClock(time(9), (FRIDAY,))
RUNS = tuple(
    Run(id=f"{recipe}/{step.lower()}", label=f"{recipe}: {step}", recipe=recipe, step=step, activities=())
    for recipe, step in (("soup", "Chop onions"), ("soup", "Simmer"), ("crumble", "Bake"), ("bread", "Bake"))
)


def test_a_log_is_read_line_by_line() -> None:
    lines, problems = read_day_log(LOG, "day.txt")
    assert problems == ()
    assert [(line.kind, line.step, line.clock_s, line.late_s) for line in lines] == [
        (LogKind.BEGUN, "soup: Chop onions", 9 * 3600, 0),
        (LogKind.LEFT, "soup: Simmer", 9 * 3600 + 270, 0),
        (LogKind.DONE, "soup: Chop onions", 9 * 3600 + 780, 0),
        (LogKind.LATE, "soup: Simmer", 9 * 3600 + 1200, 600),
        (LogKind.LOOKED, "soup: Simmer", 9 * 3600 + 2400, 0),
        (LogKind.SWAPPED, "crumble: Bake", 10 * 3600 + 300, 0),
    ]
    assert (lines[1].span.line, lines[1].span.column) == (4, 1)


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("25:00 done soup", '"25:00 done soup" is not a time, a word and a step'),
        ("09:00 done", '"09:00 done" is not a time, a word and a step'),
        ("09:00 doen soup", '"doen" is not a word of the log'),
        ("09:00 late soup", '"09:00 late soup" does not say how late'),
    ],
)
def test_a_line_that_cannot_be_read_says_where_and_what_to_write(line: str, message: str) -> None:
    lines, problems = read_day_log(f"\n  {line}\n", "day.txt")
    assert lines == ()
    (problem,) = problems
    assert (problem.code, problem.message) == ("log-line-bad", message)
    assert (problem.span.line, problem.span.column) == (2, 3)
    assert problem.hint


def test_a_slip_in_a_word_is_corrected() -> None:
    _, problems = read_day_log("09:00 doen soup", "day.txt")
    assert problems[0].hint == 'did you mean "done"?'


def test_words_of_the_command_line_are_lines_of_a_log() -> None:
    lines, problems = read_told(
        done=("Chop@10:05-10:12", "Bake@10:12", "Rest"),
        running=("Simmer@11:30", "Boil"),
        late=("soup: Simmer 20 min", "Bake 1,5 h"),
        swapped=("Prove",),
    )
    assert problems == ()
    clock = [None if line.clock_s is None else line.clock_s // 60 for line in lines]
    assert [line.step for line in lines] == [
        *("Chop", "Chop", "Bake", "Rest", "Simmer", "Boil", "soup: Simmer", "Bake", "Prove"),
    ]
    assert clock == [605, 612, 612, None, 690, None, None, None, None]
    assert [line.late_s for line in lines[6:8]] == [1200, 5400]


@pytest.mark.parametrize(
    "told",
    [
        {"done": ["Chop@10:99"]},
        {"done": ["Chop@1-2-3"]},
        {"done": ["Chop@"]},
        {"running": ["Chop@x"]},
        {"late": ["Chop"]},
    ],
)
def test_words_that_cannot_be_read_are_problems(told: dict[str, list[str]]) -> None:
    lines, problems = read_told(**told)
    assert lines == ()
    assert [problem.code for problem in problems] == ["log-line-bad"]


def _line(step: str, clock_s: int | None = 9 * 3600) -> LogLine:
    return LogLine(kind=LogKind.DONE, step=step, clock_s=clock_s)


@pytest.mark.parametrize("step", ["soup: chop onions", "CHOP  ONIONS", "onion", "soup/chop onions"])
def test_a_step_is_found_by_its_words(step: str) -> None:
    events, problems = events_of([_line(step)], RUNS, clock=CLOCK, now_s=0)
    assert problems == ()
    assert events == (LogEvent(kind=LogKind.DONE, run="soup/chop onions", at_s=0),)


def test_words_that_fit_several_or_no_step_are_refused() -> None:
    events, problems = events_of([_line("bake"), _line("simer")], RUNS, clock=CLOCK, now_s=0)
    assert events == ()
    assert [problem.code for problem in problems] == ["log-step-ambiguous", "log-step-unknown"]
    assert '"crumble: Bake", "bread: Bake"' in problems[0].message
    assert problems[1].hint == 'did you mean "Simmer"?'


def test_what_lies_ahead_is_passed_over_with_a_warning() -> None:
    events, problems = events_of([_line("onion", 10 * 3600)], RUNS, clock=CLOCK, now_s=1800)
    assert events == ()
    assert [(problem.code, problem.is_error) for problem in problems] == [("log-ahead", False)]


def test_a_date_before_the_time_is_read_everywhere() -> None:
    """In a line, before "late", in words of the command line with one date or two; a date that is none is a fault."""
    lines, problems = read_day_log("2026-11-20 9:05 done Chop\n2026-11-20 09:10 late 5 min Chop\n", "day.txt")
    assert problems == ()
    assert [(line.on, line.clock_s) for line in lines] == [(FRIDAY, 32_700), (FRIDAY, 33_000)]
    told, _ = read_told(
        done=("Chop@2026-11-20 10:05-10:12", "Bake@2026-11-19 22:00 – 2026-11-20 01:00"),
        running=("Rest@2026-11-20T11:00",),
    )
    assert [line.on for line in told] == [FRIDAY, FRIDAY, date(2026, 11, 19), FRIDAY, FRIDAY]
    assert [(line.clock_s or 0) // 60 for line in told] == [605, 612, 1320, 60, 660]
    assert [problem.code for problem in read_day_log("2026-11-31 09:00 done Chop", "day.txt")[1]] == ["log-line-bad"]
    at = read_at("2026-11-20 11:40", "--at")
    assert isinstance(at, LogLine)
    assert (at.on, at.clock_s) == (FRIDAY, 42_000)
    wrong = read_at("2026-11-20", "--at")
    assert isinstance(wrong, Problem)
    assert wrong.code == "time-bad"


def test_a_date_on_a_single_day_must_be_that_day() -> None:
    """The night after it is still that day's; the week after is not."""
    lines = [replace(_line("onion", 1800), on=FRIDAY + timedelta(days=days)) for days in (0, 1, 7)]
    found, problems = with_days(lines, CLOCK)
    assert [CLOCK.moment_s(line) for line in found] == [1800 - 9 * 3600, 1800 + 15 * 3600]
    assert [problem.code for problem in problems] == ["log-day-unclear"]


def test_a_line_without_a_time_is_now_and_the_night_is_after_the_day() -> None:
    events, _ = events_of([_line("onion", None)], RUNS, clock=CLOCK, now_s=77)
    assert events[0].at_s == 77
    assert from_call(clock_seconds("00:30") or 0, time(20)) == 4 * 3600 + 1800
    assert from_call(clock_seconds("08:50") or 0, time(9)) == -600


def test_measured_minutes_widen_a_range_outward() -> None:
    """
    Chop 8–10 took 12 min 20: 8–13. Simmer's 3 at the pan took 2, its 20–25 alone took 31: 2–3 and 20–31. A step without
    a mark between its parts, or without an end, says nothing.
    """
    chop = Activity(id="s/chop#hands", kind=ActivityKind.HANDS, short_s=480, long_s=600, workers=("a",), step="chop")
    parts = (
        Activity(id="s/simmer#hands", kind=ActivityKind.HANDS, short_s=180, long_s=180, workers=("a",), step="simmer"),
        Activity(id="s/simmer#leave", kind=ActivityKind.LEAVE, short_s=1200, long_s=1500, step="simmer"),
    )
    plan_input = PlanInput(activities=(chop, *parts), workers=(Worker(name="a"),))
    told = [
        LogEvent(kind=LogKind.BEGUN, run="s/chop", at_s=0),
        LogEvent(kind=LogKind.DONE, run="s/chop", at_s=740),
        LogEvent(kind=LogKind.BEGUN, run="s/simmer", at_s=740),
        LogEvent(kind=LogKind.LEFT, run="s/simmer", at_s=860),
        LogEvent(kind=LogKind.DONE, run="s/simmer", at_s=860 + 31 * 60),
    ]
    found = [(i.field, i.real_s, i.new_low_s, i.new_high_s, i.is_outside) for i in measured_minutes(plan_input, told)]
    assert found == [
        ("hands", 740, 480, 780, True),
        ("hands", 120, 120, 180, True),
        ("leave", 1860, 1200, 1860, True),
    ]
    assert [item.run for item in measured_minutes(plan_input, [told[2], told[4]])] == []
    assert measured_minutes(plan_input, told[:1]) == ()


def test_a_hidden_character_ends_no_line_and_is_an_error() -> None:
    lines, problems = read_day_log("09:00 done soup\x0b09:05 done stew\n09:10 done pie\n", "day.txt")
    assert [(problem.code, problem.span.line, problem.span.column) for problem in problems] == [
        ("character-hidden", 1, 16)
    ]
    assert [(line.step, line.span.line) for line in lines] == [("soup\ufffd09:05 done stew", 1), ("pie", 2)]


def test_no_line_of_a_long_log_is_dropped() -> None:
    lines, problems = read_day_log("09:00 done soup\n" * 30_000, "day.txt")
    assert (len(lines), problems) == (30_000, ())


def test_a_night_is_not_counted_for_hands_and_is_for_what_goes_on() -> None:
    """Begun at minute 50, done at minute 130, closed from 60 to 120: 20 min of hands, 80 min of a soak."""
    base = Activity(id="chop", kind=ActivityKind.HANDS, short_s=600, long_s=600, workers=("cook",))
    soak = Activity(id="soak", kind=ActivityKind.LEAVE, short_s=600, long_s=600, may_run_closed=True)
    plan_input = PlanInput(activities=(base, soak), workers=(Worker(name="cook"),), closed=((3600, 7200),))
    events = [
        LogEvent(kind=kind, run=run, at_s=at_s)
        for run in ("chop", "soak")
        for kind, at_s in ((LogKind.BEGUN, 3000), (LogKind.DONE, 7800))
    ]
    assert [item.real_s // 60 for item in measured_minutes(plan_input, events)] == [20, 80]
