"""What a row of a setting says: found, left, meant, its step now, and how to do it."""

from __future__ import annotations

from dataclasses import replace

from asleft.face.rows import Row, rows
from asleft.face.rows.sequence import sequence_rows
from asleft.session.acts import Look, Write, parse
from checks.visits import Change, happens
from face.stages import BEGUN, CHOSEN, DONE, IDLE, PAPERS, READ, WRITTEN, noted, row, seen

CAUTION = "Changing a setting can start the unit: tools and people clear."
FLAP = "At the air handler's panel, lift the flap and hold the left pad until TABS lights."
DOWN = "Let the flap down; TABS goes out."
CLOCK = "Step to the tab with the clock."
LOOK, WRITE, BACK = (
    "Type what the control shows, before anything is written.",
    "Set it, then type what the control shows.",
    "Ask the control again and type what it shows.",
)
PATIENCE = {
    "label": "Patience",
    "caution": CAUTION,
}
WROTE_TRAIL = happens("wrote", setting="trail", address="unit", shown="90")
WRONG = happens("read_back", setting="trail", address="unit", shown="60")


def at(stage: str, setting: str, *changes: Change) -> Row:
    """The row of a setting."""
    return next(r for r in rows(seen(stage, *changes), "sequence", "ip") if setting in r.left)


def test_before_anything_is_known_a_setting_is_looked_at() -> None:
    """Where it lives, how to get there, and the code that asks for it."""
    assert at(IDLE, "patience") == Row(
        parse("found:patience@unit"),
        verdict="look",
        help=LOOK,
        details=(
            "Read “Patience” at Air handler, as found.",
            "Key: LLLL",
            FLAP,
            CLOCK,
            "Press the pads in the order of the asking code, and count the notches that are lit.",
            DOWN,
        ),
        findings=("SQ-4 setting.patience@unit",),
        **PATIENCE,  # type: ignore[arg-type]
    )


def test_looked_at_it_shows_what_was_found_and_nothing_as_left() -> None:
    """The value, not the display; nothing is meant until somebody chooses."""
    found = at(READ, "patience")
    assert (found.left, found.found, found.now, found.bar) == ("read_back:patience@unit", "45", "", "")
    assert (found.verdict, found.done) == ("looked at", True)


def test_what_is_to_be_written_says_what_is_keyed_and_what_is_shown_then() -> None:
    """The value meant stands in its column."""
    assert at(CHOSEN, "patience") == Row(
        parse("wrote:patience@unit"),
        found="45",
        bar="16",
        verdict="write",
        help=WRITE,
        details=(
            "Set “Patience” to 16 at Air handler by keying LRRR.",
            "Key: LRRR",
            "The control then shows: notch 3",
            FLAP,
            CLOCK,
            "Press the pads in the order of the code: L the left one, R the right one.",
            "Wait until the clock stops blinking.",
            DOWN,
        ),
        findings=("SQ-1 setting.patience@unit", "SQ-3 setting.patience@unit"),
        done=True,
        **PATIENCE,  # type: ignore[arg-type]
    )


def test_a_setting_without_a_code_has_no_keys() -> None:
    """Its tab is stepped to."""
    found = at(CHOSEN, "frost-gate")
    assert found == Row(
        parse("wrote:frost-gate@unit"),
        "Tab 16, frost gate",
        found="50",
        bar="30",
        verdict="write",
        help=WRITE,
        details=(
            "Set “Tab 16, frost gate” to 30 at Air handler.",
            FLAP,
            "Step to the tab with the left pad.",
            "Step with the right pad until the value wanted is shown.",
            "Hold the right pad until the lamp beside it goes out: only then is the value stored.",
            DOWN,
        ),
        caution=CAUTION,
        findings=("SQ-1 setting.frost-gate@unit", "SQ-3 setting.frost-gate@unit"),
        done=True,
    )


def test_what_must_wait_for_another_is_not_written_yet() -> None:
    """It says so, and asks for nothing but what the control shows."""
    found = at(CHOSEN, "air-letter")
    assert (found.left, found.found, found.bar, found.verdict) == (
        "read_back:air-letter@unit",
        "c",
        "d",
        "to write",
    )


def test_what_holds_already_what_is_meant_passes_unwritten() -> None:
    """Before anything is written."""
    found = at(CHOSEN, "listening")
    assert (found.left, found.found, found.now, found.bar, found.verdict, found.help) == (
        "read_back:listening@unit",
        "wall",
        "",
        "wall",
        "pass",
        BACK,
    )


def test_written_it_waits_to_be_read_back() -> None:
    """As left from now on, also what was not written itself."""
    written, spared = at(WRITTEN, "patience"), at(WRITTEN, "listening")
    assert (written.left, written.found, written.now, written.bar, written.verdict) == (
        "read_back:patience@unit",
        "45",
        "16",
        "16",
        "read back",
    )
    assert written.details[:3] == (
        "Read back “Patience” at Air handler: notch 3.",
        "Key: LLLL",
        FLAP,
    )
    assert (spared.found, spared.now, spared.verdict) == ("wall", "wall", "read back")


def test_read_back_right_it_passes() -> None:
    """And what it was found at stands beside it."""
    found = at(DONE, "trail")
    assert (found.left, found.found, found.now, found.bar, found.verdict) == (
        "read_back:trail@unit",
        "60",
        "90",
        "90",
        "pass",
    )


def test_read_back_wrong_it_fails_and_is_written_once_more() -> None:
    """Wrong a second time, nothing more is written: it is to be mended."""
    once, twice = at(WRITTEN, "trail", WRONG), at(WRITTEN, "trail", WRONG, WROTE_TRAIL, WRONG)
    assert (once.left, once.now, once.verdict) == ("wrote:trail@unit", "60", "FAIL")
    assert once.details[0] == "Set “Tab 9, blower trail” to 90 at Air handler once more."
    assert (twice.left, twice.now, twice.verdict) == ("read_back:trail@unit", "60", "FAIL")
    assert seen(WRITTEN, WRONG, WROTE_TRAIL, WRONG).next.enter == "mended:SQ-3/setting.trail@unit"


def test_a_second_look_after_a_write_is_no_longer_as_found() -> None:
    """What was found stays what it was before the first write."""
    late = happens("found", setting="listening", address="unit", shown="far")
    found = at(WRITTEN, "listening", late)
    assert (found.found, found.now) == ("wall", "far")


def test_what_was_written_without_a_plan_is_no_pass() -> None:
    """Nothing chosen, nothing meant: it is left otherwise than it was found for no reason on record."""
    back = happens("read_back", setting="trail", address="unit", shown="90")
    found = at(READ, "trail", WROTE_TRAIL, back)
    assert (found.found, found.now, found.bar, found.verdict) == ("60", "90", "", "FAIL")


def test_what_cannot_be_got_at_is_not_asked_for() -> None:
    """Its row takes what the control shows, should somebody get there."""
    refused = noted("the tab is missing", refused="SQ-3 setting.trail@unit")
    found = at(CHOSEN, "trail", refused)
    assert (found.left, found.verdict) == ("read_back:trail@unit", "to write")
    written = at(WRITTEN, "trail", refused)
    assert (written.left, written.now, written.verdict) == ("read_back:trail@unit", "90", "written")
    unseen = at(IDLE, "trail", refused)
    assert (unseen.left, unseen.help, unseen.verdict, unseen.done) == ("found:trail@unit", LOOK, "", False)


def test_every_setting_stands_under_its_address_and_power_last() -> None:
    """An address is headed by its label, once."""
    view = seen(BEGUN)
    told = list(sequence_rows(view, "ip"))
    assert [(r.label, r.group) for r in told if r.group] == [
        ("Card B, bank fitted", "Room control, whole system"),
        ("Tab 5, air letter", "Air handler"),
        ("Power at the unit", "Power"),
    ]
    assert [r.left.partition(":")[2].partition("@")[0] for r in told[:-1]] == [
        setting.id for setting, _ in view.equipment.by_address()
    ]
    assert told[-1] == row(view, "power", "sequence")


def test_the_step_that_is_next_is_the_one_its_row_takes() -> None:
    """Also where another of the same setting would come first by itself."""
    view = seen(WRITTEN)
    following = replace(view.next, do="write", act=Write("trail", "unit"), pane="sequence")
    told = {r.label: r for r in sequence_rows(replace(view, next=following), "ip")}
    assert told["Tab 9, blower trail"].left == "wrote:trail@unit"
    assert told["Tab 9, blower trail"].help == WRITE
    assert told["Patience"].left == "read_back:patience@unit"
    look = replace(following, do="look", act=Look("trail", "unit"))
    assert {r.label: r for r in sequence_rows(replace(view, next=look), "ip")}[
        "Tab 9, blower trail"
    ].left == ("found:trail@unit")


def test_a_code_in_parts_is_keyed_part_by_part_and_confirmed_elsewhere() -> None:
    """Each part on a line, the address named where it is another one."""
    view = seen(CHOSEN)
    code = next(c for c in view.equipment.code if c.setting == "patience" and c.value == "16")
    parts = code.model_copy(update={"write": ("LR", "RR"), "confirm": "LL", "confirm_at": "system"})
    codes = tuple(parts if c is code else c for c in view.equipment.code)
    there = seen(CHOSEN, equipment=view.equipment.model_copy(update={"code": codes}))
    found = next(r for r in rows(there, "sequence", "ip") if "patience" in r.left)
    assert found.details[:5] == (
        "Set “Patience” to 16 at Air handler by keying LR, then RR, and LL at Room control, whole system.",
        "Key: LR",
        "Then key: RR",
        "Then key at Room control, whole system: LL",
        "The control then shows: notch 3",
    )


def test_no_setting_is_done_before_it_was_looked_at() -> None:
    """Then every one is."""
    assert not any(r.done for r in sequence_rows(seen(PAPERS), "ip") if r.left != "power")
    assert all(r.done for r in sequence_rows(seen(READ), "ip"))
