"""Every paper that lapses: how it stands, what is booked for it, by month of lapse and as a register."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Any

from django.db.models import QuerySet

from restorations.calc.schedule import months_later
from restorations.engines.lapsing import newest_papers
from restorations.engines.models import Certificate, Engine
from restorations.engines.models.papers import CERTIFICATE_KINDS
from restorations.engines.showing import WARNED_DAYS, standing
from restorations.engines.state import day
from restorations.members.models import Member
from restorations.traffic.models import BoilerTestSession
from restorations.web.tables_out import Table

MONTHS = 12
Booked = Mapping[tuple[int, str], BoilerTestSession]


@dataclass(frozen=True, slots=True)
class Filed:
    """One paper as it stands on a day, with what is arranged for its renewal."""

    paper: Any
    words: str
    shape: str
    session: BoilerTestSession | None = None

    @property
    def owner(self) -> str:
        return str(self.paper.engine.owner)


@dataclass(frozen=True, slots=True)
class Month:
    """The papers that lapse in one month; `first` is its first day."""

    first: date
    papers: tuple[Filed, ...]


@dataclass(frozen=True, slots=True)
class Wall:
    """What has lapsed, twelve months from this one, and what lapses after them."""

    lapsed: tuple[Filed, ...]
    months: tuple[Month, ...]
    later: tuple[Filed, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """What the register is narrowed to; anything not known is left out."""

    words: str = ""
    kind: str = ""
    stands: str = ""
    whose: str = ""
    renewed: bool = False

    @classmethod
    def of(cls, query: Any) -> "Asked":
        def one(name: str, lawful: Iterable[str]) -> str:
            value = query.get(name, "")
            return value if value in lawful else ""

        return cls(
            words=query.get("q", "").replace("\x00", "")[:80].strip(),
            kind=one("kind", CERTIFICATE_KINDS), stands=one("stands", STANDS), whose=one("whose", WHOSE),
            renewed=query.get("renewed") == "yes",
        )  # fmt: skip


STANDS = {"good": "in date", "work": f"lapses within {WARNED_DAYS} days", "stop": "lapsed"}
WHOSE = {"club": "the club's engines", "others": "other people's engines"}


def booked_for(engines: QuerySet[Engine]) -> Booked:
    """By engine and kind of paper, the session that is asked for or booked."""
    rows = BoilerTestSession.objects.ahead().filter(engine__in=engines).select_related("inspector").in_order()
    return {(row.engine_id, kind): row for row in reversed(list(rows)) for kind in row.gives}


def filed(paper: Certificate, booked: Booked, *, on: date) -> Filed:
    """ "12 days left: booked with the inspector for 3 Dec 2026"."""
    stands, session = standing(paper, on=on), booked.get((paper.engine_id, paper.kind))
    if session is None or stands.shape not in ("work", "stop"):
        return Filed(paper, stands.words, stands.shape, session)
    return Filed(paper, f"{stands.words}: {arranged(session)}", stands.shape, session)


def arranged(session: BoilerTestSession) -> str:
    if session.on is None:
        return "a test is asked for, no day yet"
    who = "the inspector" if session.inspector else session.inspector_name
    return f"booked with {who} for {day(session.on)}"


def wall_of(engines: QuerySet[Engine], *, on: date) -> Wall:
    """In three queries, whatever there is."""
    booked = booked_for(engines)
    papers = [filed(paper, booked, on=on) for paper in newest_papers(engines)]
    first = on.replace(day=1)
    starts = [months_later(first, number) for number in range(MONTHS + 1)]
    ahead = [one for one in papers if one.paper.lapses_on >= on]
    months = (
        Month(start, tuple(one for one in ahead if start <= one.paper.lapses_on < after))
        for start, after in pairwise(starts)
    )
    return Wall(
        lapsed=tuple(one for one in papers if one.paper.lapses_on < on),
        months=tuple(months),
        later=tuple(one for one in ahead if one.paper.lapses_on >= starts[-1]),
    )


def register(member: Member, asked: Asked, *, on: date) -> list[Filed]:
    """Every paper this member may see, the one that lapses first on top; renewed ones where asked for."""
    engines = Engine.objects.visible_to(member, on=on).still_here().matching(asked.words)
    if asked.whose:
        engines = engines.filter(owner_is_club=asked.whose == "club")
    rows: QuerySet[Any] = newest_papers(engines)
    if asked.renewed:
        rows = Certificate.objects.not_struck().filter(engine__in=engines).order_by("lapses_on", "pk")
    if asked.kind:
        rows = rows.filter(kind=asked.kind)
    booked = booked_for(engines)
    found = [filed(paper, booked, on=on) for paper in rows.select_related("engine__owner_member", "recorded_by")]
    return [one for one in found if not asked.stands or one.shape == asked.stands]


REGISTER = Table("papers", (
    ("Engine", lambda one: one.paper.engine),
    ("Owner", lambda one: one.owner),
    ("Paper", lambda one: one.paper.get_kind_display()),
    ("Number", lambda one: one.paper.number),
    ("By whom", lambda one: one.paper.by_whom),
    ("Passed or issued on", lambda one: one.paper.passed_on),
    ("Good until", lambda one: one.paper.lapses_on),
    ("How it stands", lambda one: one.words),
))  # fmt: skip


def printed(papers: Iterable[Filed], *, club: str, by: str, on: date, narrowed: str) -> dict[str, Any]:
    """The register as plain data for the typesetter."""
    return {
        "club": club,
        "by": by,
        "on": day(on),
        "narrowed": narrowed,
        "rows": [
            [
                str(one.paper.engine), one.owner, one.paper.get_kind_display(), one.paper.number, one.paper.by_whom,
                day(one.paper.passed_on), day(one.paper.lapses_on), one.words,
            ]
            for one in papers
        ],
    }  # fmt: skip
