"""A small invented episode whose every text tries to be markup, and a board served in a process of its own."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
#: What must stay text: it would set a mark on the window if it were ever read as markup.
HOSTILE = '<img src=x onerror="window.ran=1"><script>window.ran=2</script>'

EPISODE = f"""---
date: 2026-10-01
currency: GBP
---
# Soup night {HOSTILE}

## Recipes

- [Soup](recipes/soup.md)
"""

RECIPE = f"""---
serves: 4
---
# Soup {HOSTILE}

## Ingredients

- 200 g carrots
- 100 g onions
- 500 ml water

## Method

1. **Chop <b>carrots</b>.** Chop the [carrots].
   - hands: 4 min
   - after: none
   - until: small <i onclick="window.ran=3">dice</i>
   - caution: sharp {HOSTILE}
   - shot: overhead
2. **Chop onions.** Chop the [onions].
   - hands: 3 min
   - after: none
   - shot: side "><script>window.ran=4</script>
3. **Simmer.** Cover with the [water].
   - hands: 1 min
   - leave: 20 min
   - after: Chop <b>carrots</b>, Chop onions
   - uses: ring, pan <svg onload=window.ran=5>
   - check: every 8 min for 1 min
   - until: soft
   - shot: overhead
4. **Serve.** Ladle out.
   - hands: 2 min
   - after: Simmer within 10 min
   - shot: overhead
"""

KITCHEN = """
[[people]]
name = "host <u>me</u>"
role = "cook"
presenter = true
[hob]
rings = 2
[vessels]
"pan <svg onload=window.ran=5>" = 1
[cameras]
positions = ["overhead", "side \\"><script>window.ran=4</script>"]
rerig = "4 min"
[hours]
call = "09:00"
"""

PRICES = """item,pack,price,shop,date
carrots,1 kg loose,1.00,market,2026-09-30
onions,1 kg loose,1.00,market,2026-09-30
"""


def write_episode(folder: Path) -> Path:
    """Write the episode and return its folder."""
    (folder / "recipes").mkdir(parents=True)
    (folder / "episode.md").write_text(EPISODE, encoding="utf-8")
    (folder / "recipes" / "soup.md").write_text(RECIPE, encoding="utf-8")
    (folder / "kitchen.toml").write_text(KITCHEN, encoding="utf-8")
    (folder / "prices.csv").write_text(PRICES, encoding="utf-8")
    return folder


class Served:
    """A board in its own process; ``url`` ends with a slash, ``code`` is that of a network."""

    def __init__(
        self,
        folder: Path,
        *,
        command: str = "board",
        host: str = "127.0.0.1",
        port: int = 0,
        rehearse: str = "09:00",
    ) -> None:
        words = [sys.executable, "-m", "shootplan", command, str(folder), "--port", str(port)]
        words += ["--host", host, "--rehearse", rehearse] if command == "board" else []
        environment = {**os.environ, "PYTHONUNBUFFERED": "1", "PYTHONPATH": str(ROOT)}
        self.lines: list[str] = []
        self._process = subprocess.Popen(
            words,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env=environment,
        )
        shown = self.wait_for(r"(?:is|are) at http://[^:/]+:(\d+)/")
        self.port = int(shown.group(1))
        self.url = f"http://127.0.0.1:{self.port}/"
        self._wait_until_it_answers()

    def wait_for(self, pattern: str) -> re.Match[str]:
        """Return the match in the next line that has one."""
        assert self._process.stdout is not None
        for line in self._process.stdout:
            self.lines.append(line)
            match = re.search(pattern, line)
            if match:
                return match
        raise AssertionError("the board ended: " + "".join(self.lines))

    def _wait_until_it_answers(self) -> None:
        from urllib.error import HTTPError, URLError
        from urllib.request import urlopen

        for _ in range(200):
            try:
                with urlopen(self.url, timeout=5):
                    return
            except HTTPError:
                return
            except (URLError, OSError):
                time.sleep(0.05)
        raise AssertionError("the board does not answer")

    def kill(self) -> None:
        """End it at once, as a lost battery would."""
        self._process.send_signal(signal.SIGKILL)
        self._end()

    def stop(self) -> None:
        """End it as its user would."""
        if self._process.poll() is None:
            self._process.send_signal(signal.SIGINT)
        self._end()

    def _end(self) -> None:
        self._process.wait(timeout=20)
        if self._process.stdout is not None:
            self._process.stdout.close()
