"""The list of checks, and the subjects that they are worked out for."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from asleft.calc import CalcError
from asleft.checks.about import About, Settled
from asleft.checks.case import Case
from asleft.checks.catalogue import Rule
from asleft.checks.finding import Finding

Subjects = Callable[[Case], Iterable[str]]
Check = Callable[[About], Finding]
CHECKS: dict[str, list[tuple[Subjects, Check]]] = {}


def check(id: str, subjects: Subjects | str = "unit") -> Callable[[Check], Check]:
    """Enter a function in the list of checks, under its id, for one subject or those a function lists."""

    def entered(function: Check) -> Check:
        of = (lambda _: (subjects,)) if isinstance(subjects, str) else subjects
        CHECKS.setdefault(id, []).append((of, function))
        return function

    return entered


def settle(case: Case, rule: Rule, subject: str, function: Check) -> Finding:
    """Work one check out. What cannot be calculated from what was entered counts as not measured."""
    about = About(case, rule, subject)
    try:
        return function(about)
    except Settled as settled:
        return settled.finding
    except CalcError as error:
        return about.not_measured(f"{rule.title} cannot be worked out: {error}.")
    except ArithmeticError:
        return about.not_measured(f"{rule.title} cannot be worked out: an entry is beyond all measure.")


# ---- subjects


def circuits(case: Case) -> tuple[str, ...]:
    """A subject for each circuit of the kit fitted, else the unit."""
    kit = case.ledger.kit
    return tuple(f"circuit.{n}" for n, _ in enumerate(kit.circuit if kit else (), 1)) or ("unit",)


def stages(case: Case) -> tuple[str, ...]:
    """A subject for each stage of the kit fitted, else the unit."""
    kit = case.ledger.kit
    return tuple(f"stage.{n}" for n, _ in enumerate(kit.stage if kit else (), 1)) or ("unit",)
