"""Visits as commands: begun, gone on with, invented, played by themselves."""

from __future__ import annotations

import sys
from contextlib import ExitStack
from typing import TYPE_CHECKING

from asleft.given import FINE, WRONG, command, demo_unit, instruments, refuse, terminal, unit

if TYPE_CHECKING:
    from argparse import Namespace

    from asleft.drill.rig import Rig
    from asleft.visit import Visit


def new(options: Namespace) -> int:
    """`asleft new`."""
    from uuid import uuid4

    from asleft.desk import technician
    from asleft.line.places import real_clock, sessions_folder
    from asleft.line.text import dumped, say
    from asleft.session.acts import Enter
    from asleft.visit import Visit

    if options.json and options.text:
        return refuse("--json prints the file and --text asks and answers; give one of them")
    if not options.equipment:
        return refuse("name the unit with --equipment ID or FILE; asleft equipment list shows the ids")
    known = unit(options.equipment)
    rig = command(options.rig)
    folder = options.out or sessions_folder()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    visit = Visit.create(
        folder,
        known,
        instruments(),
        site=options.site or "site",
        by=options.by or technician(),
        clock=real_clock,
        session_id=uuid4().hex[:16],
    )
    with ExitStack() as begun:
        begun.callback(visit.close)
        for field, told in (("identity.technician", options.by), ("identity.site", options.site)):
            if told:
                visit.submit(Enter(field), told)
        begun.pop_all()
    if options.json or not (options.text or terminal()):
        visit.close()
        say(dumped({"file": str(visit.path)}) if options.json else str(visit.path))
        return FINE
    return wizard(visit, rig, options)


def open_(options: Namespace) -> int:
    """`asleft open`; of a drill, with its hidden unit as it was left."""
    if not (options.text or terminal()):
        return refuse("open shows the wizard and needs a terminal; open --text, next and enter do not")
    from uuid import uuid4

    from asleft.desk import technician
    from asleft.drill.rig import resume
    from asleft.journal import Broken
    from asleft.line.damaged import wants_to_go_on
    from asleft.line.places import real_clock, wall_zone
    from asleft.line.text import plain, say
    from asleft.visit import Visit
    from asleft.visit.carrying import carry_on

    by = options.by or technician()
    with ExitStack() as begun:
        try:
            visit = Visit.open(options.file, instruments(), by=by, clock=real_clock, zone=wall_zone())
        except Broken as broken:
            if not (options.carry_on or (terminal() and wants_to_go_on(str(broken)))):
                raise Broken(f"{broken} With --carry-on, open goes on in a new session.") from broken
            visit = carry_on(
                options.file, instruments(), by=by, clock=real_clock, session_id=uuid4().hex[:16]
            )
            say(f"The visit goes on in {plain(str(visit.path))}")
        begun.callback(visit.close)
        if visit.view.state.drilled and not visit.view.state.revealed:
            from asleft import teaching

            lesson = teaching.gone_on(visit, options.rig)
            begun.pop_all()
            return teaching.sit(visit, lesson, options.units, text=options.text, tell=options.tell)
        rig = command(options.rig)
        if rig:
            begun.callback(rig.close)
            resume(rig, visit.view)
        begun.pop_all()
    return wizard(visit, rig, options)


def wizard(visit: Visit, rig: Rig | None, options: Namespace, *, invented: bool = False) -> int:
    """The wizard on a visit, on the screen or as text, until it is left; closes visit and rig."""
    from asleft.desk import sit_down

    if options.text and hasattr(sys.stdin, "reconfigure"):
        # Bytes that are no text come as characters that the visit refuses, with the reason.
        sys.stdin.reconfigure(errors="surrogateescape")
    return sit_down(visit, rig, units=options.units, text=options.text, tell=options.tell, invented=invented)


def demo(options: Namespace) -> int:
    """`asleft demo`."""
    from asleft.line.places import real_clock, sessions_folder
    from asleft.line.text import say
    from asleft.unattended import begin

    if options.unattended and options.text:
        return refuse("--unattended plays without a person and --text asks one; give one of them")
    if options.unattended:
        return unattended(options)
    if not (options.text or terminal()):
        return refuse("the demo shows the wizard and needs a terminal; --text and --unattended do not")
    folder = options.out or sessions_folder()
    job = begin(folder, demo_unit(options), options.seed, command=options.rig or "", clock=real_clock)
    code = wizard(job.visit, job.rig, options, invented=True)
    if not options.text and options.tell is None:
        say(f"The session is in {job.visit.path}")
    return code


def unattended(options: Namespace) -> int:
    """`asleft demo --unattended`."""
    from asleft.line.places import sessions_folder
    from asleft.line.text import dumped, plain, say
    from asleft.unattended import play

    known, folder = demo_unit(options), options.out or sessions_folder()
    code, played = FINE, []
    for seed in range(options.seed, options.seed + options.count):
        one = play(
            folder, known, seed, command=options.rig or "", screen=not options.headless, show=terminal()
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
