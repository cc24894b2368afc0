"""A control whose blower settings mean no option here: one to begin with, then the readings tell."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from asleft.drill.classroom.reference import reference
from asleft.drill.technician import act
from asleft.session.acts import Choose
from asleft.session.readings import known
from drill.drills import begun, lesson_of

WRONG = ("orientation-setting-wrong", 1.0)


@pytest.mark.parametrize(
    ("seed", "where"), [(3, "firm.downflow"), (2, "hush.upflow"), (1, "mild.horizontal-right")], ids=str
)
def test_doing_what_is_next_ends_commissioned(seed: int, where: str) -> None:
    """And the statics on record as left were read off the tier that was set."""
    by = reference(lesson_of((*WRONG, where), seed=seed))
    assert by.outcome == "commissioned"
    assert not by.stuck
    assert by.view.estimate.tier == by.view.ledger.role_chosen("blower-tier").value  # type: ignore[union-attr]
    assert by.view.finding("BL-7 unit").verdict == "pass"  # type: ignore[union-attr]


def test_it_is_recommended_only_once_every_setting_was_seen(tmp_path: Path) -> None:
    """Before, nobody knows what is in force; the tier is the one nearest to design at that static."""
    visit, lesson = begun(tmp_path, lesson_of((*WRONG, "firm.downflow"), seed=3))
    topic = visit.equipment.equipment.role("blower-tier")
    assert topic is not None
    places = {
        (id, a)
        for o in topic.option
        for id in o.set
        for s, a in visit.equipment.equipment.places()
        if s.id == id
    }
    while visit.view.next.act != Choose(topic.id):
        seen = {(a.setting, a.address) for a in visit.view.ledger.acts}
        if not places <= seen:
            assert visit.view.forecast.topics[topic.id].recommended is None
        visit.submit(*act(visit.view, lesson.rig))
    following, ledger = visit.view.next, visit.view.ledger
    assert following.why.startswith("What the control shows means no option here")
    assert visit.view.estimate.tier is None
    design, total = known(ledger, "blower.design_airflow"), visit.view.estimate.total_static_pa
    assert design is not None
    assert total is not None

    altitude = known(ledger, "identity.altitude")
    assert altitude is not None
    # The standard atmosphere of the ASHRAE Handbook, Fundamentals (2017), ch. 1, eq. 3.
    ratio = (1.0 - 2.25577e-5 * altitude.value) ** 5.2559

    def off(option: str) -> float:
        chosen = ledger.option(topic, option)
        tier = ledger.equipment.tier(str(chosen.value)) if chosen else None
        assert tier is not None
        rows = [row for row in tier.at("cooling").rows if row.airflow_m3s is not None]
        statics, airflows = [row.static_pa for row in rows], [row.airflow_m3s for row in rows]
        airflow = np.interp(total.value / ratio, statics, airflows, left=np.inf, right=np.inf)
        return float(abs(airflow - design.value))

    assert following.value == min(following.options, key=off)
