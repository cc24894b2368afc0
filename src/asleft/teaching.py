"""The classroom as commands: drills begun, gone on with, ended or played, and their units as programs."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Sequence
from contextlib import ExitStack, closing
from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft.given import FINE, WRONG, demo_unit, instruments, refuse, terminal, unit

if TYPE_CHECKING:
    from argparse import Namespace

    from asleft.desk import Tell
    from asleft.drill.classroom.client import Lesson
    from asleft.drill.classroom.sheet import Staged
    from asleft.visit import Visit


def drill(options: Namespace) -> int:
    """`asleft drill`."""
    from asleft.line import drill as line

    if options.debrief is not None:
        return line.debrief(options.debrief, as_json=options.json)
    if options.sheet == "new":
        return line.new(demo_unit(options), options.seed or 1, options.out)
    if options.sheet is not None and options.seed is not None:
        return refuse("a sheet has its own seed and level; give a SHEET or --seed, not both")
    if options.rig and (options.sheet is not None or options.key or options.unattended):
        return refuse(
            "--rig is the drill itself, on another machine; it goes with no sheet, key or --unattended"
        )
    if options.sheet is None and options.seed is None and not options.rig and not options.unattended:
        return line.list_lessons(as_json=options.json)
    if options.key:
        return line.key(_staged(options), as_json=options.json)
    if options.unattended:
        return _unattended(options)
    if not (options.text or terminal()):
        return refuse("a drill shows the wizard and needs a terminal; --text, --key and --unattended do not")
    return _attended(options)


def rig(options: Namespace) -> int:
    """`asleft rig`: a virtual unit on standard input and output; of a sheet or a level, one with faults."""
    from asleft.drill.serving import serve

    if options.healthy:
        from asleft.unattended import virtual_unit

        if options.sheet is not None or options.level is not None:
            return refuse("--healthy is a unit without faults; it goes with no sheet and no level")
        seed = 1 if options.seed is None else options.seed
        serve(virtual_unit(demo_unit(options), seed), sys.stdin, sys.stdout)
        return FINE
    if (options.sheet is None) == (options.seed is None):
        return refuse("a rig is of a SHEET, of --seed N --level L, or --healthy")
    from asleft.drill.classroom.lesson_unit import salt_of
    from asleft.drill.classroom.served_unit import ServedUnit
    from asleft.drill.classroom.sheet import lessons
    from asleft.line.drill import register, secret
    from asleft.line.places import real_clock

    staged = _staged(options)
    # Of a seed and of a ready lesson anybody can print the key, so there is nothing to keep from anybody.
    own = options.sheet is not None and options.sheet not in lessons()
    name = options.sheet or f"seed-{options.seed}-level-{options.level or 1}-{staged.sheet.unit}"
    unit_of_it = ServedUnit(
        staged,
        register(Path(options.sheet).resolve() if own else None, name),
        hidden=own,
        clock=real_clock,
        earlier_salt=salt_of(secret(), staged.sheet.text),
    )
    serve(unit_of_it, sys.stdin, sys.stdout)
    return FINE


def rig_command(options: Namespace) -> str:
    """The command of the process that keeps a drill's unit and sheet from the trainee's."""
    if options.rig:
        return str(options.rig)
    words = [sys.executable, "-m", "asleft.cli", "rig"]
    if options.sheet is not None:
        from asleft.drill.classroom.sheet import lessons

        words.append(options.sheet if options.sheet in lessons() else str(Path(options.sheet).resolve()))
    else:
        words += ["--seed", str(options.seed), "--level", str(options.level or 1)]
        words += ["--equipment", options.equipment] if options.equipment else []
    return shlex.join(words)


def _attended(options: Namespace) -> int:
    from uuid import uuid4

    from asleft.desk import technician
    from asleft.drill.answers import RigError
    from asleft.drill.classroom.client import begin
    from asleft.drill.rig import Command
    from asleft.line.places import real_clock, sessions_folder
    from asleft.settings.drills import remember

    command = rig_command(options)
    rig = Command(command)
    with ExitStack() as begun:
        begun.callback(rig.close)
        try:
            visit, lesson = begin(
                rig,
                options.out or sessions_folder(),
                instruments(),
                by=options.by or technician(),
                clock=real_clock,
                session_id=uuid4().hex[:16],
            )
        except RigError:
            if not options.rig:
                # The trainee's process reads a sheet only where no drill comes of it: to say what is wrong.
                _staged(options)
            raise
        begun.callback(visit.close)
        remember(visit.session_id, command)
        begun.pop_all()
    return sit(visit, lesson, options.units, text=options.text, tell=options.tell)


def gone_on(visit: Visit, command: str | None) -> Lesson:
    """The drill of an open session with its unit as it was left, by the command given or remembered.

    Raises RigError.
    """
    from asleft.drill.answers import RigError
    from asleft.drill.classroom.client import go_on
    from asleft.drill.rig import Command
    from asleft.settings.drills import command_of

    known = command or command_of(visit.session_id)
    if not known:
        raise RigError(
            "This is a drill, and nothing here remembers the rig that it was begun with: "
            "name it with --rig 'asleft rig SHEET'."
        )
    return go_on(Command(known), visit)


def ended_by_rig(visit: Visit) -> None:
    """Let a drill that no face has open be ended by the rig that it was begun with, where that is known."""
    from asleft.settings.drills import command_of

    command = command_of(visit.session_id)
    if not command or visit.view.state.revealed:
        return

    def end() -> tuple[Sequence[str], str]:
        from asleft.drill.classroom.client import again, reveal
        from asleft.drill.rig import Command

        with closing(Command(command)) as rig:
            again(rig, visit)
            told = reveal(rig, visit.path)
        visit.hints_given = told.hints
        return told.sheet, told.salt

    visit.finisher = end


def sit(visit: Visit, lesson: Lesson, units: str | None, *, text: bool, tell: Tell | None) -> int:
    """The wizard on a drill until it is left; then what came of it, if it is over."""
    from asleft.desk import sit_down
    from asleft.line.text import say

    path = visit.path
    code = sit_down(visit, lesson.rig, units=units, text=text, tell=tell, invented=True, lesson=lesson)
    if tell is None and not text:
        say(f"The session is in {path}")
    return code


def _unattended(options: Namespace) -> int:
    from asleft.drill.classroom.sheet import drawn
    from asleft.line.drill import told_of
    from asleft.line.places import sessions_folder
    from asleft.line.text import dumped, plain, say
    from asleft.unattended.drills import play_drill

    folder = options.out or sessions_folder()
    first = 1 if options.seed is None else options.seed
    code, told = FINE, []
    for at in range(options.count if options.sheet is None else 1):
        staged = (
            _staged(options)
            if options.sheet is not None
            else drawn(first + at, options.level or 1, demo_unit(options))
        )
        one = play_drill(folder, staged, screen=not options.headless, show=terminal())
        told.append(told_of(one))
        code = WRONG if one.why else code
        if not options.json:
            why = f": {one.why}" if one.why else ""
            say(f"{plain(str(one.path))}  {one.outcome}, {one.score.total:g} of 100{why}")
    if options.json:
        say(dumped({"drills": told}))
    return code


def _staged(options: Namespace) -> Staged:
    from asleft.line.drill import staged_for

    by_seed: Any = None if options.sheet is not None else demo_unit(options)
    return staged_for(options.sheet, options.seed, options.level or 1, by_seed, unit)
