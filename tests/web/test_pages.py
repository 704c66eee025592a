"""What every answer carries: headers, the content policy, pages for what went wrong, fragments for the signed out."""

import re

import pytest
from django.core.exceptions import PermissionDenied, SuspiciousOperation
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.test import Client, RequestFactory, override_settings
from django_htmx.middleware import HtmxMiddleware

from restorations.web import errors
from restorations.web.answers import answer, go_to, wants_fragment
from restorations.web.middleware import CONTENT_SECURITY_POLICY
from tests.cast import Cast

HTMX = {"hx-request": "true"}


class TestHeaders:
    @pytest.mark.parametrize("address", ["/sign-in/", "/people/", "/nowhere/", "/people/987654321/"])
    def test_every_answer_carries_them(self, cast: Cast, address: str) -> None:
        headers = cast.browser("member").get(address).headers
        assert headers["Content-Security-Policy"] == CONTENT_SECURITY_POLICY
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["X-Frame-Options"] == "DENY"
        assert headers["Referrer-Policy"] == "same-origin"
        assert headers["Cache-Control"] == "private, no-store"

    def test_a_body_that_is_refused_unread_carries_them_too(self, db: None) -> None:
        response = Client().post("/sign-in/", CONTENT_LENGTH=str(26 * 2**20))
        assert response.status_code == 413
        assert "Content-Security-Policy" in response.headers
        assert "At most 25 megabytes" in response.text

    def test_a_length_that_is_no_number_is_refused(self, db: None) -> None:
        assert Client().post("/sign-in/", CONTENT_LENGTH="-5").status_code == 413

    @pytest.mark.parametrize("word", ["unsafe-inline", "unsafe-eval", "http:", "*", "data:"])
    def test_the_content_policy_lets_nothing_foreign_in(self, word: str) -> None:
        assert word not in CONTENT_SECURITY_POLICY

    def test_cookies_are_for_the_server_only(self, cast: Cast) -> None:
        response = Client().post("/sign-in/", {"name": "member", "password": "demo"})
        for cookie in response.cookies.values():
            assert cookie["httponly"]
            assert cookie["samesite"] == "Lax"


class TestBasePage:
    def test_it_names_the_club_the_ways_and_who_decides(self, cast: Cast) -> None:
        text = cast.browser("member").get("/people/").text
        assert '<html lang="en-GB">' in text
        assert "Our club" in text
        assert '<a href="/people/" aria-current="page">People</a>' in text
        assert "Local codes, the club's inspector and licensed practice decide" in text
        assert re.search(r'<a class="skip" href="#main">', text)
        assert 'role="status"' in text

    def test_htmx_is_set_up_without_eval_and_swaps_what_is_to_be_mended(self, cast: Cast) -> None:
        text = cast.browser("member").get("/people/").text
        assert '"allowEval":false' in text
        assert '"includeIndicatorStyles":false' in text
        assert '{"code":"422","swap":true,"error":false}' in text
        assert '{"code":"409","swap":true,"error":false}' in text
        assert "htmx-2.min.js" in text
        assert '"X-CSRFToken"' in text

    def test_the_signed_out_see_no_ways_in(self, db: None, client: Client) -> None:
        text = client.get("/sign-in/").text
        assert "My bench" not in text
        assert "Sign out" not in text


class TestWentWrong:
    def test_nothing_at_the_address(self, db: None, client: Client) -> None:
        response = client.get("/nowhere/")
        assert response.status_code == 404
        assert "There is nothing at this address" in response.text

    @pytest.mark.parametrize("pk", ["0", "-1", "01", "9" * 30, "x"])
    def test_a_row_number_that_cannot_be_is_a_plain_not_found(self, cast: Cast, pk: str) -> None:
        assert cast.browser("member").get(f"/people/{pk}/").status_code == 404

    def test_a_refusal_gives_its_reason(self, cast: Cast) -> None:
        assert "is for the administrator" in cast.browser("mentor").get("/club/").text

    def test_a_refusal_without_a_reason_still_says_what_to_do(self, rf: RequestFactory) -> None:
        page = errors.refused(rf.get("/"), PermissionDenied())
        assert "does not include this" in page.text
        assert page.status_code == 403

    def test_what_is_not_understood_never_shows_the_insides(self, rf: RequestFactory) -> None:
        page = errors.not_understood(rf.get("/"), SuspiciousOperation("insides"))
        assert page.status_code == 400
        assert "insides" not in page.text

    def test_a_form_without_its_token_is_answered_in_words(self, cast: Cast) -> None:
        browser = Client(enforce_csrf_checks=True)
        browser.force_login(cast.mate)
        response = browser.post("/me/", {})
        assert response.status_code == 403
        assert "This form has expired" in response.text

    def test_the_page_for_a_broken_server_needs_no_database(self, rf: RequestFactory) -> None:
        # No `db` fixture: pytest-django refuses every query here.
        response = errors.broken(rf.get("/"))
        assert response.status_code == 500
        assert "Something broke on our side" in response.text

    def test_a_broken_view_is_answered_with_that_page(
        self, cast: Cast, monkeypatch: pytest.MonkeyPatch, client: Client
    ) -> None:
        monkeypatch.setattr("restorations.members.views.people.may", None)
        browser = cast.browser("member")
        browser.raise_request_exception = False
        response = browser.get("/people/")
        assert response.status_code == 500
        assert "Something broke on our side" in response.text
        assert "Content-Security-Policy" in response.headers

    @override_settings(ALLOWED_HOSTS=["club.example"])
    def test_a_foreign_host_is_not_served(self, db: None) -> None:
        assert Client(headers={"host": "elsewhere.example"}).get("/sign-in/").status_code == 400

    @pytest.mark.parametrize("name", ["not_understood", "refused", "not_found", "broken", "form_expired", "too_large"])
    def test_each_page_says_whether_something_was_saved_or_what_to_do(self, name: str, rf: RequestFactory) -> None:
        text = render_to_string(f"web/{name}.html", {"megabytes": 25}, rf.get("/"))
        assert "<h1>" in text
        assert '<a href="/">' in text

    def test_an_expired_form_gives_back_what_was_written(self, cast: Cast) -> None:
        browser = Client(enforce_csrf_checks=True)
        browser.force_login(cast.member)
        sent = {"name": "Left rod <b>bent</b>", "password": "a long pass phrase", "submission": "no-words"}
        text = browser.post("/people/invite/", sent).text
        assert "Left rod &lt;b&gt;bent&lt;/b&gt;" in text
        assert "a long pass phrase" not in text
        assert "no-words" not in text


class TestFragments:
    def test_signed_out_meanwhile_the_page_is_loaded_anew(self, db: None, client: Client) -> None:
        response = client.get("/people/", headers=HTMX)
        assert (response.status_code, response.headers["HX-Refresh"]) == (204, "true")

    def test_a_plain_browser_is_led_to_the_door(self, db: None, client: Client) -> None:
        assert client.get("/people/").url == "/sign-in/?next=/people/"

    @pytest.mark.parametrize(
        ("headers", "fragment"),
        [
            ({}, False),
            (HTMX, True),
            ({**HTMX, "hx-boosted": "true"}, False),
            ({**HTMX, "hx-history-restore-request": "true"}, False),
        ],
    )
    def test_a_piece_is_only_for_whoever_asked_for_one(self, headers: dict[str, str], fragment: bool) -> None:
        request = _htmx_request(headers)
        assert wants_fragment(request) is fragment
        page = answer(request, "web/not_found.html", {}, fragment="web/_error_summary.html", status=422)
        assert ("<html" in page.text) is not fragment
        assert page.status_code == 422
        assert page.headers["Vary"] == "HX-Request"

    def test_after_saving_htmx_is_told_to_load_and_a_browser_led(self) -> None:
        assert go_to(_htmx_request(HTMX), "/people/").headers["HX-Redirect"] == "/people/"
        assert go_to(_htmx_request({}), "/people/").status_code == 302


def _htmx_request(headers: dict[str, str]) -> HttpRequest:
    request = RequestFactory().get("/", headers=headers)
    HtmxMiddleware(lambda request: HttpResponse())(request)
    return request
