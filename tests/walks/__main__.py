"""Hostile walks judged by an oracle of their own.

`PYTHONPATH=tests python -m walks --count 10000 --seed 0 --processes 2 --table` makes them, and tells how far
they came and every rule that was broken, by class, the shortest first.
"""

from __future__ import annotations

import argparse
import multiprocessing
import sys
import time
from collections.abc import Sequence
from functools import partial

from walks.away import AWAY, missed_after
from walks.oracle import EVERY
from walks.walk import WALKS_A_VISIT, Told, batch


def main(arguments: Sequence[str]) -> int:
    """Walk, and print what came of it; 1 where a rule was broken or the program crashed."""
    parser = argparse.ArgumentParser(prog="walks", description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=0, help="number of the first visit begun in")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--table", action="store_true", help="print how often everything was reached")
    parser.add_argument(
        "--without", action="append", default=[], choices=sorted(EVERY), help="a rule not asked"
    )
    parser.add_argument("--examples", type=int, default=2, help="walks told for each class of breach")
    parser.add_argument("--away", action="store_true", help="take each guard away, and look for it")
    parser.add_argument("--only", default="", help="with --away: guards whose names hold this")
    chosen = parser.parse_args(arguments)
    if chosen.away:
        return away(chosen.only, chosen.count, chosen.processes, EVERY - set(chosen.without))
    batches = range(chosen.seed, chosen.seed + -(-chosen.count // WALKS_A_VISIT))
    made = partial(batch, rules=EVERY - set(chosen.without))
    total, began = Told(), time.monotonic()
    with multiprocessing.Pool(chosen.processes) as pool:
        for at, part in enumerate(pool.imap_unordered(made, batches), 1):
            total.add(part)
            print(f"{at} of {len(batches)} visits", file=sys.stderr)
    taken = time.monotonic() - began
    acts = sum(total.reached.get("acts taken", {}).values())
    refused = sum(total.reached.get("acts refused", {}).values())
    print(f"{total.walks} walks, {acts} acts taken, {refused} refused, {taken:.0f} s, ", end="")
    print(f"{1e3 * taken * chosen.processes / total.walks:.0f} ms a walk and process")
    if chosen.table:
        table(total)
    told(total, chosen.examples)
    return bool(total.breaches or total.crashes)


def away(only: str, within: int, processes: int, rules: frozenset[str]) -> int:
    """Take each guard away and print after how many walks it was missed; 1 where one never was."""
    names = [name for name in AWAY if only in name]
    missed = partial(missed_after, within=within, rules=rules)
    found = []
    with multiprocessing.Pool(processes, maxtasksperchild=1) as pool:
        for name, after in pool.imap_unordered(missed, names, 1):
            found.append(after)
            print(
                f"  {f'missed within {after}' if after else f'NOT missed in {within}':22} {name}", flush=True
            )
    print(f"{len(found)} guards taken away, {sum(map(bool, found))} missed")
    return not all(found)


def table(total: Told) -> None:
    """How often everything was reached."""
    for name, rows in sorted(total.reached.items()):
        print(f"{name}:")
        for row, count in sorted(rows.items(), key=lambda item: (-item[1], item[0])):
            print(f"  {count:7} {row}")


def told(total: Told, examples: int) -> None:
    """Every class of breach, with its shortest walks."""
    classes: dict[tuple[str, str], list[str]] = {}
    for breach, where in total.breaches:
        classes.setdefault((breach.rule, breach.act), []).append(f"{breach.how} [{where}]")
    print(f"rules broken: {len(total.breaches)} times, {len(classes)} classes; crashes: {len(total.crashes)}")
    for (rule, act), walks in sorted(classes.items(), key=lambda item: -len(item[1])):
        print(f"  {len(walks):6} {rule} past {act}")
        for where in sorted(walks, key=len)[:examples]:
            print(f"           {where}")
    for crash in total.crashes[:20]:
        print(f"  crashed: {crash}")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
