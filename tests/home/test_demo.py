"""The demo, as the README starts it: loaded once, its own database, nobody else's people."""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import timedelta
from html import unescape
from io import StringIO
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import transaction
from django.test import Client, override_settings
from django.utils import timezone

from restorations.engines.lapsing import lapsing_by
from restorations.engines.models import Certificate, ConsentRequest, Engine, Stoppage, TakeIn
from restorations.engines.models.take_in import HAZARDS
from restorations.engines.state import states_of
from restorations.faults.models import Conclusion, FaultSheet, GoAhead, Question, StandingGoAhead, Step
from restorations.faults.page import read_page
from restorations.home.demo.cast import CAST, PASSWORD
from restorations.home.demo.load import holds_other_people, load_demo
from restorations.members.models import Act, Member
from restorations.photos import files
from restorations.photos.models import Photo
from restorations.tasks.models import (
    Connection,
    DayBookEntry,
    FreeingAttempt,
    Holding,
    JobCard,
    Reading,
    Soak,
    StrippedPart,
    Tag,
    Wanted,
)
from restorations.traffic.forecasts import latest_forecasts
from restorations.traffic.models import EngineStands, RunningDay
from tests.architecture.sources import ROOT
from tests.factories import make_member


@pytest.fixture(scope="module")
def said(django_db_setup: None, django_db_blocker: Any) -> Iterator[str]:
    """Loaded once for all the tests below, by the command; each works in a savepoint of its own."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield run_demo("--load-only")
        transaction.set_rollback(True)


def run_demo(*arguments: str) -> str:
    """The command, on the tests' database, which is up to date."""
    words = StringIO()
    with override_settings(DEMO=True), patch("restorations.home.management.commands.demo.bring_up_to_date"):
        call_command("demo", *arguments, stdout=words)
    return words.getvalue()


@pytest.fixture
def demo(said: str, db: None) -> None:
    """The demo's rows, in a test that may use the database."""


@pytest.mark.usefixtures("demo")
def test_the_demo_prints_how_far_it_is_and_every_sign_in_with_the_password(said: str) -> None:
    assert said.index("Loading the demo") < said.index("Pipit, from the day it came") < said.index("Sign in")
    assert all(f"  {person.sign_in_name} " in said for person in CAST)
    assert f"password of each is: {PASSWORD}" in said


@pytest.mark.usefixtures("demo")
def test_the_demo_is_loaded_once() -> None:
    assert "Loading the demo" not in run_demo("--load-only")
    assert Engine.objects.count() == 6


@pytest.mark.parametrize("port", ["eighty", "0", "70000"])
def test_the_demo_refuses_a_port_that_is_none(port: str) -> None:
    with pytest.raises(CommandError, match="--port takes a number"):
        run_demo("--port", port)


@pytest.mark.usefixtures("demo")
def test_the_demo_is_not_loaded_among_other_people() -> None:
    make_member()
    with pytest.raises(CommandError, match="left alone"):
        run_demo("--load-only")


def test_a_database_that_holds_other_people_is_not_reset(tmp_path: Path) -> None:
    add = "from django.core.management import call_command; call_command('migrate', verbosity=0)\n"
    add += "from restorations.members.models import Member as M\n"
    add += "M.objects.create_member(sign_in_name='ada', full_name='Ada Newcome', password='three old kettles')"
    assert run_alone(tmp_path, "shell", "-c", add).returncode == 0
    outcome = run_alone(tmp_path, "demo", "--load-only", "--reset")
    assert outcome.returncode != 0
    assert "left alone" in outcome.stderr
    assert next((tmp_path / "demo").glob("*.sqlite3")).stat().st_size > 0


def run_alone(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """A command in a process of its own, on the demo's database in that folder."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("CLUBSHOP_", "DJANGO_"))}
    return subprocess.run(  # noqa: S603 - our own command
        [sys.executable, "manage.py", *arguments], cwd=ROOT, capture_output=True, text=True, check=False,
        env={**kept, "CLUBSHOP_DATA": str(folder), "CLUBSHOP_DEMO": "1"},
    )  # fmt: skip


@pytest.mark.usefixtures("demo")
def test_the_story_holds_what_a_first_look_should_show() -> None:
    builds = [engine.configuration for engine in Engine.objects.all()]
    assert len(builds) == 6
    assert len({build.valve_gear for build in builds}) == 4
    assert len({build.kind for build in builds}) == 4
    sheet = FaultSheet.objects.get(engine__name="Pipit")
    steps = list(Step.objects.filter(sheet=sheet))
    assert any(step.without_go_ahead for step in steps)
    assert any(step.kind == "remedy" for step in steps)
    assert any(step.kind == "not_sure" for step in steps)
    assert {part.place for part in StrippedPart.objects.off().exclude(component="")} == {"left", "right"}
    assert Soak.objects.under_way().exists()
    assert GoAhead.objects.waiting().exists()


@pytest.mark.usefixtures("demo")
def test_the_six_stand_differently_each_on_a_road_of_the_yard() -> None:
    engines, today = list(Engine.objects.all()), timezone.localdate()
    states = states_of(engines, today)
    assert {engine.name: states[engine.pk].kind for engine in engines} == {
        "Pipit": "in_works", "Whinchat": "in_traffic", "Dabchick": "stopped", "Dunlin": "in_works",
        "Corncrake": "stopped", "Turnstone": "laid_up",
    }  # fmt: skip
    assert {stands.engine for stands in EngineStands.objects.now()} == set(engines)
    assert {"engine", "key", "box", "papers"} <= set(Holding.objects.current().values_list("kind", flat=True))
    boiler = Stoppage.objects.open(today).boiler().get()
    assert Step.objects.filter(stoppage=boiler).exists()


@pytest.mark.usefixtures("demo")
def test_earlier_faults_are_closed_and_one_came_back() -> None:
    assert Conclusion.objects.in_force().count() >= 10
    assert Conclusion.objects.in_force().filter(outcome="not_found").exists()
    assert Conclusion.objects.unsigned().exists()
    assert FaultSheet.objects.still_open().filter(conclusions__reopened_at__isnull=False).exists()


@pytest.mark.usefixtures("demo")
def test_a_running_day_is_ahead_a_paper_is_about_to_lapse_and_one_has_its_days() -> None:
    today = timezone.localdate()
    assert 14 <= (RunningDay.objects.filter(on__gte=today)[0].on - today).days <= 28
    papers = {paper.kind for paper in lapsing_by(Engine.objects.all(), today + timedelta(days=30))}
    assert {"steam_test", "gas_tank"} <= papers
    assert any(forecast.even_chance_on for forecast in latest_forecasts(Engine.objects.all()).values())


# What each lands on, and what they would do first there.
FIRST_OF_ALL = {
    "member": ("A mentor asks you", "A steady blow at the chimney"),
    "mate": ("Crust and a damp ring round the safety valve", "A helper's lines, for you to accept"),
    "mentor": ("Mentor's desk", "To the desk"),
    "mentor2": ("Mentor's desk", "Whinchat"),
    "secretary": ("To the office", "Asked of the owner"),
    "inspector": ("Boilers stopped", "Boiler tests to come"),
    "owner": ("Dunlin", "Set the valves, both sides"),
    "administrator": ("Running the club", "say if you come"),
    "stranger": ("Good first jobs", "say if you come"),
}


@pytest.mark.usefixtures("demo")
@pytest.mark.parametrize("name", FIRST_OF_ALL)
def test_everybody_lands_where_there_is_something_to_do(name: str) -> None:
    browser = Client()
    assert browser.login(username=name, password=PASSWORD)
    page = unescape(browser.get("/").text.partition("<main")[2])
    assert [words for words in FIRST_OF_ALL[name] if words not in page] == []
    for address in sorted(set(re.findall(r'<li[^>]*><a href="(/[^"]*)"', page)))[:8]:
        assert browser.get(address).status_code == 200, address


@pytest.mark.usefixtures("demo")
def test_on_the_desks_waits_one_of_each_kind() -> None:
    waiting = GoAhead.objects.waiting()
    assert {row.authority for row in waiting} == {"mentor", "inspector"}
    assert Question.objects.to_the_bench().get().go_ahead in waiting
    assert Question.objects.to_mentors().exists()
    assert GoAhead.objects.filter(answer="refused").exists()
    assert GoAhead.objects.filter(answer="given", until__lt=timezone.now()).exists()
    assert Step.objects.unlooked().exists()
    assert StandingGoAhead.objects.in_force(timezone.now()).exists()
    assert ConsentRequest.objects.waiting().exists()


@pytest.mark.usefixtures("demo")
def test_pipit_came_with_a_sheet_signed_by_both_and_much_that_nobody_looked_for() -> None:
    sheet = TakeIn.objects.get(engine__name="Pipit")
    assert sheet.is_frozen
    assert set(sheet.holding_signatures()) == {"took_in", "brought"}
    assert [getattr(sheet, hazard) for hazard in HAZARDS].count("not_looked") >= 3
    assert sheet.later_findings.exists()
    assert {"left", "right"} <= set(Photo.objects.filter(engine=sheet.engine).latest_per_view())


@pytest.mark.usefixtures("demo")
def test_every_photo_of_the_demo_is_on_the_disk() -> None:
    photos = list(Photo.objects.all())
    assert photos
    for photo in photos:
        assert files.path_of(photo.large).is_file()
        assert files.path_of(photo.thumbnail).is_file()


@pytest.mark.usefixtures("demo")
def test_the_shop_holds_boxes_a_part_to_be_named_a_parted_pair_and_tags_with_reasons() -> None:
    rods = StrippedPart.objects.off().filter(component="connecting_rod")
    assert {rod.place: rod.in_box.number for rod in rods if rod.in_box} == {"right": 3, "left": 4}
    assert all(rod.photos.exists() for rod in rods)
    assert StrippedPart.objects.off().filter(component="", name="").exists()
    (pipe,) = Connection.objects.parted()
    assert (pipe.closed_a, pipe.closed_b) == ("plugged", "capped")
    assert {tag.kind for tag in Tag.objects.hanging() if tag.reason} == {"do_not_turn", "soaking"}
    gained = [attempt.forward_mm for attempt in FreeingAttempt.objects.order_by("tried_at")]
    assert gained[0] == 0 < gained[-1]


@pytest.mark.usefixtures("demo")
def test_the_work_is_planned_written_down_and_measured_by_several() -> None:
    states = [card.state for card in JobCard.objects.all()]
    assert {"done", "in_hand", "waits", "to_do"} <= set(states)
    assert JobCard.objects.good_first_jobs().exists()
    assert DayBookEntry.objects.waiting().get().done_by.sign_in_name == "stranger"
    assert DayBookEntry.objects.get(happened_precision="about").done_by_name
    assert DayBookEntry.objects.values("done_by").distinct().count() >= 4
    assert {wanted.state for wanted in Wanted.objects.all()} >= {"asked", "promised", "came"}
    assert Wanted.objects.to_repay().exists()


@pytest.mark.usefixtures("demo")
def test_a_reading_of_pipit_can_be_held_against_its_sister_and_a_series_plotted() -> None:
    pipit = Engine.objects.get(name="Pipit")
    known = Reading.objects.exclude(engine=pipit).get(known_good_for=pipit.design, what__startswith="pull")
    assert Reading.objects.filter(engine=pipit, key=known.key).count() >= 3
    assert Reading.objects.filter(engine__name="Dabchick", dimension="volume").count() >= 4
    assert pipit.design.design_notes.filter(kind="trap").exists()
    assert Photo.objects.showing_assembly(pipit.design).exists()


@pytest.mark.usefixtures("demo")
def test_nothing_of_the_shop_makes_the_sheet_out_of_date() -> None:
    page = read_page(FaultSheet.objects.get(engine__name="Pipit"), at=timezone.now())
    assert not page.is_stale


@pytest.mark.usefixtures("demo")
def test_nothing_of_the_demo_lies_ahead_of_the_day_it_was_loaded() -> None:
    now = timezone.now()
    for model, moment in (
        (DayBookEntry, "happened_at"),
        (Reading, "happened_at"),
        (Photo, "made_at"),
        (Tag, "put_on_at"),
        (Step, "happened_at"),
        (Stoppage, "reported_at"),
        (Act, "at"),
    ):
        assert not model.objects.filter(**{f"{moment}__gt": now}).exists()


def test_a_loading_that_is_interrupted_leaves_nothing(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    def break_off(*_: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("restorations.home.demo.load.draw_pictures", break_off)
    before = [model.objects.count() for model in (Engine, Member, Certificate)]
    with pytest.raises(KeyboardInterrupt):
        load_demo(at=timezone.now())
    assert [model.objects.count() for model in (Engine, Member, Certificate)] == before


@pytest.mark.usefixtures("demo")
def test_the_two_faults_of_the_story_are_suspected_on_their_sides() -> None:
    odds = FaultSheet.objects.get(engine__name="Pipit").latest_snapshot.log_odds
    by_suspicion = sorted(odds, key=lambda cause: -odds[cause])
    assert "piston_rod_rusted_in_gland@left" in by_suspicion[:3]
    rods = [cause for cause in by_suspicion if cause.startswith("coupling_rod") and "@" in cause]
    assert rods[0].endswith("@right")


@pytest.mark.usefixtures("demo")
def test_everybody_of_the_demo_can_sign_in_and_a_second_pair_of_eyes_finds_nobody_else() -> None:
    assert not holds_other_people()
    for person in CAST:
        assert Client().login(username=person.sign_in_name, password=PASSWORD)
    make_member()
    assert holds_other_people()


@pytest.mark.usefixtures("demo")
def test_only_near_people_see_the_private_engine() -> None:
    today = timezone.localdate()
    private = Engine.objects.get(is_private=True)
    sees = {
        name: Engine.objects.contents_visible_to(Member.objects.get(sign_in_name=name), on=today)
        .filter(pk=private.pk)
        .exists()
        for name in ("owner", "mentor2", "mentor", "member", "secretary", "administrator")
    }
    assert sees == {
        "owner": True,
        "mentor2": True,
        "mentor": False,
        "member": False,
        "secretary": False,
        "administrator": False,
    }
