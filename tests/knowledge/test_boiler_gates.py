"""What holds of every shipped step that has to do with pressure, in every state an engine can be in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from restorations.knowledge import EngineFacts, Place, load
from restorations.knowledge.entries import Action, Finding
from restorations.knowledge.gates import gates_of
from restorations.knowledge.rules import in_use
from tests.knowledge.test_gates import states

# Taken off, these leave a hole in the boiler.
PRESSURE_PARTS = {"delivery_clack", "safety_valve"}


def actions() -> Iterator[Action]:
    """Give every check and remedy in use."""
    knowledge = load()
    yield from in_use(knowledge.checks)
    yield from in_use(knowledge.remedies)


def dangers() -> list[Finding]:
    return [finding for finding in in_use(load().findings) if finding.dangerous]


def open_in(
    wanted: Callable[[Action], bool], where: Callable[[EngineFacts], bool], *, allowed: bool = True
) -> set[str]:
    """Return which of the wanted actions may be done in some such state; `allowed`: everybody has said yes to it.

    Of actions that say the same one is tried: only what they say can make a difference.
    """
    alike = {_says(action): action for action in actions() if wanted(action)}
    assert alike, "no such action: this test would prove nothing"
    found = set()
    for action in alike.values():
        yes = frozenset({action.id}) if allowed else frozenset[str]()
        for state in filter(where, states()):
            facts = replace(state, go_aheads=yes, consents=yes)
            if not gates_of(action, action.id, Place(), facts):
                found.add(action.id)
    return found


def _says(action: Action) -> tuple[object, ...]:
    return action.needs, action.excludes, action.uses, action.authority, action.is_risky, action.making_safe


def test_boiler_is_opened_only_when_it_is_cold() -> None:
    opens = open_in(lambda action: bool(PRESSURE_PARTS & set(action.needs_off)), lambda state: state.boiler != "cold")
    assert opens == set()


def test_steam_waits_for_a_certificate_in_every_state_but_for_the_inspector() -> None:
    open_without = open_in(
        lambda action: "steam" in action.uses and action.authority != "inspector",
        lambda state: not state.certificate_in_date,
    )
    assert open_without == set()


def test_heat_and_steam_never_meet_a_solvent_in_any_state() -> None:
    meets = open_in(lambda action: bool(action.uses & {"heat", "steam"}), lambda state: state.volatile_solvent)
    assert meets == set()


def under_pressure(action: Action) -> bool:
    return "under_hydraulic_test" in action.needs


def test_what_needs_hydraulic_pressure_is_open_under_it_and_in_no_other_state() -> None:
    assert open_in(under_pressure, lambda state: state.boiler != "hydraulic") == set()
    assert open_in(under_pressure, lambda state: state.boiler == "hydraulic") != set()


def test_nobody_looks_at_a_boiler_under_hydraulic_pressure_alone() -> None:
    assert open_in(under_pressure, lambda state: True, allowed=False) == set()


def test_no_step_with_the_gravest_risk_is_a_members_own() -> None:
    grave = [action for action in actions() if 3 in (action.risk_person, action.risk_engine)]
    assert [action.id for action in grave if action.authority == "member"] == []


@pytest.mark.parametrize("finding", dangers(), ids=lambda finding: finding.id)
def test_dangerous_finding_says_what_to_do_first_and_what_it_stops(finding: Finding) -> None:
    assert finding.stop
    assert finding.stops
    if finding.stops == "boiler" and finding.requires.get("driven_by") == "in_steam":
        assert finding.card
