"""From `asleft` to home answering its first key, over an empty Textual app: `python tests/bench/start.py`.

Both run on a terminal of their own. The key is sent once the screen is drawn, and the clock stops when the
program has answered it by ending. Run by run in turn, so that a busy machine slows both.
"""

from __future__ import annotations

import os
import pty
import select
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
MOST = 1.25
RUNS = 25
SESSIONS = 30
F10 = b"\x1b[21~"
EMPTY = """
from textual.app import App
class Empty(App):
    BINDINGS = [("f10", "quit", "leave")]
    def compose(self):
        from textual.widgets import Static
        yield Static("Leave")
Empty().run()
"""
HOME = "import sys; from asleft.cli import main; sys.exit(main([]))"


def seconds(code: str, home: Path) -> tuple[float, float]:
    """Wall clock and processor seconds from start to the end that the key brings."""
    master, slave = pty.openpty()
    before = os.times()
    start = time.perf_counter()
    program = subprocess.Popen(
        [sys.executable, "-c", code],
        stdin=slave,
        stdout=slave,
        stderr=slave,
        env={**os.environ, "ASLEFT_HOME": str(home), "TERM": "xterm-256color"},
        start_new_session=True,
    )
    os.close(slave)
    seen, sent = b"", False
    while program.poll() is None:
        if select.select([master], [], [], 0.02)[0]:
            try:
                seen += os.read(master, 65536)
            except OSError:
                break
        if not sent and b"Leave" in seen:
            os.write(master, F10)
            sent = True
    program.wait()
    took = time.perf_counter() - start
    after = os.times()
    os.close(master)
    if not sent:
        raise SystemExit(f"the screen was never drawn:\n{seen.decode(errors='replace')}")
    used = after.children_user + after.children_system - before.children_user - before.children_system
    return took, used


def main() -> None:
    """Print the ratios."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        (home / "sessions").mkdir()
        samples = sorted((ROOT / "sessions").glob("*.toml"))
        for n in range(SESSIONS):
            shutil.copy(
                samples[n % len(samples)], home / "sessions" / f"{n}-{samples[n % len(samples)].name}"
            )
        (home / "settings.toml").write_text('technician = "Ada Cole"\nunits = "si"\ncode = "NEC 2023"\n')
        pairs = [(seconds(EMPTY, home), seconds(HOME, home)) for _ in range(RUNS)]
    for at, name in enumerate(("wall clock", "processor")):
        empty, ours = (statistics.median(pair[which][at] for pair in pairs) for which in (0, 1))
        print(f"{ours / empty:8.3f}  home to its first key / an empty app, {name}  at most {MOST}")
        least = min(p[1][at] for p in pairs) / min(p[0][at] for p in pairs)
        print(f"{least:8.3f}  the same, fastest of each ({ours:.3f} s and {empty:.3f} s in the middle)")


if __name__ == "__main__":
    main()
