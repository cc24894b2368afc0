"""All that a report says, put together from a view and its file: the page and the message only write it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from asleft.review.report import entered, judged, record
from asleft.review.report.pictures import Picture, pictures
from asleft.review.report.safe import Safe, leaving_out

if TYPE_CHECKING:
    from asleft.journal import Contents
    from asleft.review.report.given import Given
    from asleft.visit import View


DIGITS = 16
"""Digits of a header's link that tell one session from another."""


@dataclass(frozen=True)
class Page:
    """A report. Its texts may be foreign: whatever writes them passes them through `safe`.

    `id` are the first digits of the header's link, empty where nothing is verified: unlike the name of a
    session they hold no text that anybody chose.
    """

    safe: Safe
    id: str
    date: str
    unit_id: str
    title: str
    outcome: str
    notices: tuple[str, ...]
    chain: tuple[record.Fact, ...]
    seals: tuple[str, ...]
    verify: tuple[str, ...]
    names_out: bool = False
    drill: bool = False
    job: tuple[record.Fact, ...] = ()
    panes: tuple[entered.Pane, ...] = ()
    tools: tuple[entered.Tool, ...] = ()
    choices: tuple[entered.Chosen, ...] = ()
    settings: tuple[entered.Place, ...] = ()
    findings: tuple[judged.Judged, ...] = ()
    beside: tuple[tuple[str, str], ...] = ()
    waivers: tuple[judged.Waived, ...] = ()
    breaches: tuple[judged.Breach, ...] = ()
    remarks: tuple[judged.Remark, ...] = ()
    pictures: tuple[Picture, ...] = ()
    workings: tuple[judged.Working, ...] = ()
    cautions: tuple[tuple[str, str], ...] = ()
    taken_back: tuple[record.Fact, ...] = ()


def page(view: View | None, contents: Contents, given: Given) -> Page:
    """The report of a file as far as it is verified; without a view it only says that nothing is."""
    safe = leaving_out(contents, given.seals) if given.names_out else Safe()
    notices = tuple(record.notices(view, contents, given))
    chain = tuple(record.chain(view, contents, given))
    if view is None:
        title = "Report of a record that cannot be verified"
        return Page(
            safe,
            "",
            "",
            "",
            title,
            "",
            notices,
            chain,
            ("None is looked at.",),
            given.verify,
            given.names_out,
        )
    state, unit, labels, system = view.state, view.equipment.unit, given.labels, given.system
    site = state.text("identity.site")
    where = (
        f"{site}: {unit.maker} {unit.model}" if site and not given.names_out else f"{unit.maker} {unit.model}"
    )
    return Page(
        safe,
        str(contents.header["chain"]["link"])[:DIGITS],
        state.history[0].at[:10] if state.history else "",
        unit.id,
        where,
        record.outcome(view, labels),
        notices,
        chain,
        tuple(record.sealed(given)),
        given.verify,
        given.names_out,
        bool(state.drilled),
        tuple(record.job(view, contents, given)),
        tuple(entered.panes(view, given.entered, system)),
        tuple(entered.tools(view)),
        tuple(entered.choices(view)),
        tuple(entered.settings(view)),
        tuple(judged.findings(view, labels, system)),
        tuple(judged.beside(view, labels)),
        tuple(judged.waivers(view, labels)),
        tuple(judged.breaches(view)),
        tuple(judged.remarks(view)),
        tuple(pictures(view, safe)),
        tuple(judged.workings(view, labels)),
        given.cautions,
        tuple(record.taken_back(view)),
    )
