"""What the layers above ask of an engine: its past for the knowledge, and what its papers allow."""

import hashlib
import json
from collections.abc import Collection
from datetime import date

from restorations.engines.models import Engine, Stoppage
from restorations.engines.models.history import GENERAL
from restorations.knowledge import expand, load
from restorations.knowledge.history import History, HistoryAnswers


def history_of(engine: Engine) -> History:
    """The answers that count, for the whole engine and for each system where they differ."""
    answers = {system: row.answers() for system, row in engine.histories.all().latest_per_system().items()}
    return History(general=answers.pop(GENERAL, HistoryAnswers()), by_system=answers)


def certificates_allow_steam(engine: Engine, on: date) -> bool:
    """Whether hydraulic and steam test are both recorded and in date."""
    return engine.certificates.all().allow_steam(on)


def boilers_stopped(engines: Collection[int], on: date) -> frozenset[int]:
    """Those of these engines (by number) on whose boiler a stop stands: no steam, whatever their papers say."""
    stops = Stoppage.objects.open(on).boiler().filter(engine__in=engines)
    return frozenset(stops.order_by().values_list("engine", flat=True))


def steam_allowed(engine: Engine, on: date) -> bool:
    """Whether the papers allow steam and no stop stands on the boiler; two queries."""
    return certificates_allow_steam(engine, on) and not boilers_stopped([engine.pk], on)


def consents_to(engine: Engine) -> frozenset[str]:
    """Steps of the knowledge that the owner has consented to."""
    actions = engine.consents.all().not_struck().exclude(action="")
    return frozenset(actions.values_list("action", flat=True))


def checksum_of_papers(engine: Engine) -> str:
    """Changes whenever a paper or consent is recorded or struck out; that one lapses is asked of the day instead."""
    papers = engine.certificates.all().not_struck().order_by("pk").values_list("kind", "passed_on", "lapses_on")
    text = json.dumps([[list(paper) for paper in papers], sorted(consents_to(engine))], default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def steps_that_need_consent(engine: Engine) -> dict[str, str]:
    """The remedies of this engine that cannot be undone: placed id and name, by name."""
    known = expand(load(), engine.configuration.as_configuration(), history_of(engine))
    named = {action: remedy.name for action, remedy in known.remedies.items() if remedy.entry.cannot_be_undone}
    return dict(sorted(named.items(), key=lambda pair: pair[1]))
