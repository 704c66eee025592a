"""One's own page and password."""

import uuid

from django.test import Client

from restorations.members.models import Act
from tests.cast import PASSWORD, Cast

NEW = "three old kettles"


def _form(cast: Cast, **data: str) -> dict[str, object]:
    start = {"full_name": cast.mate.full_name, "email": cast.mate.email, "version": cast.mate.version}
    return {**start, "submission": str(uuid.uuid4()), **data}


class TestParticulars:
    def test_the_name_is_changed_without_a_password(self, cast: Cast) -> None:
        before = cast.mate.full_name
        assert cast.browser("mate").post("/me/", _form(cast, full_name="A New Name")).status_code == 302
        cast.mate.refresh_from_db()
        assert cast.mate.full_name == "A New Name"
        assert Act.objects.about(cast.mate).get().before == {"full_name": before}

    def test_the_e_mail_address_needs_the_password(self, cast: Cast) -> None:
        browser = cast.browser("mate")
        response = browser.post("/me/", _form(cast, email="bess@mail.example", current="wrong"))
        assert response.status_code == 422
        assert "not your present password" in response.text
        assert 'value="bess@mail.example"' in response.text
        browser.post("/me/", _form(cast, email="bess@mail.example", current=PASSWORD))
        cast.mate.refresh_from_db()
        assert cast.mate.email == "bess@mail.example"

    def test_offices_cannot_be_slipped_in(self, cast: Cast) -> None:
        cast.browser("mate").post("/me/", _form(cast, is_administrator="on", offices="administrator", left_on=""))
        cast.mate.refresh_from_db()
        assert cast.mate.offices == ()

    def test_saved_from_two_places_shows_both_versions(self, cast: Cast) -> None:
        browser, late = cast.browser("mate"), _form(cast, full_name="Late")
        browser.post("/me/", _form(cast, full_name="Early"))
        response = browser.post("/me/", late)
        assert response.status_code == 409
        assert "Early" in response.text
        assert 'value="Late"' in response.text

    def test_an_empty_name_is_refused_and_the_error_tied_to_the_field(self, cast: Cast) -> None:
        response = cast.browser("mate").post("/me/", _form(cast, full_name=" "))
        assert response.status_code == 422
        assert 'href="#id_full_name"' in response.text
        assert 'aria-describedby="id_full_name_error"' in response.text
        assert 'id="id_full_name_error"' in response.text


class TestPassword:
    def _change(self, browser: Client, current: str = PASSWORD, new: str = NEW) -> object:
        return browser.post("/me/password/", {"current": current, "password": new, "again": new})

    def test_it_is_changed_here_and_ends_the_sessions_elsewhere(self, cast: Cast) -> None:
        here, elsewhere = cast.browser("mate"), cast.browser("mate")
        assert self._change(here).status_code == 302
        assert here.get("/me/").status_code == 200
        assert elsewhere.get("/me/").status_code == 302
        cast.mate.refresh_from_db()
        assert cast.mate.check_password(NEW)

    def test_the_present_one_is_asked_for_and_tries_are_counted(self, cast: Cast) -> None:
        browser = cast.browser("mate")
        for _ in range(8):
            assert "not your present password" in self._change(browser, current="wrong").text
        response = self._change(browser)
        assert response.status_code == 422
        assert "Too many wrong passwords" in response.text
        cast.mate.refresh_from_db()
        assert cast.mate.check_password(PASSWORD)

    def test_no_password_is_ever_sent_back(self, cast: Cast) -> None:
        response = self._change(cast.browser("mate"), current="wrong-one")
        assert "wrong-one" not in response.text
        assert NEW not in response.text
