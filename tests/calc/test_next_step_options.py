"""What options refuse, and that the message names the offender."""

from collections.abc import Callable

import pytest

from restorations.calc.diagnosis import (
    Examination,
    InvalidHistory,
    InvalidModel,
    InvalidOptions,
    Look,
    Observed,
    Part,
    Remedy,
    advise,
    remaining_minutes,
)
from tests.calc.next_step_cases import RODS, SEEN, STIFF, cure, off, options

GUM = frozenset({"left"})

UNLAWFUL: dict[str, tuple[Callable[[], object], str]] = {
    "negative minutes": (lambda: Look("turn", "stiff", -1.0), "turn: minutes is -1.0"),
    "minutes not a number": (lambda: Look("turn", "stiff", float("nan")), "turn: minutes is nan"),
    "endless minutes": (lambda: cure("left", float("inf")), "cure left: minutes is inf"),
    "negative waiting": (lambda: cure("left", 1.0, days=-2.0), "cure left: days is -2.0"),
    "negative risk": (lambda: cure("left", 1.0, risk=-1.0), "cure left: risk is -1.0"),
    "success of nothing": (lambda: Remedy("soak", GUM, 0.0, 5.0), "soak: success is 0.0; above 0, up to 1"),
    "success above one": (lambda: Remedy("soak", GUM, 1.2, 5.0), "soak: success is 1.2"),
    "remedy for nothing": (lambda: Remedy("soak", frozenset(), 0.5, 5.0), "soak: a remedy must name at least one"),
    "sensitivity": (lambda: Examination("peer", "left", 1.5, 0.1, 5.0), "peer: sensitivity is 1.5"),
    "false alarm": (lambda: Examination("peer", "left", 0.9, -0.1, 5.0), "peer: false_alarm is -0.1"),
    "part both ways": (
        lambda: Look("turn", "stiff", 5.0, needs_off=off("rod"), needs_fitted=off("rod")),
        "turn: rod cannot be needed both off and fitted",
    ),
    "no name": (lambda: Look("", "stiff", 5.0), "a step has no name"),
    "way through nothing": (lambda: Look("turn", "stiff", 5.0, through={"left": (off(),)}), "turn: an empty set"),
    "part takes less than no time": (lambda: Part(-1.0, 5.0), "part: off_minutes is -1.0"),
    "no complaint": (lambda: options(complaint=()), "the complaint names no finding"),
    "two steps of one name": (lambda: options(cure("left", 5.0), cure("left", 6.0)), "cure left: two steps"),
    "unknown part off": (lambda: options(off=off("boiler")), "unknown part off now 'boiler'"),
    "unknown part of a step": (
        lambda: options(cure("left", 5.0, needs_off=off("boiler")), parts=RODS),
        "cure left: unknown part 'boiler'",
    ),
    "unknown part on the way": (
        lambda: options(looks=(Look("turn", "stiff", 5.0, through={"left": (off("boiler"),)}),)),
        "turn: unknown part 'boiler'",
    ),
    "negative test": (lambda: options(test_minutes=-5.0), "options: test_minutes is -5.0"),
    "negative price": (lambda: options(price_per_day=-5.0), "options: price_per_day is -5.0"),
    "negative hand over": (lambda: options(hand_over_minutes=-5.0), "options: hand_over_minutes is -5.0"),
}


@pytest.mark.parametrize(("make", "words"), UNLAWFUL.values(), ids=UNLAWFUL.keys())
def test_unlawful_option_is_refused_where_it_is_made(make: Callable[[], object], words: str) -> None:
    with pytest.raises(InvalidOptions, match=words.replace("(", r"\(")):
        make()


FOREIGN = {
    "complaint": (options(complaint=("squeak",)), "unknown finding of the complaint 'squeak'"),
    "look at": (options(looks=(Look("turn", "squeak", 5.0),)), "turn: unknown finding 'squeak'"),
    "silenced": (options(looks=(Look("turn", "stiff", 5.0, inactive=off("rust")),)), "turn: unknown cause 'rust'"),
    "carried": (
        options(looks=(Look("turn", "stiff", 5.0, through={"rust": (off("left rod"),)}),), parts=RODS),
        "turn: unknown cause 'rust'",
    ),
    "examined": (options(examinations=(Examination("peer", "rust", 0.9, 0.1, 5.0),)), "peer: unknown cause 'rust'"),
    "cured": (options(cure("rust", 5.0)), "cure rust: unknown cause 'rust'"),
    "test of": (options(test_inactive={"squeak": off("left")}), "unknown finding of `test_inactive` 'squeak'"),
    "silent in test": (options(test_inactive={"stiff": off("rust")}), "unknown cause of `test_inactive` 'rust'"),
}


@pytest.mark.parametrize(("choices", "words"), FOREIGN.values(), ids=FOREIGN.keys())
def test_name_the_model_does_not_have_is_refused(choices: object, words: str) -> None:
    with pytest.raises(InvalidModel, match=words):
        advise(STIFF, SEEN, choices)
    with pytest.raises(InvalidOptions, match=words):
        remaining_minutes(STIFF, SEEN, choices, 5, 0)


@pytest.mark.parametrize(
    ("changes", "words"), [({"depth": 0}, "depth is 0"), ({"samples": 0}, "samples is 0"), ({"seed": -1}, "seed is -1")]
)
def test_numbers_of_the_search_are_checked(changes: dict[str, int], words: str) -> None:
    with pytest.raises(InvalidOptions, match=words):
        advise(STIFF, SEEN, options(), **changes)
    with pytest.raises(InvalidOptions, match="n is 0"):
        remaining_minutes(STIFF, SEEN, options(), 0, 0)


def test_history_is_checked_even_when_the_complaint_is_gone() -> None:
    history = [Observed("squeak", 1), Observed("stiff", 0)]
    with pytest.raises(InvalidHistory, match="squeak"):
        advise(STIFF, history, options())
    with pytest.raises(InvalidHistory, match="squeak"):
        remaining_minutes(STIFF, history, options(), 5, 0)


def test_cause_is_silent_when_all_parts_of_one_way_are_off() -> None:
    look = Look("turn", "stiff", 5.0, inactive=off("box"), through={"left": (off("a"), off("b", "c"))})
    silenced = {parts: look.silent(off(*parts)) for parts in ("", "a", "b", "bc")}
    assert silenced == {"": off("box"), "a": off("box", "left"), "b": off("box"), "bc": off("box", "left")}
