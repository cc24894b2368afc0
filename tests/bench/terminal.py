"""What the wizard sends over a line: bytes a key, an Enter and idle, through a terminal of its own.

`PYTHONPATH=tests python tests/bench/terminal.py [IDLE_SECONDS]`. Never part of the suite.
"""

from __future__ import annotations

import fcntl
import os
import select
import statistics
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

SIZES = ((80, 24), (120, 40))
KEY_BUDGET, IDLE_BUDGET = 1000, 0
START_S = 60.0
QUIET_S = 0.4
"""How long nothing comes once all is drawn."""
LOGIN = (
    "import fcntl, sys, termios\n"
    "fcntl.ioctl(0, termios.TIOCSCTTY, 0)\n"
    "from asleft.cli import main\n"
    "sys.exit(main(sys.argv[1:]))\n"
)


class Line:
    """A program on a terminal of its own, and every byte that it sends."""

    def __init__(self, size: tuple[int, int], state: Path, *words: str, code: str = LOGIN) -> None:
        self.began = time.perf_counter()
        self._master, slave = os.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        self.program = subprocess.Popen(
            [sys.executable, "-c", code, *words],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            start_new_session=True,
            env={**os.environ, "TERM": "xterm-256color", "ASLEFT_HOME": str(state), "HOME": str(state)},
        )
        os.close(slave)

    def read(self, seconds: float) -> bytes:
        """What comes next, waited for so long."""
        if not select.select([self._master], [], [], seconds)[0]:
            return b""
        return os.read(self._master, 65536)

    def read_all(self, seconds: float) -> bytes:
        """All that comes within a time."""
        data, until = b"", time.perf_counter() + seconds
        while (left := until - time.perf_counter()) > 0:
            data += self.read(left)
        return data

    def until_quiet(self) -> bytes:
        """All that comes until nothing does."""
        data = b""
        while more := self.read(QUIET_S):
            data += more
        return data

    def until(self, words: bytes) -> float:
        """Seconds since the start until these bytes have come."""
        data = b""
        while words not in data:
            if time.perf_counter() - self.began > START_S or self.program.poll() is not None:
                raise SystemExit(f"{words!r} never came: {data[-2000:]!r}")
            data = data[-len(words) :] + self.read(0.02)
        return time.perf_counter() - self.began

    def send(self, keys: bytes) -> bytes:
        """Keys, and all that they draw."""
        os.write(self._master, keys)
        return self.until_quiet()

    def press(self, keys: bytes) -> None:
        """Keys, without looking at what they draw."""
        os.write(self._master, keys)

    def close(self) -> None:
        """End the program."""
        self.program.kill()
        self.program.wait()
        os.close(self._master)


def started(line: Line) -> None:
    """Wait until the wizard stands there with nothing more to draw."""
    line.until(b"next F2: ")
    line.until_quiet()


def measured(size: tuple[int, int], idle_s: float) -> Iterator[tuple[str, list[int], float]]:
    """What was done, the bytes that each of it took, and the most that it may take."""
    with TemporaryDirectory() as folder:
        state = Path(folder)
        line = Line(size, state, "demo", "--seed", "4", "--out", str(state / "visits"))
        try:
            started(line)
            names, enters = [], []
            for text in (b"Ada Cole", b"Mill Lane 3", b"Lowmoor LM36E"):
                names += [len(line.send(bytes([byte]))) for byte in text]
                enters.append(len(line.send(b"\r")))
            yield "a key of a word", names, KEY_BUDGET
            for _ in range(60):
                if b"Altitude of the site [ft] > " in line.send(b"\x1b[B"):
                    break
            figures = [len(line.send(bytes([byte]))) for byte in b"412.5"]
            yield "a key of a figure, told what it means", figures, KEY_BUDGET
            yield "Backspace", [len(line.send(b"\x7f")) for _ in range(3)], KEY_BUDGET
            enters.append(len(line.send(b"\r")))
            yield "Enter, saved and next", enters, float("nan")
            yield "an arrow to another row", [len(line.send(b"\x1b[B")) for _ in range(12)], float("nan")
            yield "Tab to another pane", [len(line.send(b"\t")) for _ in range(7)], float("nan")
            yield f"idle, a second of {idle_s:g}", [round(len(line.read_all(idle_s)) / idle_s)], IDLE_BUDGET
        finally:
            line.close()


def main() -> int:
    """Print the bytes; 1 where a budget is passed."""
    idle_s = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    over = False
    for size in SIZES:
        for name, counts, most in measured(size, idle_s):
            worst = max(counts)
            over = over or worst > most
            limit = "" if most != most else f"  at most {most:g}"
            print(
                f"{size[0]:3d}x{size[1]:<3d} {statistics.median(counts):7.0f} B median {worst:7.0f} B most"
                f"  {name}{limit}",
                flush=True,
            )
    return over


if __name__ == "__main__":
    sys.exit(main())
