"""Correcting what an engine is made of: a new version, never a change of an old one."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from restorations.engines.models import Engine, EngineConfiguration
from restorations.members.models import Member
from restorations.members.models.entries import Changed
from restorations.members.models.records import record, submit_once


def correct_configuration(
    *, engine: Engine, member: Member, mark: UUID, number: int, answers: Mapping[str, Any], reason: str = ""
) -> EngineConfiguration:
    """Append a version with these answers; where nothing differs from version `number`, that one is given back.

    Raises Changed with the latest version where somebody appended one after `number`.
    """

    def make() -> EngineConfiguration:
        Engine.objects.select_for_update().get(pk=engine.pk)
        latest = engine.configuration
        if latest.number != number:
            raise Changed(latest)
        after = {**latest.answers(), **answers}
        if after == latest.answers():
            return latest
        made = EngineConfiguration.objects.create(
            engine=engine, number=number + 1, made_by=member, reason=reason, **after
        )
        changes = made.changes_from(latest)
        record(
            member,
            f"corrected how it is built, version {made.number}",
            engine,
            before={question: before for question, before, _ in changes},
            after={question: now for question, _, now in changes},
        )
        return made

    return submit_once(member, mark, make)[0]
