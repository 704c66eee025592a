"""Asking the owner before something is done that cannot be undone, and the owner's answer."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from restorations.engines.models import ConsentRequest, Engine, OwnerConsent
from restorations.engines.services.stoppages import tell
from restorations.members.doing import Doing
from restorations.members.models import Member, Message
from restorations.members.models.records import record, submit_once


@dataclass(frozen=True, slots=True)
class WhatIsAsked:
    """A step of the knowledge in plain words, why it is to be done, and where the sheet is."""

    action: str
    what: str
    why: str
    how: str
    address: str


class AnsweredMeanwhile(ValidationError):
    """The owner, or whoever speaks for them, was quicker."""


def who_speaks_for(engine: Engine) -> QuerySet[Member]:
    """The owner; the secretary for the club's engines; for an owner from outside the mentors, who ask them."""
    people: QuerySet[Member] = Member.objects.current()
    if engine.owner_member_id:
        return people.filter(pk=engine.owner_member_id)
    return people.filter(is_secretary=True) if engine.owner_is_club else people.filter(is_mentor=True)


def ask_owner(*, engine: Engine, asked: WhatIsAsked, doing: Doing, mark: UUID) -> ConsentRequest:
    """Ask once; asking again while it waits gives the one that waits."""

    def make() -> ConsentRequest:
        try:
            with transaction.atomic():
                row = ConsentRequest.objects.create(
                    engine=engine, asked_by=doing.member, asked_at=doing.at, **asdict(asked)
                )
        except IntegrityError:
            return ConsentRequest.objects.waiting().get(engine=engine, action=asked.action)
        record(doing.member, "asked for the owner's consent", row, after={"what": asked.what, "why": asked.why})
        _tell_speakers(row)
        return row

    return submit_once(doing.member, mark, make)[0]


def _tell_speakers(row: ConsentRequest) -> None:
    body = (
        f"{row.asked_by} asks for consent on {row.engine}, owned by {row.engine.owner}: {row.what}\n"
        f"It cannot be undone. {row.why}\n{row.get_absolute_url()}\n"
    )
    people = who_speaks_for(row.engine).exclude(pk=row.asked_by_id)
    tell(row.engine, f"{row.engine}: your consent is asked for", body, people, at=row.asked_at)


def answer_owner(
    *, request: ConsentRequest, given: Mapping[str, Any] | None, words: str, doing: Doing, mark: UUID
) -> ConsentRequest:
    """`given` holds given_by, how and on, where the owner says yes; None where they do not."""
    if given is None and not words:
        raise ValidationError({"words": "Say why not, so that they know what to do instead."})

    def make() -> ConsentRequest:
        consent = _consent(request, given, doing) if given is not None else None
        said = {"answer": "given" if consent else "refused", "words": words, "consent": consent}
        rows = ConsentRequest.objects.waiting().filter(pk=request.pk)
        if not rows.update(**said, answered_at=doing.at, answered_by=doing.member):
            request.refresh_from_db()
            raise AnsweredMeanwhile(f"{request.answered_by} has answered meanwhile: {request.get_answer_display()}.")
        request.refresh_from_db()
        record(doing.member, "answered for the owner", request, after={"answer": said["answer"], "words": words})
        _tell_asker(request)
        return request

    return submit_once(doing.member, mark, make)[0]


def _consent(request: ConsentRequest, given: Mapping[str, Any], doing: Doing) -> OwnerConsent:
    fields = {"what": request.what, "action": request.action, **given}
    consent = OwnerConsent.objects.create(engine=request.engine, recorded_by=doing.member, **fields)
    record(doing.member, "recorded the owner's consent", request.engine, after=fields)
    return consent


def _tell_asker(row: ConsentRequest) -> None:
    if row.answered_by_id == row.asked_by_id:
        return
    said = "consents" if row.answer == "given" else "does not consent"
    Message.objects.create(
        to=row.asked_by, subject=f"{row.engine}: the owner {said}",
        body=f"The owner of {row.engine} {said}: {row.what}\n{row.words}\n{row.address}\n",
    )  # fmt: skip


def settle_requests(consent: OwnerConsent, *, at: datetime, by: Member) -> None:
    """Call inside the transaction that records a consent: whoever had asked for it has their answer."""
    for row in ConsentRequest.objects.waiting().filter(engine=consent.engine_id, action=consent.action):
        ConsentRequest.objects.filter(pk=row.pk).update(answer="given", consent=consent, answered_at=at, answered_by=by)
        row.refresh_from_db()
        _tell_asker(row)
