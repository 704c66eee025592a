"""Where a member stands towards an engine, and what that lets them do."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from restorations.engines.access import is_own_boiler, kinds_to_record, may, owns, places_of, speaks_for_owner
from restorations.engines.models import Engine
from tests.cast import NAMES, Cast
from tests.factories import LONG_AGO, TODAY, make_engine, make_guest, make_hand
from tests.tasks.work_builders import make_card


def _private(cast: Cast) -> Engine:
    return make_engine(is_private=True, owner_member=cast.owner, hands=(cast.member,))


@pytest.mark.parametrize(
    ("name", "places"),
    [
        ("member", {"hands", "member"}),
        ("mate", {"member"}),
        ("owner", {"owner", "member"}),
        ("mentor", {"member", "mentor"}),
        ("secretary", {"member", "secretary"}),
        ("inspector", {"member", "inspector"}),
        ("administrator", {"member", "administrator"}),
    ],
)
def test_places_add_up_at_an_open_engine(cast: Cast, name: str, places: set[str]) -> None:
    engine = make_engine(owner_member=cast.owner, hands=(cast.member,))
    assert places_of(cast[name], engine, TODAY) == places


@pytest.mark.parametrize("name", ["mate", "mentor", "inspector", "administrator", "stranger"])
def test_offices_mean_nothing_at_a_private_engine(cast: Cast, name: str) -> None:
    assert places_of(cast[name], _private(cast), TODAY) == set()


def test_the_secretary_stays_secretary_at_a_private_engine_and_no_more(cast: Cast) -> None:
    assert places_of(cast.secretary, _private(cast), TODAY) == {"secretary"}


@pytest.mark.parametrize(("name", "office"), [("mentor", "mentor"), ("inspector", "inspector")])
def test_an_invited_office_counts_at_a_private_engine(cast: Cast, name: str, office: str) -> None:
    engine = _private(cast)
    make_guest(engine, cast[name])
    assert places_of(cast[name], engine, TODAY) == {"guest", "member", office}


def test_the_administrator_adds_nothing_at_a_private_engine_even_when_invited(cast: Cast) -> None:
    engine = _private(cast)
    make_guest(engine, cast.administrator)
    assert "administrator" not in places_of(cast.administrator, engine, TODAY)


def test_whoever_left_the_club_stands_nowhere(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner)
    cast.owner.left_on = TODAY
    assert places_of(cast.owner, engine, TODAY) == set()
    assert not may(cast.owner, "log work", engine, on=TODAY)


def test_a_spell_holds_from_its_first_day_to_the_day_before_its_end(cast: Cast) -> None:
    engine = make_engine()
    hand = make_hand(engine, cast.mate, since=TODAY, until=TODAY + timedelta(days=2))
    stands = ["hands" in places_of(cast.mate, engine, TODAY + timedelta(days=days)) for days in (-1, 0, 1, 2)]
    assert stands == [False, True, True, False]
    assert hand.last_day == TODAY + timedelta(days=1)


@pytest.mark.parametrize(
    ("name", "open_engine", "private_engine", "private_papers"),
    [
        ("member", True, True, True),
        ("owner", True, True, True),
        ("secretary", True, False, True),
        ("mentor", True, False, False),
        ("administrator", True, False, False),
        ("stranger", True, False, False),
    ],
)
def test_a_private_engine_does_not_exist_for_others(
    cast: Cast, name: str, open_engine: bool, private_engine: bool, private_papers: bool
) -> None:
    opened, private = make_engine(hands=(cast.member,)), _private(cast)
    contents = set(Engine.objects.contents_visible_to(cast[name], on=TODAY))
    assert (opened in contents, private in contents) == (open_engine, private_engine)
    assert (private in Engine.objects.visible_to(cast[name], on=TODAY)) == private_papers


def test_an_engine_is_listed_once_however_many_spells_lead_to_it(cast: Cast) -> None:
    engine = _private(cast)
    make_hand(engine, cast.member, since=LONG_AGO, until=date(2021, 1, 1))
    make_guest(engine, cast.member)
    assert list(Engine.objects.contents_visible_to(cast.member, on=TODAY)) == [engine]
    assert list(Engine.objects.with_hands(cast.member, on=TODAY)) == [engine]


def test_never_ones_own_beats_every_place(cast: Cast) -> None:
    engine = make_engine()
    assert may(cast.mentor, "give a go-ahead", engine, on=TODAY)
    assert not may(cast.mentor, "give a go-ahead", engine, on=TODAY, own=True)


def test_nobody_passes_a_boiler_that_they_own_or_work_on(cast: Cast) -> None:
    free, worked_on = make_engine(), make_engine(hands=(cast.inspector,))
    owned = make_engine(owner_member=cast.inspector)
    done = make_engine()
    card = make_card(done, cast.member, system="fittings", state="done", ended_at=timezone.now())
    card.people.add(cast.inspector)
    engines = (free, worked_on, owned, done)
    assert [is_own_boiler(cast.inspector, engine, TODAY) for engine in engines] == [False, True, True, True]
    papers = [kinds_to_record(cast.inspector, engine, TODAY) for engine in engines]
    assert ["steam_test" in kinds for kinds in papers] == [True, False, False, False]


def _speakers(cast: Cast, engine: Engine) -> set[str]:
    return {name for name in NAMES if speaks_for_owner(engine, places_of(cast[name], engine, TODAY))}


@pytest.mark.parametrize(
    ("ownership", "speakers"),
    [
        ({"owner_is_club": True}, {"secretary"}),
        ({"owner_name": "The estate of J. Marl"}, {"mentor", "mentor2"}),
    ],
    ids=["club", "outsider"],
)
def test_who_speaks_for_the_owner(cast: Cast, ownership: dict[str, object], speakers: set[str]) -> None:
    engine = make_engine(**ownership)
    assert _speakers(cast, engine) == speakers


def test_an_owner_who_is_a_member_speaks_alone(cast: Cast) -> None:
    engine = make_engine(owner_member=cast.owner)
    assert _speakers(cast, engine) == {"owner"}
    assert owns(cast.owner, engine)
