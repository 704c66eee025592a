"""The club's yard with every engine standing somewhere, and who holds which engine, key, box and paper."""

from typing import Any
from uuid import uuid4

from restorations.engines.models import Engine
from restorations.home.demo.engines import Fleet
from restorations.home.demo.teller import Teller
from restorations.tasks.models import Box
from restorations.tasks.services.holdings import HandOver, hand_over
from restorations.traffic.models import Road
from restorations.traffic.services.yard import Move, lay_road, move_engine

ROADS = (
    ("Shed road 1", "shed"), ("Shed road 2", "shed"), ("Turntable", "turntable"), ("Steaming bay", "bay"),
    ("Workshop bench", "bench"), ("At a member's", "away"),
)  # fmt: skip
# Engine, road, days ago, who moved it, a note; in the order it happened.
MOVES = (
    ("whinchat", "Shed road 1", 95, "Philippa Oxenhope", ""),
    ("dabchick", "Shed road 1", 93, "Anneli Thwaite", ""),
    ("corncrake", "Shed road 2", 90, "Mungo Askerrigg", "on its ramps, chocked"),
    ("pipit", "Shed road 2", 40, "Aldous Pell", "from his trailer"),
    ("turnstone", "At a member's", 44, "Mungo Askerrigg", "in his boathouse"),
    ("dunlin", "At a member's", 118, "Kester Willowdene", "at its owner's"),
    ("pipit", "Workshop bench", 33, "four of us", "on the stand, wheels clear"),
    ("corncrake", "Steaming bay", 11, "Jory Penhallick", "for the inspector; no fire in it"),
    ("dabchick", "Shed road 2", 2, "Anneli Thwaite", "drained of spirit first"),
)


def lay_and_fill(fleet: Fleet, teller: Teller) -> None:
    roads = _lay(teller)
    for name, road, days_ago, by, note in MOVES:
        move = Move(roads[road], teller.day(days_ago), by, note)
        move_engine(
            engine=getattr(fleet, name), move=move, doing=teller.doing("secretary", days_ago), mark=uuid4()
        )  # fmt: skip
    _hand_out(fleet, teller)


def _lay(teller: Teller) -> dict[str, Road]:
    secretary = teller.people["secretary"]
    return {
        name: lay_road(columns={"name": name, "kind": kind, "position": place}, member=secretary, mark=uuid4())
        for place, (name, kind) in enumerate(ROADS, start=1)
    }


def _hand_out(fleet: Fleet, teller: Teller) -> None:
    _hand("key", "secretary", 800, teller, what="Shed, key 1")
    _hand("key", "mentor", 640, teller, what="Shed, key 2", where="on his own ring")
    _hand("key", "inspector", 500, teller, what="Gas and spirit store")
    _hand("engine", "mentor", 44, teller, engine=fleet.turnstone, where="boathouse, left-hand side", note="laid up")
    _hand("engine", "owner", 118, teller, engine=fleet.dunlin, where="its own shed")
    _hand("papers", "secretary", 300, teller, engine=fleet.dabchick, what="loan agreement", where="the club's tin")
    box = Box.objects.get(number=5)
    _hand("box", "mentor2", 6, teller, engine=fleet.pipit, box=box, where="her bench", note="to name the small lever")
    lent: dict[str, Any] = {"holder": None, "holder_name": "Old Harold"}
    _hand("other", "member", 12, teller, what="stand-off spanner", note="wanted back on its hook", **lent)


def _hand(kind: str, who: str, days_ago: float, teller: Teller, *, engine: Engine | None = None, **said: Any) -> None:
    plain: dict[str, Any] = {"box": None, "what": "", "holder": teller.people[who], "holder_name": ""}
    handed = HandOver(kind=kind, engine=engine, since=teller.day(days_ago), **{**plain, **said})
    hand_over(handed=handed, doing=teller.doing(who, days_ago), mark=uuid4())
