"""What the commands take: their names, arguments and help."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from itertools import takewhile
from pathlib import Path
from typing import NoReturn

_EPILOG = """\
Start here:
  asleft demo                               the wizard on an invented site, nothing else needed
  asleft new --equipment tarnfield-lowmoor-36
  asleft help technician                    a short guide; also for trainer and supervisor
  asleft COMMAND --help                     what a command takes, with an example

Exit codes: 0 fine, 1 something found wrong, 2 wrong usage or refused input, 3 could not (disk, lock, rig).
"""


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
    commands = top.add_subparsers(title="commands", metavar="COMMAND", dest="command")

    def command(name: str, help: str, example: str, *, json: bool = True) -> argparse.ArgumentParser:
        added = commands.add_parser(
            name,
            help=help,
            description=help[:1].upper() + help[1:] + ".",
            epilog="Example:\n" + "\n".join(f"  {line}" for line in example.splitlines()),
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )
        if json:
            added.add_argument("--json", action="store_true", help="print JSON")
        return added

    new = command("new", "begin a visit to a unit", "asleft new --equipment my-unit.toml --site Mill-Lane")
    _equipment(new)
    new.add_argument("--site", metavar="NAME", help="the place, as the office knows it")
    _by(new)
    new.add_argument("--out", metavar="DIR", type=Path, help="folder for the session file")
    _rig(new)
    _text(new)

    opened = command(
        "open",
        "go on with a visit",
        "asleft open visit.toml\n"
        "asleft open visit.toml --text                questions and answers, a line each\n"
        "asleft open visit.toml --text < answers.txt",
        json=False,
    )
    _file(opened)
    opened.add_argument(
        "--carry-on",
        action="store_true",
        help="where FILE is damaged: go on in a new session with the entries that are verified",
    )
    _by(opened)
    _rig(opened)
    _text(opened)

    demo = command(
        "demo",
        "the wizard on an invented site with a virtual unit",
        "asleft demo\nasleft demo --unattended --seed 11 --count 3 --out visits",
    )
    _equipment(demo)
    demo.add_argument("--seed", metavar="N", type=_seed, default=1, help="which invented site (1)")
    demo.add_argument("--unattended", action="store_true", help="play it to a signed session by itself")
    demo.add_argument("--headless", action="store_true", help="with --unattended: without the screen")
    demo.add_argument("--count", metavar="K", type=_count, default=1, help="seeds N to N+K-1")
    demo.add_argument("--out", metavar="DIR", type=Path, help="folder for the session files")
    _rig(demo)
    _text(demo)

    rig = command(
        "rig",
        "a virtual unit that speaks one JSON object a line on standard input and output",
        "asleft rig --healthy --seed 3 --equipment tarnfield-lowmoor-36\n"
        'then type: {"do": "power", "state": "off"}\n'
        "asleft rig first-day                         the hidden unit of a drill\n"
        "asleft rig --seed 7 --level 2",
        json=False,
    )
    rig.add_argument("sheet", metavar="SHEET", nargs="?", help="a drill sheet, or the name of a ready lesson")
    rig.add_argument("--healthy", action="store_true", help="a unit without faults")
    rig.add_argument("--seed", metavar="N", type=_seed, help="which invented site")
    _level(rig)
    _equipment(rig)

    drill = command(
        "drill",
        "a drill against a virtual unit with hidden faults; without anything, the ready lessons",
        "asleft drill                                 the ready lessons\n"
        "asleft drill first-day\n"
        "asleft drill --seed 7 --level 2\n"
        "asleft drill --rig 'ssh trainer asleft rig lesson.toml'\n"
        "asleft drill lesson.toml --key               the trainer's key\n"
        "asleft drill new --equipment osmere-corrie-24 --out lesson.toml\n"
        "asleft drill --debrief finished.toml\n"
        "asleft drill --unattended --headless --seed 1 --level 3 --count 20 --out drills",
    )
    drill.add_argument(
        "sheet", metavar="SHEET", nargs="?", help="a drill sheet, a ready lesson's name, or new"
    )
    drill.add_argument("--seed", metavar="N", type=_seed, help="draw a drill; the same for everybody")
    _level(drill)
    _equipment(drill)
    drill.add_argument("--key", action="store_true", help="print faults, evidence, choices, shortest way")
    drill.add_argument("--debrief", metavar="FILE", type=Path, help="what came of a finished drill")
    drill.add_argument("--unattended", action="store_true", help="play it by doing only what is next")
    drill.add_argument("--headless", action="store_true", help="with --unattended: without the screen")
    drill.add_argument("--count", metavar="K", type=_count, default=1, help="seeds N to N+K-1")
    drill.add_argument(
        "--out", metavar="DIR", type=Path, help="folder for the sessions; the file of a new sheet"
    )
    _by(drill)
    _rig(drill)
    _text(drill)

    board = command(
        "board",
        "a class at its drills, live, from the session files of a folder",
        "asleft board sessions\nasleft board /srv/class --csv > class.csv",
    )
    board.add_argument("folder", metavar="FOLDER", type=Path, help="where the sessions are")
    board.add_argument("--csv", action="store_true", help="print a table for a spreadsheet")

    replay = command(
        "replay",
        "a session event by event as the screen was, its verdicts then beside today's",
        "asleft replay visit.toml\nasleft replay visit.toml --json",
    )
    _file(replay)
    _signers(replay)
    _units(replay)

    audit = command(
        "audit",
        "sessions in folders of any size, worst first; exit 1 if something speaks against one",
        "asleft audit sessions\n"
        "asleft audit /srv/visits --csv > audit.csv\n"
        "asleft audit /srv/visits --signers allowed_signers --full",
    )
    audit.add_argument(
        "paths", metavar="PATH", type=Path, nargs="+", help="session files, or folders of them"
    )
    audit.add_argument("--csv", action="store_true", help="print a table for a spreadsheet")
    audit.add_argument("--full", action="store_true", help="judge every file anew, whatever is kept")
    _signers(audit)

    report = command(
        "report",
        "a printable page of a visit: one HTML file each, or twenty lines as text",
        "asleft report visit.toml\n"
        "asleft report visits/*.toml --out pages --names-out\n"
        "asleft report visit.toml --text",
    )
    report.add_argument("files", metavar="FILE", type=Path, nargs="+", help="session files")
    report.add_argument("--text", action="store_true", help="twenty lines for a message, no page")
    report.add_argument("--names-out", action="store_true", help="leave out names of persons and the site")
    report.add_argument(
        "--out", metavar="DIR", type=Path, help="folder for the pages (this one), or the page of one"
    )
    _signers(report)
    _units(report)

    _file(command("next", "the one thing to do now, and why", "asleft next visit.toml --json"))

    enter = command(
        "enter",
        "submit acts to a session, in order, up to the first one refused",
        "asleft enter visit.toml power=off acknowledge:EL-1=yes electrical.circuit.1.device='60 A'\n"
        "asleft enter visit.toml --from acts.csv      with the columns left,value",
    )
    _file(enter)
    enter.add_argument("acts", metavar="LEFT=VALUE", nargs="*", help="a field, choose:TOPIC, power, sign …")
    enter.add_argument("--from", dest="csv", metavar="FILE.csv", type=Path, help="a table with left,value")
    _by(enter)
    _units(enter)

    check = command(
        "check",
        "every finding by today's rules, from the file alone; exit 1 if one is open or the file was changed",
        "asleft check visit.toml\n"
        "asleft check visit.toml --signers allowed_signers\n"
        "asleft check visit.toml --charts             fan tables, house, delays, wiring, plan\n"
        "asleft check --explain EL-15                 what a check asks, why, and what to do\n"
        "asleft check --explain                       all checks, a line each",
    )
    check.add_argument("file", metavar="FILE", type=Path, nargs="?", help="a session file")
    check.add_argument("--explain", metavar="ID", nargs="?", const="", help="one check, or all a line each")
    check.add_argument(
        "--charts", action="store_true", help="in place of the findings: every chart, drawn and as a table"
    )
    _signers(check)
    _units(check)

    seal = command(
        "seal",
        "have what is recorded signed with an OpenSSH key, by ssh-keygen",
        "asleft seal visit.toml --key ~/.ssh/id_ed25519\n"
        "asleft settings seal_key=~/.ssh/id_ed25519   remembers the key\n"
        "asleft help session-file                     what a seal proves, and what it does not",
    )
    _file(seal)
    seal.add_argument("--key", metavar="FILE", help="a private key, or a public one that your agent holds")
    _by(seal)

    _file(command("plan", "what to look at, write and read back, in order", "asleft plan visit.toml"))

    fields = command(
        "fields",
        "what can be entered: for a session, for a unit, or at all",
        "asleft fields visit.toml\nasleft fields --equipment tarnfield-lowmoor-36 --json",
    )
    which = fields.add_mutually_exclusive_group()
    which.add_argument("file", metavar="FILE", type=Path, nargs="?", help="a session")
    _equipment(which)

    equipment = command(
        "equipment",
        "the units that are known, and equipment files: read, check, explain, begin one",
        "asleft equipment list\n"
        "asleft equipment show tarnfield-lowmoor-36\n"
        "asleft equipment explain heater              what a part of the file means\n"
        "asleft equipment new --out my-unit.toml      begin a file from the data plate\n"
        "asleft equipment check my-unit.toml\n"
        "asleft equipment schema > asleft-equipment.schema.json\n"
        "                                             for an editor: a file beside it then begins with\n"
        "                                             #:schema ./asleft-equipment.schema.json",
        json=False,
    )
    what = equipment.add_subparsers(title="what to do", metavar="WHAT", dest="what", required=True)

    def subject(name: str, help: str) -> argparse.ArgumentParser:
        added = what.add_parser(
            name, help=help, description=help[:1].upper() + help[1:] + ".", allow_abbrev=False
        )
        added.add_argument("--json", action="store_true", help="print JSON")
        return added

    subject("list", "the units on offer")
    shown = subject("show", "one unit in full, with its fan tables drawn")
    shown.add_argument("unit", metavar="ID|FILE")
    _units(shown)
    checked = subject("check", "everything that is wrong with files, and what is odd in them")
    checked.add_argument("files", metavar="FILE", nargs="+")
    explained = subject("explain", "what the parts and fields of an equipment file mean, with examples")
    explained.add_argument("part", metavar="PART", nargs="?", help="a part or field, such as heater.stage")
    begun = subject("new", "begin a file: asks for the data plate, line by line, and writes what was said")
    begun.add_argument("--out", metavar="FILE", type=Path, help="the file to write (your own folder, by id)")
    subject("schema", "the JSON Schema of an equipment file, by which editors complete and check it")

    work = command(
        "work",
        "one calculation with its working; without a name, the list of them",
        "asleft work rise-from-airflow heater_power=9.6kW airflow='1200 cfm'\n"
        "asleft work voltage-unbalance 'voltages=462 V ± 2, 463 V ± 2, 455 V by meter-kestle'\n"
        "asleft work conductor-ampacity               what it takes\n"
        "asleft work --tables                         where every published table was seen",
    )
    work.add_argument("--tables", action="store_true", help="the published tables and their sources")
    work.add_argument("words", metavar="NAME key=value", nargs="*", help="a calculation and its inputs")
    _units(work)

    settings = command(
        "settings",
        "what is remembered between visits: print it, or set it",
        "asleft settings\n"
        "asleft settings technician='Ada Cole' units=si altitude='1200 ft'\n"
        "asleft settings instruments.meter=meter-kestle\n"
        "asleft settings code=                        forget it again",
    )
    settings.add_argument("words", metavar="KEY=VALUE", nargs="*", help="settings to change")

    pages = command(
        "help",
        "guides for technician, trainer and supervisor, and the help pages of the wizard",
        "asleft help                                  which pages there are\nasleft help technician",
    )
    pages.add_argument("page", metavar="NAME", nargs="?", default="", help="which page")
    return top


def _file(to: argparse.ArgumentParser) -> None:
    to.add_argument("file", metavar="FILE", type=Path, help="a session file")


def _equipment(to: argparse._ActionsContainer) -> None:
    to.add_argument("--equipment", metavar="ID|FILE", help="a known unit, or the path of an equipment file")


def _signers(to: argparse.ArgumentParser) -> None:
    to.add_argument(
        "--signers", metavar="FILE", type=Path, help="whose key each seal is, by a file of allowed signers"
    )


def _level(to: argparse.ArgumentParser) -> None:
    to.add_argument(
        "--level", metavar="L", type=int, choices=(1, 2, 3), help="so many independent faults, 1 to 3 (1)"
    )


def _rig(to: argparse.ArgumentParser) -> None:
    to.add_argument("--rig", metavar="COMMAND", help="a program that answers in JSON, a line each")


def _text(to: argparse.ArgumentParser) -> None:
    to.add_argument("--text", action="store_true", help="questions and answers in plain lines, no screen")
    to.add_argument(
        "--units", choices=["ip", "si"], help="units of bare numbers and output (as your settings say)"
    )


def _by(to: argparse.ArgumentParser) -> None:
    to.add_argument("--by", metavar="NAME", help="the person who does it")


def _units(to: argparse.ArgumentParser) -> None:
    to.add_argument(
        "--units", choices=["ip", "si"], default="ip", help="units of bare numbers and output (ip)"
    )


def _seed(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 12):
        raise argparse.ArgumentTypeError(f"{text!r} is no seed: a whole number, 0 or more")
    return int(text)


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:6]) <= 10_000):
        raise argparse.ArgumentTypeError(f"{text!r} is no count: a whole number from 1 to 10000")
    return int(text)
