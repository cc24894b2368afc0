"""Checks on three phases: unbalance, mean volts, three legs, an element of a delta open."""

from __future__ import annotations

from math import sqrt

import pytest

from checks.visits import Change, Row, found, line_volts, never, on_three_phases, say

ONE, THREE = on_three_phases(), on_three_phases(motor=3)
STAGE, CIRCUIT = "electrical.stage.{}.{}", "electrical.circuit.1.{}.{}"


def stage(n: int, amps: tuple[str, str, str], *volts: str) -> tuple[Change, ...]:
    """Volts and amps of L1, L2 and L3 with stages 1 to n on, read together."""
    names = ("voltage", "l2_l3", "l3_l1", "current.l1", "current.l2", "current")
    return tuple(say(STAGE.format(n, at), typed) for at, typed in zip(names, (*volts, *amps), strict=True))


def legs(*amps: str, when: str = "called") -> tuple[Change, ...]:
    """The three legs of the circuit."""
    return tuple(say(CIRCUIT.format(when, f"l{n}"), a) for n, a in enumerate(amps, 1))


QUIET = legs("0.1 A", "0.1 A", "0.0 A", when="no_call")
BESIDE = ("14.8 A", "12.8 A", "11.4 A")
EVEN = ("240 V", "240 V", "240 V")
LOADED = tuple(say(f"electrical.loaded.{pair}", "238 V") for pair in ("l2_l3", "l3_l1"))

# U of 240 V is 1.6 V; of the unbalance root(6)/3 of that over 240 V: 0.55 %.
ROWS = (
    Row("three alike", "EL-5 unit", "pass", line_volts(*EVEN), THREE, severity="hold"),
    Row("a supply of one phase", "EL-5 unit", "not applicable"),
    Row("one pair not read", "EL-5 unit", "not measured", (), THREE, severity="hold"),
    Row("not read, and no motor minds", "EL-5 unit", "not measured", (), ONE, severity="advise"),
    Row(
        "1.7 % to a three-phase motor",
        "EL-5 unit",
        "fail",
        line_volts("236 V", "240 V", "244 V"),
        THREE,
        severity="advise",
        says="of its rating",
    ),
    Row(
        "3.8 %",
        "EL-5 unit",
        "fail",
        line_volts("231 V", "240 V", "249 V"),
        THREE,
        severity="correct",
        says="of its rating",
    ),
    Row(
        "5.8 %",
        "EL-5 unit",
        "fail",
        line_volts("226 V", "240 V", "254 V"),
        THREE,
        severity="hold",
        says="must not run",
    ),
    Row(
        "4.8 %, nearer to 5 than U",
        "EL-5 unit",
        "fail",
        line_volts("228.5 V", "240 V", "251.5 V"),
        THREE,
        severity="correct",
    ),
    Row(
        "5.8 % where nothing minds",
        "EL-5 unit",
        "fail",
        line_volts("226 V", "240 V", "254 V"),
        ONE,
        severity="advise",
        says="does not mind",
    ),
    Row("0.8 %, nearer to 1 than U", "EL-5 unit", "conditional pass", line_volts("238 V", *EVEN[1:]), THREE),
    Row(
        "every leg of a wye",
        "EL-4 leg.l3",
        "pass",
        (
            *line_volts(*EVEN),
            say("identity.system", "wye"),
            say("electrical.line.l3_ground", "138.6 V"),
        ),
        ONE,
    ),
    Row(
        "one pair low under load",
        "EL-14 unit",
        "fail",
        (*LOADED, say("electrical.loaded.l2_l3", "201 V")),
        ONE,
        says="L2 to L3",
    ),
    Row("three pairs under load", "EL-14 unit", "pass", LOADED, ONE),
    Row("one pair under load not read", "EL-14 unit", "not measured", LOADED[:1], ONE),
    Row("its heat needs all three", "HS-3 unit", "not measured", LOADED[:1], ONE),
    # 4700 W / (root 3 x 240 V) = 11.31 A in each line. A single-phase blower of 3.3 A that lags by 45 degrees
    # makes of that 14.8 A in L1 and 12.8 A in L2.
    Row("as rated, the blower on L1 and L2", "EL-15 stage.1", "pass", stage(1, BESIDE, *EVEN), ONE),
    Row("on L2 and L1", "EL-15 stage.1", "pass", stage(1, ("12.8 A", "14.8 A", "11.4 A"), *EVEN), ONE),
    Row("the blower on every line", "EL-15 stage.1", "pass", stage(1, ("14.8 A",) * 3, *EVEN), THREE),
    Row(
        "more than a blower in L3", "EL-15 stage.1", "fail", stage(1, ("14.8 A",) * 3, *EVEN), ONE, says="L3"
    ),
    Row(
        "against the mean of the volts",
        "EL-15 stage.1",
        "pass",
        stage(1, ("13.0 A", "11.0 A", "9.7 A"), "240 V", "210 V", "210 V"),
        ONE,
    ),
    Row(
        "too much for their mean",
        "EL-15 stage.1",
        "fail",
        stage(1, ("13.0 A", "11.0 A", "11.5 A"), "240 V", "210 V", "210 V"),
        ONE,
    ),
    Row(
        "the second less the first",
        "EL-15 stage.2",
        "pass",
        (*stage(1, BESIDE, *EVEN), *stage(2, ("26.1 A", "24.1 A", "22.8 A"), *EVEN)),
        ONE,
    ),
    Row(
        "one line of the second low",
        "EL-15 stage.2",
        "fail",
        (*stage(1, BESIDE, *EVEN), *stage(2, ("21.4 A", "19.4 A", "23.2 A"), *EVEN)),
        ONE,
        says="between L1 and L2",
    ),
    # 11.55 A less 6.67 A at 30 degrees is 6.67 A in each of two lines: 1/1.73. With the blower 9.9 and 6.6 A.
    Row(
        "one of a delta open beside the blower",
        "EL-15 stage.1",
        "fail",
        stage(1, ("9.9 A", "6.6 A", "11.5 A"), *EVEN),
        ONE,
        says="An element of stage 1 is open, between L1 and L2",
    ),
    Row(
        "one of a delta open: 11.55 A / 1.73",
        "EL-15 stage.1",
        "fail",
        stage(1, ("9.97 A", "14.85 A", "9.97 A"), *EVEN),
        THREE,
        says="An element of stage 1 is open, between L1 and L3",
    ),
    # A wye of three with one open leaves two in series on 240 V: 0.87 of 11.55 A.
    Row(
        "one of a wye open",
        "EL-15 stage.1",
        "fail",
        stage(1, ("13.3 A", "3.4 A", "13.3 A"), *EVEN),
        on_three_phases(motor=3, connection="wye"),
        says="An element of stage 1 is open, on L2",
    ),
    Row(
        "nothing at all",
        "EL-15 stage.1",
        "fail",
        stage(1, ("3.3 A", "3.3 A", "0.2 A"), *EVEN),
        ONE,
        says="Stage 1 is open",
    ),
    Row(
        "one pair not read",
        "EL-15 stage.1",
        "not measured",
        (*stage(1, BESIDE, *EVEN), never(STAGE.format(1, "l2_l3"))),
        ONE,
    ),
    Row(
        "one line not read",
        "EL-15 stage.1",
        "not measured",
        (*stage(1, BESIDE, *EVEN), never(STAGE.format(1, "current.l2"))),
        ONE,
        fields=(STAGE.format(1, "current.l2"),),
    ),
    Row("three legs alike", "EL-22 circuit.1", "pass", (*QUIET, *legs("26 A", "26.1 A", "25.9 A")), THREE),
    Row(
        "a third leg that is never quiet",
        "EL-22 circuit.1",
        "fail",
        (*QUIET, *legs("26 A", "26 A", "26 A"), say(CIRCUIT.format("no_call", "l3"), "11 A")),
        THREE,
        says="without a call",
    ),
    Row(
        "a third leg not read",
        "EL-22 circuit.1",
        "not measured",
        (*QUIET, *legs("26 A", "26 A")),
        THREE,
        fields=("electrical.circuit.1.called.l3",),
    ),
    Row(
        "two legs low: what stands between them is open",
        "EL-22 circuit.1",
        "fail",
        (*QUIET, *legs("18.3 A", "26.0 A", "18.2 A")),
        THREE,
        says="between L1 and L3",
    ),
    # Twice 11.55 A and a blower of 3.3 A between L1 and L2: 26.0, 26.0 and 23.1 A.
    Row(
        "a single-phase blower on two legs",
        "EL-22 circuit.1",
        "pass",
        (*QUIET, *legs("26.0 A", "26.0 A", "23.1 A")),
        ONE,
    ),
    # One of the two stages without its element between L1 and L2: 23.1 A less 6.67 A at 30 degrees is 17.6 A
    # in both; the blower lags by 45 degrees and makes it 20.9 and 18.2 A.
    Row(
        "an open element behind the blower",
        "EL-22 circuit.1",
        "fail",
        (*QUIET, *legs("20.9 A", "18.2 A", "23.1 A")),
        ONE,
        says="between L1 and L2 open",
    ),
    Row(
        "more than it draws between them",
        "EL-22 circuit.1",
        "fail",
        (*QUIET, *legs("31.0 A", "26.0 A", "23.1 A")),
        ONE,
    ),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r.key}: {r.behaviour}")
def test_three_phases(row: Row) -> None:
    """Each row is one behaviour."""
    row.prove()


def test_a_stages_fraction_is_against_the_mean_of_three_voltages() -> None:
    """11.4 A over 4700 W x (220/240)^2 / (root 3 x 220 V)."""
    finding = found(*stage(1, ("13.6 A", "12.0 A", "11.4 A"), "230 V", "220 V", "210 V"), equipment=ONE)[
        "EL-15 stage.1"
    ]
    assert finding.value == pytest.approx(100 * 11.4 / (4700 * (220 / 240) ** 2 / (sqrt(3) * 220)), rel=1e-9)


def test_only_an_unbalance_that_stops_the_motor_locks_it() -> None:
    """And nothing is locked where the motor has one phase."""
    for volts, unit, locks in (
        (("226 V", "240 V", "254 V"), THREE, ("loads on",)),
        (("231 V", "240 V", "249 V"), THREE, ()),
        (("226 V", "240 V", "254 V"), ONE, ()),
    ):
        assert found(*line_volts(*volts), equipment=unit)["EL-5 unit"].guards == locks


def test_the_legs_rest_on_the_blower_only_where_it_sets_them_apart() -> None:
    """Its current is taken into account, so it is named."""
    for unit, rests in ((ONE, True), (THREE, False)):
        finding = found(*QUIET, *legs("26 A", "26 A", "26 A"), equipment=unit)["EL-22 circuit.1"]
        assert ("electrical.blower.current" in finding.fields) == rests


def test_unread_pairs_keep_a_rise_from_being_judged() -> None:
    """Its heat is reckoned from the mean of three."""
    finding = found(*LOADED, never("electrical.loaded.l1_l2"), equipment=ONE)["HS-6 unit"]
    assert finding.verdict == "not measured"
