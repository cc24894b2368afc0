"""Killed at any file operation, or in the middle of a write, a session opens again with all it had said."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from asleft.journal import Chain, Journal, JournalError, read

# Forks a child for every operation; the child kills itself there. What it was told is on disk goes up a pipe.
DRIVER = """
import json, os, signal, sys
from pathlib import Path
from asleft.journal import Journal, header_bytes

HEADER = header_bytes(
    id="s", mode="job", app="a", rules="1", opened_by="Ana", follows=None, equipment_text="x = 1"
)
REAL = {name: getattr(os, name) for name in ("open", "write", "fsync", "ftruncate", "close")}


def event(n):
    return {"n": n, "at": "2031-05-04T10:00:00Z", "by": "Ana \\U0001f525", "kind": "powered", "state": "off"}


def visit(at, part, folder, report):
    done = 0

    def wrapped(name):
        def call(*args):
            nonlocal done
            done += 1
            if done == at:
                if part and name == "write":
                    REAL["write"](args[0], bytes(args[1])[: int(len(args[1]) * part)])
                os.kill(os.getpid(), signal.SIGKILL)
            return REAL[name](*args)

        return call

    for name in REAL:
        setattr(os, name, wrapped(name))
    journal = Journal.create(folder, "visit", HEADER)
    REAL["write"](report, b"0")
    journal.append([event(1)])
    REAL["write"](report, b"1")
    journal.append([event(2), event(3)])
    REAL["write"](report, b"3")
    journal.close()
    with journal.path.open("ab") as torn:
        torn.write(b"\\n[[event]]\\nn = 4\\nat")
    journal = Journal.open(journal.path)
    journal.append([event(4)])
    REAL["write"](report, b"4")
    journal.close()


said, at, killed = {}, 0, True
while killed:
    at += 1
    for part in (0, 0.3, 0.999):
        folder = Path(sys.argv[1]) / f"{at}-{part}"
        folder.mkdir()
        up, down = os.pipe()
        child = os.fork()
        if not child:
            visit(at, part, folder, down)
            os._exit(0)
        os.close(down)
        status = os.waitpid(child, 0)[1]
        killed = os.WIFSIGNALED(status)
        if not killed and status:
            sys.exit("the visit failed of itself")
        told = os.read(up, 100).decode()
        os.close(up)
        said[folder.name] = int(told[-1]) if told else None
print(json.dumps(said))
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="the system cannot fork")
def test_a_killed_session_has_every_event_it_called_saved_and_goes_on(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", DRIVER, tmp_path], capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 0, done.stderr
    said: dict[str, int | None] = json.loads(done.stdout)
    assert {0, 1, 3, 4, None} == set(said.values())
    assert len(said) > 40
    torn = 0
    for name, saved in said.items():
        path = tmp_path / name / "visit.toml"
        if saved is None:
            _never_begun(path)
            continue
        contents = read(path, wait=lambda _: None)
        assert contents.chain is not Chain.BROKEN, (name, contents.trouble)
        assert len(contents.events) >= saved, name
        with Journal.open(path) as journal:
            torn += journal.torn_kept is not None
            n = len(journal.contents.events) + 1
            journal.append(
                [{"n": n, "at": "2031-05-04T11:00:00Z", "by": "Bo", "kind": "powered", "state": "on"}]
            )
        contents = read(path)
        assert (contents.chain, len(contents.events)) == (Chain.WHOLE, n), name
    assert torn


def _never_begun(path: Path) -> None:
    """Killed before the session was said to exist: nothing, a header, or the beginning of one."""
    if not path.exists():
        return
    contents = read(path, wait=lambda _: None)
    assert contents.chain is not Chain.BROKEN
    assert contents.events == ()
    if contents.chain is Chain.TORN:
        data = path.read_bytes()
        with pytest.raises(JournalError, match="nothing is recorded"):
            Journal.open(path)
        assert path.read_bytes() == data
