"""Was everything entered at the right address, in the right order, and read back?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from asleft.checks.case import Case, check
from asleft.checks.finding import Finding

if TYPE_CHECKING:
    from asleft.equipment.model import Setting
    from asleft.sequence.plan import Step
    from asleft.session.state import Act


def _subject(setting: str, address: str) -> str:
    return f"setting.{setting}@{address}"


@check("SQ-1")
def as_found(case: Case) -> Iterator[Finding]:
    """As-found value recorded for every setting before it is written."""
    for setting, address in case.equipment.places():
        acts = case.ledger.acts_on(setting.id, address)
        found = next((a for a in acts if a.kind == "found"), None)
        wrote = next((a for a in acts if a.kind == "wrote"), None)
        subject, act = _subject(setting.id, address), f"found:{setting.id}@{address}"
        if found is None and wrote is None:
            yield case.not_measured(
                (act,), subject, f"{setting.label} was not looked at yet.", mendable=False
            )
        elif found is None or (wrote is not None and wrote.n < found.n):
            text = f"{setting.label} was written before anybody recorded what was there."
            do = "What was found is lost; note what is known of it, and have it waived."
            yield case.settled(False, text, (act,), subject, do=do, mendable=False)
        else:
            text = f"{setting.label} was found at {found.shown}."
            yield case.settled(True, text, (act,), subject, mendable=False, rests_on=(found.n,))
    if not case.equipment.setting:
        yield case.not_applicable("The unit has no settings on file.")


def _power_at(case: Case, n: int) -> str:
    before = [p for p in case.ledger.state.powered if p.n < n]
    return before[-1].state if before else "on"


@check("SQ-2")
def right_place(case: Case) -> Iterator[Finding]:
    """Written as planned: the value meant, in the right power state, after what it must follow."""
    meant, any_write = case.ledger.planned(), False
    for setting, address in case.equipment.places():
        writes = case.ledger.acts_on(setting.id, address, "wrote")
        if not writes:
            continue
        any_write = True
        wrong = list(_wrong_write(case, setting, address, writes[-1], meant.get((setting.id, address))))
        text = (
            f"{setting.label} was written "
            + ("; ".join(wrong) if wrong else "as planned, where planned")
            + "."
        )
        act = f"wrote:{setting.id}@{address}"
        do = "Write it again as the sequence says; put back what was written at the wrong place."
        yield case.settled(
            not wrong,
            text,
            (act,),
            _subject(setting.id, address),
            do=do,
            mendable=False,
            rests_on=(writes[-1].n,),
        )
    if not any_write:
        yield case.not_applicable("Nothing was written.")


def _wrong_write(case: Case, setting: Setting, address: str, act: Act, value: str | None) -> Iterator[str]:
    if value is None:
        yield "although nothing was planned for it"
    elif act.shown != value:
        yield f"as {act.shown} where {value} is planned"
    if _power_at(case, act.n) != setting.power:
        yield f"with power {_power_at(case, act.n)}, not {setting.power}"
    for id in setting.after:
        before = case.equipment.setting_of(id)
        for place in before.address if before else ():
            wrote = case.ledger.acts_on(id, place, "wrote")
            if (
                wrote
                and wrote[-1].n > act.n
                and place == address
                and value is not None
                and wrote[-1].n != act.n
            ):
                yield f"before {before.label if before else id}, which comes first"


def _step(case: Case, setting: str, address: str, do: str) -> Step | None:
    return next((s for s in case.plan if s.do == do and (s.setting, s.address) == (setting, address)), None)


@check("SQ-3")
def read_back(case: Case) -> Iterator[Finding]:
    """Read back equals what was meant, after a power cycle too where the unit needs one."""
    meant = case.ledger.planned()
    for setting, address in case.equipment.places():
        value = meant.get((setting.id, address))
        if value is not None:
            yield _read_back(case, setting, address, value)
    if not meant:
        yield case.not_applicable("Nothing is planned yet.")


def _read_back(case: Case, setting: Setting, address: str, value: str) -> Finding:
    subject, act = _subject(setting.id, address), f"read_back:{setting.id}@{address}"
    back, write = _step(case, setting.id, address, "read_back"), _step(case, setting.id, address, "write")
    acts = case.ledger.acts_on(setting.id, address)
    last = acts[-1] if acts else None
    if write is not None and write.failed:
        shows = last.shown if last else "nothing"
        text = f"{setting.label} does not keep {value}: written twice, it shows {shows}."
        do = "The control does not store it: mend or replace it, then write it again."
        return case.settled(False, text, (act,), subject, do=do, rests_on=(last.n,) if last else ())
    if last is not None and last.kind == "read_back" and last.shown != value:
        text = f"{setting.label} reads back {last.shown}, {value} was meant: write it once more."
        return case.settled(False, text, (act,), subject, mendable=False, rests_on=(last.n,))
    if write is not None and write.pending:
        return case.not_measured((act,), subject, f"{setting.label} is still to be written.", mendable=False)
    if back is not None and back.done and last is not None:
        text = f"{setting.label} reads back {value}."
        return case.settled(True, text, (act,), subject, mendable=False, rests_on=(last.n,))
    if last is not None and last.kind == "found" and last.shown == value and write is None and back is None:
        text = f"{setting.label} was found at {value} and left there."
        return case.settled(True, text, (act,), subject, mendable=False, rests_on=(last.n,))
    return case.not_measured((act,), subject, f"{setting.label} is still to be read back.", mendable=False)


@check("SQ-4")
def unchanged(case: Case) -> Iterator[Finding]:
    """Nothing that was not planned has changed."""
    meant = case.ledger.planned()
    any_left = False
    for setting, address in case.equipment.places():
        acts = case.ledger.acts_on(setting.id, address)
        found = [a for a in acts if a.kind == "found"]
        backs = [a for a in acts if a.kind == "read_back"]
        if not found or not backs:
            continue
        value = meant.get((setting.id, address))
        if value is not None and value != found[-1].shown:
            continue
        any_left = True
        same = backs[-1].shown == found[-1].shown
        text = f"{setting.label} is still {found[-1].shown}."
        if not same:
            text = f"{setting.label} was {found[-1].shown}, now reads {backs[-1].shown}; nobody planned that."
        finding = case.settled(
            same,
            text,
            (f"read_back:{setting.id}@{address}",),
            _subject(setting.id, address),
            do="Put it back, and look for what was written at the wrong place.",
            rests_on=(found[-1].n, backs[-1].n),
        )
        yield replace(finding, mendable=value is None)
    if not any_left:
        yield case.not_applicable("Nothing that should be unchanged was read back yet.")
