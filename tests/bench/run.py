"""Speed as ratios measured in one run on one machine: `python tests/bench/run.py`. Never part of the suite.

Each line is the median of several runs of our work over the median of the yardstick beside it.
"""

from __future__ import annotations

import itertools
import math
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

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
    from asleft.equipment.library import instruments
    from asleft.equipment.load import load_bytes
    from asleft.journal import Journal, classify
    from asleft.session.events import read_all
    from asleft.session.state import fold_all
    from asleft.visit import Visit, look

    session = next(iter(sorted((ROOT / "sessions").glob("*.toml"))))
    data = session.read_bytes()
    parse = median(lambda: tomllib.loads(data.decode()))
    contents = classify(data)
    equipment = load_bytes(contents.equipment_text.encode(), session.name).equipment
    state = fold_all(read_all(contents.events))
    yield (
        "view from nothing / tomllib.loads of the session",
        median(lambda: look(equipment, state)) / parse,
        0.6,
    )

    def audit() -> object:
        read = classify(data)
        return look(equipment, fold_all(read_all(read.events)))

    yield "parse, verify, fold, recheck / tomllib.loads", median(audit) / parse, 1.0

    with tempfile.TemporaryDirectory() as folder:
        copy = Path(shutil.copy(session, folder))
        tick = iter(range(10**9))
        clock = lambda: f"2031-05-04T{(n := next(tick)) // 3600 % 24:02}:{n // 60 % 60:02}:{n % 60:02}Z"  # noqa: E731
        named = {i.id: i for i in instruments()}
        visit = Visit.open(copy, named, by="bench", clock=clock)
        whole = median(lambda: visit.enter("note", "a remark"))
        yield "one note submitted, all recomputed and saved / tomllib.loads", whole / parse, float("nan")
        visit.close()
        with Journal.open(copy) as journal:
            journal.append([_remark(n) for n in range(len(journal.contents.events) + 1, 10_001)])
        visit = Visit.open(copy, named, by="bench", clock=clock)
        late = median(lambda: visit.enter("note", "a remark"))
        yield "the same after 10 000 events / early", late / whole, 1.2
        visit.close()

    event = {"n": 1, "at": "2031-05-04T09:00:00Z", "by": "bench", "kind": "noted", "text": "a remark"}
    from asleft.journal import event_bytes

    mine = median(lambda: [event_bytes("0" * 64, event) for _ in range(100)])
    yield (
        "event to bytes / tomli_w.dumps",
        mine / median(lambda: [tomli_w.dumps(event) for _ in range(100)]),
        2.0,
    )

    yield from appending(session)
    yield from calculations()

    empty = median(program("-c", EMPTY_APP), 7)
    yield (
        "asleft next --json / an empty Textual app",
        median(program("-m", "asleft", "next", str(session), "--json"), 7) / empty,
        0.6,
    )
    python = median(program("-c", "pass"), 15)
    for name, words in (
        ("asleft work", ()),
        ("asleft work heater-current", ("heater-current", "power=9.6 kW", "voltage=240 V")),
    ):
        yield (
            f"{name} / an empty Python",
            median(program("-m", "asleft", "work", *words), 15) / python,
            float("nan"),
        )


def appending(session: Path) -> Iterator[tuple[str, float, float]]:
    """One entry on disk, its write and fsync left out, early in a session and after 10 000 events."""
    yardstick = each(lambda: tomli_w.dumps(_remark(1)), 200)
    early, late = _append_s(session, 0), _append_s(session, 10_000)
    yield "an entry appended, but for write and fsync / tomli_w.dumps", early / yardstick, 2.0
    yield "the same after 10 000 events / early", late / early, 1.2


def _remark(n: int) -> dict[str, object]:
    text = "a remark of some length, as people make them"
    return {"n": n, "at": "2031-05-04T09:00:00Z", "by": "bench", "kind": "noted", "text": text}


def _append_s(session: Path, events: int) -> float:
    """Seconds of an append to a session that has at least so many events, on a drive that takes no time."""
    from asleft.journal import Journal

    with (
        tempfile.TemporaryDirectory() as folder,
        Journal.open(Path(shutil.copy(session, folder))) as journal,
    ):
        journal.append([_remark(n) for n in range(len(journal.contents.events) + 1, events + 1)])
        next_n = itertools.count(len(journal.contents.events) + 1)
        there = journal.path.stat()
        size = there.st_size
        real = os.write, os.fsync, os.stat

        def write(_: int, data: bytes) -> int:
            nonlocal size
            size += len(data)
            return len(data)

        def look(*_: object, **__: object) -> object:
            return SimpleNamespace(st_dev=there.st_dev, st_ino=there.st_ino, st_size=size)

        os.write, os.fsync, os.stat = write, lambda _: None, look  # type: ignore[assignment]
        try:
            return each(lambda: journal.append([_remark(next(next_n))]), 200)
        finally:
            os.write, os.fsync, os.stat = real


def each(work: Callable[[], object], calls: int = 1000) -> float:
    """Median seconds of one call, many calls a run."""

    def many() -> None:
        for _ in range(calls):
            work()

    return median(many, 9) / calls


def calculations() -> Iterator[tuple[str, float, float]]:
    """The operating point against a library's root finder, and what checking inputs adds to a formula."""
    import numpy
    from scipy.optimize import brentq

    from asleft.calc import airflow_from_rise, delay_droop, heater_current, operating_point

    static = [float(10 * i) for i in range(1, 11)]
    flow = [0.70 - 0.02 * i for i in range(10)]

    def library(power: float) -> float:
        return float(
            brentq(
                lambda q: numpy.interp(80.0 * (q / 0.6) ** power, static, flow) - q,
                flow[-1],
                flow[0],
                xtol=1e-14,
                rtol=1e-14,
            )
        )

    def another_table() -> object:
        """Lists never met before: nothing that was prepared for them could be at hand."""
        return operating_point([*static], [*flow], 0.6, 80.0)

    for name, work, power in (
        ("operating point", lambda: operating_point(static, flow, 0.6, 80.0), 2.0),
        ("operating point, a new table every time", another_table, 2.0),
        ("operating point, exponent 1.8", lambda: operating_point(static, flow, 0.6, 80.0, 1.8), 1.8),
    ):
        apart = abs(work().airflow_m3s - library(power))  # type: ignore[attr-defined]
        if apart > 1e-9:
            raise SystemExit(f"{name}: {apart} m3/s from numpy.interp with brentq")
        yield f"{name} / numpy.interp with brentq", each(work) / each(lambda: library(power), 100), 0.1  # noqa: B023

    def bare_droop(deficit: float, loss: float, capacity: float, delay: float) -> float:
        return deficit / loss * -math.expm1(-delay / (capacity / loss))

    for name, ours, bare in (
        ("heater_current", lambda: heater_current(9600.0, 240.0), lambda p=9600.0, v=240.0: p / v),
        (
            "airflow_from_rise",
            lambda: airflow_from_rise(9600.0, 14.6, 400.0, 1500.0),
            lambda p=9600.0, k=14.6, b=400.0, z=1500.0: (
                (p + b) / (1207.19 * k * (1 - 2.25577e-5 * z) ** 5.2559)
            ),
        ),
        (
            "delay_droop",
            lambda: delay_droop(7000.0, 350.0, 8e6, 1440.0),
            lambda: bare_droop(7000.0, 350.0, 8e6, 1440.0),
        ),
    ):
        yield f"{name} / its bare formula", each(ours) / each(bare), float("nan")


def main() -> None:
    """Print the ratios."""
    for name, ratio, most in rows():
        limit = "" if most != most else f"  at most {most}"
        print(f"{ratio:8.3f}  {name}{limit}", flush=True)


if __name__ == "__main__":
    main()
