"""Arguments that several commands take alike."""

from __future__ import annotations

import argparse
from pathlib import Path


def file(to: argparse.ArgumentParser) -> None:
    """The session it is about."""
    to.add_argument("file", metavar="FILE", type=Path, help="a session file")


def equipment(to: argparse._ActionsContainer) -> None:
    """The unit it is about."""
    to.add_argument("--equipment", metavar="ID|FILE", help="a known unit, or the path of an equipment file")


def signers(to: argparse.ArgumentParser) -> None:
    """Whose keys seals are made with."""
    to.add_argument(
        "--signers", metavar="FILE", type=Path, help="whose key each seal is, by a file of allowed signers"
    )


def level(to: argparse.ArgumentParser) -> None:
    """How hard a drill is."""
    to.add_argument(
        "--level", metavar="L", type=int, choices=(1, 2, 3), help="so many independent faults, 1 to 3 (1)"
    )


def rig(to: argparse.ArgumentParser) -> None:
    """What stands in for the unit and its instruments."""
    to.add_argument("--rig", metavar="COMMAND", help="a program that answers in JSON, a line each")


def text(to: argparse.ArgumentParser) -> None:
    """Lines in place of the screen, and their units."""
    to.add_argument("--text", action="store_true", help="questions and answers in plain lines, no screen")
    to.add_argument(
        "--units", choices=["ip", "si"], help="units of bare numbers and output (as your settings say)"
    )


def by(to: argparse.ArgumentParser) -> None:
    """Who does it."""
    to.add_argument("--by", metavar="NAME", help="the person who does it")


def units(to: argparse.ArgumentParser) -> None:
    """Units of bare numbers and of what is printed."""
    to.add_argument(
        "--units", choices=["ip", "si"], default="ip", help="units of bare numbers and output (ip)"
    )


def seed(text: str) -> int:
    """A seed as typed. Raises ArgumentTypeError where it is none."""
    if not (text.isascii() and text.isdigit() and len(text) <= 12):
        raise argparse.ArgumentTypeError(f"{text!r} is no seed: a whole number, 0 or more")
    return int(text)


def count(text: str) -> int:
    """How many, as typed. Raises ArgumentTypeError where it is no such count."""
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:6]) <= 10_000):
        raise argparse.ArgumentTypeError(f"{text!r} is no count: a whole number from 1 to 10000")
    return int(text)
