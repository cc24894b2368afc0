"""What is known of each kind of fault: nothing left out, every name real, and true of what a visit meets."""

from __future__ import annotations

import re
from fnmatch import fnmatchcase
from importlib import resources
from typing import get_args

import pytest
import tomli

import asleft.help
from asleft.checks.catalogue import catalogue
from asleft.drill.classroom.known import KnownFault, known_faults, shows
from asleft.equipment.controls import Role
from asleft.installation.faults import FAULTS
from asleft.session.fields import templates
from asleft.session.payloads import (
    Chose,
    Entered,
    FoundSetting,
    Noted,
    Payload,
    ReadSettingBack,
    Resumed,
    Senseless,
    Used,
    WroteSetting,
)
from asleft.session.values import Words
from faults.fault_table import met
from support import demo_unit

UNIT = "tarnfield-lowmoor-36"
CHECKS = {rule.id for rule in catalogue()}
ROLES = get_args(Role)
KNOWN = list(known_faults().values())
BY_HAND = {"hoses-swapped", "manometer-offset", "probe-sees-elements", "clamp-not-zeroed"}
"""Where only the way of reading is at fault, and hands at the unit set it right."""
STORING = {"wrong-address", "code-not-stored", "stored-not-in-force"}


def each(known: KnownFault) -> str:
    """The name of a case."""
    return known.kind


def test_every_kind_of_fault_has_one_entry_and_no_entry_is_of_another() -> None:
    """Counted in the file itself: a mapping would hide a second entry."""
    text = resources.files("asleft.drill.classroom").joinpath("faults.toml").read_text("utf-8")
    kinds = [item["kind"] for item in tomli.loads(text)["fault"]]
    assert sorted(kinds) == sorted(FAULTS)
    assert list(known_faults()) == kinds


def test_the_head_of_the_file_explains_every_key() -> None:
    """A trainer reads the file before changing it."""
    text = resources.files("asleft.drill.classroom").joinpath("faults.toml").read_text("utf-8")
    explained = {line.split()[1] for line in text.splitlines() if line.startswith("# ") and "  " in line}
    assert set(KnownFault.__dataclass_fields__) <= explained


@pytest.mark.parametrize("known", KNOWN, ids=each)
def test_every_finding_named_is_a_check_of_the_catalogue(known: KnownFault) -> None:
    """And none is named twice."""
    assert known.findings
    assert set(known.findings) | set(known.mends) <= CHECKS
    assert len(set(known.findings)) == len(known.findings)


@pytest.mark.parametrize("known", KNOWN, ids=each)
def test_every_piece_of_evidence_is_a_field_or_the_role_of_a_topic(known: KnownFault) -> None:
    """A pattern that nothing matches would never count."""
    ids = [field.id for field in templates()]
    assert known.evidence
    assert set(known.fields) | {f"setting:{role}" for role in known.roles} == set(known.evidence)
    for pattern in known.fields:
        assert any(fnmatchcase(id, pattern) for id in ids), pattern
    for pattern in known.roles:
        assert any(fnmatchcase(role, pattern) for role in ROLES), pattern


@pytest.mark.parametrize("known", KNOWN, ids=each)
def test_evidence_is_what_a_visit_learns_and_never_what_a_pattern_takes_in_by_chance(
    known: KnownFault,
) -> None:
    """Job data are no proof, but for the label of a kit that is not there."""
    taken = [f for f in templates() if any(fnmatchcase(f.id, pattern) for pattern in known.fields)]
    assert {f.id for f in taken if not f.state} <= {"identity.kit"}


@pytest.mark.parametrize("known", KNOWN, ids=each)
def test_settings_that_a_visit_sets_right_are_evidence_too(known: KnownFault) -> None:
    """Whoever looks at the setting has seen the fault."""
    assert set(known.set_right) <= set(ROLES)
    assert set(known.set_right) <= set(known.roles)
    assert known.set_right or not known.roles or known.kind in STORING


@pytest.mark.parametrize("known", KNOWN, ids=each)
def test_every_help_page_to_read_is_there(known: KnownFault) -> None:
    """By the name that asleft help takes."""
    pages = {p.name for p in resources.files(asleft.help).iterdir()}
    assert known.read
    assert {f"{page}.md" for page in known.read} <= pages


@pytest.mark.parametrize("known", KNOWN, ids=each)
def test_what_reads_alike_is_another_kind_and_reads_alike_both_ways(known: KnownFault) -> None:
    """A report of either is accepted for the other."""
    assert known.kind not in known.alike
    assert set(known.alike) <= set(FAULTS)
    assert all(known.kind in known_faults()[other].alike for other in known.alike)


@pytest.mark.parametrize("known", KNOWN, ids=each)
def test_hands_at_the_unit_mend_only_the_way_of_reading_and_it_is_said_how(known: KnownFault) -> None:
    """For a broken lead or a meter that reads low another is taken; all else is other people's work."""
    assert bool(known.mends) == bool(known.mended) == (known.kind in BY_HAND)
    assert set(known.mends) <= set(known.findings)


@pytest.mark.parametrize("known", KNOWN, ids=each)
def test_every_text_is_of_whole_sentences_that_fit_a_debrief(known: KnownFault) -> None:
    """One sentence parts it, at most two tell of it."""
    for text, most in ((known.tells, 2), (known.parts, 1)):
        assert text.endswith(".")
        assert text[0].isupper()
        assert text.isprintable()
        assert len(text) <= 300
        assert len(re.findall(r"\. (?=[A-Z])", text)) < most
    assert known.source
    assert not known.source.endswith(".")


# ---- evidence


def entered(field: str) -> Entered:
    """A field was told something, no matter what."""
    return Entered(field, "1", Words("1"))


@pytest.mark.parametrize(
    ("kind", "what"),
    [
        ("supply-low", entered("electrical.line.l1_l2")),
        ("element-open", entered("electrical.stage.2.current")),
        ("element-open", entered("electrical.stage.2.current.l1")),
        ("element-grounded", entered("electrical.stage.1.to_frame")),
        ("phase-unbalance", entered("electrical.line.l3_l1")),
        ("limit-cycling", entered("heat.minute.10.current")),
        ("heat-without-kit", entered("identity.kit")),
        ("tier-too-low", FoundSetting("air-letter", "unit", "1")),
        ("orientation-setting-wrong", WroteSetting("air-letter", "unit", "e")),
        ("heat-not-enabled", FoundSetting("bank-use", "system", "1")),
        ("code-not-stored", ReadSettingBack("patience", "unit", "1")),
        ("code-not-stored", ReadSettingBack("air-letter", "unit", "1")),
    ],
)
def test_an_entry_that_shows_a_fault_counts(kind: str, what: Payload) -> None:
    """By its field, or by the topic that its setting belongs to."""
    assert shows(known_faults()[kind], what, demo_unit())


@pytest.mark.parametrize(
    ("kind", "what"),
    [
        ("supply-low", entered("blower.static.supply")),
        ("phase-unbalance", entered("electrical.line.l1_ground")),
        ("conductor-too-small", entered("electrical.circuit.1.conductors")),
        ("manometer-offset", entered("blower.static.supply")),
        ("tier-too-low", FoundSetting("bank-use", "system", "1")),
        ("filter-loaded", FoundSetting("air-letter", "unit", "1")),
        ("code-not-stored", ReadSettingBack("no-such-setting", "unit", "1")),
        ("code-not-stored", Chose("patience", "6")),
        ("tier-too-low", Used("blower.static.supply", "a", "b", ())),
        ("tier-too-low", Noted("the tier is too low")),
        ("supply-low", Senseless("entered", {"field": "electrical.line.l1_l2"}, "no value")),
        ("tier-too-low", Senseless("found", {"setting": "air-letter"}, "no address")),
        ("tier-too-low", Resumed()),
    ],
)
def test_an_entry_that_does_not_show_it_does_not_count(kind: str, what: Payload) -> None:
    """Another field, another topic's setting, or an event that is no reading."""
    assert not shows(known_faults()[kind], what, demo_unit())


# ---- against visits


@pytest.mark.parametrize(
    "kind", ["ground-open", "device-too-small", "relay-welded", "element-open", "lead-open"]
)
def test_what_a_visit_meets_of_a_fault_is_what_is_known_of_it(kind: str) -> None:
    """Played at full size on the reference unit, beside its healthy twin."""
    failed = {key.partition(" ")[0] for key in met(UNIT, kind, 1.0).findings}
    assert failed & set(known_faults()[kind].findings)
