"""The job in a few facts, its outcome in a sentence, and the record: chain, seals, what was taken back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from asleft.checks import CONCLUDING
from asleft.journal import Chain
from asleft.journal.seals import MEANING
from asleft.review.report.words import counted, listed, when
from asleft.session.payloads import Retracted, Reviewed, Sealed, Signed
from asleft.session.state import went_back
from asleft.visit import RULES

if TYPE_CHECKING:
    from asleft.journal import Contents
    from asleft.review.report.given import Given
    from asleft.visit import View

Fact = tuple[str, str]


def outcome(view: View, labels: Mapping[str, str]) -> str:
    """How the visit came out, in one sentence."""
    signature = view.state.signature
    open_ = tuple(labels.get(f.key, f.key) for f in view.findings if f.open and f.id not in CONCLUDING)
    still = f"{counted(len(open_), 'finding')} still open: {listed(open_, 4)}" if open_ else "nothing is open"
    if signature is None:
        return f"Not signed: {still}."
    at = when(next(event.at for event in view.state.history if event.n == signature.n))
    return f"{signature.outcome.capitalize()}, signed by {signature.by} on {at}; {still}."


def notices(view: View | None, contents: Contents, given: Given) -> Iterator[str]:
    """What whoever reads the page has to know first of all."""
    last = len(contents.events)
    if contents.chain is Chain.BROKEN:
        yield f"This record is BROKEN. {contents.trouble}"
    elif contents.chain is Chain.TORN:
        yield f"This record is TORN. {contents.trouble}"
    elif contents.trouble:
        yield f"This record is not what this program wrote. {contents.trouble}"
    if view is None:
        yield "Nothing in the file could be verified, so nothing is reported of it."
    elif contents.chain is not Chain.WHOLE:
        yield f"What follows is verified up to event {last}; what the file holds beyond that is not reported."
    if bad := [seal for seal in given.seals if seal.false]:
        yield f"{counted(len(bad), 'seal')} of this record cannot be relied on; see the chain and the seals."
    if given.names_out:
        yield "Names of persons and of the site were left out of this report; the record itself holds them."
    mode = str(contents.header["session"]["mode"]) if contents.header else ""
    if mode == "demo":
        yield "This was a demonstration on an invented site with a virtual unit, not a job."
    elif mode == "drill":
        yield "This was a drill with a virtual unit, not a job."


def job(view: View, contents: Contents, given: Given) -> Iterator[Fact]:
    """Where, what, who, when, and how the record stands."""
    state, unit = view.state, view.equipment.unit
    header = contents.header["session"]
    yield "Site", state.text("identity.site") or "not told"
    yield "Unit", f"{unit.maker} {unit.model}"
    plate = (
        ("Serial number", "identity.serial"),
        ("Orientation", "identity.orientation"),
        ("Heater kit", "identity.kit"),
        ("Outdoor unit", "identity.outdoor"),
    )
    yield from ((word, said) for word, id in plate if (said := state.text(id)))
    yield "Technician", state.text("identity.technician") or str(header["opened_by"])
    if state.history:
        yield "First entry", when(state.history[0].at)
        yield "Last entry", when(state.history[-1].at)
    yield "Record", _whole(contents)
    yield "Signed", _signed(view)
    yield "Sealed", _sealed(view, given)
    for event in state.history:
        if isinstance(event.what, Reviewed):
            yield "Reviewed", f"{event.what.outcome} by {event.by}, {when(event.at)}: {event.what.why}"
    if follows := header.get("follows"):
        yield "Follows", f"session {follows}"


def _whole(contents: Contents) -> str:
    words = {
        Chain.WHOLE: "whole: every byte is verified. Entries cut off at its end would not show",
        Chain.TORN: "torn: the last entry was not completely written",
        Chain.BROKEN: "BROKEN: something in it was changed",
    }
    return words[contents.chain]


def _signed(view: View) -> str:
    signature = view.state.signature
    if signature is not None:
        return f"yes, {signature.outcome}"
    once = any(isinstance(event.what, Signed) for event in view.state.history)
    return "no longer: something was entered after the signature" if once else "no"


def _sealed(view: View, given: Given) -> str:
    """Up to where the newest seal goes, and how it was looked at."""
    if not given.seals:
        return "no"
    seal = given.seals[-1]
    later = [e for e in view.state.history if e.n > seal.event and not isinstance(e.what, Sealed | Reviewed)]
    words = f"events 1 to {seal.of}, {seal.result}" + (f", {seal.who}" if seal.who else "")
    return words + (f"; {counted(len(later), 'event')} after it" if later else "")


def chain(view: View | None, contents: Contents, given: Given) -> Iterator[Fact]:
    """What tells this file from any other, and how far it is verified."""
    yield "File", "name left out" if given.names_out else given.name
    yield "SHA-256 of the file", given.sha256
    yield "Bytes", str(given.size)
    yield "Chain", _whole(contents) + (f". {contents.trouble}" if contents.trouble else "")
    yield "Events verified", str(len(contents.events))
    if contents.link:
        yield "Last link verified", contents.link
    if contents.header:
        header = contents.header["session"]
        yield "Session", str(header["id"])
        yield "Written by", str(header["app"])
        yield "Rules", f"edition {header['rules']} when opened; judged here by edition {RULES}"
        yield "Equipment file", f"SHA-256 {contents.header['equipment']['sha256']}"
    if view is not None and (back := went_back(view.state.history)):
        yield "Clock", f"went back before {counted(len(back), 'event')}: {listed(tuple(map(str, back)))}"


def taken_back(view: View) -> Iterator[Fact]:
    """Events that were taken back, with the reason; a record never loses them."""
    kinds = {event.n: event.kind.replace("_", " ") for event in view.state.history}
    for event in view.state.history:
        what = event.what
        if isinstance(what, Retracted):
            yield f"Event {what.of}, {kinds.get(what.of, 'unknown')}", f"{what.why} (event {event.n})"


def sealed(given: Given) -> Iterator[str]:
    """Every seal in words, and what a seal proves."""
    yield from (seal.told for seal in given.seals)
    yield MEANING if given.seals else "No seal was made."
