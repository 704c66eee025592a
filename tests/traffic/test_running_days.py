"""Running days: planned, changed, called off; engines, people and what came of it."""

from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from restorations.engines.models import Stoppage
from restorations.members.models import Message
from restorations.tasks.models import DayBookEntry
from restorations.tasks.services.day_book import strike_entry
from restorations.traffic.models import Allocation, Attendance, Incident, RunningDay
from restorations.traffic.services import allocations, incidents, running_days
from restorations.traffic.services.allocations import Ran
from restorations.traffic.services.incidents import Report
from tests.cast import Cast
from tests.factories import NOON, make_engine, make_hand, make_stop
from tests.traffic.running_builders import in_days, make_day, mark, now, runs_on_air, today

SAID = {"title": "Santa run", "begins_at": "10:00", "ends_at": "15:00", "note": "Bring a lamp"}


def _plan(browser: Client, **changes: Any) -> Any:
    return browser.post("/running-days/", mark(**{"on": in_days(21), **SAID, **changes}))


def _allocated(cast: Cast, *, days: int = 21, **changes: Any) -> Allocation:
    engine = runs_on_air(cast.owner, hands=(cast.member,), **changes)
    day = make_day(cast.secretary, days=days)
    return allocations.allocate(row=day, engine=engine, words="", doing=now(cast.secretary), mark=uuid4())


def test_the_secretary_plans_a_day_once_and_everybody_sees_it(cast: Cast) -> None:
    assert _plan(cast.browser("secretary")).status_code == 302
    page = cast.browser("stranger").get("/running-days/").text
    assert "Santa run" in page
    assert "Plan a running day" not in page


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"on": in_days(-1)}, "This day has gone by"),
        ({"on": "2101-01-01"}, "more than 3 years ahead"),
        ({"on": "soon"}, "Enter a valid date"),
        ({"ends_at": "09:00"}, "end before it begins"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_what_was_typed_is_kept(cast: Cast, changes: Any, words: str) -> None:
    answer = _plan(cast.browser("secretary"), **changes)
    assert (answer.status_code, RunningDay.objects.count()) == (422, 0)
    assert words in answer.text
    assert "Bring a lamp" in answer.text


def test_two_on_one_date_are_refused_naming_the_first(cast: Cast) -> None:
    _plan(cast.browser("secretary"))
    answer = _plan(cast.browser("secretary"), title="Another")
    assert "already: Santa run" in answer.text
    assert RunningDay.objects.count() == 1


def test_a_day_is_changed_by_version_and_taken_up_again_after_calling_it_off(cast: Cast) -> None:
    day, browser = make_day(cast.secretary), cast.browser("secretary")
    browser.post(f"/running-days/{day.pk}/call-off/", mark(reason="no coal"))
    assert "no coal" in cast.browser("member").get(day.get_absolute_url()).text
    old = browser.post(f"/running-days/{day.pk}/change/", mark(on=day.on, **SAID, version=1))
    assert (old.status_code, RunningDay.objects.get().title) == (409, "Running day")
    browser.post(f"/running-days/{day.pk}/change/", mark(on=day.on, **SAID, version=2))
    day.refresh_from_db()
    assert (day.title, day.is_called_off) == ("Santa run", False)


def test_a_member_asks_for_an_engine_and_the_secretary_allocates_it(cast: Cast) -> None:
    engine, day = runs_on_air(cast.owner), make_day(cast.secretary)
    sent = mark(engine=engine.pk, words="the grandchildren")
    cast.browser("stranger").post(f"/running-days/{day.pk}/engines/", sent)
    assert Allocation.objects.get().allocated_at is None
    cast.browser("secretary").post(f"/running-days/{day.pk}/engines/", mark(engine=engine.pk))
    held = Allocation.objects.get()
    assert (held.allocated_by, held.asked_by, held.condition) == (cast.secretary, cast.stranger, "")


def test_an_engine_is_on_a_day_once(cast: Cast) -> None:
    held = _allocated(cast)
    again = mark(engine=held.engine_id)
    answer = cast.browser("stranger").post(f"/running-days/{held.day_id}/engines/", again)
    assert "asked for or allocated on this day already" in answer.text
    with pytest.raises(ValidationError, match="allocated to this day already"):
        allocations.allocate(row=held.day, engine=held.engine, words="", doing=now(cast.secretary), mark=uuid4())


def test_one_that_cannot_run_is_refused_and_one_that_could_is_allocated_with_its_if(cast: Cast) -> None:
    day = make_day(cast.secretary)
    laid_up, lacking = runs_on_air(cast.owner), make_engine(made_by=cast.owner, configuration={"boiler": "copper"})
    make_stop(laid_up, kind="laid_up", cause_class="storage")
    with pytest.raises(ValidationError, match="cannot run on"):
        allocations.allocate(row=day, engine=laid_up, words="", doing=now(cast.secretary), mark=uuid4())
    held = allocations.allocate(row=day, engine=lacking, words="", doing=now(cast.secretary), mark=uuid4())
    assert "steam test of the boiler recorded: none is" in held.condition


def test_an_engine_that_was_sold_is_refused_in_words(cast: Cast) -> None:
    sold = runs_on_air(cast.owner, gone_on=today(), gone_words="sold to a museum")
    with pytest.raises(ValidationError, match="sold to a museum"):
        allocations.ask_for(row=make_day(cast.secretary), engine=sold, words="", doing=now(cast.mate), mark=uuid4())


def test_withdrawing_keeps_the_reason_and_makes_room(cast: Cast) -> None:
    held = _allocated(cast)
    cast.browser("member").post(f"/allocations/{held.pk}/withdraw/", mark(reason="a flat spring"))
    held.refresh_from_db()
    assert (held.withdrawn_by, held.withdrawn_reason) == (cast.member, "a flat spring")
    allocations.allocate(row=held.day, engine=held.engine, words="", doing=now(cast.secretary), mark=uuid4())


def test_what_an_engine_did_goes_into_its_day_book_once(cast: Cast) -> None:
    held = _allocated(cast, days=-2)
    sent = mark(ran="yes", laps="12", hours="3.5", words="Steamed well.")
    for _ in range(2):
        assert cast.browser("member").post(f"/allocations/{held.pk}/", sent).status_code == 302
    entry = DayBookEntry.objects.get()
    assert entry.text.endswith("Running day: 12 laps, 3.5 h. Steamed well.")
    assert (entry.stands, entry.minutes, entry.happened_at.date()) == (True, None, in_days(-2))
    strike_entry(entry=entry, member=cast.member, reason="wrong engine", at=NOON)
    assert not Allocation.objects.select_related("entry").get().has_result


def test_a_result_by_the_secretary_waits_for_one_of_the_hands_as_every_helpers_line(cast: Cast) -> None:
    held = _allocated(cast, days=0)
    allocations.record_result(allocation=held, ran=Ran(True, laps=1), doing=now(cast.secretary), mark=uuid4())
    assert not DayBookEntry.objects.get().stands


def test_no_result_before_the_day_and_a_past_day_takes_an_engine_that_ran_as_well(cast: Cast) -> None:
    ahead = _allocated(cast)
    with pytest.raises(ValidationError, match="yet to come"):
        allocations.record_result(allocation=ahead, ran=Ran(True), doing=now(cast.member), mark=uuid4())
    past = make_day(cast.secretary, days=-4)
    with pytest.raises(ValidationError, match="has gone by"):
        allocations.ask_for(row=past, engine=ahead.engine, words="", doing=now(cast.mate), mark=uuid4())
    stopped, gone = runs_on_air(cast.owner, name="Robin"), make_day(cast.secretary, days=-3)
    make_stop(stopped, began_on=in_days(-10))
    held = allocations.allocate(row=gone, engine=stopped, words="", doing=now(cast.secretary), mark=uuid4())
    assert held.condition.startswith("Stopped since")


def test_people_say_whether_they_come_and_the_secretary_records_who_did(cast: Cast) -> None:
    day = make_day(cast.secretary, days=0)
    cast.browser("mate").post(f"/running-days/{day.pk}/coming/", mark(coming="yes"))
    cast.browser("mate").post(f"/running-days/{day.pk}/coming/", mark(coming="no"))
    assert Attendance.objects.get().coming == "no"
    cast.browser("secretary").post(f"/running-days/{day.pk}/came/", mark(came=[cast.member.pk]))
    assert dict(Attendance.objects.values_list("member__sign_in_name", "came")) == {"mate": False, "member": True}


def _incident(cast: Cast, **changes: Any) -> Incident:
    plain = {"kind": "near_miss", "words": "A child ran across", "hurt": "no"}
    return incidents.report_incident(
        row=make_day(cast.secretary, days=-1), report=Report(**{**plain, **changes}), doing=now(cast.stranger),
        mark=uuid4(),
    )  # fmt: skip


def test_an_incident_is_read_by_those_it_concerns_and_only_added_to(cast: Cast) -> None:
    incident = _incident(cast)
    Attendance.objects.create(day=incident.day, member=cast.mate, came=True)
    Attendance.objects.create(day=incident.day, member=cast.member, coming="yes")
    readers = [name for name in cast.people if Incident.objects.visible_to(cast[name]).exists()]
    assert set(readers) == {"mentor", "mentor2", "secretary", "inspector", "stranger", "mate"}
    assert cast.browser("owner").get(incident.get_absolute_url()).status_code == 404
    cast.browser("mate").post(incident.get_absolute_url(), mark(words="It was two children"))
    page = cast.browser("mentor").get(incident.get_absolute_url()).text
    assert "A child ran across" in page
    assert "It was two children" in page
    assert "Who must be told is local law" in page
    assert "child" not in Message.objects.first().body  # type: ignore[union-attr]


def test_an_incident_stops_the_engine_once(cast: Cast) -> None:
    engine = runs_on_air(cast.owner)
    first = _incident(cast, kind="incident", engine=engine, stop="defect")
    second = incidents.report_incident(
        row=first.day, report=Report("incident", "Again", "no", engine=engine, stop="defect"), doing=now(cast.mate),
        mark=uuid4(),
    )  # fmt: skip
    stop = Stoppage.objects.get()
    assert (first.stoppage, second.stoppage, stop.cause_class) == (stop, stop, "accident")


@pytest.mark.parametrize(
    ("changes", "words"),
    [({"hurt": "yes"}, "Say who was hurt"), ({"stop": "defect"}, "Say which engine"), ({"words": ""}, "required")],
)
def test_a_report_that_leaves_something_out_says_what(cast: Cast, changes: Any, words: str) -> None:
    day = make_day(cast.secretary, days=0)
    sent = mark(**{"kind": "incident", "words": "A coupling parted", "hurt": "no", **changes})
    answer = cast.browser("mate").post(f"/running-days/{day.pk}/incidents/", sent)
    assert (answer.status_code, Incident.objects.count()) == (422, 0)
    assert words in answer.text


def test_nothing_can_have_happened_on_a_day_to_come_nor_come_of_one_called_off(cast: Cast) -> None:
    ahead, off = make_day(cast.secretary), make_day(cast.secretary, days=-1)
    running_days.call_off(row=off, reason="ice", doing=now(cast.secretary), mark=uuid4())
    report = Report("near_miss", "x", "no")
    with pytest.raises(ValidationError, match="yet to come"):
        incidents.report_incident(row=ahead, report=report, doing=now(cast.mate), mark=uuid4())
    with pytest.raises(ValidationError, match="called off"):
        running_days.record_who_came(row=off, came=[], doing=now(cast.secretary), mark=uuid4())


def test_a_private_engine_is_told_of_to_nobody_for_whom_it_does_not_exist(cast: Cast) -> None:
    held = _allocated(cast, name="Dunlin", is_private=True, owner_member=cast.owner)
    assert "Dunlin" not in cast.browser("stranger").get(f"/running-days/{held.day_id}/").text
    assert "Dunlin" in cast.browser("owner").get(f"/running-days/{held.day_id}/").text


def test_the_pages_ask_as_much_for_one_engine_as_for_ten(cast: Cast) -> None:
    browser, held = cast.browser("secretary"), _allocated(cast)

    def asked() -> list[int]:
        found = []
        for address in ("/running-days/", f"/running-days/{held.day_id}/"):
            with CaptureQueriesContext(connection) as queries:
                assert browser.get(address).status_code == 200
            found.append(len(queries))
        return found

    few = asked()
    for number in range(9):
        engine = runs_on_air(cast.owner, name=f"Engine {number}")
        make_hand(engine, cast.mate)
        allocations.allocate(row=held.day, engine=engine, words="", doing=now(cast.secretary), mark=uuid4())
        make_day(cast.secretary, days=30 + number)
    assert asked() == few
