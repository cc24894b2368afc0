"""What the sign-off says: what is open, what may be waived, the signature and its seal, remarks."""

from __future__ import annotations

from asleft.face.rows import Row, rows
from asleft.face.rows.signoff import MOST_SEALS
from asleft.journal.seals import MEANING
from asleft.session.acts import parse
from asleft.session.fields import PANES
from checks.visits import Change, happens, say
from face.stages import BEGUN, CHOSEN, DONE, noted, row, seen

CAUTION = "Leave it safe: whoever comes next trusts what you sign."
OPEN_ELEMENT = say("electrical.stage.2.current", "20 A")
SIGNED = happens("signed", outcome="commissioned")


def sealed(of: int) -> Change:
    """A seal of everything up to an event."""
    return happens("sealed", of=of, signature=["x"])


def signature(*details: str, **more: object) -> Row:
    """The row of the signature."""
    return Row(
        parse("sign"),
        "Signature",
        group="Signing",
        help="commissioned, or not commissioned. Any later change makes it unsigned.",
        choices=("commissioned", "not commissioned"),
        details=details,
        caution=CAUTION,
        findings=("SO-2 unit", "SO-3 unit"),
        **more,  # type: ignore[arg-type]
    )


def test_with_nothing_open_the_signature_waits_with_its_outcome() -> None:
    """Behind the questions of the sign-off, before the remark; no seal before a signature."""
    view = seen(DONE)
    told = rows(view, "signoff", "ip")
    assert [r.left for r in told] == [
        "signoff.cleared",
        "signoff.holes_plugged",
        "signoff.owner_shown",
        "signoff.directory",
        "sign",
        "note",
    ]
    assert told[-2] == signature(
        "Every hold has passed, every correct has passed or is waived.",
        f"{len(view.state.entries)} entries; 7 settings written, 10 read back.",
        prefill="commissioned",
    )
    assert told[-1] == Row(
        parse("note"), "Add a remark", group="Remarks", help="Anything that the next person should know."
    )


def test_what_is_open_is_counted_and_listed_and_what_may_be_waived_follows() -> None:
    """The signature says what it would stand for: what is open, and what was only told."""
    view = seen(DONE, OPEN_ELEMENT, say("electrical.ground.resistance", "0.9 ohm"))
    told = rows(view, "signoff", "ip")
    open_ = [f for f in view.findings if f.open and f.id not in ("SO-2", "SO-3", "SO-4", "SO-5")]
    listed = told[: len(open_)]
    assert [r.findings for r in listed] == [(f.key,) for f in open_]
    assert [r.group for r in listed] == [f"Open: {len(open_)}", *[""] * (len(open_) - 1)]
    assert [r.verdict for r in listed] == ["FAIL" if f.failed else "open" for f in open_]
    assert {"FAIL", "open"} == {r.verdict for r in listed}
    unmeasured = [f for f in open_ if f.severity == "correct" and not f.failed]
    assert unmeasured
    assert [r.left for r in listed if r.act] == [
        f"mended:{f.name}" if f.failed else f"waive:{f.name}" for f in open_ if f.failed or f in unmeasured
    ]
    waivers = [r for r in told[len(listed) :] if r.left.startswith("waive:")]
    assert [r.left for r in waivers] == ["waive:EL-15/stage.2", "waive:HS-3/unit", "waive:HS-6/unit"]
    assert told.index(waivers[0]) == len(listed)
    found = row(view, "sign", "signoff")
    told_only = [f.id for f in view.findings if f.severity == "advise" and f.failed]
    assert "EL-13" in told_only
    assert found.details == (
        f"Open: EL-15 stage.2 fail and {len(open_) - 1} more.",
        f"{len(view.state.entries)} entries; 7 settings written, 10 read back.",
        f"Told, not binding: {', '.join(told_only)}.",
    )
    assert (found.prefill, found.now, found.verdict, found.done) == ("", "", "", False)


def test_a_waiver_stands_on_what_is_signed() -> None:
    """It is no longer open, and named with its key."""
    waive = happens("waived", id="EL-15", subject="stage.2", why="part on order")
    view = seen(DONE, OPEN_ELEMENT, waive)
    assert "Waived: EL-15 stage.2." in row(view, "sign", "signoff").details
    assert not any(r.findings == ("EL-15 stage.2",) for r in rows(view, "signoff", "ip"))


def test_before_anything_is_done_everything_is_open() -> None:
    """Nothing was written, so nothing was read back."""
    view = seen(BEGUN)
    found = row(view, "sign", "signoff")
    assert found.details[1:] == ("0 entries; 0 settings written, 0 read back.",)
    first = rows(view, "signoff", "ip")[0]
    assert first.group == f"Open: {sum(r.verdict == 'open' for r in rows(view, 'signoff', 'ip'))}"


def test_a_setting_written_twice_counts_once() -> None:
    """What the signature stands for are settings, not acts."""
    again = happens("wrote", setting="trail", address="unit", shown="90")
    back = happens("read_back", setting="trail", address="unit", shown="90")
    found = row(seen(DONE, again, back), "sign", "signoff")
    assert any("7 settings written, 10 read back." in line for line in found.details)


def test_signed_it_says_as_what() -> None:
    """And a seal may follow."""
    view = seen(DONE, SIGNED)
    assert row(view, "sign", "signoff") == signature(
        "Every hold has passed, every correct has passed or is waived.",
        f"{len(view.state.entries)} entries; 7 settings written, 10 read back.",
        now="commissioned",
        verdict="signed",
        done=True,
    )
    assert row(view, "seal", "signoff") == Row(
        parse("seal"),
        "Seal",
        help="The path of an OpenSSH key. Nobody has to seal; it may be done again.",
        details=(MEANING, "Whose key it was: asleft check FILE --signers ALLOWED_SIGNERS"),
    )


def test_a_seal_says_up_to_where_and_whether_anything_came_behind_it() -> None:
    """A review comes behind a seal and opens nothing; the newest seals are told of."""
    last = seen(DONE, SIGNED).state.last_n
    view = seen(DONE, SIGNED, sealed(last))
    event = view.state.history[-1]
    found = row(view, "seal", "signoff")
    assert (found.now, found.verdict, found.done) == (f"1 to {last}", "sealed", True)
    assert found.details == (
        MEANING,
        f"Event {last + 1} seals 1 to {last}: Ada, {event.at}.",
        "Whose key it was: asleft check FILE --signers ALLOWED_SIGNERS",
    )
    reviewed = seen(DONE, SIGNED, sealed(last), happens("reviewed", outcome="accepted", why="good"))
    assert row(reviewed, "seal", "signoff").verdict == "sealed"
    again = seen(DONE, SIGNED, sealed(last), SIGNED)
    assert (row(again, "seal", "signoff").now, row(again, "seal", "signoff").verdict) == (
        f"1 to {last}",
        "entries after it",
    )
    many = seen(DONE, SIGNED, *(sealed(last + n) for n in range(5)))
    told = row(many, "seal", "signoff").details
    assert len(told) == MOST_SEALS + 2 == 5
    assert told[1].startswith(f"Event {last + 3} seals 1 to {last + 2}: ")
    assert told[3].startswith(f"Event {last + 5} seals 1 to {last + 4}: ")


def test_remarks_stand_with_who_made_them_and_what_they_are_about() -> None:
    """A plain one has no word; one of a repair, a refusal or a breach says what of."""
    notes = (
        noted("the door sticks"),
        noted("lug tightened", mends="EL-2 unit"),
        noted("no ladder", refused="electrical.line.l1_l2"),
        noted("cover was off", broke="EL-19"),
        noted("second hint", hint=2),
        noted("open element at 2", reports="element-open@2", evidence=(3,)),
    )
    view = seen(DONE, *notes)
    told = [r for r in rows(view, "signoff", "ip") if not r.left and r.help.startswith("Event")]
    first = seen(DONE).state.last_n + 1
    assert told[0] == Row(
        None,
        "the door sticks",
        group="Remarks",
        help=f"Event {first}, Ada.",
        details=("the door sticks",),
    )
    assert [(r.verdict, r.details, r.group) for r in told[1:]] == [
        ("mended", ("lug tightened", "About EL-2 unit"), ""),
        ("cannot", ("no ladder", "About electrical.line.l1_l2"), ""),
        ("breach", ("cover was off", "About EL-19"), ""),
        ("hint", ("second hint",), ""),
        ("reported", ("open element at 2",), ""),
    ]
    assert rows(view, "signoff", "ip")[-1].group == ""


def test_only_the_sign_off_signs() -> None:
    """No other pane has its rows."""
    for name in PANES[:-1]:
        assert not {"sign", "seal", "note"} & {r.left for r in rows(seen(CHOSEN), name, "ip")}
