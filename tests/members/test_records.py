"""Acts, submissions, versions, striking out, acceptance, who did what when: what every row above relies on."""

import uuid
from datetime import date

import pytest
from django.db import IntegrityError, models, transaction

from restorations.members.models import Act, Changed, Club, Invitation, Member, Submission, record, submit_once
from tests.cast import Cast
from tests.factories import NOON, make_invitation


class TestActs:
    def test_an_act_says_who_what_which_row_and_what_changed(self, cast: Cast) -> None:
        record(cast.mentor, "noted", cast.mate, before={"day": date(2026, 1, 2)}, after={"by": cast.mentor, "at": NOON})
        act = Act.objects.about(cast.mate).get()
        assert (act.member, act.verb, act.row_kind, act.row_id) == (
            cast.mentor, "noted", "members.member", cast.mate.pk,
        )  # fmt: skip
        assert act.before == {"day": "2026-01-02"}
        assert act.after == {"by": cast.mentor.full_name, "at": "2026-11-20T12:00:00Z"}

    def test_changes_are_told_in_words(self, cast: Cast) -> None:
        act = record(cast.mentor, "noted", cast.mate, before={"is_mentor": False}, after={"is_mentor": True, "why": ""})
        told = [(change.field, change.before, change.after) for change in act.changes]
        assert told == [("is mentor", "no", "yes"), ("why", "nothing", "nothing")]

    def test_somebody_with_acts_cannot_be_deleted(self, cast: Cast) -> None:
        record(cast.mentor, "noted", cast.mate)
        with pytest.raises(models.ProtectedError):
            cast.mentor.delete()


class TestEachFormOnce:
    def test_a_repeat_gets_what_the_first_made(self, cast: Cast) -> None:
        mark = uuid.uuid4()
        first, made_first = submit_once(cast.mate, mark, lambda: make_invitation(cast.mate))
        again, made_again = submit_once(cast.mate, mark, lambda: make_invitation(cast.mate))
        assert (first, made_first, made_again) == (again, True, False)
        assert Invitation.objects.count() == 1

    def test_what_failed_can_be_sent_again(self, cast: Cast) -> None:
        mark = uuid.uuid4()

        def refuse() -> Member:
            make_invitation(cast.mate)
            raise ValueError("not yet")

        with pytest.raises(ValueError, match="not yet"):
            submit_once(cast.mate, mark, refuse)
        assert not Invitation.objects.exists()
        assert not Submission.objects.exists()
        assert submit_once(cast.mate, mark, lambda: make_invitation(cast.mate))[1]

    def test_the_same_mark_from_another_member_is_another_form(self, cast: Cast) -> None:
        mark = uuid.uuid4()
        submit_once(cast.mate, mark, lambda: make_invitation(cast.mate, secret="one"))
        assert submit_once(cast.member, mark, lambda: make_invitation(cast.member, secret="two"))[1]


class TestVersions:
    def test_the_second_of_two_savers_gets_the_row_as_it_stands(self, cast: Cast) -> None:
        mine, theirs = Member.objects.get(pk=cast.mate.pk), Member.objects.get(pk=cast.mate.pk)
        theirs.save_from(1, full_name="Theirs")
        with pytest.raises(Changed) as conflict:
            mine.save_from(1, full_name="Mine")
        assert str(conflict.value.theirs) == "Theirs"
        assert Member.objects.get(pk=cast.mate.pk).version == 2


def test_one_installation_has_one_club(db: None) -> None:
    Club(pk=1).save()
    with pytest.raises(IntegrityError), transaction.atomic():
        Club(pk=2).save()


@pytest.mark.parametrize("other", ["MATE", "ｍａｔｅ", " mate "], ids=["capitals", "wide letters", "blanks"])
def test_names_that_look_alike_are_one_name(cast: Cast, other: str) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Member.objects.create_member(sign_in_name=other, full_name="Other", password=None)


def test_nobody_leaves_before_joining(db: None) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Member.objects.create_member(
            sign_in_name="x", full_name="X", password=None, joined_on=date(2020, 1, 2), left_on=date(2020, 1, 1)
        )
