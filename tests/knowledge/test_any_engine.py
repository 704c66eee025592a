"""What must hold of the shipped knowledge on whatever engine somebody describes."""

from __future__ import annotations

import json
from random import Random

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from restorations.knowledge import (
    CHOICES,
    Configuration,
    EngineFacts,
    EngineKnowledge,
    History,
    HistoryAnswers,
    expand,
    load,
)

ANSWERS = st.sampled_from(["yes", "no", "not_known"])
STORES = st.sampled_from([frozenset[str](), frozenset({"damp"}), frozenset({"dry", "oiled"}), frozenset({"drained"})])
PASTS = st.builds(
    HistoryAnswers,
    ever_ran=ANSWERS,
    ran_well_when_put_away=ANSWERS,
    rebuilt_since=ANSWERS,
    first_run_done=ANSWERS,
    stored=STORES,
    years=st.sampled_from([None, 0.0, 2.0, 40.0]),
)
# Not shrunk: one example takes a good part of a second.
FEW = settings(derandomize=True, deadline=None, max_examples=10, phases=[Phase.explicit, Phase.generate])


@st.composite
def builds(draw: st.DrawFn) -> Configuration:
    """Draw any lawful build, unlikely ones among them."""
    fields = {field: draw(st.sampled_from(list(choices))) for field, choices in CHOICES.items()}
    axles = draw(st.one_of(st.none(), st.integers(1, 6)))
    driving = draw(st.one_of(st.none(), st.integers(1, axles))) if axles else None
    return Configuration(**fields, coupled_axles=axles, driving_axle=driving)


@FEW
@given(builds(), PASTS, st.randoms(use_true_random=False))
def test_parts_taken_off_only_silence_more(build: Configuration, past: HistoryAnswers, chance: Random) -> None:
    engine = expand(load(), build, History(past))
    few = frozenset(part for part in engine.parts if chance.random() < 0.2)
    more = few | frozenset(part for part in engine.parts if chance.random() < 0.2)
    for finding in engine.findings:
        assert engine.inactive(finding, off=few) <= engine.inactive(finding, off=more)


@FEW
@given(builds(), PASTS)
def test_options_of_any_engine_fit_its_model(build: Configuration, past: HistoryAnswers) -> None:
    engine = expand(load(), build, History(past))
    complaint = (next(iter(engine.findings)),)
    engine.options(facts=EngineFacts(), complaint=complaint).check(engine.model)


@FEW
@given(builds(), PASTS)
def test_every_cause_shows_somewhere_and_has_a_remedy(build: Configuration, past: HistoryAnswers) -> None:
    engine = expand(load(), build, History(past))
    shown = {cause for finding in engine.findings.values() for cause in finding.links}
    cured = {cause for remedy in engine.remedies.values() for cause in remedy.causes}
    assert set(engine.causes) - shown == set()
    assert set(engine.causes) - cured == {"unlisted"}


@FEW
@given(builds(), PASTS)
def test_any_engine_comes_back_from_plain_data(build: Configuration, past: HistoryAnswers) -> None:
    engine = expand(load(), build, History(past))
    again = EngineKnowledge.from_mapping(json.loads(json.dumps(engine.as_mapping())))
    assert again == engine
    assert again.checksum == engine.checksum


# What entries have learned to say since clubs first kept rankings: what was stored before has none of it.
ADDED_SINCE = {"findings": ("stops", "card", "feeds"), "causes": ("feeds",), "parts": ("feeds",)}


def test_what_was_stored_before_entries_said_more_is_still_read() -> None:
    stored = json.loads(json.dumps(expand(load(), Configuration(), History()).as_mapping()))
    del stored["kind"]
    for kind, names in ADDED_SINCE.items():
        for entry in stored[kind]["entries"].values():
            for name in names:
                del entry[name]
    again = EngineKnowledge.from_mapping(stored)
    assert {finding.entry.stops for finding in again.findings.values()} == {""}


@FEW
@given(builds())
def test_history_classes_only_change_rates(build: Configuration) -> None:
    idle = expand(load(), build, History(HistoryAnswers(ever_ran="yes", rebuilt_since="no", years=10)))
    fresh = expand(load(), build, History(HistoryAnswers(ever_ran="no", first_run_done="no")))
    assert set(idle.causes) == set(fresh.causes)
    assert set(idle.checks) == set(fresh.checks)
    assert idle.mapping["findings"] == fresh.mapping["findings"]
