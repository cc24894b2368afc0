"""Commands: arguments in, one call, text or JSON out. Everything heavy is imported where it is used."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from asleft.given import FINE, REFUSED, instruments, refuse, terminal, unit

if TYPE_CHECKING:
    from argparse import Namespace

    from asleft.tui import HomeChoice

INTERRUPTED = 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code. Whatever goes wrong is said in one sentence."""
    _take_closed_places()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        code = _done(sys.argv[1:] if arguments is None else arguments)
        sys.stdout.flush()
        return code
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else REFUSED
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        # The reader went away; the interpreter's own flush at exit must not fail either.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FINE
    except Exception as error:  # noqa: BLE001  no traceback ever reaches a person
        from asleft.line.text import complain
        from asleft.line.troubles import exit_code, lines

        for line in lines(error):
            complain(line)
        return exit_code(error)


def _take_closed_places() -> None:
    """Put nothing where a standard stream is closed: else the next file opened, a session, would be it."""
    for place, name, mode in ((0, "stdin", "r"), (1, "stdout", "w"), (2, "stderr", "w")):
        try:
            os.fstat(place)
        except OSError:
            os.set_inheritable(os.open(os.devnull, os.O_RDWR), True)
            setattr(sys, name, open(place, mode, encoding="utf-8", closefd=False))  # noqa: SIM115  to the end


def _done(words: Sequence[str]) -> int:
    if not words:
        # The home screen takes nothing, and does not wait for the parser of all that the others take.
        return _home(None)
    from asleft.line.arguments import read

    options = read(words)
    return COMMANDS[options.command or "home"](options)


def _home(_: Namespace | None) -> int:
    if not terminal():
        return refuse("the home screen needs a terminal; see asleft --help for the commands")
    from asleft.desk import home

    home(_begun)
    return FINE


def _begun(choice: HomeChoice, tell: Callable[[str], None]) -> int:
    """Do what was chosen on the home screen, as the command of that name does it."""
    from asleft.line.arguments import read

    given = {"open": ["-"], "drill": [choice.lesson]}.get(choice.do, [])
    options = read([choice.do, *given])
    if choice.do == "open":
        options.file = choice.path
    elif choice.do == "new":
        options.equipment, options.site, options.by = choice.unit, choice.site, choice.by
    options.tell = tell
    return COMMANDS[choice.do](options)


def _new(options: Namespace) -> int:
    from asleft.visiting import new

    return new(options)


def _open(options: Namespace) -> int:
    from asleft.visiting import open_

    return open_(options)


def _demo(options: Namespace) -> int:
    from asleft.visiting import demo

    return demo(options)


def _rig(options: Namespace) -> int:
    from asleft.teaching import rig

    return rig(options)


def _drill(options: Namespace) -> int:
    from asleft.teaching import drill

    return drill(options)


def _board(options: Namespace) -> int:
    if options.json or options.csv or not terminal():
        from asleft.line.board import run

        return run(options.folder, as_json=options.json, as_csv=options.csv)
    from asleft.tui.board import run_board

    run_board(options.folder)
    return FINE


def _audit(options: Namespace) -> int:
    from asleft.line.audit import run

    if options.json and options.csv:
        return refuse("an audit prints --json or --csv, not both")
    if terminal() and not (options.json or options.csv):
        from asleft.reviewing import audited

        return audited(options.paths, full=options.full, signers=options.signers)
    return run(
        options.paths,
        as_json=options.json,
        as_csv=options.csv,
        full=options.full,
        signers=options.signers,
    )


def _replay(options: Namespace) -> int:
    if not options.json and terminal():
        from asleft.reviewing import replayed

        return replayed(options.file, system=options.units, signers=options.signers)
    from asleft.line.replay import run

    return run(options.file, as_json=options.json, signers=options.signers, system=options.units)


def _report(options: Namespace) -> int:
    from asleft.line.report import run

    return run(
        options.files,
        text=options.text,
        names_out=options.names_out,
        out=options.out,
        system=options.units,
        signers=options.signers,
        as_json=options.json,
    )


def _next(options: Namespace) -> int:
    from asleft.line.next import run

    return run(options.file, as_json=options.json)


def _enter(options: Namespace) -> int:
    from asleft.line import enter
    from asleft.line.places import real_clock, wall_zone
    from asleft.teaching import ended_by_rig

    pairs = [*enter.pairs_of(options.acts), *(enter.pairs_from(options.csv) if options.csv else ())]
    if not pairs:
        return refuse("nothing to enter; write LEFT=VALUE or --from FILE.csv")
    return enter.run(
        options.file,
        pairs,
        instruments(),
        by=options.by or "",
        clock=real_clock,
        zone=wall_zone(),
        as_json=options.json,
        system=options.units,
        of_a_drill=ended_by_rig,
    )


def _check(options: Namespace) -> int:
    from asleft.line.check import run

    if (options.file is None) == (options.explain is None) or (
        options.explain is not None and (options.charts or options.signers)
    ):
        return refuse("check takes a session FILE, or --explain with the id of a check")
    if options.explain is not None:
        from asleft.line.check_explain import UnknownCheck
        from asleft.line.check_explain import run as explain

        try:
            return explain(options.explain, as_json=options.json)
        except UnknownCheck as unknown:
            return refuse(str(unknown))
    for other in ("json", "signers"):
        if options.charts and getattr(options, other):
            return refuse(f"check takes --charts or --{other}, not both")
    if options.charts:
        from asleft.line.charts import run as draw

        return draw(options.file, system=options.units)
    return run(options.file, as_json=options.json, system=options.units, signers=options.signers)


def _seal(options: Namespace) -> int:
    from asleft.desk import technician
    from asleft.line.places import real_clock
    from asleft.line.seal import run
    from asleft.settings import load
    from asleft.visit import Visit

    key = options.key or load().settings.seal_key
    if not key:
        return refuse("name the key with --key FILE, or remember one: asleft settings seal_key=FILE")
    visit = Visit.open(options.file, instruments(), by=options.by or technician(), clock=real_clock)
    return run(visit, key, as_json=options.json)


def _plan(options: Namespace) -> int:
    from asleft.line.plan import run

    return run(options.file, as_json=options.json)


def _fields(options: Namespace) -> int:
    from asleft.line.fields import run

    known = unit(options.equipment).equipment if options.equipment else None
    return run(options.file, known, as_json=options.json)


def _equipment(options: Namespace) -> int:
    from asleft.line.equipment import run
    from asleft.line.places import equipment_folder

    return run(options, equipment_folder())


def _work(options: Namespace) -> int:
    from asleft.line.by_instrument import WORD
    from asleft.line.work import run

    named = any(WORD in word for word in options.words)
    return run(
        options.words,
        tables=options.tables,
        as_json=options.json,
        system=options.units,
        instruments=instruments() if named else None,
    )


def _settings(options: Namespace) -> int:
    from asleft.line.settings import run

    return run(options.words, as_json=options.json)


def _help(options: Namespace) -> int:
    from asleft.line.help_page import UnknownPage, run

    try:
        run(options.page, as_json=options.json)
    except UnknownPage as unknown:
        return refuse(str(unknown))
    return FINE


COMMANDS: dict[str, Callable[[Namespace], int]] = {
    "home": _home,
    "new": _new,
    "open": _open,
    "demo": _demo,
    "rig": _rig,
    "drill": _drill,
    "board": _board,
    "replay": _replay,
    "audit": _audit,
    "report": _report,
    "next": _next,
    "enter": _enter,
    "check": _check,
    "seal": _seal,
    "plan": _plan,
    "fields": _fields,
    "equipment": _equipment,
    "work": _work,
    "settings": _settings,
    "help": _help,
}
"""Every command and what answers it."""


if __name__ == "__main__":
    sys.exit(main())
