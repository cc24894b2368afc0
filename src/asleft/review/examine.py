"""One session file held against the rules, from its bytes alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft.checks import CONCLUDING
from asleft.checks.finding import FAILS
from asleft.journal import Chain, Contents, NotASession, classify, seals_of
from asleft.review.row import Hold, Row
from asleft.review.rules import Mark, mark, rules
from asleft.session.events import Event, read_all
from asleft.session.fields import field_of
from asleft.session.payloads import Broke, Entered
from asleft.session.sound import sensible
from asleft.session.state import State, fold_all, went_back
from asleft.session.values import number_of
from asleft.visit import View, look

if TYPE_CHECKING:
    from asleft.checks.finding import Finding

LISTED = 6
"""Things named in one mark; the rest are counted."""


def examined(data: bytes, name: str, signers: Path | None = None) -> Row:
    """The row of a file's bytes. Whatever they are, it is a row; nothing is raised for them.

    Raises OSError where the signers file cannot be read.
    """
    from asleft.equipment.load import load_bytes

    digest = sha256(data).hexdigest()
    try:
        contents = classify(data)
    except NotASession as error:
        return unreadable(name, digest, str(error).removeprefix(f"{name}: "))
    if contents.newer_format or not contents.header:
        return unreadable(name, digest, contents.trouble or "not even its beginning is verified")
    try:
        equipment = load_bytes(contents.equipment_text.encode(), "equipment").equipment
    except ValueError as error:
        return unreadable(name, digest, f"its equipment lines do not load: {str(error).splitlines()[0]}")
    events, odd = sensible(read_all(contents.events), equipment)
    view = look(equipment, fold_all(events))
    wrong = (mark("senseless", n=one.n, wrong=one.why) for one in odd[:LISTED])
    told = [*_of_the_file(contents), *wrong, *_of_the_visit(view, contents)]
    holds = tuple(_failing(view)) if contents.header["session"]["mode"] == "job" else ()
    told += [
        mark("failing-hold", **{**hold._asdict(), "text": hold.text.removesuffix(".")}) for hold in holds
    ]
    seals, false = _seals(contents, signers)
    return _row(contents, view, name, digest, (*told, *false), seals, holds)


def unreadable(name: str, digest: str, why: str) -> Row:
    """The row of a file of which nothing can be told."""
    why = " ".join(why.split())
    return Row(name, digest, "unreadable", why, marks=(mark("unreadable", why=why),))


def timed(row: Row, now: datetime) -> Row:
    """The row with what is odd about it today: no result that is kept rests on the day it was reckoned."""
    if not row.ended:
        return row
    more: list[Mark] = []
    latest = datetime.fromisoformat(row.ended)
    if latest > now + timedelta(hours=1):
        more.append(mark("future", n=row.events, at=row.ended))
    days = (now - latest).days
    if row.mode == "job" and not row.outcome and days >= rules()["unsigned"].figures["days"]:
        more.append(mark("unsigned", days=days))
    return replace(row, marks=_ordered((*row.marks, *more)))


def _of_the_file(contents: Contents) -> Iterator[Mark]:
    if contents.chain is Chain.BROKEN:
        yield mark("broken", trouble=contents.trouble)
    elif contents.chain is Chain.TORN:
        yield mark("torn", trouble=contents.trouble)


def _of_the_visit(view: View, contents: Contents) -> Iterator[Mark]:
    state, mode = view.state, str(contents.header["session"]["mode"])
    if mode in ("drill", "demo"):
        yield mark(mode)
    if broken := [(e.what.hold, e.n) for e in state.history if isinstance(e.what, Broke)]:
        holds = dict.fromkeys(hold for hold, _ in broken)
        yield mark("breach", holds=_list(holds), events=_list(n for _, n in broken))
    yield from _signed(view)
    if back := went_back(state.history):
        yield mark("clock-back", events=_list(back))
    yield from _paced(state)
    yield from _settings(view)
    for used in state.used:
        at = next((e.at for e in state.history if e.n == used.n), "")
        if used.calibrated_until and at[:10] > used.calibrated_until:
            yield mark("out-of-date", instrument=used.name, until=used.calibrated_until)
    for waiver in state.waivers:
        yield mark("waived", check=waiver.finding.key, why=waiver.why)
    if state.review and state.review.outcome == "sent back":
        yield mark("sent-back", by=state.review.by, why=state.review.why)


def _failing(view: View) -> Iterator[Hold]:
    """The holds that fail, each since when; what only sums up others is not told."""
    signed = view.state.signature.outcome if view.state.signature else ""
    for finding in view.findings:
        if finding.failed and finding.severity == "hold" and finding.id not in CONCLUDING:
            since = _since(view.state.history, finding)
            yield Hold(finding.key, finding.text, since, view.state.power, signed)


def _since(history: Sequence[Event], finding: Finding) -> str:
    """From when on it failed without a break as it was shown then; else when what it rests on was known."""
    since = known = ""
    for event in history:
        if event.n in finding.rests_on:
            known = event.at
        for verdict in event.verdicts:
            if verdict.startswith(f"{finding.key} "):
                fails = verdict.removeprefix(f"{finding.key} ") in FAILS
                since = (since or event.at) if fails else ""
    return since or known or history[0].at


def _signed(view: View) -> Iterator[Mark]:
    signature = view.state.signature
    open_ = dict.fromkeys(f.id for f in view.findings if f.open and f.id not in CONCLUDING)
    if signature is None:
        return
    if signature.outcome == "commissioned" and open_:
        yield mark("signed-open", checks=_list(open_))
    elif signature.outcome != "commissioned":
        yield mark("not-commissioned", checks=_list(open_) or "nothing is open")


def _paced(state: State) -> Iterator[Mark]:
    """Measured entries one after another, faster than hands are."""
    figures = rules()["seconds-apart"].figures
    run = longest = 1
    before: Event | None = None
    for event in state.history:
        if _reading(event) is None:
            before = None
            continue
        close = before is not None and abs(_s(event.at) - _s(before.at)) < figures["seconds"]
        run = run + 1 if close else 1
        longest, before = max(longest, run), event
    if longest >= figures["readings"]:
        yield mark("seconds-apart", count=longest, seconds=f"{figures['seconds']:g}")


def _s(at: str) -> float:
    return datetime.fromisoformat(at).timestamp()


def _reading(event: Event) -> Entered | None:
    """The reading that an event is; None where no instrument took it."""
    what = event.what
    field = field_of(what.field) if isinstance(what, Entered) else None
    return what if isinstance(what, Entered) and field is not None and field.measured else None


def _settings(view: View) -> Iterator[Mark]:
    ledger = view.ledger
    unread, differ = [], []
    for setting, address in view.equipment.places():
        acts = ledger.acts_on(setting.id, address)
        wrote = [a for a in acts if a.kind == "wrote"]
        back = [a for a in acts if a.kind == "read_back" and wrote and a.n > wrote[-1].n]
        if wrote and not back:
            unread.append(f"{setting.id}@{address}")
        elif back and back[-1].shown != wrote[-1].shown and not ledger.no_value(setting.id, wrote[-1].shown):
            differ.append(f"{setting.id}@{address}")
    if unread and view.state.signature is not None:
        yield mark("not-read-back", places=_list(unread))
    if differ:
        yield mark("read-back-differs", places=_list(differ))


def _seals(contents: Contents, signers: Path | None) -> tuple[tuple[str, ...], list[Mark]]:
    """Each seal in words, and those that are false; without a signers file none is looked at."""
    sealed = [event for event in contents.events if event["kind"] == "sealed"]
    if not sealed:
        return (), []
    if signers is None:
        return tuple(f"event {event['n']}: not looked at" for event in sealed), []
    seals = seals_of(contents.events, signers)
    false = [mark("false-seal", seal=seal.told) for seal in seals if seal.false]
    return tuple(seal.told for seal in seals), false


def _row(
    contents: Contents,
    view: View,
    name: str,
    digest: str,
    marks: Sequence[Mark],
    seals: tuple[str, ...],
    holds: tuple[Hold, ...],
) -> Row:
    session: Mapping[str, Any] = contents.header["session"]
    state = view.state
    history = state.history
    return Row(
        name,
        digest,
        str(contents.chain.value),
        contents.trouble,
        str(session["mode"]),
        str(session["id"]),
        str(session.get("follows", "")),
        state.text("identity.site") or "",
        view.equipment.unit.id,
        state.text("identity.technician") or str(session["opened_by"]),
        history[0].at if history else "",
        history[-1].at if history else "",
        len(history),
        state.signature.outcome if state.signature else "",
        state.review.outcome if state.review else "",
        seals,
        tuple(dict.fromkeys(f.id for f in view.findings if f.failed and f.id not in CONCLUDING)),
        tuple(dict.fromkeys(f.id for f in view.findings if f.open and f.id not in CONCLUDING)),
        tuple(f"{w.finding.key}: {w.why}" for w in state.waivers),
        sum(isinstance(e.what, Broke) for e in history),
        tuple(_found_wrong(view)),
        _readings(history),
        holds,
        contents.link,
        _ordered(marks),
    )


def _found_wrong(view: View) -> Iterator[str]:
    """Settings that were found otherwise than they were left."""
    for setting, address in view.equipment.places():
        found = view.ledger.acts_on(setting.id, address, "found")
        if found and view.ledger.shown(setting.id, address) != found[0].shown:
            yield f"{setting.id}@{address}"


def _readings(history: Sequence[Event]) -> str:
    """A digest of the first measured readings, by which copies are found; empty where there are few."""
    least = int(rules()["repeated"].figures["readings"])
    taken = [f"{r.field}={r.typed}" for r in map(_reading, history) if r is not None and number_of(r.value)]
    return sha256("\n".join(taken[:least]).encode()).hexdigest()[:24] if len(taken) >= least else ""


def _ordered(marks: Sequence[Mark]) -> tuple[Mark, ...]:
    return tuple(sorted(marks, key=lambda m: -m.weight))


def _list(things: Any) -> str:
    every = [str(thing) for thing in things]
    more = f" and {len(every) - LISTED} more" if len(every) > LISTED else ""
    return ", ".join(every[:LISTED]) + more
