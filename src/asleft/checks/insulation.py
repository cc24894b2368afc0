"""The check of the elements' insulation from the frame."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from asleft.checks.about import NONE_SAID, About
from asleft.checks.listing import check, stages

if TYPE_CHECKING:
    from asleft.checks.finding import Finding

LEAST_OHM = 1e6
"""Element to frame at 500 V dc (common practice)."""
DANGEROUS_OHM = 0.05e6
"""Below this an element is on the frame: its heat stays off (common practice)."""
READY = "electrical.insulation.electronics_off"


@check("EL-23", stages)
def insulation(a: About) -> Finding:
    """A stage's elements to the frame, where the maker allows the test.

    Only a bad reading takes heat away: without one it is not measured, and may be waived.
    """
    read = a.case.known(f"electrical.stage.{a.n}.to_frame") if a.subject != "unit" else None
    if read is None or read.value >= DANGEROUS_OHM:
        a.rule = replace(a.rule, severity="correct")
    kit = a.kit()
    if kit.insulation_test is None:
        return a.not_applicable(f"{NONE_SAID[:-1]} whether kit {kit.id} may be tested at 500 V.")
    if not kit.insulation_test:
        return a.not_applicable(f"The maker forbids an insulation test of kit {kit.id}.")
    field = f"electrical.stage.{a.n}.to_frame"
    a.rest_on(READY, field)
    a.have(READY, field)
    (ready,) = a.answers(READY)
    if not ready:
        return a.failed(
            "Tested with electronics connected: the reading is theirs, and they may be damaged.",
            do="Disconnect the electronics, look whether they still work, and measure again.",
        )
    (path,) = a.numbers(field)
    return a.judge(f"Stage {a.n} to the frame", path, "resistance", LEAST_OHM, None)
