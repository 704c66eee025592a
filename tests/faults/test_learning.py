"""What closed sheets teach: the record equals a rebuild, sisters, what is left out, and where it is said."""

from collections.abc import Sequence
from dataclasses import replace
from math import exp, lgamma
from typing import Any

import pytest
from django.core.management import call_command

from restorations.calc.diagnosis import TooEntangled
from restorations.calc.diagnosis import learning as calc_learning
from restorations.engines.models import Design
from restorations.faults import club_knowledge, learning
from restorations.faults.confirming import Confirmed
from restorations.faults.knowing import in_force
from restorations.faults.models import FaultSheet, LearnedRates, StoredEvidence
from restorations.faults.page import read_page
from restorations.faults.services import learning as learning_services
from restorations.faults.services.learning import rebuild_learning
from restorations.faults.services.sheets import knowledge_for, store_knowledge, stored_knowledge
from restorations.knowledge import Knowledge, load
from tests.cast import Cast
from tests.factories import NOON
from tests.faults.builders import IDLE, bench_engine, make_sheet
from tests.faults.concluding import (
    GUMMED,
    NOT_FOUND,
    RUSTED,
    close,
    cured_sheet,
    found,
    looked_at,
    reopen,
    reported,
)

LOOSE = "crankpin_loose@middle"  # its prior on this engine is its rate: no answer about the past multiplies it
CLOSED_WITH = [found(), found(Confirmed(RUSTED, "seen", words="Red all over.")), NOT_FOUND]


def a_sheet(cast: Cast, **engine: Any) -> FaultSheet:
    sheet = make_sheet(bench_engine(cast, **engine), opened_by=cast.member)
    reported(sheet, cast.member)
    return sheet


def record() -> dict[str, Any]:
    return {row.of: (row.checksum, row.sheets, row.learned) for row in LearnedRates.objects.all()}


def forget() -> None:
    """As on a database that was never taught."""
    StoredEvidence.objects.all().delete()
    LearnedRates.objects.all().delete()


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 0, 1)])
def test_a_rebuild_gives_what_the_record_has_in_whatever_order_they_were_closed(
    order: Sequence[int], cast: Cast
) -> None:
    design = Design.objects.create(name="Side tank")
    sheets = [cured_sheet(cast), a_sheet(cast, design=design), a_sheet(cast, name="Jackdaw", design=design)]
    rows = {n: close(sheets[n], cast.mentor, replace(CLOSED_WITH[n], regardless="Given up.")) for n in order}
    before = record()
    reopen(rows[1], cast.mentor2)
    assert record() != before
    close(sheets[1], cast.mentor, replace(CLOSED_WITH[1], regardless="Given up."))
    assert record() == before
    forget()
    rebuild_learning(at=NOON)
    assert record() == before
    assert before["club"][1] == 3
    assert before[str(design.pk)][1] == 2


def test_a_second_rebuild_works_nothing_out_again(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    close(cured_sheet(cast), cast.mentor)
    monkeypatch.setattr(learning_services, "evidence_of_sheets", None)
    assert rebuild_learning(at=NOON).counted == 1


def log_beta(a: float, b: float) -> float:
    return lgamma(a) + lgamma(b) - lgamma(a + b)


def test_where_complaints_say_nothing_the_rate_is_the_mean_of_the_posterior_beta(cast: Cast) -> None:
    """B(a + k + 1, b + n - k) / B(a + k, b + n - k) with a = 20 p0, b = 20 (1 - p0): Skellam 1948 (RECALLED)."""
    for n in range(4):
        sheet = make_sheet(bench_engine(cast, name=f"Engine {n}"), opened_by=cast.member)
        step = looked_at(sheet, cast.member, LOOSE, present=n == 0)
        type(step).objects.filter(pk=step.pk).update(sensitivity=0.999999, false_alarm=0.000001)
        close(sheet, cast.mentor, NOT_FOUND)
    row = LearnedRates.objects.get(of="club").learned["crankpin_loose"]["idle_for_years"]
    a, b = 20 * row["file"] + 1, 20 * (1 - row["file"]) + 3
    assert row["rate"] == pytest.approx(exp(log_beta(a + 1, b) - log_beta(a, b)), rel=1e-3)
    assert row["expected_from_complaints"] == pytest.approx(4 * row["file"])


def test_sisters_start_from_the_clubs_rate_made_without_them(cast: Cast) -> None:
    close(cured_sheet(cast), cast.mentor)
    without = LearnedRates.objects.get(of="club").learned[GUMMED]["idle_for_years"]["rate"]
    design = Design.objects.create(name="Side tank")
    sister = a_sheet(cast, name="Jackdaw", design=design)
    close(sister, cast.mentor, replace(found(Confirmed(GUMMED, "seen", words="Black.")), regardless="Sold."))
    row = LearnedRates.objects.get(design=design).learned[GUMMED]["idle_for_years"]
    assert row["shipped"] == without
    assert row["rate"] > without
    assert "the club's rate without its sisters" in learning.told(GUMMED, design)
    assert in_force(sister.engine).causes[GUMMED].rate["idle_for_years"] == row["rate"]
    assert in_force(bench_engine(cast, name="Rook")).causes[GUMMED].rate["idle_for_years"] != row["rate"]


def test_what_was_learned_is_in_force_is_told_and_makes_open_sheets_stale(cast: Cast) -> None:
    still_open = make_sheet(bench_engine(cast, name="Jackdaw"), opened_by=cast.member)
    assert learning.told(GUMMED).endswith("no closed sheet speaks of it yet")
    before = in_force(still_open.engine)
    conclusion = close(cured_sheet(cast), cast.mentor)
    now = in_force(still_open.engine)
    assert now.checksum != before.checksum
    assert now.causes[GUMMED].rate["idle_for_years"] > before.causes[GUMMED].rate["idle_for_years"]
    assert learning.told(GUMMED).startswith("idle for years: base rate 20 %; in 1 sheet the complaint alone made 0.")
    assert read_page(still_open, at=NOON).is_stale
    call_command("refresh_rankings", verbosity=0)
    assert not read_page(still_open, at=NOON).is_stale
    reopen(conclusion, cast.mentor)
    assert in_force(still_open.engine).checksum == before.checksum


def withdrawn(knowledge: Knowledge, cause: str, *instead: str) -> Knowledge:
    entry = replace(knowledge.causes[cause], status="withdrawn", replaced_by=instead)
    return replace(knowledge, causes={**knowledge.causes, cause: entry}, checksum=f"without {cause}, {instead}")


@pytest.mark.parametrize(("instead", "counted"), [((), 0), (("crank_axle_bent",), 1)])
def test_a_cause_withdrawn_since_stays_readable_and_goes_on_as_the_one_in_its_place(
    instead: tuple[str, ...], counted: int, cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheet = cured_sheet(cast)
    close(sheet, cast.mentor)
    known = withdrawn(load(), GUMMED, *instead)
    for module in (learning, learning_services, club_knowledge):
        monkeypatch.setattr(module, "club_knowledge", lambda: known)
    monkeypatch.setattr("restorations.faults.knowing.club_knowledge", lambda: known)
    rebuilt = rebuild_learning(at=NOON)
    assert (rebuilt.counted, list(rebuilt.left_out)) == (counted, [] if counted else [sheet.pk])
    shown = read_page(FaultSheet.objects.get(pk=sheet.pk), at=NOON).concluded.in_force
    assert shown is not None
    assert shown.causes[0].row.name == "Dried oil in axleboxes, rod bearings and motion pins"
    now = f"; now: {known.causes[instead[0]].title}" if instead else ""
    assert shown.causes[0].since == f"withdrawn from the knowledge since{now}"


def test_a_sheet_too_entangled_is_left_out_and_named(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*args: Any) -> None:
        raise TooEntangled(1e6, 1.0)

    monkeypatch.setattr(calc_learning, "posterior", refuse)
    sheet = cured_sheet(cast)
    close(sheet, cast.mentor)
    rebuilt = rebuild_learning(at=NOON)
    assert rebuilt.counted == 0
    assert rebuilt.left_out[sheet.pk]
    page = cast.browser("member").get("/how-well/rates/").text
    assert str(sheet) in page


def test_rates_overtaken_by_the_files_are_not_laid_over_them(cast: Cast) -> None:
    close(cured_sheet(cast), cast.mentor)
    learned = learning.learned_in(learning.rows_holding(None))
    cause = load().causes[GUMMED]
    rate = {**cause.rate, "idle_for_years": 0.3}
    newer = replace(load(), causes={**load().causes, GUMMED: replace(cause, rate=rate)}, checksum="newer")
    assert learning.with_learned(newer, learned).causes[GUMMED].rate["idle_for_years"] == 0.3


def test_a_history_that_leaves_several_classes_open_teaches_no_rate(cast: Cast) -> None:
    sheet = cured_sheet(cast)
    FaultSheet.objects.filter(pk=sheet.pk).update(history={})
    close(sheet, cast.mentor)
    assert LearnedRates.objects.get(of="club").learned == {}


def test_what_a_closed_sheet_changes_of_an_engines_knowledge_is_kept_without_the_rest(cast: Cast) -> None:
    configuration = bench_engine(cast).configuration
    first, taught = load(), load().with_rates({GUMMED: {"idle_for_years": 0.4}})
    whole, other = (
        store_knowledge(knowledge_for(known, configuration, IDLE.as_mapping())) for known in (first, taught)
    )
    assert (whole.base, other.base) == (None, whole)
    stored_knowledge.cache_clear()
    assert stored_knowledge(other.checksum).checksum == other.checksum
