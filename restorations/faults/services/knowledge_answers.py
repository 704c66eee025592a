"""A proposed change of the knowledge sent, answered by another mentor, let go, or begun anew on top of what came."""

import json
from hashlib import sha256
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError
from django.db.models import F

from restorations.faults import effects
from restorations.faults.club_knowledge import ClubKnowledge, chain, club
from restorations.faults.models import ClubEntry, KnowledgeChange
from restorations.faults.services.knowledge_changes import made_before, problems_of, require_own_draft
from restorations.faults.services.learning import rebuild_learning
from restorations.faults.services.sheets import until_unchanged
from restorations.knowledge import Knowledge
from restorations.knowledge.entry_text import is_editable
from restorations.knowledge.loader import shipped_files
from restorations.knowledge.parsing import parse
from restorations.members.doing import Doing
from restorations.members.models import Changed, Member, Message
from restorations.members.models.records import record, submit_once


class Overtaken(Exception):
    """What a change was begun over is no longer what holds: it is looked at again before it is decided."""

    def __init__(self, change: KnowledgeChange) -> None:
        super().__init__("The entry was changed meanwhile.")
        self.change = change


def overtaken(change: KnowledgeChange, now: ClubKnowledge) -> list[dict[str, str]]:
    """Those entries of a change that are not what they were when it was begun."""
    return [row for row in change.entries if row["base"] != now.base_of(row["kind"], row["id"])]


def work_out_effects(*, change: KnowledgeChange, version: int, doing: Doing, mark: UUID) -> KnowledgeChange:
    """Keep what the change would do to the open sheets this member may read, as far as there was time.

    A second sending only goes on with it, so neither version nor mark is needed here.
    """
    if not change.is_open:
        raise ValidationError("It is decided; what it does is seen on the sheets.")
    candidate = _candidate(change, club())
    worked_out = effects.work_out(change, candidate, doing.member, at=doing.at)
    KnowledgeChange.objects.filter(pk=change.pk).update(effects=worked_out)
    return change


def _candidate(change: KnowledgeChange, now: ClubKnowledge) -> Knowledge:
    knowledge, offenders = now.survey_with(change.texts)
    if offenders or not all(is_editable(entry.text, entry.id) for entry in change.texts if entry.text):
        raise ValidationError("The loader refuses it as it stands; what is wrong is listed.")
    return knowledge


def send_change(*, change: KnowledgeChange, version: int, reason: str, doing: Doing, mark: UUID) -> KnowledgeChange:
    """To the other mentors: whole, with a reason, its effect seen, over what holds now."""
    again = made_before(doing, mark)
    if again is not None:
        return again
    require_own_draft(change, doing)
    now = club()
    if overtaken(change, now):
        raise Overtaken(change)
    candidate = _candidate(change, now)
    if _changes_nothing(change, now) and not _looks_again(change, now):
        raise ValidationError("Nothing is changed by it.")
    if change.effects.get("of") != candidate.checksum:
        raise ValidationError("Look first at what it would do to the open sheets.")

    def make() -> KnowledgeChange:
        change.save_from(version, state="waits", reason=reason, sent_at=doing.at, problems=[])
        record(doing.member, "proposed a change of the knowledge", change, after={"reason": change.reason})
        for mentor in Member.objects.mentors().exclude(pk=doing.member.pk):
            _tell(mentor, change, f"{doing.member} proposes a change of the knowledge: {change.title}")
        return change

    return submit_once(doing.member, mark, make)[0]


def _changes_nothing(change: KnowledgeChange, now: ClubKnowledge) -> bool:
    """Whether every entry says what it says now, whoever's record it is."""
    return all(
        {**parse(entry.text).get(entry.id, {}), "basis": ""} == {**(now.files.raw(*entry.key) or {}), "basis": ""}
        for entry in change.texts
    )


def _looks_again(change: KnowledgeChange, now: ClubKnowledge) -> bool:
    """The shipped entry came out anew, and the mentor has looked and keeps to the club's."""
    return any(own.is_over_another for own in now.to_look_at_again if own.entry.key == (change.kind, change.entry))


def answer_change(*, change: KnowledgeChange, accepts: bool, words: str, doing: Doing, mark: UUID) -> KnowledgeChange:
    """Another mentor's word. What was accepted is written only over the state it was checked against; what closed
    sheets teach is worked out anew with it."""
    _require_lawful(change, accepts=accepts, words=words, doing=doing)

    def attempt() -> KnowledgeChange:
        again = made_before(doing, mark)
        if again is not None:
            return again
        seen = chain()
        if accepts:
            _require_sound(change)

        def make() -> KnowledgeChange:
            _answer(change, "accepted" if accepts else "declined", words, doing)
            if accepts:
                _write_entries(change, doing, seen)
            return change

        return submit_once(doing.member, mark, make)[0]

    answered: KnowledgeChange = until_unchanged(attempt)
    if accepts:
        rebuild_learning(at=doing.at)
    return answered


def _require_lawful(change: KnowledgeChange, *, accepts: bool, words: str, doing: Doing) -> None:
    if change.proposed_by_id == doing.member.pk:
        raise PermissionDenied("Nobody accepts a change of the knowledge that they proposed themselves.")
    if not accepts and not words.strip():
        raise ValidationError({"answer": "Say why not."})


def _require_sound(change: KnowledgeChange) -> None:
    """Over what holds at this moment, and with everything else."""
    now = club()
    if change.state == "waits" and overtaken(change, now):
        raise Overtaken(change)
    _candidate(change, now)


def _answer(change: KnowledgeChange, state: str, words: str, doing: Doing) -> None:
    rows = KnowledgeChange.objects.filter(pk=change.pk, state="waits")
    answered = rows.update(
        state=state, answer=words, answered_at=doing.at, answered_by=doing.member, version=F("version") + 1
    )
    change.refresh_from_db()
    if not answered:
        raise ValidationError(f"This is not open any more: {change.get_state_display()}.")
    record(doing.member, f"{state} a change of the knowledge", change, after={"answer": words})
    _tell(change.proposed_by, change, f"{doing.member} has {state} your change of the knowledge: {change.title}")


def _write_entries(change: KnowledgeChange, doing: Doing, seen: str) -> None:
    if chain() != seen:
        raise Changed(change)
    last = ClubEntry.objects.order_by("-number").values_list("number", flat=True).first() or 0
    link = seen
    for number, entry in enumerate(change.texts, start=last + 1):
        link = sha256(json.dumps([link, change.pk, *entry.key, entry.system, entry.text]).encode()).hexdigest()
        try:
            ClubEntry.objects.create(
                number=number, change=change, kind=entry.kind, system=entry.system, entry=entry.id, text=entry.text,
                shipped_checksum=shipped_files().checksum_of(*entry.key), proposed_by=change.proposed_by,
                accepted_by=doing.member, reason=change.reason, at=doing.at, chain=link,
            )  # fmt: skip
        except IntegrityError:
            raise Changed(change) from None


def let_go(*, change: KnowledgeChange, version: int, doing: Doing, mark: UUID) -> KnowledgeChange:
    """Whoever proposed it takes it back before it is answered."""
    again = made_before(doing, mark)
    if again is not None:
        return again
    if change.proposed_by_id != doing.member.pk:
        raise PermissionDenied("A change is let go by whoever proposed it.")
    if change.state not in {"draft", "waits"}:
        raise ValidationError(f"This is not open any more: {change.get_state_display()}.")

    def make() -> KnowledgeChange:
        change.save_from(version, state="let_go")
        record(doing.member, "let a change of the knowledge go", change)
        return change

    return submit_once(doing.member, mark, make)[0]


def begin_anew(*, change: KnowledgeChange, version: int, doing: Doing, mark: UUID) -> KnowledgeChange:
    """The same wish over the entries as they are now; the one that was overtaken stays readable."""
    again = made_before(doing, mark)
    if again is not None:
        return again
    if change.proposed_by_id != doing.member.pk:
        raise PermissionDenied("It is begun anew by whoever proposed it; begin a change of your own from the entry.")
    now = club()
    if change.state not in {"draft", "waits"} or not overtaken(change, now):
        raise ValidationError("Nothing it rests on has changed.")
    entries = [
        {**row, "before": now.text_of(row["kind"], row["id"]), "base": now.base_of(row["kind"], row["id"])}
        for row in change.entries
    ]  # fmt: skip

    def make() -> KnowledgeChange:
        change.save_from(version, state="overtaken")
        fresh = KnowledgeChange.objects.create(
            act=change.act, kind=change.kind, entry=change.entry, title=change.title, reason=change.reason,
            entries=entries, problems=problems_of(change.texts, now), begun_at=doing.at, proposed_by=doing.member,
        )  # fmt: skip
        record(doing.member, "began a change of the knowledge", fresh, after={"on top of": change.pk})
        return fresh

    return submit_once(doing.member, mark, make)[0]


def _tell(member: Member, change: KnowledgeChange, words: str) -> None:
    body = f"{words}\n{change.answer or change.reason}\n{change.get_absolute_url()}\n"
    Message.objects.create(to=member, subject=words[:150], body=body)
