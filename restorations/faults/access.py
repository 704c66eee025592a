"""What a member may do on a sheet; the table of acts is in members.permissions."""

from dataclasses import dataclass
from datetime import date

from django.core.exceptions import PermissionDenied
from django.http import Http404

from restorations.engines.access import is_own_boiler, places_of
from restorations.faults.models import FaultSheet, GoAhead, Question, Step
from restorations.faults.reviewers import REPLY, act_of_answering, act_of_looking
from restorations.members.models import Member
from restorations.members.permissions import allowed


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a member stands towards the engine of a sheet that they can see."""

    member: Member
    places: frozenset[str]
    on: date
    is_closed: bool = False
    """A closed sheet is read: nobody writes on it until it is opened again."""

    def _may(self, act: str) -> bool:
        return not self.is_closed and allowed(act, self.places)

    @property
    def may_log(self) -> bool:
        return self._may("log work") or self._may("log work as a helper")

    @property
    def logs_stand(self) -> bool:
        """Whether what they log counts at once, or waits until one of the hands accepts it."""
        return self._may("log work")

    @property
    def may_accept(self) -> bool:
        return self._may("accept a helper's entry")

    @property
    def may_ask(self) -> bool:
        return self._may("do a risky step")

    @property
    def may_propose(self) -> bool:
        return self._may("propose a confirmed cause")

    @property
    def may_close(self) -> bool:
        return self._may("close a fault sheet")

    def may_strike(self, step: Step) -> bool:
        """One's own line, or a mentor correcting another's."""
        if self.is_closed:
            return False
        return step.recorded_by_id == self.member.pk or allowed("strike out another's entry", self.places)

    def may_answer(self, go_ahead: GoAhead) -> bool:
        """Never what they asked for themselves, nor for a boiler that is theirs or that they worked on."""
        act = act_of_answering(authority=go_ahead.authority, is_of_boiler=go_ahead.is_of_boiler)
        if not allowed(act, self.places, own=go_ahead.asked_by_id == self.member.pk):
            return False
        return not go_ahead.is_of_boiler or not is_own_boiler(self.member, go_ahead.sheet.engine, self.on)

    @property
    def may_reply(self) -> bool:
        """Whether they answer what is put to the mentors from the bench."""
        return allowed(REPLY, self.places)

    @property
    def may_ask_mentors(self) -> bool:
        return self._may("ask a mentor")

    def may_answer_question(self, question: Question) -> bool:
        """A mentor's question is answered by whoever asked for the go-ahead, or by another at the engine."""
        if question.asked_by_id == self.member.pk:
            return False
        if question.go_ahead is None:
            return self.may_reply
        asked = question.go_ahead.asked_by_id == self.member.pk
        return asked or allowed("answer a mentor's question", self.places)

    def may_withdraw(self, go_ahead: GoAhead) -> bool:
        """Whoever asked, while it waits; once it is given, whoever may give it takes it back."""
        asked = go_ahead.is_waiting and go_ahead.asked_by_id == self.member.pk
        return asked or (go_ahead.answer == "given" and not go_ahead.is_struck and self.may_answer(go_ahead))

    def may_look_at(self, step: Step) -> bool:
        """Whether they may say that they have looked at what was done without a go-ahead."""
        own = self.member.pk in {step.done_by_id, step.recorded_by_id}
        if not allowed(act_of_looking(step), self.places, own=own):
            return False
        return not step.is_of_boiler or not is_own_boiler(self.member, step.sheet.engine, self.on)

    @property
    def may_give_standing(self) -> bool:
        return allowed("give a standing go-ahead", self.places)


def standing_of(member: Member, sheet: FaultSheet, on: date) -> Standing:
    return Standing(member, places_of(member, sheet.engine, on), on, is_closed=sheet.closed_at is not None)


def visible_sheet(member: Member, pk: int, on: date) -> FaultSheet:
    """The sheet, or a plain 404 for whoever may not know of it."""
    rows = FaultSheet.objects.contents_visible_to(member, on=on).select_related("engine", "opened_by", "configuration")
    sheet = rows.filter(pk=pk).first()
    if sheet is None:
        raise Http404("no such sheet")
    return sheet


def require(holds: bool, otherwise: str) -> None:
    if not holds:
        raise PermissionDenied(otherwise)
