"""The list of people, one person's page, offices, leaving."""

import uuid
from datetime import timedelta

import pytest
from django.utils import timezone

from restorations.members.models import Act, Member
from tests.cast import Cast
from tests.factories import make_member

HTMX = {"hx-request": "true"}


def _form(member: Member, **data: object) -> dict[str, object]:
    return {"version": member.version, "submission": str(uuid.uuid4()), **data}


class TestList:
    def test_names_and_offices_are_shown_and_those_who_left_apart(self, cast: Cast) -> None:
        make_member(full_name="Gone Fisher", left_on=timezone.localdate())
        text = cast.browser("stranger").get("/people/").text
        assert cast.mentor.full_name in text
        assert text.index("Have left") < text.index("Gone Fisher")

    def test_e_mail_addresses_are_not(self, cast: Cast) -> None:
        assert "club.example" not in cast.browser("mentor").get("/people/").text

    @pytest.mark.parametrize("sought", ["ruddle", "RUDDLE", "dot"])
    def test_a_part_of_a_name_finds_somebody(self, cast: Cast, sought: str) -> None:
        make_member(full_name="Clive Ruddlestone", sign_in_name="clive.dot")
        text = cast.browser("member").get("/people/", {"name": sought}).text
        assert "Clive Ruddlestone" in text
        assert cast.secretary.full_name not in text

    def test_htmx_gets_the_list_alone_and_the_browser_the_page(self, cast: Cast) -> None:
        browser = cast.browser("member")
        fragment = browser.get("/people/", {"name": "x"}, headers=HTMX)
        assert fragment.text.startswith('<div id="people-list"')
        assert "HX-Request" in fragment.headers["Vary"]
        assert "<html" in browser.get("/people/", {"name": "x"}).text
        going_back = browser.get("/people/", headers={**HTMX, "hx-history-restore-request": "true"})
        assert "<html" in going_back.text

    def test_strange_searches_find_nobody(self, cast: Cast) -> None:
        for sought in ("\x00", "🚂", "%", "x" * 10_000, "<b>"):
            response = cast.browser("member").get("/people/", {"name": sought})
            assert response.status_code == 200
            assert "<b>" not in response.text.split("<main")[1]

    def test_ten_more_people_cost_no_further_query(self, cast: Cast, django_assert_num_queries: object) -> None:
        browser = cast.browser("member")
        with django_assert_num_queries(4):
            browser.get("/people/")
        for _ in range(10):
            make_member()
        with django_assert_num_queries(4):
            browser.get("/people/")


class TestPerson:
    @pytest.mark.parametrize(
        ("role", "sees"), [("secretary", True), ("administrator", True), ("mate", True), ("mentor", False)]
    )
    def test_e_mail_and_changes_are_for_the_person_and_those_who_run_the_club(
        self, cast: Cast, role: str, sees: bool
    ) -> None:
        text = cast.browser(role).get(f"/people/{cast.mate.pk}/").text
        assert ("mate@club.example" in text) is sees
        assert ("What was changed" in text) is sees

    def test_ten_acts_cost_no_further_query(self, cast: Cast, django_assert_num_queries: object) -> None:
        browser, mate = cast.browser("administrator"), cast.mate
        Act.objects.create(member=cast.administrator, verb="set offices", row_kind="members.member", row_id=mate.pk)
        with django_assert_num_queries(5):
            browser.get(f"/people/{mate.pk}/")
        for _ in range(9):
            Act.objects.create(member=cast.secretary, verb="noted", row_kind="members.member", row_id=mate.pk)
        with django_assert_num_queries(5):
            browser.get(f"/people/{mate.pk}/")


class TestOffices:
    def test_offices_are_given_and_taken_and_written_down(self, cast: Cast) -> None:
        browser, address = cast.browser("administrator"), f"/people/{cast.mate.pk}/offices/"
        browser.post(address, _form(cast.mate, offices=["mentor", "inspector"]))
        cast.mate.refresh_from_db()
        assert cast.mate.offices == ("mentor", "inspector")
        act = Act.objects.about(cast.mate).get()
        assert (act.member, act.verb) == (cast.administrator, "set offices")
        assert act.after == {"is_mentor": True, "is_inspector": True}
        assert "is mentor: no → yes" in browser.get(f"/people/{cast.mate.pk}/").text
        browser.post(address, _form(cast.mate, offices=[]))
        cast.mate.refresh_from_db()
        assert cast.mate.offices == ()

    def test_two_administrators_at_once_see_both_versions(self, cast: Cast) -> None:
        browser, address = cast.browser("administrator"), f"/people/{cast.mate.pk}/offices/"
        late = _form(cast.mate, offices=["secretary"])
        browser.post(address, _form(cast.mate, offices=["mentor"]))
        conflict = browser.post(address, late)
        assert conflict.status_code == 409
        assert "Mentor" in conflict.text
        assert "Secretary" in conflict.text
        cast.mate.refresh_from_db()
        assert cast.mate.offices == ("mentor",)
        assert f'name="version" value="{cast.mate.version}"' in conflict.text
        browser.post(address, {**late, "version": cast.mate.version})
        cast.mate.refresh_from_db()
        assert cast.mate.offices == ("secretary",)

    def test_the_last_administrator_cannot_step_down(self, cast: Cast) -> None:
        address = f"/people/{cast.administrator.pk}/offices/"
        response = cast.browser("administrator").post(address, _form(cast.administrator, offices=["mentor"]))
        assert response.status_code == 422
        assert "only administrator" in response.text
        cast.administrator.refresh_from_db()
        assert cast.administrator.offices == ("administrator",)

    def test_an_office_that_does_not_exist_is_refused(self, cast: Cast) -> None:
        address = f"/people/{cast.mate.pk}/offices/"
        response = cast.browser("administrator").post(address, _form(cast.mate, offices=["superuser"]))
        assert response.status_code == 422
        assert "superuser is not one of the available choices" in response.text

    @pytest.mark.parametrize("version", ["", "0", "-1", "x", "99999999999999999999"])
    def test_a_version_that_cannot_be_is_refused(self, cast: Cast, version: str) -> None:
        data = {**_form(cast.mate, offices=["mentor"]), "version": version}
        assert cast.browser("administrator").post(f"/people/{cast.mate.pk}/offices/", data).status_code == 422

    def test_the_same_form_sent_twice_counts_once(self, cast: Cast) -> None:
        browser, data = cast.browser("administrator"), _form(cast.mate, offices=["mentor"])
        for _ in range(2):
            assert browser.post(f"/people/{cast.mate.pk}/offices/", data).status_code == 302
        assert Act.objects.about(cast.mate).count() == 1


class TestLeaving:
    def test_it_ends_the_session_and_can_be_put_right(self, cast: Cast) -> None:
        browser, address, mate = cast.browser("administrator"), f"/people/{cast.mate.pk}/left/", cast.browser("mate")
        browser.post(address, _form(cast.mate, left_on=timezone.localdate().isoformat()))
        assert mate.get("/me/").status_code == 302
        cast.mate.refresh_from_db()
        browser.post(address, _form(cast.mate, left_on=""))
        cast.mate.refresh_from_db()
        assert cast.mate.is_active

    @pytest.mark.parametrize(
        ("days", "words"), [(1, "yet to come"), (-40_000, "cannot have left before")], ids=["ahead", "before joining"]
    )
    def test_a_day_that_cannot_be_is_refused_and_kept(self, cast: Cast, days: int, words: str) -> None:
        day = (timezone.localdate() + timedelta(days=days)).isoformat()
        response = cast.browser("administrator").post(f"/people/{cast.mate.pk}/left/", _form(cast.mate, left_on=day))
        assert response.status_code == 422
        assert words in response.text
        assert f'value="{day}"' in response.text

    def test_the_last_administrator_stays(self, cast: Cast) -> None:
        data = _form(cast.administrator, left_on=timezone.localdate().isoformat())
        response = cast.browser("administrator").post(f"/people/{cast.administrator.pk}/left/", data)
        assert response.status_code == 422
        assert "only administrator" in response.text
