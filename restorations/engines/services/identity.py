"""Entering an engine, and changing what is said of its identity and owner."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from restorations.engines.models import Design, Engine, EngineConfiguration, Hand, LayUp
from restorations.engines.services.stoppages import StopDraft, place_stop
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once

AS_IT_CAME = {
    "works": ("other", "Entered to be restored or repaired."),
    "laid_up": ("storage", "Entered as it stands, put away."),
}
IDENTITY_FIELDS = (
    "name",
    "design",
    "number",
    "builder",
    "built",
    "about",
    "is_private",
    "owner_member",
    "owner_is_club",
    "owner_name",
    "owner_address",
)


def enter_engine(
    *, member: Member, mark: UUID, identity: Mapping[str, Any], build: Mapping[str, Any], works_on_it: bool, on: date
) -> Engine:
    """Enter an engine with its first configuration; whoever works on it is one of its hands from today.

    `identity` holds IDENTITY_FIELDS, in `new_design` the name of a design not yet in the list, and in `stands` the
    kind of stop it comes with: none where it runs.
    """

    def make() -> Engine:
        engine = Engine.objects.create(made_by=member, **_with_design(identity))
        EngineConfiguration.objects.create(engine=engine, number=1, made_by=member, **build)
        record(member, "entered the engine", engine, after=_told(engine))
        if works_on_it:
            Hand.objects.create(engine=engine, member=member, since=on)
            record(member, "put on the engine", engine, after={"hands": member})
        if identity.get("stands"):
            _stop_as_it_came(engine, str(identity["stands"]), Doing(member, engine.made_at), on)
        return engine

    return submit_once(member, mark, make)[0]


def _stop_as_it_came(engine: Engine, kind: str, doing: Doing, on: date) -> None:
    """What is entered to be worked on, or put away, is out of traffic from its first day."""
    cause_class, words = AS_IT_CAME[kind]
    stop = place_stop(engine=engine, draft=StopDraft(kind, cause_class, words, on), doing=doing)
    if kind == "laid_up":
        LayUp.objects.create(stoppage=stop)


def change_engine(*, engine: Engine, member: Member, mark: UUID, version: int, identity: Mapping[str, Any]) -> Engine:
    """Save what changed; raises Changed with the row as it stands where somebody saved since `version`."""

    def make() -> Engine:
        before = _told(engine)
        engine.save_from(version, **_with_design(identity))
        after = _told(engine)
        changed = [field for field in after if after[field] != before[field]]
        if changed:
            record(
                member,
                "changed the engine",
                engine,
                before={field: before[field] for field in changed},
                after={field: after[field] for field in changed},
            )
        return engine

    return submit_once(member, mark, make)[0]


def _with_design(identity: Mapping[str, Any]) -> dict[str, Any]:
    """The columns to save; a design typed anew is made, or found where somebody made it already."""
    columns = {field: value for field, value in identity.items() if field in IDENTITY_FIELDS}
    new = identity.get("new_design", "")
    if new:
        found = Design.objects.filter(name__iexact=new).first()
        columns["design"] = found or Design.objects.create(name=new)
    return columns


def _told(engine: Engine) -> dict[str, Any]:
    """What is said of it, in the words of the pages."""
    return {
        "name": engine.name,
        "number": engine.number,
        "builder": engine.builder,
        "built": engine.built,
        "design": str(engine.design or ""),
        "what is known": engine.about,
        "owner": engine.owner,
        "owner's address": engine.owner_address,
        "private": engine.is_private,
    }
