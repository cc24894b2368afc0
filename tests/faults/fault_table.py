"""Every fault at every unit, mild and full: what a visit finds that its healthy twin does not.

`PYTHONPATH=tests python -m faults.fault_table` plays each on a virtual unit and prints a table; 1 where a
fault of full size meets no finding of its own. The suite takes a sample of the same.
"""

from __future__ import annotations

import argparse
import multiprocessing
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

from asleft.drill.rig import BuiltIn
from asleft.drill.site import site
from asleft.drill.virtual import VirtualUnit
from asleft.equipment.library import find, units
from asleft.installation.faults import FAULTS, Fault, with_faults
from faults.walks import Base, Walked, follow

SEED = 1


@dataclass(frozen=True)
class Met:
    """How a visit to a unit with one fault ended, and what failed in it that its healthy twin lacks."""

    unit: str
    kind: str
    where: str
    size: float
    end: str
    findings: tuple[str, ...]
    trouble: tuple[str, ...]


def played(unit: str, faults: Sequence[Fault]) -> Walked:
    """A visit to a unit with these faults, worked as far as `next` leads."""
    equipment = find(unit)
    healthy = site(SEED, equipment.equipment)
    truth = with_faults(healthy.installation, equipment.equipment, faults)
    place = replace(healthy, installation=truth)
    begun = Base(equipment, place, SEED, ())
    visit, walked = begun.visit(()), Walked()
    follow(visit, BuiltIn(VirtualUnit(equipment.equipment, place, SEED)), walked)
    return walked


SUMS = ("SO-2 unit", "SO-3 unit")
"""Findings that only sum up others."""


@cache
def healthy_findings(unit: str) -> frozenset[str]:
    """What fails at any time in the visit to the healthy twin, as found or as left."""
    return frozenset(played(unit, ()).failed)


def can_be(unit: str) -> tuple[str, ...]:
    """The kinds of fault that a unit can have."""
    equipment = find(unit).equipment
    truth = site(SEED, equipment).installation
    return tuple(kind for kind, known in FAULTS.items() if not known.can_be(truth, equipment))


def met(unit: str, kind: str, size: float) -> Met:
    """One fault at the likeliest of its places."""
    equipment = find(unit).equipment
    where = FAULTS[kind].places(site(SEED, equipment).installation, equipment)[0]
    walked = played(unit, (Fault(kind, size, where),))
    own = tuple(sorted(walked.failed - healthy_findings(unit) - set(SUMS)))
    return Met(unit, kind, where, size, next(iter(walked.ends)), own, tuple(walked.troubles))


def rows(of: Sequence[str]) -> list[tuple[str, str, float]]:
    """Unit, kind and size of everything that is played."""
    return [(u, k, size) for u in of for k in can_be(u) for size in dict.fromkeys((FAULTS[k].mild, 1.0))]


def _met(row: tuple[str, str, float]) -> Met:
    return met(*row)


def main(arguments: Sequence[str]) -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--unit", action="append", help="only this unit")
    chosen = parser.parse_args(arguments)
    todo = rows(chosen.unit or sorted(known.id for known in units()))
    unseen = 0
    with multiprocessing.Pool(chosen.processes) as pool:
        for found in pool.imap(_met, todo):
            unseen += found.size == 1.0 and not found.findings
            where = f" {found.where}" if found.where else ""
            said = ", ".join(found.findings) or "-"
            print(
                f"{found.unit:22} {found.kind + where:52} {found.size:4.2f}  {found.end:16} {said}",
                flush=True,
            )
            for trouble in found.trouble:
                print("    " + trouble)
    print(f"{len(todo)} visits; full faults without a finding of their own: {unseen}")
    return bool(unseen)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
