"""What waits for whoever gives go-aheads: requests, steps done without one, questions from the bench."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Case, F, IntegerField, Q, QuerySet, Value, When
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.faults.models import Conclusion, GoAhead, Question, StandingGoAhead, Step
from restorations.faults.reviewers import (
    GIVE,
    GIVE_AS_INSPECTOR,
    GIVE_FOR_BOILER,
    LOOK,
    LOOK_AT_BOILER,
    REPLY,
    boilers_worked_on,
)
from restorations.faults.signing import waiting_for
from restorations.members.models import Member, is_competent
from restorations.members.permissions import allowed, office_places

LONG = timedelta(days=7)
CLOSE = "close a fault sheet"
FIRST = 9  # above every risk: what has waited a week comes before what can hurt
MOST = 20


@dataclass(frozen=True, slots=True)
class Desk:
    """The rows that wait for one member on a day, none of them their own."""

    member: Member
    places: frozenset[str]
    at: datetime

    @classmethod
    def of(cls, member: Member, *, at: datetime) -> "Desk":
        competent = {"competent"} if is_competent(member, timezone.localdate(at)) else frozenset[str]()
        return cls(member, office_places(member) | competent, at)

    @property
    def is_theirs(self) -> bool:
        """Whether this member ever answers for others."""
        return any(allowed(act, self.places) for act in (GIVE, GIVE_FOR_BOILER))

    @property
    def title(self) -> str:
        if "mentor" in self.places:
            return "Mentor's desk"
        return "Inspector's desk" if "inspector" in self.places else "Desk"

    @property
    def engines(self) -> QuerySet[Engine]:
        return Engine.objects.contents_visible_to(self.member, on=timezone.localdate(self.at)).still_here()

    def requests(self) -> QuerySet[GoAhead]:
        """Those that have waited a week first, the longest first; then by what they can do to people and engine."""
        kinds = Q(pk__in=[])
        if allowed(GIVE, self.places):
            kinds |= Q(authority="mentor", is_of_boiler=False)
        boilers = ~Q(sheet__engine__in=self._own_boilers())
        if allowed(GIVE_FOR_BOILER, self.places):
            kinds |= Q(authority="mentor", is_of_boiler=True) & boilers
        if allowed(GIVE_AS_INSPECTOR, self.places):
            kinds |= Q(authority="inspector") & boilers
        open_sheets = Q(sheet__closed_at__isnull=True, sheet__engine__in=self.engines)
        rows = GoAhead.objects.waiting().filter(open_sheets).exclude(asked_by=self.member).filter(kinds)
        long = When(asked_at__lte=self.at - LONG, then=Value(FIRST))
        by_risk = {
            f"by_{risk}": Case(long, default=F(risk), output_field=IntegerField())
            for risk in ("risk_person", "risk_engine")
        }
        ranked = rows.annotate(**by_risk).order_by("-by_risk_person", "-by_risk_engine", "asked_at", "pk")
        related = ("sheet__engine", "sheet__configuration", "asked_by", "answered_by")
        found: QuerySet[GoAhead] = ranked.select_related(*related)
        return found

    def _own_boilers(self) -> QuerySet[Engine]:
        hands = Engine.objects.with_hands(self.member, on=timezone.localdate(self.at))
        near = Q(owner_member=self.member) | Q(pk__in=hands.values("pk"))
        return Engine.objects.filter(near | boilers_worked_on(self.member))

    def looks(self) -> QuerySet[Step]:
        """Done without a go-ahead and looked at by nobody yet, the oldest first."""
        kinds = Q(pk__in=[])
        if allowed(LOOK, self.places):
            kinds |= Q(is_of_boiler=False)
        if allowed(LOOK_AT_BOILER, self.places):
            kinds |= Q(is_of_boiler=True) & ~Q(sheet__engine__in=self._own_boilers())
        rows = Step.objects.unlooked().filter(kinds, sheet__engine__in=self.engines)
        others = rows.exclude(recorded_by=self.member).exclude(done_by=self.member)
        found: QuerySet[Step] = others.select_related("sheet__engine", "done_by", "recorded_by").order_by("recorded_at")
        return found

    def questions(self) -> QuerySet[Question]:
        """Put to the mentors from the bench, the oldest first."""
        if not allowed(REPLY, self.places):
            return Question.objects.none()
        rows = Question.objects.to_mentors().filter(sheet__engine__in=self.engines)
        return rows.exclude(asked_by=self.member).select_related("sheet__engine", "asked_by")

    def to_close(self) -> QuerySet[Conclusion]:
        """Conclusions that somebody has proposed, the oldest first."""
        if not allowed(CLOSE, self.places):
            return Conclusion.objects.none()
        rows = Conclusion.objects.proposed().filter(sheet__engine__in=self.engines)
        found: QuerySet[Conclusion] = rows.select_related("sheet__engine", "concluded_by").order_by("concluded_at")
        return found

    def to_sign(self) -> QuerySet[Conclusion]:
        """Closed sheets that lack their signature, and in which they had no part, the oldest first."""
        rows = waiting_for(self.member, self.places).filter(sheet__engine__in=self.engines)
        own_boilers = Q(is_of_boiler=True, sheet__engine__in=self._own_boilers())
        return rows.exclude(own_boilers).select_related("sheet__engine", "closed_by").order_by("closed_at")

    def standing(self) -> Sequence[StandingGoAhead]:
        """What holds now on the engines they see, the first to end first."""
        rows = StandingGoAhead.objects.in_force(self.at).filter(engine__in=self.engines)
        return list(rows.select_related("engine", "member", "given_by").order_by("until")[:MOST])

    def counts(self) -> dict[str, int]:
        """How many of each kind wait, in the words of the bench; kinds of which nothing waits are left out."""
        kinds = {
            "asked for": self.requests(),
            "done without": self.looks(),
            "asked from the bench": self.questions(),
            "to close": self.to_close(),
            "to sign off": self.to_sign(),
        }
        return {words: number for words, rows in kinds.items() if (number := rows.count())}
