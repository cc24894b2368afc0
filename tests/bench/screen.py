"""How fast the screen answers, as ratios of one run on one machine, through a terminal of its own.

`PYTHONPATH=tests python tests/bench/screen.py`. Never part of the suite.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from tempfile import TemporaryDirectory

from bench.terminal import LOGIN, SIZES, Line, started
from tui.looking import visit_at

ROUNDS = 25
STARTS = 7
FRAME_S = 1 / 60
CONSTANT = """
from asleft.visit import Visit
real, made, count = Visit.submit, [], [0]
def submit(self, *told, **more):
    if len(made) < 2:
        made.append(real(self, *told, **more))
        return made[-1]
    count[0] += 1
    self.view = made[count[0] % 2]
    return self.view
Visit.submit = submit
"""
"""The same screen with constant text: from the third entry on two views made before take turns."""
EMPTY = """
from textual.app import App
from textual.widgets import Static
class Empty(App):
    def compose(self):
        yield Static("asleft stands")
    def on_key(self):
        self.query_one(Static).update("answered")
Empty().run()
"""


def entered(line: Line, value: str) -> float:
    """Seconds from Enter to the number of what is saved, on the row above the one that is next."""
    line.send(b"\x1b[A")
    line.send(b"\x15" + value.encode())
    began = time.perf_counter()
    line.press(b"\r")
    data = b""
    while b" saved " not in data:
        if time.perf_counter() - began > 30:
            raise SystemExit(f"nothing is saved: {data[-2000:]!r}")
        data += line.read(1.0)
    took = time.perf_counter() - began
    line.until_quiet()
    return took


def opened(size: tuple[int, int], code: str, folder: Path) -> Line:
    """A visit that is nearly done, on a terminal."""
    visit = visit_at(folder / "visits", "settings")
    visit.close()
    line = Line(size, folder, "open", str(visit.path), code=code)
    started(line)
    for n in range(4):
        entered(line, f"27.{n + 1} A")
    return line


def verdicts(size: tuple[int, int]) -> tuple[list[float], list[float]]:
    """Seconds from Enter to the verdict drawn, and the same with constant text, in turn."""
    with TemporaryDirectory() as one, TemporaryDirectory() as other, ExitStack() as lines:
        ours = opened(size, LOGIN, Path(one))
        lines.callback(ours.close)
        constant = opened(size, CONSTANT + LOGIN, Path(other))
        lines.callback(constant.close)
        values = [f"27.{n % 2 + 5} A" for n in range(ROUNDS)]
        pairs = [(entered(ours, value), entered(constant, value)) for value in values]
    return [pair[0] for pair in pairs], [pair[1] for pair in pairs]


def start(size: tuple[int, int], code: str, folder: Path) -> float:
    """Seconds from the command until the first key is answered."""
    line = Line(size, folder, code=code)
    try:
        line.until(b"asleft")
        line.press(b"\x1b[B")
        line.read(30.0)
        return time.perf_counter() - line.began
    finally:
        line.close()


def rows() -> Iterator[tuple[str, float, float]]:
    """What, its figure, and the most it may be."""
    for size in SIZES:
        where = f"{size[0]}x{size[1]}"
        ours, constant = verdicts(size)
        ratio = statistics.median(ours) / statistics.median(constant)
        yield f"{where} Enter to verdict drawn / the same pane with constant text", ratio, 1.2
        late = statistics.quantiles(ours, n=20)[-1]
        yield f"{where} Enter to verdict drawn, 95th percentile, in frames of 1/60 s", late / FRAME_S, 3.0
        late = statistics.quantiles(constant, n=20)[-1]
        yield f"{where} the same with constant text", late / FRAME_S, float("nan")
    with TemporaryDirectory() as folder:
        # Not the very first start, which asks a few things.
        (Path(folder) / "settings.toml").write_text('technician = "Ada Cole"\n')
        pairs = [
            (start(SIZES[0], LOGIN, Path(folder)), start(SIZES[0], EMPTY, Path(folder)))
            for _ in range(STARTS)
        ]
    home, empty = (statistics.median(one) for one in zip(*pairs, strict=True))
    yield "start to home with the first key answered / an empty Textual app", home / empty, 1.25
    yield "an empty Textual app, in s", empty, float("nan")


def main() -> int:
    """Print the ratios; 1 where a budget is passed."""
    over = False
    for name, figure, most in rows():
        over = over or figure > most
        limit = "" if most != most else f"  at most {most:g}"
        print(f"{figure:8.3f}  {name}{limit}", flush=True)
    return over


if __name__ == "__main__":
    sys.exit(main())
