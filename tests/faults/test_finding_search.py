"""What is typed finds what was meant, and a step is found while its name is still being typed."""

import pytest

from restorations.faults.finding_search import action_search, on_side, search
from restorations.knowledge import Configuration, EngineKnowledge, History, expand, load


@pytest.fixture(scope="module")
def expanded() -> EngineKnowledge:
    return expand(load(), Configuration(kind="tank_locomotive"), History())


@pytest.mark.parametrize(
    ("typed", "title"),
    [
        ("Will not turn", "Wheels stiff to turn by hand"),
        ("will   NOT go\nround", "Wheels stiff to turn by hand"),
        ("leak at the piston rod gland", "Leak at the piston rod gland"),
    ],
)
def test_the_likeliest_meaning_comes_first(expanded: EngineKnowledge, typed: str, title: str) -> None:
    assert search(expanded, typed)[0].entry.title == title


def test_words_that_mean_nothing_here_find_nothing(expanded: EngineKnowledge) -> None:
    assert search(expanded, "the and of") == []
    assert search(expanded, "🔧 \0 <b>") == []


def test_the_side_that_was_tapped_leaves_the_places_there(expanded: EngineKnowledge) -> None:
    choices = on_side(search(expanded, "", at={"piston_gland"}), "right")
    sided = [choice for choice in choices if choice.places[0].place.side]
    assert sided
    assert {placed.place.side for choice in sided for placed in choice.places} == {"right"}


def test_a_step_is_found_by_every_word_and_by_the_beginning_of_one(expanded: EngineKnowledge) -> None:
    names = [row.name for row in action_search(expanded, "rusted pist").remedies]
    assert "Free the rusted piston (left side)" in names
    assert all("rust" in name.lower() and "pist" in name.lower() for name in names)


def test_a_system_holds_its_steps_and_nothing_asked_finds_none(expanded: EngineKnowledge) -> None:
    of_system = action_search(expanded, "", system="lubrication")
    assert {row.entry.system for row in (*of_system.checks, *of_system.remedies)} == {"lubrication"}
    nothing = action_search(expanded, "")
    assert (nothing.checks, nothing.remedies) == ((), ())
