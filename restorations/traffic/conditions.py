"""What has to be so before an engine goes back into traffic, read from the rows as they stand."""

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import Count, Max
from django.urls import reverse

from restorations.engines.models import Certificate, Engine, Stoppage, StoppageNote
from restorations.engines.models.papers import BOILER_PAPERS, CERTIFICATE_KINDS, STEAM_NEEDS
from restorations.engines.showing import standing
from restorations.engines.state import day
from restorations.faults.knowing import in_force
from restorations.faults.models import FaultSheet, Step
from restorations.tasks.models import Connection, DayBookEntry, JobCard, Soak, StrippedPart, Tag

MOST_NAMED = 12
LAPSE_STOPS = BOILER_PAPERS | {"insurance"}


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that stands in the way, and where it is seen to."""

    words: str
    href: str


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition; `is_told` ones are only named and hold nothing up."""

    key: str
    title: str
    missing: tuple[Missing, ...] = ()
    is_told: bool = False
    is_of_contents: bool = True
    """Whether naming what is missing tells more than state and papers, which is all some may see."""

    @property
    def is_met(self) -> bool:
        return not self.missing or self.is_told


@dataclass(frozen=True, slots=True)
class Conditions:
    """All of them, and a checksum that changes with anything they rest on."""

    rows: tuple[Condition, ...]
    checksum: str
    stops: tuple[Stoppage, ...] = field(default=())
    """Those that the return would end: all that hold but a boiler's; one planned for later stays planned."""

    @property
    def are_met(self) -> bool:
        return all(row.is_met for row in self.rows)

    @property
    def unmet(self) -> tuple[Condition, ...]:
        return tuple(row for row in self.rows if not row.is_met)

    @property
    def in_words(self) -> str:
        return "Not yet: " + "; ".join(row.title.lower() for row in self.unmet) + "."


def conditions_of(engine: Engine, on: date) -> Conditions:
    """Read everything; as many queries whatever there is."""
    stops = list(Stoppage.objects.not_lifted().filter(engine=engine).order_by("began_on", "pk"))
    rows = (
        _boiler_stops(stops), _papers(engine, on), _dangers(engine), _parts(engine), _connections(engine),
        _cards(engine), _tags(engine), _soaks(engine), _open_sheets(engine), _unchecked(engine),
    )  # fmt: skip
    ended = tuple(stop for stop in stops if not stop.is_of_boiler and stop.began_on <= on)
    return Conditions(rows, _checksum(engine, rows, stops), ended)


def _boiler_stops(stops: Iterable[Stoppage]) -> Condition:
    missing = (
        Missing(f"{stop.first_line}, since {day(stop.began_on)}", stop.get_absolute_url())
        for stop in stops
        if stop.is_of_boiler
    )
    return Condition("boiler", "Every stop on the boiler lifted by the inspector", tuple(missing), is_of_contents=False)


def _papers(engine: Engine, on: date) -> Condition:
    href = reverse("engines:papers", args=[engine.pk])
    latest: dict[str, Certificate] = {}
    for paper in Certificate.objects.not_struck().filter(engine=engine).order_by("lapses_on", "pk"):
        latest[paper.kind] = paper
    needed = STEAM_NEEDS if engine.configuration.boiler != "none" else frozenset[str]()
    missing = [Missing(f"{CERTIFICATE_KINDS[kind]}: none recorded", href) for kind in sorted(needed - set(latest))]
    for kind, paper in sorted(latest.items()):
        if kind in LAPSE_STOPS and not paper.passed_on <= on <= paper.lapses_on:
            missing.append(Missing(f"{CERTIFICATE_KINDS[kind]}: {standing(paper, on=on).words}", href))
    return Condition("papers", "Certificates and insurance in date", tuple(missing), is_of_contents=False)


def _dangers(engine: Engine) -> Condition:
    """The last look at each dangerous finding of an open sheet, a helper's too."""
    known = in_force(engine).findings
    looks = Step.objects.not_struck().filter(
        sheet__engine=engine, sheet__closed_at__isnull=True, kind="observation"
    )  # fmt: skip
    latest = {(look.sheet_id, look.finding): look for look in looks.order_by("happened_at", "number")}
    seen = [
        look for look in latest.values()
        if look.level and (entry := known.get(look.finding.partition("@")[0])) and entry.dangerous
    ]  # fmt: skip
    missing = (Missing(look.words, reverse("faults:sheet", args=[look.sheet_id])) for look in seen)
    return Condition("dangers", "No open fault sheet with something dangerous on it", tuple(missing))


def _open_sheets(engine: Engine) -> Condition:
    sheets = FaultSheet.objects.still_open().filter(engine=engine)
    return Condition(
        "sheets",
        "Fault sheets still open",
        tuple(Missing(sheet.title, sheet.get_absolute_url()) for sheet in sheets),
        is_told=True,
    )


def _parts(engine: Engine) -> Condition:
    rows = StrippedPart.objects.off().filter(engine=engine).in_order()
    return Condition("parts", "Every part refitted, or left off on purpose", _named(rows))


def _connections(engine: Engine) -> Condition:
    return Condition(
        "connections", "Every connection made up", _named(Connection.objects.parted().filter(engine=engine))
    )


def _unchecked(engine: Engine) -> Condition:
    rows = Connection.objects.unchecked().filter(engine=engine)
    return Condition("unchecked", "Connections whose two ends nobody looked over", _named(rows), is_told=True)


def _cards(engine: Engine) -> Condition:
    return Condition(
        "cards",
        "Every card done that must be done first",
        _named(JobCard.objects.before_traffic().filter(engine=engine)),
    )


def _tags(engine: Engine) -> Condition:
    href = reverse("tasks:tags", args=[engine.pk])
    tags = Tag.objects.hanging().filter(engine=engine)
    return Condition("tags", "Every tag taken off", tuple(Missing(f"{tag}: {tag.reason}", href) for tag in tags))


def _soaks(engine: Engine) -> Condition:
    href = reverse("tasks:soaks", args=[engine.pk])
    soaks = Soak.objects.under_way().filter(engine=engine)
    missing = (Missing(str(soak).replace("_", " ").replace("@", ", "), href) for soak in soaks)
    return Condition("soaks", "Every soak ended", tuple(missing))


def _named(rows: Iterable[Any]) -> tuple[Missing, ...]:
    return tuple(Missing(str(row), row.get_absolute_url()) for row in rows)


def _checksum(engine: Engine, rows: Sequence[Condition], stops: Sequence[Stoppage]) -> str:
    """Of what is missing and of how much was written: what went and came back leaves a trace too."""
    plain = [
        [[row.key, [missing.words for missing in row.missing]] for row in rows],
        [[stop.pk, stop.kind, str(stop.began_on)] for stop in stops],
        list(_written(engine)),
        engine.configuration.number,
    ]
    return hashlib.sha256(json.dumps(plain).encode()).hexdigest()


def _written(engine: Engine) -> Iterator[list[int]]:
    """Of every kind of row that work leaves behind: how many stand, the last one, and how many have ended."""
    endings: tuple[tuple[Any, dict[str, Any], str], ...] = (
        (Step, {"sheet__engine": engine}, "accepted_at"), (DayBookEntry, {"engine": engine}, "accepted_at"),
        (StrippedPart, {"engine": engine}, "ended_at"), (Connection, {"engine": engine}, "joined_at"),
        (Tag, {"engine": engine}, "taken_off_at"), (Soak, {"engine": engine}, "ended_at"),
        (Certificate, {"engine": engine}, "recorded_at"),
        (StoppageNote, {"stoppage__engine": engine}, "written_at"),
    )  # fmt: skip
    for model, where, ended in endings:
        told = model.objects.not_struck().filter(**where).aggregate(n=Count("pk"), last=Max("pk"), ended=Count(ended))
        yield [told["n"], told["last"] or 0, told["ended"]]
    cards = JobCard.objects.filter(engine=engine).values_list("pk", "version").order_by("pk")
    yield [number for card in cards for number in card]
