"""manage.py refresh_rankings, after the knowledge has changed."""

from datetime import datetime
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from restorations.engines.models import EngineConfiguration
from restorations.faults import ranking
from restorations.faults.management.commands import refresh_rankings
from restorations.faults.models import FaultSheet, Snapshot
from restorations.faults.page import read_page
from restorations.faults.services import sheets
from restorations.knowledge import EngineFacts
from restorations.members.models import Act
from tests.cast import Cast
from tests.factories import NOON
from tests.faults.builders import ONE_CYLINDER, bench_engine, bench_sheet, make_sheet, make_step

OTHER = "0" * 64


def _run() -> tuple[str, str]:
    out, err = StringIO(), StringIO()
    try:
        call_command("refresh_rankings", stdout=out, stderr=err)
    except CommandError as error:
        err.write(f"ended: {error}")
    return out.getvalue(), err.getvalue()


def _ranked_with_other_knowledge(*rows: FaultSheet) -> None:
    Snapshot.objects.filter(sheet__in=rows).update(knowledge_checksum=OTHER)


def _fresh(sheet: FaultSheet) -> FaultSheet:
    return FaultSheet.objects.get(pk=sheet.pk)


def test_open_sheets_ranked_with_other_knowledge_are_ranked_anew(cast: Cast) -> None:
    sheet, untouched = bench_sheet(cast), bench_sheet(cast)
    make_step(sheet, cast.member, at=NOON)
    _ranked_with_other_knowledge(sheet)
    assert read_page(sheet, at=NOON).is_stale
    out, err = _run()
    assert f"sheet {sheet.pk}: ranked anew" in out
    assert "1 ranked anew, 0 not" in out
    assert (err, untouched.snapshots.count(), sheet.snapshots.count()) == ("", 1, 2)
    assert sheet.latest_snapshot.events == [1]
    assert not read_page(_fresh(sheet), at=NOON).is_stale


def test_a_second_run_finds_nothing_to_do(cast: Cast) -> None:
    _ranked_with_other_knowledge(bench_sheet(cast))
    _run()
    assert _run() == ("0 ranked anew, 0 not.\n", "")


def test_a_closed_sheet_is_left_alone(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    FaultSheet.objects.filter(pk=sheet.pk).update(closed_at=timezone.now())
    _ranked_with_other_knowledge(sheet)
    _run()
    assert sheet.snapshots.count() == 1


def test_it_is_nobodys_act_and_writes_no_line(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    _ranked_with_other_knowledge(sheet)
    _run()
    assert not sheet.steps.exists()
    assert not Act.objects.about(sheet).exists()


def test_a_corrected_configuration_waits_for_a_member(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    corrected = {**ONE_CYLINDER, "piston_sealing": "soft_rings"}
    EngineConfiguration.objects.create(engine=sheet.engine, number=2, made_by=cast.mate, **corrected)
    _ranked_with_other_knowledge(sheet)
    _run()
    assert sheet.latest_snapshot.configuration_number == 1
    assert read_page(_fresh(sheet), at=NOON).is_stale
    assert not sheet.steps.exists()


def test_one_sheet_that_fails_does_not_stop_the_rest(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    first, second = bench_sheet(cast), make_sheet(bench_engine(cast, name="Dot"), opened_by=cast.member)
    _ranked_with_other_knowledge(first, second)
    sound = refresh_rankings.refresh_ranking

    def fails_once(sheet: FaultSheet, *, at: datetime) -> Snapshot:
        if sheet.pk == first.pk:
            raise RuntimeError("the disk is full")
        return sound(sheet, at=at)

    monkeypatch.setattr(refresh_rankings, "refresh_ranking", fails_once)
    out, err = _run()
    assert f"Wren, sheet {first.pk}: not ranked, RuntimeError: the disk is full" in err
    assert "ended: 1 of 2 sheets could not be ranked" in err
    assert f"Dot, sheet {second.pk}: ranked anew" in out
    assert (first.snapshots.count(), second.snapshots.count()) == (1, 2)


def test_what_cannot_be_worked_out_is_said_and_is_no_failure(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = bench_sheet(cast)
    _ranked_with_other_knowledge(sheet)

    def raises(*args: Any) -> Any:
        raise ranking.ImpossibleEvidence([])

    monkeypatch.setattr(ranking, "posterior", raises)
    out, err = _run()
    assert "ranked, but: What was seen cannot all be so" in out
    assert err == ""


def test_a_line_written_meanwhile_is_in_the_ranking(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = bench_sheet(cast)
    _ranked_with_other_knowledge(sheet)
    sound, written = sheets.ranking_of, []

    def interrupted(ground: sheets.Ground, facts: EngineFacts) -> ranking.Ranking:
        worked_out = sound(ground, facts)
        if not written:
            written.append(make_step(sheet, cast.mate, at=NOON))
            FaultSheet.objects.filter(pk=sheet.pk).update(version=sheet.version + 1)
        return worked_out

    monkeypatch.setattr(sheets, "ranking_of", interrupted)
    _run()
    assert sheet.latest_snapshot.events == [1]
    assert sheet.snapshots.count() == 2
