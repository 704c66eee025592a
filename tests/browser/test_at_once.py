"""Many at once, against the real server: what one process in a test cannot show."""

import http.client
import re
import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any
from urllib.parse import urlencode, urlsplit

import pytest

from tests.browser.serving import served
from tests.cast import PASSWORD

AT_ONCE = 8


class Visitor:
    """A signed-in browser without a screen; each request has a connection of its own."""

    def __init__(self, server: str, name: str) -> None:
        self.host, self.cookies = urlsplit(server).netloc, {}
        self.send("GET", "/sign-in/")
        assert self.send("POST", "/sign-in/", name=name, password=PASSWORD)[0] == 302

    def send(self, method: str, address: str, **data: Any) -> tuple[int, str]:
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        headers = {"Cookie": cookies, "Content-Type": "application/x-www-form-urlencoded"}
        headers["X-CSRFToken"] = self.cookies.get("csrftoken", "")
        connection = http.client.HTTPConnection(self.host, timeout=60)
        connection.request(method, address, urlencode(data) if data else None, headers)
        response = connection.getresponse()
        for cookie in response.headers.get_all("Set-Cookie") or []:
            name, _, value = cookie.partition(";")[0].partition("=")
            self.cookies[name] = value
        text = response.read().decode()
        connection.close()
        return response.status, text

    def send_at_once(self, address: str, forms: list[dict[str, Any]]) -> list[tuple[int, str]]:
        with ThreadPoolExecutor(len(forms)) as threads:
            return list(threads.map(lambda form: self.send("POST", address, **form), forms))


@pytest.fixture(scope="module")
def busy_server(installation: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served(installation, tmp_path_factory.mktemp("busy") / "data") as address:
        yield address


@pytest.fixture(scope="module")
def administrator(busy_server: str) -> Visitor:
    return Visitor(busy_server, "administrator")


def test_the_same_form_sent_many_times_at_once_counts_once(administrator: Visitor) -> None:
    form = {"full_name": "Ada Newcome", "email": "", "submission": str(uuid.uuid4())}
    answers = administrator.send_at_once("/people/invite/", [form] * AT_ONCE)
    assert [status for status, _ in answers] == [200] * AT_ONCE
    assert sum("It is shown only now" in text for _, text in answers) == 1
    listed = administrator.send("GET", "/people/invite/")[1]
    assert listed.count('<span class="row-name">Ada Newcome</span>') == 1


def test_of_many_editors_at_once_one_saves_and_the_others_see_the_conflict(administrator: Visitor) -> None:
    page = administrator.send("GET", "/club/")[1]
    version = re.search(r'name="version" value="(\d+)"', page)
    assert version
    start = {"time_zone": "Europe/London", "altitude_m": 1, "minutes_per_day_waited": 2, "function_test_minutes": 3}
    forms = [
        {**start, "name": f"Club {number}", "version": version[1], "submission": str(uuid.uuid4())}
        for number in range(AT_ONCE)
    ]
    statuses = sorted(status for status, _ in administrator.send_at_once("/club/", forms))
    assert statuses == [302] + [409] * (AT_ONCE - 1)


def test_wrong_passwords_side_by_side_are_all_counted(busy_server: str, administrator: Visitor) -> None:
    guesses = [{"name": "mate", "password": f"guess {number}"} for number in range(2 * AT_ONCE)]
    statuses = sorted(status for status, _ in administrator.send_at_once("/sign-in/", guesses))
    assert statuses == [422] * 8 + [429] * 8


def test_a_link_opened_by_many_at_once_lets_one_in(administrator: Visitor, busy_server: str) -> None:
    form = {"full_name": "Ada Newcome", "email": "", "submission": str(uuid.uuid4())}
    invited = administrator.send("POST", "/people/invite/", **form)[1]
    address = re.search(r"/join/[^/]+/", invited)
    assert address
    password = {"password": "three old kettles", "again": "three old kettles"}
    joining = [{"sign_in_name": f"ada{number}", **password} for number in range(AT_ONCE)]
    visitor = Visitor(busy_server, "stranger")
    statuses = sorted(status for status, _ in visitor.send_at_once(address[0], joining))
    assert statuses == [302] + [404] * (AT_ONCE - 1)
