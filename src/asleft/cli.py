"""Commands: arguments in, one call, text or JSON out. Everything heavy is imported where it is used."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from argparse import Namespace

    from asleft.drill.rig import Rig
    from asleft.equipment.model import EquipmentFile, Instrument
    from asleft.tui import HomeChoice
    from asleft.visit import Visit

FINE, WRONG, REFUSED, COULD_NOT, INTERRUPTED = 0, 1, 2, 3, 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code. Whatever goes wrong is said in one sentence."""
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
        from asleft.line.troubles import exit_code, sentence

        complain(sentence(error))
        return exit_code(error)


def _done(words: Sequence[str]) -> int:
    if not words:
        # The home screen takes nothing, and does not wait for the parser of all that the others take.
        return _home(None)
    from asleft.line.arguments import read

    options = read(words)
    return COMMANDS[options.command or "home"](options)


def _home(_: Namespace | None) -> int:
    if not _terminal():
        return _refuse("the home screen needs a terminal; see asleft --help for the commands")
    from asleft.desk import home

    home(_begun)
    return FINE


def _begun(choice: HomeChoice, tell: Callable[[str], None]) -> int:
    """Do what was chosen on the home screen, as the command of that name does it."""
    from asleft.line.arguments import read

    options = read([choice.do, "-"] if choice.do == "open" else [choice.do])
    if choice.do == "open":
        options.file = choice.path
    elif choice.do == "new":
        options.equipment, options.site, options.by = choice.unit, choice.site, choice.by
    options.tell = tell
    return COMMANDS[choice.do](options)


def _new(options: Namespace) -> int:
    from uuid import uuid4

    from asleft.desk import technician
    from asleft.line.places import real_clock, sessions_folder
    from asleft.line.text import dumped, say
    from asleft.visit import Visit

    if options.json and options.text:
        return _refuse("--json prints the file and --text asks and answers; give one of them")
    if not options.equipment:
        return _refuse("name the unit with --equipment ID or FILE; asleft equipment list shows the ids")
    unit = _unit(options.equipment)
    rig = _command(options.rig)
    folder = options.out or sessions_folder()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    visit = Visit.create(
        folder,
        unit,
        _instruments(),
        site=options.site or "site",
        by=options.by or technician(),
        clock=real_clock,
        session_id=uuid4().hex[:16],
    )
    with ExitStack() as begun:
        begun.callback(visit.close)
        for field, told in (("identity.technician", options.by), ("identity.site", options.site)):
            if told:
                visit.submit(field, told)
        begun.pop_all()
    if options.json or not (options.text or _terminal()):
        visit.close()
        say(dumped({"file": str(visit.path)}) if options.json else str(visit.path))
        return FINE
    return _wizard(visit, rig, options)


def _open(options: Namespace) -> int:
    if not (options.text or _terminal()):
        return _refuse("open shows the wizard and needs a terminal; open --text, next and enter do not")
    from uuid import uuid4

    from asleft.desk import technician
    from asleft.drill.rig import resume
    from asleft.journal import Broken
    from asleft.line.damaged import wants_to_go_on
    from asleft.line.places import real_clock
    from asleft.line.text import plain, say
    from asleft.visit import Visit
    from asleft.visit.carrying import carry_on

    by = options.by or technician()
    with ExitStack() as begun:
        try:
            visit = Visit.open(options.file, _instruments(), by=by, clock=real_clock)
        except Broken as broken:
            if not (options.carry_on or (_terminal() and wants_to_go_on(str(broken)))):
                raise Broken(f"{broken} With --carry-on, open goes on in a new session.") from broken
            visit = carry_on(
                options.file, _instruments(), by=by, clock=real_clock, session_id=uuid4().hex[:16]
            )
            say(f"The visit goes on in {plain(str(visit.path))}")
        begun.callback(visit.close)
        if visit.view.state.drilled and not visit.view.state.revealed:
            from asleft import teaching

            lesson = teaching.gone_on(visit, options.rig)
            begun.pop_all()
            return teaching.sit(visit, lesson, options.units, text=options.text, tell=options.tell)
        rig = _command(options.rig)
        if rig:
            begun.callback(rig.close)
            resume(rig, visit.view)
        begun.pop_all()
    return _wizard(visit, rig, options)


def _wizard(visit: Visit, rig: Rig | None, options: Namespace, *, invented: bool = False) -> int:
    """The wizard on a visit, on the screen or as text, until it is left; closes visit and rig."""
    from asleft.desk import sit_down

    if options.text and hasattr(sys.stdin, "reconfigure"):
        # Bytes that are no text come as characters that the visit refuses, with the reason.
        sys.stdin.reconfigure(errors="surrogateescape")
    return sit_down(visit, rig, units=options.units, text=options.text, tell=options.tell, invented=invented)


def _demo(options: Namespace) -> int:
    from asleft.line.places import real_clock, sessions_folder
    from asleft.line.text import say
    from asleft.unattended import begin

    if options.unattended and options.text:
        return _refuse("--unattended plays without a person and --text asks one; give one of them")
    if options.unattended:
        return _unattended(options)
    if not (options.text or _terminal()):
        return _refuse("the demo shows the wizard and needs a terminal; --text and --unattended do not")
    folder = options.out or sessions_folder()
    job = begin(folder, _demo_unit(options), options.seed, command=options.rig or "", clock=real_clock)
    code = _wizard(job.visit, job.rig, options, invented=True)
    if not options.text and options.tell is None:
        say(f"The session is in {job.visit.path}")
    return code


def _unattended(options: Namespace) -> int:
    from asleft.line.places import sessions_folder
    from asleft.line.text import dumped, plain, say
    from asleft.unattended import play

    unit, folder = _demo_unit(options), options.out or sessions_folder()
    code, played = FINE, []
    for seed in range(options.seed, options.seed + options.count):
        one = play(
            folder, unit, seed, command=options.rig or "", screen=not options.headless, show=_terminal()
        )
        played.append(
            {
                "file": str(one.path),
                "seed": one.seed,
                "outcome": one.outcome,
                "events": one.events,
                "why": one.why,
            }
        )
        if one.outcome != "commissioned":
            code = WRONG
        if not options.json:
            say(f"{plain(str(one.path))}  {one.outcome}" + (f": {one.why}" if one.why else ""))
    if options.json:
        say(dumped({"sessions": played}))
    return code


def _rig(options: Namespace) -> int:
    from asleft import teaching

    return teaching.rig(options, lambda: _demo_unit(options))


def _drill(options: Namespace) -> int:
    from asleft import teaching

    return teaching.drill(options, lambda: _demo_unit(options), _instruments, _terminal())


def _board(options: Namespace) -> int:
    if options.json or options.csv or not _terminal():
        from asleft.line.board import run

        return run(options.folder, as_json=options.json, as_csv=options.csv)
    from asleft.tui.board import run_board

    run_board(options.folder)
    return FINE


def _next(options: Namespace) -> int:
    from asleft.line.next import run

    return run(options.file, as_json=options.json)


def _enter(options: Namespace) -> int:
    from asleft.line import enter
    from asleft.line.places import real_clock

    pairs = [*enter.pairs_of(options.acts), *(enter.pairs_from(options.csv) if options.csv else ())]
    if not pairs:
        return _refuse("nothing to enter; write LEFT=VALUE or --from FILE.csv")
    return enter.run(
        options.file,
        pairs,
        _instruments(),
        by=options.by or "",
        clock=real_clock,
        as_json=options.json,
        system=options.units,
    )


def _check(options: Namespace) -> int:
    from asleft.line.check import run

    if (options.file is None) == (options.explain is None) or (
        options.explain is not None and (options.charts or options.signers)
    ):
        return _refuse("check takes a session FILE, or --explain with the id of a check")
    if options.explain is not None:
        from asleft.line.check_explain import UnknownCheck
        from asleft.line.check_explain import run as explain

        try:
            return explain(options.explain, as_json=options.json)
        except UnknownCheck as unknown:
            return _refuse(str(unknown))
    for other in ("json", "signers"):
        if options.charts and getattr(options, other):
            return _refuse(f"check takes --charts or --{other}, not both")
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
        return _refuse("name the key with --key FILE, or remember one: asleft settings seal_key=FILE")
    visit = Visit.open(options.file, _instruments(), by=options.by or technician(), clock=real_clock)
    return run(visit, key, as_json=options.json)


def _plan(options: Namespace) -> int:
    from asleft.line.plan import run

    return run(options.file, as_json=options.json)


def _fields(options: Namespace) -> int:
    from asleft.line.fields import run

    unit = _unit(options.equipment).equipment if options.equipment else None
    return run(options.file, unit, as_json=options.json)


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
        instruments=_instruments() if named else None,
    )


def _settings(options: Namespace) -> int:
    from asleft.line.settings import run

    return run(options.words, as_json=options.json)


def _help(options: Namespace) -> int:
    from asleft.line.help_page import UnknownPage, run

    try:
        run(options.page, as_json=options.json)
    except UnknownPage as unknown:
        return _refuse(str(unknown))
    return FINE


COMMANDS: dict[str, Callable[[Namespace], int]] = {
    "home": _home,
    "new": _new,
    "open": _open,
    "demo": _demo,
    "rig": _rig,
    "drill": _drill,
    "board": _board,
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


def _terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def _refuse(why: str) -> int:
    from asleft.line.text import complain

    complain(why + ".")
    return REFUSED


def _unit(wanted: str) -> EquipmentFile:
    from asleft.equipment.library import find
    from asleft.line.places import equipment_folder

    return find(wanted, equipment_folder())


def _demo_unit(options: Namespace) -> EquipmentFile:
    """The unit asked for, else the one that comes with the program for this."""
    from asleft.equipment.library import default, find

    return _unit(options.equipment) if options.equipment else find(default())


def _instruments() -> dict[str, Instrument]:
    """The instruments that come with the program, then a person's own."""
    from asleft.equipment.library import INSTRUMENTS, instruments
    from asleft.line.places import equipment_folder

    own = equipment_folder() / INSTRUMENTS
    every = (*instruments(), *(instruments(own) if own.is_file() else ()))
    return {instrument.id: instrument for instrument in every}


def _command(line: str | None) -> Rig | None:
    from asleft.drill.rig import Command

    return Command(line) if line else None


if __name__ == "__main__":
    sys.exit(main())
