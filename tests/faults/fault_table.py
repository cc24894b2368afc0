"""Every fault at every unit, mild and full: what a visit finds that its healthy twin does not.

`PYTHONPATH=tests python -m faults.fault_table` plays each on a virtual unit and prints a table; 1 where a
visit does not come to an end. The suite takes a sample of the same.

Each is played twice: with the control as somebody left it, and with it as a visit to the healthy twin leaves
it, so that a setting found wrong and one that would not be stored are both met. Where neither visit finds
anything, the true values that differ are printed.
"""

from __future__ import annotations

import argparse
import multiprocessing
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

from asleft.drill.rig import BuiltIn
from asleft.drill.site import Site
from asleft.drill.virtual import VirtualUnit
from asleft.equipment.library import find, units
from asleft.installation.behave import Truth, behave
from asleft.installation.faults import FAULTS, Fault, with_faults
from asleft.quantity import show
from asleft.session.fields import applicable
from faults.walks import Base, Walked, follow
from played import found_once
from shared import kept_once

SEED = 1
SUMS = ("SO-2 unit", "SO-3 unit")
"""Findings that only sum up others."""
NOTICEABLE = 0.01
"""A true value that differs by less, as a part of it, is not printed."""


@dataclass(frozen=True)
class Visited:
    """What a visit came to: what failed at any time, was written, is stored and stands open at the end."""

    end: str
    failed: frozenset[str]
    unanswered: frozenset[str]
    wrote: frozenset[str]
    settings: dict[tuple[str, str], str]
    trouble: tuple[str, ...]


@dataclass(frozen=True)
class Met:
    """A unit with one fault, beside its healthy twins: how visits ended, and what only they met.

    `findings` failed, or kept the visit from being commissioned although nothing failed. `set_right` are
    settings that only they wrote; `values` true values that differ where nothing was met.
    """

    unit: str
    kind: str
    where: str
    size: float
    end: str
    findings: tuple[str, ...]
    set_right: tuple[str, ...]
    values: tuple[str, ...]
    trouble: tuple[str, ...]


def visited(unit: str, place: Site) -> Visited:
    """A visit worked as far as `next` leads."""
    equipment = find(unit)
    virtual, walked = VirtualUnit(equipment.equipment, place, SEED), Walked()
    visit = Base(equipment, place, SEED, ()).visit(())
    follow(visit, BuiltIn(virtual), walked)
    wrote = frozenset(f"{a.setting}@{a.address}" for a in visit.view.state.acts if a.kind == "wrote")
    failed = frozenset(walked.failed) - set(SUMS)
    open_ = (f for f in visit.view.findings if f.open and not f.failed and f.key not in SUMS)
    unanswered = frozenset(f"{f.key} left open" for f in open_)
    end = next(iter(walked.ends))
    return Visited(end, failed, unanswered, wrote, dict(virtual.settings), tuple(walked.troubles))


@cache
def twins(unit: str) -> tuple[tuple[Site, Visited], ...]:
    """The healthy site, and the same with its control found as a visit leaves it; each with its visit."""
    return kept_once(f"healthy twins {unit} {SEED}", lambda: _twins(unit))


def _twins(unit: str) -> tuple[tuple[Site, Visited], ...]:
    place = found_once(SEED, find(unit).equipment)
    first = visited(unit, place)
    right = replace(place, settings=first.settings)
    return (place, first), (right, visited(unit, right))


def can_be(unit: str) -> tuple[str, ...]:
    """The kinds of fault that a unit can have."""
    equipment = find(unit).equipment
    truth = found_once(SEED, equipment).installation
    return tuple(kind for kind, known in FAULTS.items() if not known.can_be(truth, equipment))


def met(unit: str, kind: str, size: float) -> Met:
    """One fault at the likeliest of its places; visited once a run."""
    return kept_once(f"met {unit} {kind} {size}", lambda: _beside_twins(unit, kind, size))


def _beside_twins(unit: str, kind: str, size: float) -> Met:
    equipment, ((place, _), _) = find(unit).equipment, twins(unit)
    where = FAULTS[kind].places(place.installation, equipment)[0]
    truth = with_faults(place.installation, equipment, (Fault(kind, size, where),))
    both = [(visited(unit, replace(twin, installation=truth)), healthy) for twin, healthy in twins(unit)]
    own = sorted({key for faulty, healthy in both for key in faulty.failed - healthy.failed})
    own = own or sorted({key for faulty, healthy in both for key in faulty.unanswered - healthy.unanswered})
    wrote = sorted({place for faulty, healthy in both for place in faulty.wrote - healthy.wrote})
    differ = () if own or wrote else tuple(_differing(unit, replace(place, installation=truth), both[0]))
    trouble = tuple(text for faulty, _ in both for text in faulty.trouble)
    return Met(unit, kind, where, size, both[0][0].end, tuple(own), tuple(wrote), differ, trouble)


def _differing(unit: str, place: Site, left: tuple[Visited, Visited]) -> Iterator[str]:
    """The true values as left that are not those of the healthy twin."""
    equipment, healthy = find(unit).equipment, twins(unit)[0][0]
    fields = applicable(equipment, place.situation)
    for state in dict.fromkeys(field.state for field in fields.values() if field.state):
        now = behave(place.installation, equipment, left[0].settings, state)
        then = behave(healthy.installation, equipment, left[1].settings, state)
        for id in (id for id in now if id in fields and _differs(now[id], then.get(id))):
            yield f"{id} {_shown(now[id], fields[id].kind)} ({_shown(then.get(id), fields[id].kind)})"


def _differs(one: Truth, other: Truth | None) -> bool:
    if isinstance(one, str | bool) or isinstance(other, str | bool) or other is None:
        return one != other
    return abs(one - other) > NOTICEABLE * max(abs(one), abs(other))


def _shown(value: Truth | None, kind: str) -> str:
    return str(value) if isinstance(value, str | bool) or value is None else show(value, kind)


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
    unmet, troubled = 0, 0
    with multiprocessing.Pool(chosen.processes) as pool:
        for found in pool.imap(_met, todo):
            unmet += found.size == 1.0 and not found.findings and not found.set_right
            troubled += bool(found.trouble)
            where = f" {found.where}" if found.where else ""
            said = ", ".join(found.findings) or "-"
            if found.set_right:
                said += "; set right: " + ", ".join(found.set_right)
            name = f"{found.unit:22} {found.kind + where:52} {found.size:4.2f}"
            print(f"{name}  {found.end:16} {said}", flush=True)
            for line in (*found.values, *found.trouble):
                print("    " + line)
    print(f"{len(todo)} faults, two visits each; {troubled} with trouble; {unmet} full ones met nowhere")
    return bool(troubled)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
