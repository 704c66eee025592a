"""Papers: the wall, the register, pictures, and reminders that go out once."""

import csv
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from typing import Any

import pypdfium2
import pytest
from django.core import mail
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import call_command
from django.db import connection
from django.test import override_settings
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from restorations.engines.models import Engine
from restorations.members.models import Message
from restorations.traffic.models import CertificateScan, PaperReminder
from restorations.traffic.papers import wall_of
from restorations.traffic.reminding import NOTICE, TOLD_AFTER, notice_due
from restorations.traffic.services.paper_reminders import queue_paper_reminders
from tests.cast import Cast
from tests.factories import make_engine, make_hand
from tests.photos.pictures import jpeg
from tests.traffic.running_builders import in_days, make_paper, make_session, mark, today

NOON = datetime(2026, 11, 20, 12, 0, tzinfo=UTC)


def _at(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, 12, tzinfo=UTC)


def _owned(cast: Cast, **changes: Any) -> Engine:
    return make_engine(made_by=cast.owner, owner_member=cast.owner, hands=(cast.member,), **changes)


def _file(content: bytes, name: str = "paper.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content)


def _table(cast: Cast, query: str = "", who: str = "secretary") -> list[list[str]]:
    text = cast.browser(who).get(f"/papers/register/?as=csv{query}").text
    return list(csv.reader(StringIO(text, newline="")))[1:]


def test_the_wall_has_what_lapsed_then_twelve_months_with_what_is_booked(cast: Cast) -> None:
    wren = _owned(cast)
    make_paper(wren, "gas_tank", days=-3)
    make_paper(wren, "steam_test", days=12)
    make_paper(wren, "insurance", days=800)
    make_session(wren, cast.owner, days=8)
    wall = wall_of(Engine.objects.all(), on=today())
    assert [one.words for one in wall.lapsed] == ["lapsed"]
    assert len(wall.months) == 12
    (near,) = [one for month in wall.months for one in month.papers]
    assert near.words.startswith("12 days left: booked with A. Outsider for")
    assert [one.paper.kind for one in wall.later] == ["insurance"]
    assert "12 days left: booked" in cast.browser("stranger").get("/papers/").text


@pytest.mark.parametrize("on", [date(2027, 1, 31), date(2028, 2, 29), date(2026, 12, 1)])
def test_twelve_months_are_twelve_different_ones_from_any_day(db: None, on: date) -> None:
    firsts = [month.first for month in wall_of(Engine.objects.all(), on=on).months]
    assert firsts[0] == on.replace(day=1)
    assert len({(first.year, first.month) for first in firsts}) == 12


def test_the_register_is_in_order_of_lapse_filtered_and_taken_away_as_it_stands(cast: Cast) -> None:
    wren, robin = _owned(cast), make_engine(name="Robin")
    make_paper(wren, "insurance", days=40, number="=1+1")
    make_paper(wren, "loan", days=400)
    make_paper(robin, "insurance", days=10)
    make_paper(robin, "insurance", days=-300)
    assert [(row[0], row[2]) for row in _table(cast)] == [
        ("Robin", "Insurance"), ("Wren", "Insurance"), ("Wren", "Loan agreement"),
    ]  # fmt: skip
    assert _table(cast, "&q=wren&kind=insurance")[0][3] == "'=1+1"
    assert len(_table(cast, "&renewed=yes")) == 4
    assert [row[0] for row in _table(cast, "&whose=club")] == ["Robin"]
    assert len(_table(cast, "&kind=nonsense&stands=%00")) == 3


def test_a_private_engines_papers_are_for_its_people_and_the_secretary(cast: Cast) -> None:
    paper = make_paper(_owned(cast, name="Dunlin", is_private=True))
    assert (len(_table(cast)), len(_table(cast, who="owner")), len(_table(cast, who="stranger"))) == (1, 1, 0)
    assert cast.browser("stranger").get(f"/papers/{paper.pk}/").status_code == 404


def test_the_printed_register_says_the_same_as_the_page(cast: Cast) -> None:
    make_paper(_owned(cast), number="B-1174")
    answer = cast.browser("secretary").get("/papers/register/?as=pdf")
    assert answer["Content-Type"] == "application/pdf"
    words = pypdfium2.PdfDocument(answer.content)[0].get_textpage().get_text_bounded()
    for said in ("Register of papers", "B-1174", "the office", "Wren", "in date", "checked by"):
        assert said in words


def test_a_picture_is_kept_with_the_paper_and_seen_by_the_secretary_of_a_private_engine(cast: Cast) -> None:
    paper = make_paper(_owned(cast, is_private=True))
    sent = mark(photos=[_file(jpeg())])
    assert cast.browser("owner").post(f"/papers/{paper.pk}/", sent).status_code == 302
    scan = CertificateScan.objects.get()
    address = f"/papers/{paper.pk}/{scan.pk}.webp"
    assert cast.browser("secretary").get(address)["Content-Type"] == "image/webp"
    assert cast.browser("stranger").get(address).status_code == 404
    assert cast.browser("member").post(f"/papers/{paper.pk}/", mark(photos=[_file(jpeg())])).status_code == 403


def test_other_files_are_refused_in_words(cast: Cast) -> None:
    paper = make_paper(_owned(cast))
    answer = cast.browser("owner").post(f"/papers/{paper.pk}/", mark(photos=[_file(b"%PDF-1.4", "paper.pdf")]))
    assert (answer.status_code, CertificateScan.objects.count()) == (422, 0)
    assert "paper.pdf" in answer.text


@given(left=st.integers(-400, 400))
def test_the_notice_due_is_the_nearest_one_reached(left: int) -> None:
    due = notice_due(date(2028, 2, 29) + timedelta(days=left), date(2028, 2, 29))
    reached = [days for days in NOTICE if left <= days]
    assert due == (min(reached) if reached and left >= -TOLD_AFTER else None)


@given(skipped=st.sets(st.integers(0, 120)))
def test_whatever_days_it_does_not_run_nobody_is_told_more_than_three_times_and_never_of_two_at_once(
    skipped: set[int],
) -> None:
    lapses, told = date(2028, 3, 1), []
    for left in range(120, -1, -1):
        due = notice_due(lapses, lapses - timedelta(days=left))
        if left not in skipped and due is not None and due not in told:
            told.append(due)
    assert told == sorted(told, reverse=True)
    assert set(told) <= set(NOTICE)


def test_secretary_owner_and_hands_are_told_once_each_however_often_it_runs(cast: Cast) -> None:
    make_paper(_owned(cast), days=30)
    assert queue_paper_reminders(_at(today())) == 3
    assert queue_paper_reminders(_at(today())) == 0
    told = Message.objects.values_list("to__sign_in_name", flat=True)
    assert sorted(told) == ["member", "owner", "secretary"]
    message = Message.objects.first()
    assert message is not None
    assert message.subject.startswith("Wren: insurance lapses in 30 days, after")
    queue_paper_reminders(_at(in_days(23)))
    assert Message.objects.count() == 6


def test_after_a_pause_only_the_nearest_is_told_of(cast: Cast) -> None:
    paper = make_paper(_owned(cast), days=90)
    queue_paper_reminders(_at(in_days(85)))
    assert set(PaperReminder.objects.values_list("certificate", "days")) == {(paper.pk, 7)}


def test_nobody_is_told_of_what_was_renewed_struck_out_or_is_gone(cast: Cast) -> None:
    wren, gone = _owned(cast), _owned(cast, gone_on=today(), gone_words="sold")
    make_paper(wren, days=5)
    make_paper(wren, days=370)
    make_paper(wren, "loan", days=5, struck_at=NOON, struck_by=cast.owner, struck_reason="mistyped")
    make_paper(gone, days=5)
    assert queue_paper_reminders(_at(today())) == 0


def test_whoever_left_is_not_told_and_several_papers_make_one_message(cast: Cast) -> None:
    cast.member.left_on = today()
    cast.member.save()
    for kind in ("insurance", "loan"):
        make_paper(_owned(cast), kind, days=7)
    assert queue_paper_reminders(_at(today())) == 2
    assert Message.objects.filter(to=cast.secretary).get().subject == "2 papers lapse"


def test_a_reminder_that_cannot_be_sent_is_kept_and_tried_again(cast: Cast) -> None:
    make_paper(_owned(cast), days=7)
    with override_settings(EMAIL_BACKEND=f"{__name__}.Unreachable"):
        call_command("send_messages", stdout=StringIO())
    assert Message.objects.filter(sent_at__isnull=True, tries=1).count() == 3
    call_command("send_messages", stdout=StringIO())
    assert len(mail.outbox) == 3


class Unreachable(EmailBackend):
    def send_messages(self, messages: Any) -> int:
        raise ConnectionRefusedError("nobody there")


def test_the_pages_and_the_reminders_ask_as_much_for_one_paper_as_for_ten(cast: Cast) -> None:
    browser = cast.browser("secretary")

    def asked() -> list[int]:
        found = []
        for address in ("/papers/", "/papers/register/"):
            with CaptureQueriesContext(connection) as queries:
                assert browser.get(address).status_code == 200
            found.append(len(queries))
        with CaptureQueriesContext(connection) as queries:
            queue_paper_reminders(_at(in_days(-1000)))
        return [*found, len(queries)]

    make_paper(_owned(cast), days=20)
    few = asked()
    for number in range(9):
        engine = make_engine(name=f"Engine {number}")
        make_hand(engine, cast.mate)
        make_paper(engine, days=20)
    assert asked() == few
