"""
A shoot day played again, minute by minute, from its printed papers and the recipes as they were typed.

Nothing of the program is used: the papers are read as text, the recipes by three regular expressions. Each method
returns what is impossible, or what another paper should say; all times are minutes after midnight.
"""

from __future__ import annotations

import re
import tomllib
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

__all__ = ["Entry", "Replay", "clock", "rows_of", "section"]

Step = tuple[str, str]
#: Minutes of washing where the kitchen file says none.
_WASH = 3
_KINDS = (("re-rig: ", "move"), ("look in: ", "look"), ("left alone: ", "left"), ("off camera: ", "off"))


def minute(text: str) -> int:
    """Return "09:05" in minutes after midnight."""
    return int(text[:2]) * 60 + int(text[3:5])


def clock(at: int) -> str:
    """Return minutes after midnight as "09:05"."""
    return f"{at // 60:02}:{at % 60:02}"


def section(text: str, title: str) -> str:
    """Return what stands under a heading of the second level, empty if there is none."""
    found = re.search(rf"^## {re.escape(title)}[^\n]*\n(.*?)(?=^## |\Z)", text, re.M | re.S)
    return found[1] if found else ""


def rows_of(text: str) -> list[dict[str, str]]:
    """Return the rows of a table in Markdown by the heads of its columns."""
    lines = [line.strip() for line in text.splitlines() if line.startswith("|")]
    cells = [[cell.strip() for cell in line[1:-1].split("|")] for line in lines]
    return [dict(zip(cells[0], row, strict=True)) for row in cells[2:]] if cells else []


@dataclass(frozen=True)
class Entry:
    """A row of the day; ``kind`` is shot, filmed (of what goes on alone), pick-up, off, left, look, move or meal."""

    kind: str
    start: int
    end: int
    set_up: str
    what: str
    who: str
    gear: str
    step: Step | None


class Replay:
    """The papers of a filmed build beside the episode that they were built from."""

    def __init__(self, episode: Path, out: Path) -> None:
        self.kitchen = tomllib.loads((episode / "kitchen.toml").read_text(encoding="utf-8"))
        self.method = dict(_method(episode))
        self.day = (out / "shoot_day.md").read_text(encoding="utf-8")
        self.sheet = (out / "call_sheet.md").read_text(encoding="utf-8")
        self.prep = (out / "prep.md").read_text(encoding="utf-8")
        self.rows = rows_of(section(self.day, "By the clock"))
        self.entries = [self._entry(row) for row in self.rows]
        self.call = minute(re.search(r"Call (\d\d:\d\d)", self.day)[1])  # type: ignore[index]
        self.wrap = minute(re.search(r"wrap (\d\d:\d\d)", self.day)[1])  # type: ignore[index]

    def _entry(self, row: dict[str, str]) -> Entry:
        what, kind = row["what"], "shot"
        for begins, name in _KINDS:
            if what.startswith(begins):
                what, kind = what.removeprefix(begins), name
        kind = "meal" if what.startswith("meal break") else kind
        kind = "filmed" if "(filmed)" in what else "pick-up" if "(picked up)" in what else kind
        steps = [step for step in self.method if what.startswith(f"{step[0]}: {step[1]}")]
        step = max(steps, key=lambda item: len(item[1]), default=None)
        start, end = minute(row["clock"]), minute(row["to"])
        return Entry(kind, start, end, row["set-up"].strip("–"), what, row["who"], row["with"], step)

    # -------------------------------------------------------------------------------------------- what the plan does

    def of(self, *kinds: str) -> list[Entry]:
        """Return the rows of some kinds."""
        return [item for item in self.entries if item.kind in kinds]

    def runs(self, step: Step) -> tuple[int, int] | None:
        """Return from when to when a step itself goes on, ``None`` if it is not planned."""
        own = [item for item in self.of("shot", "off", "left") if item.step == step]
        return (min(item.start for item in own), max(item.end for item in own)) if own else None

    def double_booked(self) -> list[str]:
        """Return who is in two places at once, and who works in the meal break."""
        wrong = []
        for name in {item.who for item in self.entries if item.who}:
            own = sorted((item for item in self.entries if item.who == name), key=lambda item: (item.start, item.end))
            wrong += [f"{name}: {one.what} and {two.what}" for one, two in pairwise(own) if two.start < one.end]
            for meal in self.of("meal"):
                late = [item for item in own if item.start < meal.end and meal.start < item.end]
                wrong += [f"{name} works in the meal: {item.what}" for item in late]
        return wrong

    def cameras(self) -> dict[str, list[Entry]]:
        """Return what each camera records, by the clock."""
        found: dict[str, list[Entry]] = defaultdict(list)
        for item in self.of("shot", "filmed", "pick-up"):
            if item.set_up:
                camera = re.search(r"\((.+)\)", item.set_up)
                found[camera[1] if camera else "camera"].append(item)
        return {name: sorted(items, key=lambda item: item.start) for name, items in found.items()}

    def unrigged(self) -> list[str]:
        """Return two shots of a camera that overlap or have no time for the re-rig between them."""
        rerig = int(self.kitchen["cameras"]["rerig"].split()[0])
        wrong = []
        for one, two in (pair for items in self.cameras().values() for pair in pairwise(items)):
            meals = [item for item in self.of("meal") if one.end <= item.start < two.start]
            free = two.start - one.end - sum(item.end - item.start for item in meals)
            if free < (rerig if one.set_up != two.set_up else 0):
                wrong.append(f"{clock(two.start)} {two.what}: {free} min after {one.what}")
        return wrong

    # -------------------------------------------------------------------------------------------- rings, pans, tools

    def capacity(self, name: str) -> int:
        """Return how many of a thing the kitchen has."""
        if name == "ring":
            return int(self.kitchen["hob"]["rings"])
        value = {**self.kitchen.get("vessels", {}), **self.kitchen.get("tools", {})}[name]
        return int(value["count"] if isinstance(value, dict) else value)

    def _wash(self, name: str) -> int:
        value = self.kitchen.get("vessels", {}).get(name)
        return (int(value["wash"].split()[0]) if isinstance(value, dict) and "wash" in value else _WASH) if value else 0

    def things(self, text: str) -> Iterator[tuple[str, int]]:
        """Yield the things of a field or column with their numbers, ovens left out."""
        known = {"ring", *self.kitchen.get("vessels", {}), *self.kitchen.get("tools", {})}
        for piece in re.sub(r"\(.*?\)", "", text).split(","):
            counted = re.fullmatch(r"(\d+)(?: ×)? (.+)", piece.strip())
            words = piece.strip()
            for name, count in ((words, 1), (counted[2], int(counted[1])) if counted else (words, 1)):
                one = [item for item in (name, name.removesuffix("s"), name.removesuffix("es")) if item in known]
                if one:
                    yield one[0], count
                    break

    def uses(self) -> dict[str, list[tuple[int, int, int]]]:
        """Return (from, to, how many) of each thing: while a step uses it, or from holding to freeing and washing."""
        found: dict[str, list[tuple[int, int, int]]] = defaultdict(list)
        for step, fields in self.method.items():
            runs = self.runs(step)
            for name, count in self.things(fields.get("uses", "")) if runs else ():
                found[name] += [(i.start, i.end, count) for i in self.of("shot", "off", "left") if i.step == step]
            for name, count in self.things(fields.get("holds", "")):
                freed = self._freed(step[0], name)
                start = runs[0] if runs else self.call if "when" in fields else None
                if freed is not None and start is not None:
                    found[name].append((start, freed + self._wash(name), count))
        for item in self.of("pick-up"):
            for name, count in self.things(item.gear):
                found[name].append((item.start, item.end + self._wash(name), count))
        return found

    def _freed(self, recipe: str, name: str) -> int | None:
        for step, fields in self.method.items():
            runs = self.runs(step)
            if step[0] == recipe and runs and name in dict(self.things(fields.get("frees", ""))):
                return runs[1]
        return None

    def peaks(self) -> dict[str, tuple[int, str]]:
        """Return the most of each thing in use at once and when that is first so."""
        found = {}
        for name, uses in self.uses().items():
            at_once = {at: sum(n for since, till, n in uses if since <= at < till) for at in {use[0] for use in uses}}
            most = max(at_once.values())
            found[name] = (most, clock(min(at for at, number in at_once.items() if number == most)))
        return found

    def ring_on(self) -> str:
        """Return when at least one ring is on, as the call sheet says it."""
        merged: list[list[int]] = []
        for since, till, _ in sorted(self.uses()["ring"]):
            if merged and since <= merged[-1][1]:
                merged[-1][1] = max(merged[-1][1], till)
            else:
                merged.append([since, till])
        return ", ".join(f"{clock(since)}–{clock(till)}" for since, till in merged)

    # -------------------------------------------------------------------------------------------- times and waits

    def wrong_lengths(self) -> list[str]:
        """Return steps that do not last the long end of what the recipe says."""
        wrong = []
        for step, fields in self.method.items():
            runs, said = self.runs(step), fields.get("hands") or fields.get("watch") or fields.get("leave", "")
            lasts = re.match(r"(?:about )?(?:\d+–)?(\d+) min", said)
            if runs and lasts and "heats" not in fields and not ({"hands", "leave"} <= set(fields)):
                own = [item for item in self.of("shot", "off", "left") if item.step == step]
                wrong += [f"{step}: {i.end - i.start}" for i in own if i.end - i.start != int(lasts[1])]
        return wrong

    def broken_waits(self) -> list[str]:
        """Return steps that begin before what they wait for, too late after it, or when it is good no longer."""
        wrong = []
        for step, before, most in self.waits():
            own, other = self.runs(step), self.runs(before)
            if own is None or other is None:
                continue
            waited, fields = own[0] - other[1], self.method[before]
            window = re.match(r"at least \d+ min, at most (\d+) min", fields.get("leave", ""))
            good = re.match(r"(\d+) min", fields.get("good for", ""))
            if waited < 0 or (most is not None and waited > most) or (good and waited > int(good[1])):
                wrong.append(f"{step} {waited} min after {before}")
            if window and own[0] - other[0] > int(window[1]):
                wrong.append(f"{step} {own[0] - other[0]} min after {before} is begun")
        return wrong

    def waits(self) -> Iterator[tuple[Step, Step, int | None]]:
        """Yield (step, what it waits for, at most how many minutes)."""
        above: Step | None = None
        for step, fields in self.method.items():
            said = fields.get("after", above[1] if above and above[0] == step[0] else "none")
            for piece in () if said == "none" else said.split(","):
                found = re.fullmatch(r"(.*?)(?: (at once)| within (\d+) min| at least .*)?", piece.strip())
                assert found is not None
                recipe, _, name = found[1].rpartition(": ")
                yield step, (recipe or step[0], name), 0 if found[2] else int(found[3]) if found[3] else None
            above = step

    def look_ins(self) -> list[tuple[str, str]]:
        """Return (clock, step) of the look-ins that the recipes ask for: every n minutes, none as the step ends."""
        found = []
        for step, fields in self.method.items():
            every = re.match(r"every (\d+) min", fields.get("check", ""))
            for item in self.of("left", "shot") if every else ():
                assert every is not None
                length, gap = item.end - item.start, int(every[1])
                if item.step == step:
                    found += [(clock(item.start + gap * n), step[1]) for n in range(1, -(-length // gap))]
        return sorted(found)


def _method(episode: Path) -> Iterator[tuple[Step, dict[str, str]]]:
    for path in sorted((episode / "recipes").glob("*.md")):
        text = section(path.read_text(encoding="utf-8"), "Method")
        for block in re.split(r"^\d+\. ", text, flags=re.M)[1:]:
            name = re.match(r"\*\*(.+?)\.\*\*", block)
            assert name is not None
            yield (path.stem, name[1]), dict(re.findall(r"^ +- ([a-z -]+): (.*)$", block, re.M))
