"""Parts, answers and times as they are read out."""

import pytest

from restorations.faults.wording import answered, minutes_in_words, odds_moved, off_in_words, part_apart

OFF = {
    "one": (["Connecting rod (left side)"], ("connecting rod (left side)",)),
    "both sides": (
        ["Connecting rod (left side)", "Connecting rod (right side)"],
        ("connecting rod (left and right side)",),
    ),
    "both ends of a side": (
        ["Cylinder cover (left side, back end)", "Cylinder cover (left side, front end)"],
        ("cylinder cover (left side, back and front end)",),
    ),
    "ends of two sides": (
        ["Cylinder cover (left side, back end)", "Cylinder cover (right side, front end)"],
        ("cylinder cover (left side, back end and right side, front end)",),
    ),
    "with what off means": (["Piston rod gland (off: nut slackened) (left side)"], ("piston rod gland (left side)",)),
    "no place": (["Smokebox door (off: open)"], ("smokebox door",)),
    "nothing": ([], ()),
}


@pytest.mark.parametrize(("names", "expected"), OFF.values(), ids=OFF.keys())
def test_parts_that_are_off_are_read_out_together(names: list[str], expected: tuple[str, ...]) -> None:
    assert off_in_words(names) == expected


def test_what_off_means_stands_apart_from_the_name() -> None:
    assert part_apart("Piston rod gland (off: nut slack) (left side)") == ("Piston rod gland (left side)", "nut slack")
    assert part_apart("Connecting rod (left side)") == ("Connecting rod (left side)", "")


@pytest.mark.parametrize(
    ("asked", "answer", "expected"),
    [
        ("Is it still tight?", "no", "Is it still tight? No"),
        ("Turn the wheels", "Will not turn", "Turn the wheels: will not turn"),
    ],
)
def test_an_answer_reads_on_from_what_was_asked(asked: str, answer: str, expected: str) -> None:
    assert answered(asked, answer) == expected


@pytest.mark.parametrize(
    ("minutes", "expected"), [(0.2, "1 min"), (15, "15 min"), (120, "2 h"), (100, "1.7 h"), (1200, "20 h")]
)
def test_a_time_keeps_its_unit_on_the_line(minutes: float, expected: str) -> None:
    assert minutes_in_words(minutes) == expected.replace(" ", "\u00a0")


def test_odds_moved_say_about_no_more_than_once() -> None:
    assert odds_moved(0.0, 10.0) == "from 1 in 2 to 9 in 10"
