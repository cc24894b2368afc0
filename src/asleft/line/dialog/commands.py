"""The commands of the wizard as text: each begins with a dot and a letter, which no reading does."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from asleft.drill.rig import Answer, Rig, RigError
from asleft.face.entries import Said
from asleft.face.folders import folder_of, offered
from asleft.face.rows import TITLES, Row, rows
from asleft.face.rows.findings import waivable
from asleft.face.working import working_lines
from asleft.help import page, pages, unmarked
from asleft.line.dialog import drilling, told
from asleft.line.dialog.listing import listed, pane_of_name, panes
from asleft.line.dialog.question import guarded
from asleft.session.acts import Act, FindingName, Mend, NotAnAct, Note, Refusable, Waive, parse
from asleft.visit import View

if TYPE_CHECKING:
    from asleft.line.dialog.dialog import Dialog


@dataclass(frozen=True, slots=True)
class Command:
    """What is typed behind its name, what it does in a sentence, and the doing."""

    takes: str
    help: str
    do: Callable[[Dialog, str], None]


_FINDING = re.compile(r"[A-Z]+-[0-9]+(?:/\S*)?(?:\s|$)")
"""A finding by its id, before a reason."""


def obey(dialog: Dialog, line: str) -> None:
    """Do what a line with a dot says; one that is no command is told how to find them."""
    name, _, more = line[1:].partition(" ")
    command = COMMANDS.get(name.casefold())
    if command is None:
        near = difflib.get_close_matches(name.casefold(), list(COMMANDS), 1)
        hint = f"did you mean .{near[0]}? " if near else ""
        dialog.paper.say(
            f"Not taken: .{name} is no command; {hint}.help lists them. "
            "A text that begins with a dot goes in with .enter LEFT=TEXT."
        )
        return
    command.do(dialog, more.strip())


def _help(dialog: Dialog, name: str) -> None:
    if not name:
        dialog.paper.say_all(f".{n}{' ' if c.takes else ''}{c.takes}: {c.help}" for n, c in COMMANDS.items())
        dialog.paper.say(f"Pages for .help NAME: {', '.join(pages())}.")
        return
    subject = name.casefold() if name.casefold() in pages() else pane_of_name(name)
    if subject not in pages():
        dialog.paper.say(f"Not taken: there is no page {name!r}; one of: {', '.join(pages())}.")
        return
    for text, indent in unmarked(page(subject)):
        dialog.paper.say(text, indent)


def _again(dialog: Dialog, more: str) -> None:
    dialog.ask_anew()


def _next(dialog: Dialog, more: str) -> None:
    dialog.go(None)


def _go(dialog: Dialog, place: str) -> None:
    if place.isascii() and place.isdigit():
        if not dialog.listed:
            dialog.paper.say("Not taken: nothing is listed yet; .list numbers the rows of a pane.")
        elif not 1 <= int(place[:6]) <= len(dialog.listed):
            dialog.paper.say(f"Not taken: {place} is no row; a number from 1 to {len(dialog.listed)}.")
        elif (row := dialog.listed[int(place) - 1]).act is None:
            dialog.paper.say(f"Not taken: nothing is entered for {row.label}.")
        else:
            dialog.go(dialog.row(row.act) or (dialog.view.next.pane, row))
        return
    try:
        found = dialog.row(parse(place)) if place else None
    except NotAnAct:
        found = None
    if found is None:
        near = difflib.get_close_matches(place, _lefts(dialog), 1)
        right = (
            f"did you mean {near[0]}?" if near else "a field or the left side of an act, or a row's number"
        )
        dialog.paper.say(f"Not taken: {place!r} is nothing that can be asked here; {right}.")
        return
    dialog.go(found)


def _lefts(dialog: Dialog) -> list[str]:
    return [r.left for pane in TITLES for r in rows(dialog.view, pane, dialog.system) if r.act is not None]


def _pane(dialog: Dialog, name: str) -> None:
    if not name:
        dialog.paper.say_all(panes(dialog.view), "  ")
        dialog.paper.say(told.how_open(dialog.view))
    else:
        _list(dialog, name)


def _list(dialog: Dialog, name: str) -> None:
    asked = dialog.question()
    pane = pane_of_name(name) if name else (asked.pane if asked else "signoff")
    if not pane:
        dialog.paper.say(f"Not taken: there is no pane {name!r}; one of: {', '.join(TITLES.values())}.")
        return
    dialog.listed = rows(dialog.view, pane, dialog.system)
    dialog.paper.say(f"{TITLES[pane]}:")
    dialog.paper.say_all(listed(dialog.listed, pane), "  ")


def _why(dialog: Dialog, place: str) -> None:
    view, asked = dialog.view, dialog.question()
    if place:
        keys = tuple(f.key for f in view.findings if place in (f.id, f.key, f"{f.id}/{f.subject}"))
        if not keys:
            dialog.paper.say(f"Not taken: {place!r} is no finding here; ID/SUBJECT, such as EL-9/circuit.1.")
            return
    else:
        keys = dialog.told or (asked.row.findings if asked else ())
    found = [f for key in keys if (f := view.finding(key)) is not None]
    if not found:
        dialog.paper.say("Nothing is judged by this row alone.")
    for finding in found:
        dialog.paper.say_all(working_lines(finding))
        dialog.paper.gap()


def _undo(dialog: Dialog, more: str) -> None:
    _back(dialog, dialog.visit.undoable(), dialog.entries.undo)


def _redo(dialog: Dialog, more: str) -> None:
    _back(dialog, dialog.visit.redoable(), dialog.entries.redo)


def _back(dialog: Dialog, possible: str, act: Callable[[], Said]) -> None:
    """Say what it does, and do it once somebody says yes."""
    dialog.entries.forget_question()
    dialog.paper.say(act().text)
    if not possible:
        return
    if not dialog.sure():
        dialog.entries.forget_question()
        if not dialog.leaving:
            dialog.paper.say("Not done.")
        return
    before: View = dialog.view
    said = act()
    if said.taken:
        dialog.paper.say(f"{said.text} Saved as entry {dialog.view.state.last_n}.")
        dialog.go(None)
        dialog.tell(before)
    else:
        dialog.entries.forget_question()
        dialog.refuse(said)


def _units(dialog: Dialog, name: str) -> None:
    wanted = name.casefold() or ("si" if dialog.system == "ip" else "ip")
    if wanted not in ("ip", "si"):
        dialog.paper.say(f"Not taken: {name!r} is no system of units; ip or si.")
        return
    dialog.system = wanted
    dialog.visit.read_in(wanted)
    dialog.paper.say(f"Units: {'inch-pound' if wanted == 'ip' else 'SI'}.")
    dialog.ask_anew()


def _cannot(dialog: Dialog, why: str) -> None:
    asked = dialog.question()
    if not why:
        dialog.paper.say("Not taken: nothing says why; .cannot REASON.")
    elif asked is None or not isinstance(asked.row.act, Refusable):
        dialog.paper.say(
            "Not taken: only a field, power, a setting or a repair can be noted as one that cannot be done."
        )
    else:
        dialog.entries.answer(asked.row.act, Answer(refused=why))
        dialog.take(asked.row, why)


def _waive(dialog: Dialog, more: str) -> None:
    asked = dialog.question()
    if not more or _FINDING.match(more) or asked is None:
        _of_a_finding(dialog, Waive, more, "why it may pass")
        return
    own = waivable(dialog.view, asked.row)
    if len(own) == 1:
        _take(dialog, Waive(own[0].name), more)
    else:
        named = ", ".join(str(f.name) for f in own) or "nothing, for nothing on it may be waived"
        dialog.paper.say(f"Not taken: write .waive ID/SUBJECT REASON; what is asked is about {named}.")


def _mended(dialog: Dialog, more: str) -> None:
    _of_a_finding(dialog, Mend, more, "what was mended")


def _of_a_finding(dialog: Dialog, act: type[Waive] | type[Mend], more: str, what: str) -> None:
    place, _, text = more.partition(" ")
    if not place or not text.strip():
        dialog.paper.say(f"Not taken: write ID/SUBJECT, then {what}; .pane signoff lists what is open.")
    else:
        _take(dialog, act(FindingName.parse(place)), text.strip())


def _note(dialog: Dialog, text: str) -> None:
    _take(dialog, Note(), text)


def _enter(dialog: Dialog, pair: str) -> None:
    left, equals, text = pair.partition("=")
    if not equals or not left.strip():
        dialog.paper.say(f"Not taken: {pair!r} is no act; .enter LEFT=VALUE, such as .enter power=off.")
        return
    try:
        act = parse(left)
    except NotAnAct as error:
        dialog.paper.say(f"Not taken: {str(error).rstrip('.')}.")
        return
    _take(dialog, act, text.strip())


def _take(dialog: Dialog, act: Act, text: str) -> None:
    """Take an act that was named, on the row where it stands or without one."""
    pane, row = dialog.row(act) or ("", Row(act, str(act)))
    if pane and guarded(act):
        dialog.paper.say_all((f"Caution: {row.caution}", *row.details))
    dialog.take(row, text)


def _rig(dialog: Dialog, more: str) -> None:
    asked = dialog.question()
    if dialog.rig is None:
        dialog.paper.say("There is no rig here: read it yourself and type it.")
    elif asked is None:
        dialog.paper.say("Nothing to ask.")
    elif drilling.broken(dialog, asked.row.submits):
        return
    elif forbidden := dialog.visit.forbidden(asked.row.submits):
        dialog.paper.say(f"Not asked: {forbidden}")
    else:
        _ask_rig(dialog, dialog.rig, asked.row)


def _ask_rig(dialog: Dialog, rig: Rig, row: Row) -> None:
    """Ask for a row; in a drill by hand, with the instrument as it is set and placed first."""
    field = dialog.view.ledger.fields.get(row.field)
    held = None
    if field is not None and field.instrument and dialog.lesson is not None and dialog.lesson.own_hands:
        held = drilling.in_hand(dialog, field)
        if held is None or drilling.broken(dialog, row.submits, held):
            return
    dialog.paper.say("Asking the rig." if held is None else "Reading.")
    try:
        answer = dialog.ask_rig(rig, row, held.as_mapping() if held else None)
    except RigError as error:
        dialog.paper.say(f"Rig: {error} Go on by hand.")
        return
    if held is not None and answer.refused:
        # What a display shows is no reason why a row cannot be done.
        dialog.paper.say(f"Instrument: {answer.refused}.")
        return
    dialog.paper.say(dialog.entries.answer(row.submits, answer).text)
    dialog.keep_quiet()


def _where(dialog: Dialog, more: str) -> None:
    dialog.paper.say(f"{told.how_saved(dialog.view).capitalize()}, in")
    dialog.paper.name(str(dialog.visit.path))
    if waiting := dialog.entries.unsaved:
        dialog.paper.say(f"NOT SAVED: {', '.join(waiting)}. {dialog.entries.failed}")


def _elsewhere(dialog: Dialog, folder: str) -> None:
    if not dialog.entries.failed:
        dialog.paper.say("Not taken: saving works, and the session stays where it is.")
        _where(dialog, "")
        return
    if not folder:
        place = offered(dialog.visit.path.parent)
        dialog.paper.say(f"Write .elsewhere FOLDER{', such as' if place else '.'}")
        if place:
            dialog.paper.name(place)
        return
    try:
        path = dialog.visit.move(folder_of(folder))
    except (OSError, ValueError) as error:
        dialog.paper.say(f"Not there: {error}")
        return
    before = dialog.view
    dialog.paper.say(dialog.entries.hand_over().text)
    dialog.paper.say("The session is now in")
    dialog.paper.name(str(path))
    dialog.go(None)
    dialog.tell(before)


def _leave(dialog: Dialog, more: str) -> None:
    dialog.leaving = True


COMMANDS: dict[str, Command] = {
    "help": Command("[NAME]", "this list, or a page of help", _help),
    "again": Command("", "read the question out again", _again),
    "next": Command("", "ask what is next", _next),
    "go": Command("FIELD, LEFT or NUMBER", "ask this instead; a number is a row of the last list", _go),
    "pane": Command("[NAME]", "how every pane stands, or the rows of one", _pane),
    "list": Command("[NAME]", "the rows of this pane: as found, as left, verdict", _list),
    "why": Command("[ID/SUBJECT]", "working and source of what was judged last, else of the row asked", _why),
    "enter": Command("LEFT=VALUE", "any act by name: a field, choose:TOPIC, power, acknowledge:ID", _enter),
    "rig": Command("", "ask the rig for this reading or act; Enter then takes its answer", _rig),
    "cannot": Command("REASON", "note that what is asked cannot be done", _cannot),
    "waive": Command(
        "[ID/SUBJECT] REASON", "let what is asked, or what is named, stand with a reason", _waive
    ),
    "mended": Command(
        "ID/SUBJECT [PART: ]TEXT", "say what was mended; what it can change is taken again", _mended
    ),
    "note": Command("TEXT", "a remark for the next person", _note),
    "report": Command(
        "KIND[@PLACE] [by EVIDENCE]", "in a drill: report a fault; alone, which", drilling.report
    ),
    "hint": Command("", "in a drill: a hint, which costs points", drilling.hint),
    "finish": Command("", "in a drill: end it; the sheet is revealed and the score told", drilling.finish),
    "undo": Command("", "take back the last act: says which, then asks", _undo),
    "redo": Command("", "bring back what was taken back: says what, then asks", _redo),
    "units": Command("[ip or si]", "the units shown, and what a bare number means", _units),
    "where": Command("", "how much is saved, and in which file", _where),
    "elsewhere": Command("FOLDER", "go on in another folder, where nothing can be saved", _elsewhere),
    "leave": Command("", "leave; everything shown as saved is on disk", _leave),
}
"""Every command, in the order in which help lists them."""
