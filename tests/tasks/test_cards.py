"""Jobs and cards: hours in order, circles refused by name, a job that waits for its parts, states in trade words."""

from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from restorations.members.models import Act
from restorations.tasks.card_order import find_cycle
from restorations.tasks.card_sets import InvalidCardSets, load_card_sets, read_card_sets
from restorations.tasks.models import CardOrder, JobCard, Restoration
from tests.cast import Cast
from tests.factories import NOON, TODAY, make_engine
from tests.faults.builders import make_part
from tests.tasks.work_builders import HOURS, error_beside, make_card, make_entry, make_job, once


def _write(cast: Cast, engine: Any, who: str = "member", **data: Any) -> Any:
    said = {"title": "Fit the rings", **HOURS, **data}
    return cast.browser(who).post(f"/engines/{engine.pk}/cards/new/", once(**said))


def test_a_card_is_written_with_its_hours_people_and_what_comes_first(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    first = make_card(engine, cast.member, title="Measure the bore")
    response = _write(
        cast, engine, system="cylinders", side="left", on_it=[cast.mate.pk], after=[first.pk], bring="feeler gauges"
    )
    assert response.status_code == 302
    card = JobCard.objects.get(title="Fit the rings")
    assert (card.low_hours, card.likely_hours, card.high_hours) == (1, 2, 4)
    assert [*card.people.all()] == [cast.mate]
    assert [*card.comes_after.all()] == [first]
    assert card.where == "Cylinders and pistons, left"
    assert Act.objects.about(card).get().after["comes after"] == "Measure the bore"


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("low_hours", "-3", "-3 hours cannot be"),
        ("low_hours", "0", "0 hours cannot be"),
        ("high_hours", "400", "too much for one card"),
        ("likely_hours", "1,5", "a plain number with a point"),
        ("likely_hours", "nan", "a plain number with a point"),
        ("likely_hours", "9", "The three rise"),
    ],
)
def test_hours_that_cannot_be_are_refused_in_words_and_kept_in_the_form(
    cast: Cast, name: str, typed: str, words: str
) -> None:
    engine = make_engine(hands=(cast.member,))
    response = _write(cast, engine, **{name: typed})
    assert response.status_code == 422
    assert words in error_beside(response.text, name)
    assert f'value="{typed}"' in response.text
    assert not JobCard.objects.exists()


def test_the_same_card_sent_twice_is_one_card(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    said = once(title="Fit the rings", **HOURS)
    for _ in range(2):
        assert cast.browser("member").post(f"/engines/{engine.pk}/cards/new/", said).status_code == 302
    assert JobCard.objects.count() == 1


def test_a_circle_of_cards_is_refused_and_its_cards_are_named(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    bore = make_card(engine, cast.member, title="Measure the bore")
    rings = make_card(engine, cast.member, title="Fit the rings", after=(bore,))
    cover = make_card(engine, cast.member, title="Cover on", after=(rings,))
    said = once(title="Measure the bore", version=1, after=[cover.pk], **HOURS)
    response = cast.browser("member").post(f"/cards/{bore.pk}/change/", said)
    assert response.status_code == 422
    words = error_beside(response.text, "after")
    assert all(title in words for title in ("Measure the bore", "Fit the rings", "Cover on"))
    bore.refresh_from_db()
    assert bore.version == 1
    assert CardOrder.objects.count() == 2


@pytest.mark.parametrize(
    ("after", "circle"),
    [
        ({}, set()),
        ({1: {2}, 2: {3}}, set()),
        ({1: {1}}, {1}),
        ({1: {2}, 2: {3}, 3: {2}}, {2, 3}),
        ({1: {2, 3}, 2: {4}, 3: {4}}, set()),
    ],
    ids=["nothing", "a chain", "itself", "two behind one", "two ways to one"],
)
def test_circles_are_found_wherever_they_lie(after: dict[int, set[int]], circle: set[int]) -> None:
    assert set(find_cycle(after)) == circle


def test_two_who_change_a_card_are_shown_both_versions(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member, cast.mate))
    card = make_card(engine, cast.member)
    first = once(title="Fit new rings", version=1, **HOURS)
    assert cast.browser("mate").post(f"/cards/{card.pk}/change/", first).status_code == 302
    second = once(title="Fit the old rings", version=1, on_it=[cast.member.pk], **HOURS)
    response = cast.browser("member").post(f"/cards/{card.pk}/change/", second)
    assert response.status_code == 409
    assert "Fit new rings" in response.text
    assert "Fit the old rings" in response.text
    assert "Anneli Thwaite" in response.text
    card.refresh_from_db()
    assert card.title == "Fit new rings"


@pytest.mark.parametrize(
    ("said", "name", "words"),
    [
        ({"state": "waits"}, "waits_for", "Say what it waits for"),
        ({"state": "dropped"}, "drop_reason", "why it is dropped"),
    ],
)
def test_a_card_waits_for_something_and_drops_for_a_reason(
    cast: Cast, said: dict[str, str], name: str, words: str
) -> None:
    card = make_card(make_engine(hands=(cast.member,)), cast.member)
    response = cast.browser("member").post(f"/cards/{card.pk}/state/", once(version=1, **said))
    assert response.status_code == 422
    assert words in error_beside(response.text, name)


def test_what_a_card_waited_for_goes_when_it_is_done(cast: Cast) -> None:
    card = make_card(make_engine(hands=(cast.member,)), cast.member)
    browser = cast.browser("member")
    browser.post(
        f"/cards/{card.pk}/state/", once(version=1, state="waits", waits_for="rings", waits_until="2027-01-02")
    )
    card.refresh_from_db()
    assert card.waits_for == "rings"
    browser.post(f"/cards/{card.pk}/state/", once(version=2, state="done", waits_for="rings"))
    card.refresh_from_db()
    assert (card.state, card.waits_for, card.waits_until) == ("done", "", None)
    assert card.ended_at is not None


def test_a_job_stays_open_while_a_part_is_off_or_to_be_named(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    job = make_job(engine, cast.member)
    make_part(engine, cast.member, number=1)
    make_part(engine, cast.member, number=2, component="", place="")
    response = cast.browser("member").post(f"/jobs/{job.pk}/close/", once(version=1))
    assert response.status_code == 422
    assert "Still off: connecting rod, left" in response.text
    assert "One part is off and to be named" in response.text
    assert Restoration.objects.get().closed_on is None


def test_a_job_stays_open_while_a_card_is_open(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    job = make_job(engine, cast.member)
    make_card(engine, cast.member, job=job)
    response = cast.browser("member").post(f"/jobs/{job.pk}/close/", once(version=1))
    assert "Cards not done: Fit the rings" in response.text


def test_a_job_with_everything_accounted_for_is_closed_once(cast: Cast) -> None:
    job = make_job(make_engine(hands=(cast.member,)), cast.member)
    assert cast.browser("member").post(f"/jobs/{job.pk}/close/", once(version=1)).status_code == 302
    assert Restoration.objects.get().closed_by == cast.member
    again = cast.browser("member").post(f"/jobs/{job.pk}/close/", once(version=2))
    assert again.status_code == 422
    assert "closed already" in again.text


def test_a_card_of_a_closed_job_is_not_opened_again(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    job = make_job(engine, cast.member, closed_on=TODAY, closed_by=cast.member)
    card = make_card(engine, cast.member, job=job, state="done", ended_at=NOON)
    response = cast.browser("member").post(f"/cards/{card.pk}/state/", once(version=1, state="to_do"))
    assert response.status_code == 422
    assert "The job of this card is closed" in response.text


def test_hours_spent_are_those_of_everybody_who_worked_on_it(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    card = make_card(engine, cast.member)
    make_entry(engine, cast.member, card=card, minutes=40, helpers=(cast.mate,))
    make_entry(engine, cast.stranger, card=card, minutes=600, stands=False)
    assert "1\u00a0h\u00a020 of 2\u00a0h" in cast.browser("member").get(f"/cards/{card.pk}/").text


def test_newcomers_see_first_jobs_that_can_be_started_and_take_one_on(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    card = make_card(engine, cast.member, title="Wash the frames", is_good_first_job=True, bring="rags")
    make_card(engine, cast.member, title="Paint the frames", is_good_first_job=True, after=(card,))
    browser = cast.browser("stranger")
    page = browser.get("/first-jobs/").text
    assert "Wash the frames" in page
    assert "Bring: rags" in page
    assert "Paint the frames" not in page
    browser.post(f"/cards/{card.pk}/take-on/", once())
    assert [*card.people.all()] == [cast.stranger]


def test_first_jobs_of_a_private_engine_are_not_shown(cast: Cast) -> None:
    engine = make_engine(is_private=True, owner_member=cast.owner)
    make_card(engine, cast.owner, title="Wash the frames", is_good_first_job=True)
    assert "Wash the frames" not in cast.browser("stranger").get("/first-jobs/").text


def test_a_set_becomes_cards_in_their_order_with_one_for_each_side(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,), configuration={"cylinder_layout": "two_outside"})
    address = f"/engines/{engine.pk}/cards/sets/?stage=oil_and_soak"
    ticked = [card.id for card in load_card_sets()["oil_and_soak"].for_sides(("left", "right"))]
    said = once(cards=ticked)
    for _ in range(2):
        assert cast.browser("member").post(address, said).status_code == 302
    last = JobCard.objects.get(title="First try by hand")
    assert last.comes_after.count() == 5
    assert JobCard.objects.count() == len(ticked)
    assert JobCard.objects.filter(side="left").count() == 2


def test_a_set_with_nothing_ticked_is_answered_in_words(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    response = cast.browser("member").post(f"/engines/{engine.pk}/cards/sets/?stage=strip", once())
    assert response.status_code == 422
    assert "Tick at least one card" in response.text


def test_every_stage_has_cards_and_says_where_they_come_from() -> None:
    sets = load_card_sets()
    assert len(sets) >= 10
    assert {(one.basis, one.source) for one in sets.values()} == {("judgement", "common_practice")}


def test_a_file_of_sets_is_refused_with_all_that_is_wrong(tmp_path: Path) -> None:
    file = tmp_path / "sets.toml"
    file.write_text(
        """
[[sets]]
id = "one"
title = "One"
what = "First"
basis = "hearsay"
source = "nowhere"
[[sets.cards]]
id = "a"
title = "A"
what = "Do a"
hours = [3, 2, 1]
after = ["b"]
system = "wings"
colour = "red"
"""
    )
    with pytest.raises(InvalidCardSets) as refused:
        read_card_sets(file)
    told = " ".join(refused.value.offenders)
    for words in ("'hearsay'", "'nowhere'", "'b' is no earlier card", "'wings'", "colour: not a key", "0 < at best"):
        assert words in told
    assert len(refused.value.offenders) == 6


@pytest.mark.parametrize("address", ["cards/", "wanted/"])
def test_the_pages_of_an_engine_ask_the_same_for_one_card_and_for_ten(cast: Cast, address: str) -> None:
    engine, busy = make_engine(hands=(cast.member,)), make_engine(hands=(cast.member,), name="Rail")
    make_card(engine, cast.member, people=(cast.mate,))
    for number in range(10):
        card = make_card(busy, cast.member, title=f"Card {number}", people=(cast.mate, cast.member))
        make_entry(busy, cast.member, card=card, minutes=20)
    browser = cast.browser("member")
    counts = []
    for one in (engine, busy):
        with CaptureQueriesContext(connection) as queries:
            browser.get(f"/engines/{one.pk}/{address}")
        counts.append(len(queries))
    assert counts[0] == counts[1]
