"""Ctrl+C in an audit of many files: it ends at once, and says nothing of its own works."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from asleft.review.audit import FEW
from played import session_bytes

WAIT_S = 60.0
HEARD = """
import os, signal, sys
from pathlib import Path

signal.signal(signal.SIGINT, signal.default_int_handler)
os.cpu_count = lambda: 2

from asleft.cli import main
from asleft.review import audit


class Pool(audit.ProcessPoolExecutor):
    def map(self, *given, **named):
        rows = super().map(*given, **named)
        Path(sys.argv[1]).touch()
        return rows


audit.ProcessPoolExecutor = Pool
if __name__ == "__main__":
    sys.exit(main(sys.argv[2:]))
"""
"""The program as a terminal starts it, which says when other processes judge files for it.

What a shell runs in the background is deaf to interrupts; on many cores the files were judged too soon.
"""
FILES = 40 * FEW
"""No two alike, so that none is known from another: they take seconds, and the interrupt comes among them."""


@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="Windows has no mask of signals")
def test_an_interrupt_from_the_terminal_ends_every_process_without_a_word(tmp_path: Path) -> None:
    """The terminal sends it to all of them; only the first one hears it."""
    data = session_bytes()[1]
    for n in range(FILES):
        (tmp_path / f"{n}.toml").write_bytes(data + b"# %d\n" % n)
    begun = tmp_path / "begun"
    audit = subprocess.Popen(
        [sys.executable, "-c", HEARD, str(begun), "audit", "--full", str(tmp_path)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )
    until = time.monotonic() + WAIT_S
    while not begun.exists():
        assert audit.poll() is None, "it ended without them"
        assert time.monotonic() < until, "it starts no process"
        time.sleep(0.01)
    os.killpg(audit.pid, signal.SIGINT)
    out, err = audit.communicate(timeout=WAIT_S)
    assert (audit.returncode, out, err) == (130, b"", b"")
