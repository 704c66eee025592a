"""The knowledge as shipped, judged as a whole."""

from __future__ import annotations

import pytest

from restorations.knowledge import EngineFacts, expand, load
from restorations.knowledge.loader import SHIPPED, survey
from restorations.knowledge.reference_engines import REFERENCE_ENGINES, REFERENCE_PASTS
from restorations.knowledge.report import IDLE, expected_causes, is_as_meant, main
from tests.knowledge.test_gates import wrongly_gated


def test_shipped_knowledge_keeps_every_rule() -> None:
    _, offenders = survey(SHIPPED)
    assert [str(offender) for offender in sorted(set(offenders))] == []


def test_shipped_knowledge_is_read_once() -> None:
    assert load() is load()


@pytest.mark.parametrize("name", REFERENCE_ENGINES)
def test_engine_idle_for_years_is_expected_to_have_two_to_four_faults(name: str) -> None:
    expected = expected_causes(expand(load(), REFERENCE_ENGINES[name], REFERENCE_PASTS[IDLE]))
    assert is_as_meant(expected), f"{expected:.2f}"


@pytest.mark.parametrize("name", REFERENCE_ENGINES)
@pytest.mark.parametrize("past", REFERENCE_PASTS)
def test_reference_engine_makes_a_lawful_model_and_lawful_options(name: str, past: str) -> None:
    engine = expand(load(), REFERENCE_ENGINES[name], REFERENCE_PASTS[past])
    complaint = (next(iter(engine.findings)),)
    engine.options(facts=EngineFacts(), complaint=complaint).check(engine.model)


def test_no_shipped_step_is_open_in_a_state_it_excludes() -> None:
    seen: set[str] = set()
    wrong: set[tuple[str, bool]] = set()
    for configuration in REFERENCE_ENGINES.values():
        engine = expand(load(), configuration, REFERENCE_PASTS[IDLE])
        wrong |= wrongly_gated(engine, without=seen)
        seen |= {action.entry.id for action in (*engine.checks.values(), *engine.remedies.values())}
    assert wrong == set()


def test_report_names_every_reference_engine(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 0
    printed = capsys.readouterr().out
    assert all(name in printed for name in REFERENCE_ENGINES)
    assert "causes not told apart: 0" in printed
