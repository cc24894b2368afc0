"""The one thing to do next, word by word: the whole of `next.toml`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import tomli

from asleft.equipment.model import Equipment
from asleft.guide import Next
from asleft.session.state import fold_all
from asleft.visit.view import look
from checks.visits import BLOWER, Change, all_of, carry_out, choose, happens, prove_dead, say, undone
from face.stages import CHOSEN, DONE, ISOLATED, noted, seen, state_at
from support import Told, demo_unit

NEXT = tomli.loads(Path(__file__).with_name("next.toml").read_text("utf-8"))["next"]
EMPTY: dict[str, Any] = {
    **dict.fromkeys(("do", "text", "why", "pane", "enter", "field", "setting", "address", "topic"), ""),
    **dict.fromkeys(("value", "state", "code", "outcome", "finding"), ""),
    "options": [],
    "keyed": [],
}
CHANGES: dict[str, Change] = {
    "the clamp reads true": say("electrical.clamp.true_rms", "yes"),
    "power off": happens("powered", state="off"),
    "power on": happens("powered", state="on"),
    "isolated": happens("acknowledged", id="EL-1"),
    "dead": prove_dead,
    "clear": happens("acknowledged", id="EL-19"),
    "ready": happens("acknowledged", id="EL-18"),
    "power cannot be switched": noted("seized", refused="power"),
    "a remark": noted("asked the owner"),
    "stage 2 draws 20 A": say("electrical.stage.2.current", "20 A"),
    "stage 2 cannot be mended": noted("no part", refused="EL-15 stage.2"),
    "HS-3 cannot be mended": noted("no part", refused="HS-3 unit"),
    "HS-6 cannot be mended": noted("no part", refused="HS-6 unit"),
    "line reads 205 V": say("electrical.line.l1_l2", "205 V"),
    "EL-2 cannot be mended": noted("no", refused="EL-2 unit"),
    "EL-4 l1 cannot": noted("no", refused="EL-4 leg.l1"),
    "EL-4 l2 cannot": noted("no", refused="EL-4 leg.l2"),
    "ground mended": noted("tightened", mends="EL-13 unit", affects=("electrical.ground.resistance",)),
    "ground reads 0.9 ohm": say("electrical.ground.resistance", "0.9 ohm"),
    "ground cannot be read": noted("no room", refused="electrical.ground.resistance"),
    "no ground": undone("entered", field="electrical.ground.resistance"),
    "no supply static": undone("entered", field="blower.static.supply"),
    "supply static cannot be read": noted("no hole", refused="blower.static.supply"),
    "someone told": say("signoff.told", "the owner"),
    "made safe": say("signoff.made_safe", "isolated"),
    "heat off": say("signoff.made_safe", "heat off"),
    "tagged": happens("entered", field="signoff.tagged", typed="yes", value=True),
    "nothing left": say("signoff.cleared", "yes"),
    "holes plugged": say("signoff.holes_plugged", "yes"),
    "signed": happens("signed", outcome="commissioned"),
    "signed as not": happens("signed", outcome="not commissioned"),
    "auxiliary heat chosen off": choose("auxiliary", "off"),
    "tier chosen": choose("tier", "firm"),
    "tier chosen full": choose("tier", "full"),
    "carried out": carry_out,
    "30 seconds chosen": choose("run-on", "s-30"),
    "path fails": say("heat.path.normal", "no"),
    "path cannot be mended": noted("no part", refused="HS-10 unit"),
    "wrong read back": happens("read_back", setting="trail", address="unit", shown="60"),
    "trail written": happens("wrote", setting="trail", address="unit", shown="90"),
    "no meter": undone("used", field="identity.instrument.meter"),
    "another meter": happens(
        "used",
        field="identity.instrument.meter",
        instrument="m2",
        name="m2",
        accuracy=["voltage 1 %"],
        calibrated_until="2033-01-31",
    ),
    "another model": say("identity.model", "Another"),
    "no serial": undone("entered", field="identity.serial"),
    "owner not shown": undone("entered", field="signoff.owner_shown"),
    "trail cannot be reached": noted("no slate", refused="SQ-3 setting.trail@unit"),
    "patience found": happens("found", setting="patience", address="unit", shown="notch 5"),
    "20 A with nothing called": say("electrical.circuit.1.no_call.l1", "20 A"),
    "EL-22 cannot be mended": noted("no part", refused="EL-22 circuit.1"),
    "bank size stays": noted("as found", refused="SQ-4 setting.bank-size@system"),
    "no tag": happens("entered", field="signoff.tagged", typed="no", value=False),
    "bank use cannot be reached": noted("no slate", refused="SQ-3 setting.bank-use@system"),
    "a filter drop of 0.40": say("blower.static.filter", "0.40 inH2O"),
}


@pytest.mark.parametrize(
    "case", NEXT, ids=[f"{case['at']}: {', '.join(case.get('after', ()))}" for case in NEXT]
)
def test_next_is_one_thing_with_its_reason_and_its_place(case: dict[str, Any]) -> None:
    """What is said, why, on which pane, and the act that does it; the rest is empty."""
    found = seen(case["at"], *(CHANGES[name] for name in case.get("after", ()))).next
    wanted = {**EMPTY, **{key: value for key, value in case.items() if key in EMPTY}}
    told = {key: getattr(found, key) for key in EMPTY}
    told["options"], told["keyed"] = list(found.options), [list(part) for part in found.keyed]
    assert told == wanted


def _otherwise(setting: str, **update: Any) -> Equipment:
    """The demo unit, one of its settings otherwise."""
    unit = demo_unit()
    settings = tuple(s.model_copy(update=update) if s.id == setting else s for s in unit.setting)
    return unit.model_copy(update={"setting": settings})


def test_a_setting_inside_is_looked_at_and_written_while_power_is_off() -> None:
    """Before it comes on; hands in the cabinet are locked until it is isolated."""
    inside = _otherwise("trail", power="off")
    true = CHANGES["the clamp reads true"]
    found = seen(ISOLATED, true, equipment=inside).next
    assert (found.do, found.enter, found.pane) == ("look", "found:trail@unit", "sequence")
    found = seen(CHOSEN, equipment=inside).next
    assert (found.do, found.enter) == ("write", "wrote:patience@unit")
    off = (CHANGES["power off"], CHANGES["dead"], CHANGES["isolated"])
    found = seen(CHOSEN, *off, equipment=inside).next
    assert (found.do, found.enter) == ("write", "wrote:trail@unit")
    found = seen(CHOSEN, CHANGES["power off"], equipment=inside).next
    assert (found.do, found.enter) == ("enter", "electrical.dead.function")
    found = seen(CHOSEN, CHANGES["power off"], CHANGES["dead"], equipment=inside).next
    assert (found.do, found.enter) == ("acknowledge", "acknowledge:EL-1")


def test_a_value_that_waits_for_power_has_it_switched() -> None:
    """Off, then on, once all is written; the plan says why. Where it cannot be, something else is next."""
    history = state_at(DONE).history
    last = max(n for n, event in enumerate(history) if event.kind == "wrote")
    off = next(n for n in range(last, len(history)) if history[n].kind == "powered")

    def after(n: int, *more: Change) -> Next:
        told = Told(demo_unit())
        told.state = fold_all(history[:n])
        for field in ("identity.technician", "identity.site"):
            told.enter(field, "x")
        for change in more:
            change(told)
        return look(told.equipment, told.state).next

    assert after(last + 1).enter == "electrical.blower.current"
    found = after(last + 1, all_of(BLOWER))
    assert (found.do, found.enter, found.state, found.pane, found.why) == (
        "power",
        "power",
        "off",
        "sequence",
        "The plan's next step.",
    )
    assert after(off, all_of(BLOWER)).state == "off"
    assert after(off + 1, all_of(BLOWER)).enter == "acknowledge:EL-19"
    on = after(off + 1, CHANGES["clear"], all_of(BLOWER))
    assert (on.do, on.state, on.why) == ("power", "on", "The plan's next step.")
    assert after(last + 1, all_of(BLOWER), CHANGES["power cannot be switched"]).do != "power"
