"""Papers that lapse, and the owner's consent to what cannot be undone."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from restorations.engines.models import Certificate, Engine, OwnerConsent
from restorations.engines.services.consent_requests import settle_requests
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once


def record_certificate(*, engine: Engine, member: Member, mark: UUID, paper: Mapping[str, Any]) -> Certificate:
    """Record a paper: kind, passed_on, lapses_on, by_whom, number."""

    def make() -> Certificate:
        row = Certificate.objects.create(engine=engine, recorded_by=member, **paper)
        record(member, "recorded a paper", engine, after={**paper, "kind": row.get_kind_display()})
        return row

    return submit_once(member, mark, make)[0]


def strike_certificate(*, row: Certificate, member: Member, reason: str) -> None:
    """Strike it out with a reason: it no longer opens any gate and stays readable."""
    with transaction.atomic():
        row.strike_out(member=member, reason=reason)
        record(member, "struck out a paper", row.engine, before={"paper": row}, after={"reason": reason})


def record_consent(*, engine: Engine, member: Member, mark: UUID, consent: Mapping[str, Any]) -> OwnerConsent:
    """Record the owner's consent: what, action, given_by, on, how."""

    def make() -> OwnerConsent:
        row = OwnerConsent.objects.create(engine=engine, recorded_by=member, **consent)
        record(member, "recorded the owner's consent", engine, after=dict(consent))
        if row.action:
            settle_requests(row, at=timezone.now(), by=member)
        return row

    return submit_once(member, mark, make)[0]


def strike_consent(*, row: OwnerConsent, member: Member, reason: str) -> None:
    """Strike it out with a reason: it no longer allows anything and stays readable."""
    with transaction.atomic():
        row.strike_out(member=member, reason=reason)
        record(member, "struck out a consent", row.engine, before={"what": row.what}, after={"reason": reason})
