"""What hangs on an engine is obeyed by its fault sheet."""

import pytest

from restorations.faults.gates import tag_gates
from restorations.knowledge import load
from restorations.tasks.models import Tag
from tests.cast import Cast
from tests.factories import NOON, make_engine
from tests.faults.builders import do, make_sheet, see

BOTH_OFF = "turn_wheels_both_rods_off"


@pytest.mark.parametrize(
    ("tag", "barred"),
    [("do_not_turn", "turn_wheels_all_on"), ("no_air", "try_on_light_air"), ("do_not_turn", "try_on_light_air")],
)
def test_a_tag_bars_what_it_says(tag: str, barred: str) -> None:
    (gate,) = tag_gates(load().checks[barred], frozenset({tag}))
    assert gate.kind == "never now"


def test_a_tag_bars_nothing_else() -> None:
    looking = load().checks["look_for_rust"]
    assert tag_gates(looking, frozenset({"do_not_turn", "no_air", "do_not_steam"})) == ()


def test_nothing_that_turns_the_engine_is_offered_while_do_not_turn_hangs_on_it(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    sheet = make_sheet(engine, opened_by=cast.member)
    see(sheet, cast.member, "wheels_stiff", 2)
    Tag.objects.create(
        engine=engine, kind="do_not_turn", reason="a rod hangs loose", put_on_at=NOON, put_on_by=cast.mate
    )
    page = cast.browser("member").get(f"/sheets/{sheet.pk}/").text
    assert "DO NOT TURN" in page
    assert "a rod hangs loose" in page
    now = page.split('id="now"')[1].split("</section>")[0]
    assert "Turn the wheels" not in now


def test_what_was_done_under_a_tag_is_written_down_and_says_so(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    sheet = make_sheet(engine, opened_by=cast.member)
    Tag.objects.create(
        engine=engine, kind="do_not_turn", reason="a rod hangs loose", put_on_at=NOON, put_on_by=cast.mate
    )
    step = do(sheet, cast.member, BOTH_OFF, "1")
    assert "DO NOT TURN" in step.done_although
