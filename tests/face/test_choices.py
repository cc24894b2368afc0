"""What a row of a choice says: the option as found, what is left or only chosen, and every option."""

from __future__ import annotations

from dataclasses import replace

import pytest

from asleft.face.rows import Row, rows
from asleft.face.rows.choices import option_sentences, why_recommended
from asleft.session.acts import parse
from asleft.session.fields import PANES
from checks.visits import Change, carry_out, choose, happens
from face.stages import BEGUN, CHOSEN, DONE, IDLE, READ, WRITTEN, noted, row, seen

TIER_HELP = (
    "The tier that moves the design airflow against the ducts as they were built. Which letter selects it"
    " depends on the orientation."
)
OTHER = happens("wrote", setting="trail", address="unit", shown="90")


def written(*changes: Change) -> tuple[Change, ...]:
    """Choices carried out."""
    return (*changes, carry_out)


def test_before_anything_is_known_a_choice_says_what_is_still_needed() -> None:
    """By the labels of the fields that it waits for; nothing is found, left or recommended."""
    found = row(seen(BEGUN), "choose:tier", "blower")
    assert found == Row(
        parse("choose:tier"),
        "Blower tier",
        group="Choices",
        help=TIER_HELP,
        details=(
            "option",
            "To recommend one, still needed: Orientation as installed, Heater kit fitted, Design airflow,"
            " Supply static, cooling, Return static, cooling.",
        ),
        findings=("BL-7 unit", "BL-8 unit", "SQ-1 unit", "SQ-3 unit"),
    )


def test_a_choice_shows_its_options_side_by_side() -> None:
    """What each would do, the one recommended, and why; what is chosen has an arrow till it is set."""
    found = row(seen(CHOSEN), "choose:tier", "blower")
    assert found == Row(
        parse("choose:tier"),
        "Blower tier",
        found="Mild",
        now="→ Firm",
        verdict="pass",
        group="Choices",
        help=TIER_HELP,
        choices=("Hush", "Mild", "Firm", "Full"),
        details=(
            "option airflow  static        watts   rise    leaving air",
            "Hush   1039 cfm 0.46 in. w.c. 0.35 kW 29.7 °F 121.8 °F",
            "Mild   1107 cfm 0.52 in. w.c. 0.40 kW 27.9 °F 118.6 °F",
            "Firm   1184 cfm 0.60 in. w.c. 0.45 kW 26.1 °F 115.5 °F    recommended, chosen",
            "Full   1267 cfm 0.69 in. w.c. 0.51 kW 24.4 °F 112.5 °F",
            "Firm would move 1184 cfm against 1200 cfm asked; next best Full, 1267 cfm.",
        ),
        findings=("BL-7 unit", "BL-8 unit"),
        prefill="Firm",
        done=True,
    )


def test_before_it_is_taken_it_waits_with_what_is_recommended() -> None:
    """As found alone; nothing is chosen, so it is not done."""
    found = row(seen(READ), "choose:tier", "blower")
    assert (found.found, found.now, found.verdict, found.prefill) == ("Mild", "", "", "Firm")
    assert not found.done
    assert found.details[3].endswith("    recommended")


def test_what_a_check_forbids_is_said_behind_the_option() -> None:
    """Each check by its id; figures that an option has none of stay empty."""
    found = row(seen(CHOSEN), "choose:run-on", "blower")
    assert found.group == ""
    assert found.details == (
        "option      run-on",
        "30 seconds  0.5 min fails TD-5",
        "60 seconds  1.0 min fails TD-5",
        "90 seconds  1.5 min recommended, chosen",
        "120 seconds 2.0 min",
        "180 seconds 3.0 min",
        "The shortest of at least 1.5 min; 60 seconds would be less.",
    )


@pytest.mark.parametrize(
    ("topic", "name", "head"),
    [
        ("auxiliary", "heat", "option           heat    rise    leaving air"),
        ("defrost", "heat", "option            leaving air"),
        ("lockout", "heat", "option lockout above balance"),
        ("delay", "delay", "option     delay    room falls best case energy"),
        ("restart", "heat", "option"),
    ],
)
def test_figures_have_their_names_over_them(topic: str, name: str, head: str) -> None:
    """At most five, those that decide first."""
    assert row(seen(CHOSEN), f"choose:{topic}", name).details[0] == head


def test_figures_follow_the_units_of_the_screen() -> None:
    """Watts stay watts."""
    line = row(seen(CHOSEN, system="si"), "choose:tier", "blower", "si").details[1]
    assert line.split()[:3] == ["Hush", "490", "L/s"]


def test_as_found_stays_when_the_control_holds_the_choice() -> None:
    """Chosen, then set, then the arrow is gone."""
    told = [row(seen(stage), "choose:tier", "blower") for stage in (READ, CHOSEN, WRITTEN, DONE)]
    assert [r.found for r in told] == ["Mild"] * 4
    assert [r.now for r in told] == ["", "→ Firm", "Firm", "Firm"]


def test_a_choice_of_what_was_found_is_left_at_once() -> None:
    """Nothing has to be set for it."""
    found = row(seen(READ, choose("tier", "mild")), "choose:tier", "blower")
    assert (found.found, found.now, found.done) == ("Mild", "Mild", True)
    marks = {line.split()[0]: line.rpartition("°F")[2].strip() for line in found.details[1:-1]}
    assert marks == {"Hush": "", "Mild": "chosen", "Firm": "recommended", "Full": ""}


def test_once_anything_was_changed_what_nobody_chose_is_left_as_it_was_found() -> None:
    """It waits for its choice all the same."""
    for change in (OTHER, noted("filter cleaned", mends="BL-17 unit", affects=("blower.static.filter",))):
        found = row(seen(READ, change), "choose:lockout", "heat")
        assert (found.found, found.now, found.done) == ("50 °F", "50 °F", False)


def test_half_a_choice_written_is_neither_left_nor_forgotten() -> None:
    """Two settings make a tier; one of them alone makes none."""
    band = happens("wrote", setting="air-letter", address="unit", shown="f")
    found = row(seen(CHOSEN, band), "choose:tier", "blower")
    assert (found.found, found.now) == ("Mild", "→ Firm")


def test_another_choice_written_later_leaves_as_found_alone() -> None:
    """The first write parts the columns, whatever follows."""
    found = row(seen(DONE, *written(choose("tier", "full"))), "choose:tier", "blower")
    assert (found.found, found.now) == ("Mild", "Full")


def test_what_nothing_decides_is_recommended_as_it_was_found() -> None:
    """Also after another option was written."""
    found = row(seen(DONE, *written(choose("sensor", "both"))), "choose:sensor", "heat")
    assert (found.found, found.now, found.prefill) == (
        "The room control itself",
        "Mean of both",
        "The room control itself",
    )
    assert found.details == (
        "option",
        "The room control itself recommended",
        "The remote sensor",
        "Mean of both            chosen",
        "As found, unless the owner wishes otherwise; Mean of both would take 0 more writes.",
    )


def test_a_bad_choice_says_so() -> None:
    """The worst of what is found about it; what else is found stays on its list."""
    found = row(seen(READ, choose("run-on", "s-30")), "choose:run-on", "blower")
    assert (found.verdict, found.now) == ("FAIL", "→ 30 seconds")
    assert "TD-5 unit" in found.findings


def test_every_topic_stands_on_one_pane_and_the_first_heads_the_choices() -> None:
    """Blower, heat and delay decide; no other pane does."""
    told = {
        name: [r for r in rows(seen(CHOSEN), name, "ip") if r.left.startswith("choose:")] for name in PANES
    }
    assert {name: [r.left.partition(":")[2] for r in one] for name, one in told.items() if one} == {
        "blower": ["tier", "run-on"],
        "heat": ["auxiliary", "defrost", "lost-line", "lockout", "sensor", "restart"],
        "delay": ["delay"],
    }
    for one in told.values():
        assert [r.group for r in one] == ["Choices", *[""] * (len(one) - 1)][: len(one)]


def test_options_are_told_in_sentences_for_reading_aloud() -> None:
    """The same figures and marks without a table."""
    view = seen(CHOSEN)
    tier, run_on = (view.equipment.topic_of(id) for id in ("tier", "run-on"))
    assert tier is not None
    assert run_on is not None
    assert option_sentences(view, tier, "ip")["Firm"] == (
        "airflow 1184 cfm, static 0.60 in. w.c., watts 0.45 kW, rise 26.1 °F, leaving air 115.5 °F;"
        " recommended, chosen"
    )
    assert option_sentences(view, run_on, "ip") == {
        "30 seconds": "run-on 0.5 min; fails TD-5",
        "60 seconds": "run-on 1.0 min; fails TD-5",
        "90 seconds": "run-on 1.5 min; recommended, chosen",
        "120 seconds": "run-on 2.0 min",
        "180 seconds": "run-on 3.0 min",
    }


def test_why_is_said_or_what_is_still_needed() -> None:
    """A reading that is missing is named by its label."""
    view = seen(IDLE)
    assert why_recommended(view, view.forecast.topics["tier"]) == (
        "To recommend one, still needed: Supply static, cooling, Return static, cooling."
    )
    assert row(view, "choose:tier", "blower").prefill == ""


def test_a_figure_that_one_option_lacks_is_left_out_of_its_sentence() -> None:
    """Of the others it is told; in the table its cell is empty."""
    view = seen(READ)
    topic = view.equipment.role("blower-tier")
    assert topic is not None
    outlook = view.forecast.topics[topic.id]
    first, *rest = outlook.outlooks
    figures = {name: figure for name, figure in first.figures.items() if name != "static"}
    lacking = replace(outlook, outlooks=(replace(first, figures=figures), *rest))
    changed = replace(
        view, forecast=replace(view.forecast, topics={**view.forecast.topics, topic.id: lacking})
    )
    before, after = (option_sentences(v, topic, "ip") for v in (view, changed))
    assert "static" in before[first.option.capitalize()]
    assert "static" not in after[first.option.capitalize()]
    assert {k: v for k, v in before.items() if k != first.label} == {
        k: v for k, v in after.items() if k != first.label
    }
