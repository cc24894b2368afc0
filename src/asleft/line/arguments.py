"""The command line as it is read, and refused."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from itertools import takewhile
from typing import NoReturn

from asleft.line.commands import Commands, classroom, equipment, looked_up, reviewed, steps, visits

_EPILOG = """\
Start here:
  asleft demo                               the wizard on an invented site, nothing else needed
  asleft new --equipment tarnfield-lowmoor-36
  asleft help technician                    a short guide; also for trainer and supervisor
  asleft COMMAND --help                     what a command takes, with an example

Exit codes: 0 fine, 1 something found wrong, 2 wrong usage or refused input, 3 could not (disk, lock, rig).
"""

GROUPS = (visits, classroom, reviewed, steps, equipment, looked_up)


def read(arguments: Sequence[str] | None = None) -> argparse.Namespace:
    """The arguments read. Exits with 2 and a short message where they are wrong, with 0 after help."""
    top = parser()
    words = sys.argv[1:] if arguments is None else list(arguments)
    # argparse would read -heater=1 as -h with something behind it.
    joined = [
        word for word in takewhile(lambda word: word != "--", words) if word[:2] == "-h" and word != "-h"
    ]
    if joined:
        top.error("unknown arguments: " + " ".join(ascii(word)[1:-1] for word in joined))
    options, more = top.parse_known_args(words)
    listed = getattr(options, "acts", getattr(options, "words", None))
    unknown = more if listed is None else [word for word in more if word.startswith("-")]
    if unknown:
        top.error("unknown arguments: " + " ".join(ascii(word)[1:-1] for word in unknown))
    if listed is not None:
        listed.extend(more)
    return options


class _OneLine(argparse.ArgumentParser):
    """A parser that refuses in one short line."""

    def error(self, message: str) -> NoReturn:
        """Say what was wrong and where help is, and exit with 2."""
        from asleft.line.text import complain, shortened

        complain(f"{shortened(message)}; see {self.prog} --help")
        self.exit(2)


def parser() -> argparse.ArgumentParser:
    """All commands and what they take."""
    from asleft import __version__

    top = _OneLine(
        prog="asleft",
        description="From as found to as left at an air handler with electric auxiliary heat. "
        "Bare `asleft` opens the home screen.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    top.add_argument("--version", action="version", version=f"asleft {__version__}")
    top.set_defaults(command="home", json=False, tell=None)
    command = Commands(top)
    for group in GROUPS:
        group(command)
    return top
