"""What entries have in common, on rows that have it: striking out, acceptance, who did it, when nobody could have."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from restorations.engines.models import Engine, PastWork
from restorations.members.models import Member
from restorations.tasks.models import Soak
from tests.cast import Cast
from tests.factories import NOON, make_engine


@pytest.fixture
def engine(cast: Cast) -> Engine:
    return make_engine(hands=(cast.member,))


def _past_work(engine: Engine, by: Member, **fields: Any) -> PastWork:
    whole = {"text": "New rings", "happened_at": NOON, "recorded_by": by, "done_by_name": "previous owner", **fields}
    return PastWork.objects.create(engine=engine, **whole)


def _soak(engine: Engine, by: Member, **fields: Any) -> Soak:
    whole = {"place": "piston@left", "fluid": "oil", "begun_by": by, "due_at": NOON + timedelta(days=9999), **fields}
    return Soak.objects.create(engine=engine, **whole)


class TestStrikingOut:
    def test_it_keeps_the_row_and_says_who_and_why(self, cast: Cast, engine: Engine) -> None:
        work = _past_work(engine, cast.member)
        work.strike_out(member=cast.mentor, reason="another engine's", at=NOON)
        assert (work.is_struck, work.struck_by, work.struck_reason) == (True, cast.mentor, "another engine's")
        assert list(PastWork.objects.all()) == [work]
        assert list(PastWork.objects.not_struck()) == []

    def test_it_is_done_once_and_the_first_reason_stays(self, cast: Cast, engine: Engine) -> None:
        work = _past_work(engine, cast.member)
        work.strike_out(member=cast.mentor, reason="first")
        with pytest.raises(ValidationError, match="struck out already"):
            PastWork.objects.get(pk=work.pk).strike_out(member=cast.member, reason="second")
        work.refresh_from_db()
        assert work.struck_reason == "first"


class TestAcceptance:
    def test_only_what_is_accepted_and_not_struck_out_stands(self, cast: Cast, engine: Engine) -> None:
        helpers = _soak(engine, cast.stranger)
        accepted = _soak(engine, cast.member, accepted_at=NOON, accepted_by=cast.member)
        struck = _soak(engine, cast.member, accepted_at=NOON, accepted_by=cast.member)
        struck.strike_out(member=cast.member, reason="never done")
        assert [row.stands for row in (helpers, accepted, struck)] == [False, True, False]
        assert list(Soak.objects.standing()) == [accepted]
        assert list(Soak.objects.waiting()) == [helpers]


class TestWhoDidIt:
    @pytest.mark.parametrize(
        "by", [{"done_by_name": ""}, {"done_by_name": "somebody", "done_by": True}], ids=["nobody", "both"]
    )
    def test_it_was_a_member_or_a_name_never_both_or_neither(
        self, cast: Cast, engine: Engine, by: dict[str, Any]
    ) -> None:
        fields = {**by, "done_by": cast.mate} if "done_by" in by else by
        with pytest.raises(IntegrityError), transaction.atomic():
            _past_work(engine, cast.member, **fields)

    def test_either_is_shown_by_name(self, cast: Cast, engine: Engine) -> None:
        assert _past_work(engine, cast.member).doer == "previous owner"
        assert _past_work(engine, cast.member, done_by=cast.mate, done_by_name="").doer == cast.mate.full_name
