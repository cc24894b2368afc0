"""Sessions with stored values that no program would write, links and all, through every command that reads.

`PYTHONPATH=tests python -m faults.forged --count 20000` spoils so many and prints what came of them; 1 where
a command ended in something unforeseen, or another file of the same folder was not told.
"""

from __future__ import annotations

import argparse
import io
import json
import multiprocessing
import os
import sys
import tomllib
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import redirect_stderr, redirect_stdout
from functools import cache
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Any

from asleft.cli import main as asleft
from played import blocks, relinked
from review.sessions import SAMPLES, Event, session

ODD: tuple[Any, ...] = (
    *(
        "",
        " ",
        "x",
        "yes",
        "on",
        "off",
        "1,5",
        "[/red]",
        "\u202e",
        "no such thing",
        "EL-1 unit",
        "240 V",
        "6 AWG",
    ),
    *(0, 1, -1, 10**18, 2.5, -0.0, 1e300, -1e300, 1e-300, float("inf"), float("nan"), True, False),
    *([], ["x"], [1, 2], [True], {}, {"a": 1}, [[]]),
)
"""Values that stand where another should."""
KEPT, RARELY = ("n", "at", "by", "kind", "verdicts"), 0.05
READERS = ("check", "next", "plan", "replay", "report", "fields")
"""Commands that read one session."""


def spoiled(random: Random) -> tuple[bytes, str]:
    """A session of which one to three events were written anew, and what is odd there."""
    head, *parts = blocks(_sample(random.randrange(len(SAMPLES))))
    del parts[random.choice((20, 60, 110, len(parts))) :]
    told: list[str] = []
    for _ in range(random.randint(1, 3)):
        at = random.randrange(len(parts))
        event = _keys(parts[at])
        other = _keys(random.choice(parts))
        keys = [key for key in event if key not in KEPT or random.random() < RARELY]
        if not keys:
            continue
        key = random.choice(keys)
        values = (*ODD, other.get(key, "x"), *other.values())
        # Most of what stands in another kind of value's place, the format itself refuses.
        alike = [value for value in values if type(value) is type(event[key])]
        if random.random() < RARELY:
            parts[at] = _with(parts[at], key, None)
            told.append(f"event {at + 1} without {key}")
        else:
            value = random.choice(alike if alike and random.random() > RARELY else values)
            parts[at] = _with(parts[at], key, value)
            told.append(f"event {at + 1}: {key} = {value!r}")
    return relinked([head, *parts]), "; ".join(told)


@cache
def _sample(n: int) -> bytes:
    return session(sample=n, id=f"sample {n}")


def _keys(part: bytes) -> Event:
    """The keys of a block but its link; none of one that is no TOML any more."""
    try:
        (event,) = tomllib.loads(part.decode())["event"]
    except tomllib.TOMLDecodeError:
        return {}
    return {key: value for key, value in event.items() if key != "link"}


def _with(part: bytes, key: str, value: Any) -> bytes:
    """A block with another value of a key, or without it where that is None; its link is computed later."""
    lines = part.decode().split("\n")
    at = [line.partition(" = ")[0] for line in lines].index(key)
    lines[at : at + 1] = [] if value is None else [f"{key} = {_inline(value)}"]
    return "\n".join(lines).encode()


def _inline(value: Any) -> str:
    """A value in one line, as TOML has it."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {_inline(item)}" for key, item in value.items()) + "}"
    if isinstance(value, float):
        return repr(value)
    return json.dumps(value, ensure_ascii=False)


def ran(words: Sequence[str]) -> tuple[int, str, str]:
    """A command in this process: its code, what it said, what it complained of."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = asleft(words)
    return code, out.getvalue(), err.getvalue()


def tried(seed: int) -> list[str]:
    """One spoiled session through every command: what was wrong with any of them."""
    random = Random(f"forged {seed}")
    data, told = spoiled(random)
    wrong: list[str] = []
    with TemporaryDirectory() as folder:
        os.environ["ASLEFT_HOME"] = str(Path(folder) / "home")
        tree = Path(folder) / "tree"
        tree.mkdir()
        (tree / "spoiled.toml").write_bytes(data)
        (tree / "whole.toml").write_bytes(session(id="whole"))
        path = str(tree / "spoiled.toml")
        out = ["--out", str(Path(folder) / "page.html")]
        for command in READERS:
            code, _, err = ran([command, path, *(out if command == "report" else [])])
            if code not in (0, 1, 2) or "unforeseen" in err:
                wrong.append(f"{command}: {code} {err.strip()}")
        code, said, err = ran(["audit", str(tree), "--full", "--json"])
        rows = {Path(row["file"]).stem: row for row in json.loads(said)["sessions"]} if code in (0, 1) else {}
        if rows.get("whole", {}).get("outcome") != "commissioned":
            wrong.append(f"audit: the other file is not told: {code} {err.strip()}")
        if "spoiled" not in rows:
            wrong.append(f"audit: the file itself is not told: {code} {err.strip()}")
    return [f"{seed}: {told}: {text}" for text in wrong]


def main(arguments: Sequence[str], tell: Callable[[str], None] = print) -> int:
    """Try so many, and print what was wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--processes", type=int, default=2)
    chosen = parser.parse_args(arguments)
    kinds: Counter[str] = Counter()
    with multiprocessing.Pool(chosen.processes) as pool:
        seeds = range(chosen.first, chosen.first + chosen.count)
        for wrong in pool.imap(tried, seeds, chunksize=8):
            for text in wrong:
                kinds[text.partition(": ")[2].partition(": ")[2]] += 1
                if kinds.total() <= 40:
                    tell(text)
    tell(f"{chosen.count} spoiled sessions, {kinds.total()} times something unforeseen")
    return 1 if kinds else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
