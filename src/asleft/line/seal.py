"""`asleft seal FILE`: have what is recorded so far signed with an OpenSSH key."""

from __future__ import annotations

import shutil

from asleft.journal.seals import MEANING, PROGRAM, NotSealed
from asleft.line.seen import remember
from asleft.line.text import dumped, plain, say, wrapped
from asleft.session.acts import Seal
from asleft.visit import Visit


def run(visit: Visit, key: str, *, as_json: bool) -> int:
    """Seal an open visit and say up to where; the visit is closed. Raises NotSealed, Refused, SaveFailed."""
    try:
        if shutil.which(PROGRAM) is None:
            raise NotSealed(f"{PROGRAM}, of OpenSSH, is not on this machine; no seal is made without it.")
        of = visit.view.state.last_n
        view = visit.submit(Seal(), key)
        if as_json:
            say(dumped({"file": str(visit.path), "event": view.state.last_n, "of": of}))
        else:
            say(f"{plain(str(visit.path))}: entries 1 to {of} are sealed, as event {view.state.last_n}.")
            if view.state.signature is None:
                say("The visit is not signed.")
            say(wrapped(MEANING))
    finally:
        visit.close()
    remember(visit.path)
    return 0
