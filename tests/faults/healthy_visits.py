"""Visits to healthy units: nothing may be found wrong with what is right.

`PYTHONPATH=tests python -m faults.healthy_visits --count 1000` works so many visits by `next` alone, spread
over the units and their seeds, and prints how they ended and every finding that failed when they had.

A finding that rests on papers and settings alone holds no error of a reading: it is true of the installation
(a design airflow that is far from the tons of the heat pump, say). Where it rests on readings it may not be.
"""

from __future__ import annotations

import argparse
import multiprocessing
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from asleft.checks.finding import Finding
from asleft.equipment.library import units
from asleft.session.payloads import Entered
from faults.walks import base


@dataclass(frozen=True)
class Came:
    """What came of one visit. `failed` are findings as `severity key: text`, `by_reading` those of them
    that rest on a reading."""

    unit: str
    seed: int
    outcome: str
    failed: tuple[str, ...]
    by_reading: tuple[str, ...]


def visit(of: tuple[str, int]) -> Came:
    """One visit to a healthy unit, worked to its end."""
    unit, seed = of
    played = base(unit, seed)
    view = played.visit(played.events).view
    outcome = view.state.signature.outcome if view.state.signature else f"not signed: {view.next.text}"
    readings = {e.n for e in view.state.history if isinstance(e.what, Entered) and e.what.instrument}
    failed = [f for f in view.findings if f.failed]
    by_reading = [f for f in failed if readings & set(f.rests_on)]
    return Came(unit, seed, outcome, *(tuple(map(_told, some)) for some in (failed, by_reading)))


def _told(finding: Finding) -> str:
    return f"{finding.severity} {finding.key}: {finding.text}"


def main(arguments: Sequence[str]) -> int:
    """Work the visits; 1 where one was not commissioned, or more than one in a hundred fail by a reading."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--first", type=int, default=1, help="the first seed")
    chosen = parser.parse_args(arguments)
    known = sorted(known.id for known in units())
    jobs = [(known[n % len(known)], chosen.first + n // len(known)) for n in range(chosen.count)]
    came: list[Came] = []
    with multiprocessing.Pool(chosen.processes) as pool:
        for one in pool.imap_unordered(visit, jobs):
            came.append(one)
            print(f"{len(came)} of {len(jobs)}", end="\r", file=sys.stderr)
    ends = Counter(one.outcome for one in came)
    spoilt = [one for one in came if one.failed]
    print(f"{len(came)} visits: {dict(ends)}")
    doubted = sum(bool(one.by_reading) for one in came)
    print(f"with a finding that failed: {len(spoilt)} ({len(spoilt) / len(came):.1%})")
    print(f"of these with one that rests on a reading: {doubted} ({doubted / len(came):.1%})")
    checks = Counter(check for one in spoilt for check in {" ".join(f.split()[:2]) for f in one.failed})
    for check, visits in sorted(checks.items()):
        print(f"  {check}: {visits}")
    for one in spoilt:
        print(f"  {one.unit} seed {one.seed}: {'; '.join(one.failed)}")
    return int(set(ends) != {"commissioned"} or doubted > len(came) / 100)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
