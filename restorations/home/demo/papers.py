"""Papers of the demo's engines: what lapses soon, what lapsed, what holds for years."""

from uuid import uuid4

from restorations.engines.models import Engine
from restorations.engines.models.papers import BOILER_PAPERS
from restorations.engines.services import record_certificate
from restorations.home.demo.engines import Fleet
from restorations.home.demo.teller import Teller

INSURER, ESTATE = "Wherry and Dale, insurers to small societies", "Executors of the late E. Fennimore-Gant"
# By engine: kind, passed how many days ago, good for how many days.
PAPERS: dict[str, tuple[tuple[str, int, int], ...]] = {
    "whinchat": (("hydraulic_test", 400, 1460), ("steam_test", 300, 365), ("insurance", 250, 365)),
    "dabchick": (
        ("hydraulic_test", 200, 1460), ("steam_test", 330, 353), ("insurance", 290, 365), ("loan", 300, 1095),
    ),
    "dunlin": (("hydraulic_test", 34, 1460),),
    "corncrake": (("hydraulic_test", 820, 1460), ("steam_test", 390, 365), ("insurance", 250, 365)),
    "turnstone": (("hydraulic_test", 600, 1460), ("steam_test", 200, 365), ("gas_tank", 353, 365)),
}  # fmt: skip


def file_papers(fleet: Fleet, teller: Teller) -> None:
    for name, papers in PAPERS.items():
        for number, (kind, days_ago, days) in enumerate(papers, start=1):
            _file(getattr(fleet, name), kind, days_ago, days, number, teller)


def _file(engine: Engine, kind: str, days_ago: int, days: int, number: int, teller: Teller) -> None:
    by_inspector = kind in BOILER_PAPERS
    member = teller.people["inspector" if by_inspector else "secretary"]
    office = ESTATE if kind == "loan" else INSURER
    paper = {
        "kind": kind, "passed_on": teller.day(days_ago), "lapses_on": teller.day(days_ago - days),
        "by_whom": member.full_name if by_inspector else office, "number": f"QD {engine.name[:3].upper()} {number}",
        "recorded_at": teller.at(days_ago),
    }  # fmt: skip
    record_certificate(engine=engine, member=member, mark=uuid4(), paper=paper)
