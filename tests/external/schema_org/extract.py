"""Writes terms.csv from schema.d.ts of the npm package schema-dts; run by hand: python extract.py schema.d.ts."""

from __future__ import annotations

import csv
import re
import sys
from pathlib import Path

CLASSES = (
    *("Recipe", "HowToSection", "HowToStep", "HowToDirection", "HowToTip", "HowToSupply", "HowToTool"),
    *("QuantitativeValue", "MonetaryAmount", "VideoObject", "Clip", "ItemList", "ListItem", "WebPage"),
)
_INTERFACE = re.compile(
    r"^(?:export )?interface (\w+?)(?:Base|Leaf)(?: extends ([\w, <>]+))? \{\n(.*?)^\}", re.M | re.S
)
_PROPERTY = re.compile(r'^    "(\w+)"\?: SchemaValue<(.*), "\w+">;', re.M)


def main() -> None:
    text = Path(sys.argv[1]).read_text(encoding="utf-8")
    found: dict[str, tuple[str, str]] = {}
    for name, parents, body in _INTERFACE.findall(text):
        found.setdefault(name, (parents or "", body))

    def properties(name: str) -> dict[str, str]:
        parents, body = found.get(name, ("", ""))
        merged: dict[str, str] = {}
        for parent in parents.split(","):
            merged |= properties(parent.strip().removesuffix("Base")) if parent.strip() else {}
        return merged | dict(_PROPERTY.findall(body))

    with Path(__file__).with_name("terms.csv").open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(("class", "property", "expected"))
        for name in CLASSES:
            for key, kinds in sorted(properties(name).items()):
                words = sorted({kind.strip() for kind in kinds.split("|")} - {"IdReference"})
                out.writerow((name, key, " ".join(words)))


if __name__ == "__main__":
    main()
