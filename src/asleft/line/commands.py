"""What each command takes: a name, its arguments, its help and an example."""

from __future__ import annotations

import argparse
from pathlib import Path

from asleft.line import options


class Commands:
    """The commands of a parser, to which more are added."""

    def __init__(self, top: argparse.ArgumentParser) -> None:
        self._added = top.add_subparsers(title="commands", metavar="COMMAND", dest="command")

    def __call__(self, name: str, help: str, example: str, *, json: bool = True) -> argparse.ArgumentParser:
        """One more, described in a sentence and shown by an example."""
        added = self._added.add_parser(
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


def visits(command: Commands) -> None:
    """A visit, begun, gone on with, or shown on an invented site."""
    new = command("new", "begin a visit to a unit", "asleft new --equipment my-unit.toml --site Mill-Lane")
    options.equipment(new)
    new.add_argument("--site", metavar="NAME", help="the place, as the office knows it")
    options.by(new)
    new.add_argument("--out", metavar="DIR", type=Path, help="folder for the session file")
    options.rig(new)
    options.text(new)

    opened = command(
        "open",
        "go on with a visit",
        "asleft open visit.toml\n"
        "asleft open visit.toml --text                questions and answers, a line each\n"
        "asleft open visit.toml --text < answers.txt",
        json=False,
    )
    options.file(opened)
    opened.add_argument(
        "--carry-on",
        action="store_true",
        help="where FILE is damaged: go on in a new session with the entries that are verified",
    )
    options.by(opened)
    options.rig(opened)
    options.text(opened)

    demo = command(
        "demo",
        "the wizard on an invented site with a virtual unit",
        "asleft demo\nasleft demo --unattended --seed 11 --count 3 --out visits",
    )
    options.equipment(demo)
    demo.add_argument("--seed", metavar="N", type=options.seed, default=1, help="which invented site (1)")
    demo.add_argument("--unattended", action="store_true", help="play it to a signed session by itself")
    demo.add_argument("--headless", action="store_true", help="with --unattended: without the screen")
    demo.add_argument("--count", metavar="K", type=options.count, default=1, help="seeds N to N+K-1")
    demo.add_argument("--out", metavar="DIR", type=Path, help="folder for the session files")
    options.rig(demo)
    options.text(demo)


def classroom(command: Commands) -> None:
    """The virtual unit, drills and the class board."""
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
    rig.add_argument("--seed", metavar="N", type=options.seed, help="which invented site")
    options.level(rig)
    options.equipment(rig)

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
    drill.add_argument("--seed", metavar="N", type=options.seed, help="draw a drill; the same for everybody")
    options.level(drill)
    options.equipment(drill)
    drill.add_argument("--key", action="store_true", help="print faults, evidence, choices, shortest way")
    drill.add_argument("--debrief", metavar="FILE", type=Path, help="what came of a finished drill")
    drill.add_argument("--unattended", action="store_true", help="play it by doing only what is next")
    drill.add_argument("--headless", action="store_true", help="with --unattended: without the screen")
    drill.add_argument("--count", metavar="K", type=options.count, default=1, help="seeds N to N+K-1")
    drill.add_argument(
        "--out", metavar="DIR", type=Path, help="folder for the sessions; the file of a new sheet"
    )
    options.by(drill)
    options.rig(drill)
    options.text(drill)

    board = command(
        "board",
        "a class at its drills, live, from the session files of a folder",
        "asleft board sessions\nasleft board /srv/class --csv > class.csv",
    )
    board.add_argument("folder", metavar="FOLDER", type=Path, help="where the sessions are")
    board.add_argument("--csv", action="store_true", help="print a table for a spreadsheet")


def reviewed(command: Commands) -> None:
    """What a supervisor asks of saved sessions."""
    replay = command(
        "replay",
        "a session event by event as the screen was, its verdicts then beside today's",
        "asleft replay visit.toml\nasleft replay visit.toml --json",
    )
    options.file(replay)
    options.signers(replay)
    options.units(replay)

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
    options.signers(audit)

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
    options.signers(report)
    options.units(report)


def steps(command: Commands) -> None:
    """One session, a step at a time: for a terminal without a screen, and for scripts."""
    options.file(command("next", "the one thing to do now, and why", "asleft next visit.toml --json"))

    enter = command(
        "enter",
        "submit acts to a session, in order, up to the first one refused",
        "asleft enter visit.toml power=off acknowledge:EL-1=yes electrical.circuit.1.device='60 A'\n"
        "asleft enter visit.toml --from acts.csv      with the columns left,value and, where known, read_at",
    )
    options.file(enter)
    enter.add_argument("acts", metavar="LEFT=VALUE", nargs="*", help="a field, choose:TOPIC, power, sign …")
    enter.add_argument(
        "--from", dest="csv", metavar="FILE.csv", type=Path, help="a table: left,value[,read_at]"
    )
    options.by(enter)
    options.units(enter)

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
    options.signers(check)
    options.units(check)

    seal = command(
        "seal",
        "have what is recorded signed with an OpenSSH key, by ssh-keygen",
        "asleft seal visit.toml --key ~/.ssh/id_ed25519\n"
        "asleft settings seal_key=~/.ssh/id_ed25519   remembers the key\n"
        "asleft help session-file                     what a seal proves, and what it does not",
    )
    options.file(seal)
    seal.add_argument("--key", metavar="FILE", help="a private key, or a public one that your agent holds")
    options.by(seal)

    options.file(command("plan", "what to look at, write and read back, in order", "asleft plan visit.toml"))

    fields = command(
        "fields",
        "what can be entered: for a session, for a unit, or at all",
        "asleft fields visit.toml\nasleft fields --equipment tarnfield-lowmoor-36 --json",
    )
    which = fields.add_mutually_exclusive_group()
    which.add_argument("file", metavar="FILE", type=Path, nargs="?", help="a session")
    options.equipment(which)


def equipment(command: Commands) -> None:
    """The units that are known, and equipment files."""
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
    options.units(shown)
    checked = subject("check", "everything that is wrong with files, and what is odd in them")
    checked.add_argument("files", metavar="FILE", nargs="+")
    explained = subject("explain", "what the parts and fields of an equipment file mean, with examples")
    explained.add_argument("part", metavar="PART", nargs="?", help="a part or field, such as heater.stage")
    begun = subject("new", "begin a file: asks for the data plate, line by line, and writes what was said")
    begun.add_argument("--out", metavar="FILE", type=Path, help="the file to write (your own folder, by id)")
    subject("schema", "the JSON Schema of an equipment file, by which editors complete and check it")


def looked_up(command: Commands) -> None:
    """A calculation, what is remembered, and the guides."""
    work = command(
        "work",
        "one calculation with its working; without a name, the list of them",
        "asleft work rise-from-airflow heater_power=9.6kW airflow='1200 cfm'\n"
        "asleft work voltage-unbalance 'voltages=462 V ± 2, 463 V ± 2, 455 V by meter-corwen'\n"
        "asleft work conductor-ampacity               what it takes\n"
        "asleft work --tables                         where every published table was seen",
    )
    work.add_argument("--tables", action="store_true", help="the published tables and their sources")
    work.add_argument("words", metavar="NAME key=value", nargs="*", help="a calculation and its inputs")
    options.units(work)

    settings = command(
        "settings",
        "what is remembered between visits: print it, or set it",
        "asleft settings\n"
        "asleft settings technician='Ada Cole' units=si altitude='1200 ft'\n"
        "asleft settings instruments.meter=meter-corwen\n"
        "asleft settings code=                        forget it again",
    )
    settings.add_argument("words", metavar="KEY=VALUE", nargs="*", help="settings to change")

    pages = command(
        "help",
        "guides for technician, trainer and supervisor, and the help pages of the wizard",
        "asleft help                                  which pages there are\nasleft help technician",
    )
    pages.add_argument("page", metavar="NAME", nargs="?", default="", help="which page")
