"""Speed as ratios measured in one run on one machine: `python tests/bench/run.py`. Never part of the suite.

Each line is the median of several runs of our work over the median of the yardstick beside it.
"""

from __future__ import annotations

import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path

import tomli_w

ROOT = Path(__file__).parents[2]
EMPTY_APP = (
    "from textual.app import App\n"
    "class Empty(App):\n"
    "    def on_mount(self): self.exit()\n"
    "Empty().run(headless=True)\n"
)


def median(work: Callable[[], object], runs: int = 15) -> float:
    """Median seconds of one call."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def program(*arguments: str) -> Callable[[], object]:
    """A Python program run to its end."""
    return lambda: subprocess.run([sys.executable, *arguments], capture_output=True, check=False)


def rows() -> Iterator[tuple[str, float, float]]:
    """What, its ratio, and the most it may be."""
    from asleft.calc import operating_point
    from asleft.equipment.library import instruments
    from asleft.equipment.load import load_bytes
    from asleft.journal import classify
    from asleft.session.state import Event, fold_all
    from asleft.visit import Visit, look

    session = next(iter(sorted((ROOT / "sessions").glob("*.toml"))))
    data = session.read_bytes()
    parse = median(lambda: tomllib.loads(data.decode()))
    contents = classify(data)
    equipment = load_bytes(contents.equipment_text.encode(), session.name).equipment
    state = fold_all(Event.from_mapping(e) for e in contents.events)
    yield (
        "view from nothing / tomllib.loads of the session",
        median(lambda: look(equipment, state)) / parse,
        0.6,
    )

    def audit() -> object:
        read = classify(data)
        return look(equipment, fold_all(Event.from_mapping(e) for e in read.events))

    yield "parse, verify, fold, recheck / tomllib.loads", median(audit) / parse, 1.0

    with tempfile.TemporaryDirectory() as folder:
        copy = Path(shutil.copy(session, folder))
        tick = iter(range(10**9))
        clock = lambda: f"2031-05-04T{(n := next(tick)) // 3600 % 24:02}:{n // 60 % 60:02}:{n % 60:02}Z"  # noqa: E731
        named = {i.id: i for i in instruments()}
        visit = Visit.open(copy, named, by="bench", clock=clock)
        whole = median(lambda: visit.submit("note", "a remark"))
        yield "one note submitted, all recomputed and saved / tomllib.loads", whole / parse, float("nan")
        visit.close()

    event = {"n": 1, "at": "2031-05-04T09:00:00Z", "by": "bench", "kind": "noted", "text": "a remark"}
    from asleft.journal import event_bytes

    mine = median(lambda: [event_bytes("0" * 64, event) for _ in range(100)])
    yield (
        "event to bytes / tomli_w.dumps",
        mine / median(lambda: [tomli_w.dumps(event) for _ in range(100)]),
        2.0,
    )

    import numpy
    from scipy.optimize import brentq

    static = [float(10 * i) for i in range(1, 11)]
    flow = [0.70 - 0.02 * i for i in range(10)]
    own = median(lambda: operating_point(static, flow, 0.6, 80.0))
    oracle = median(
        lambda: brentq(
            lambda q: numpy.interp(80.0 * (q / 0.6) ** 2, static, flow) - q, flow[-1], flow[0], xtol=1e-12
        )
    )
    yield "operating point / numpy.interp with brentq", own / oracle, 0.1

    empty = median(program("-c", EMPTY_APP), 7)
    yield (
        "asleft next --json / an empty Textual app",
        median(program("-m", "asleft", "next", str(session), "--json"), 7) / empty,
        0.6,
    )
    yield (
        "asleft work / an empty Textual app",
        median(program("-m", "asleft", "work"), 7) / empty,
        float("nan"),
    )


def main() -> None:
    """Print the ratios."""
    for name, ratio, most in rows():
        limit = "" if most != most else f"  at most {most}"
        print(f"{ratio:8.2f}  {name}{limit}", flush=True)


if __name__ == "__main__":
    main()
