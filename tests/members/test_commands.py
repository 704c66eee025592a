"""The commands that start a club and serve it."""

import io
import os
import sys

import pytest
from django.core.management import CommandError, call_command
from django.test import override_settings

from restorations.members.management import serving
from restorations.members.models import Act, Member
from tests.factories import make_member


def _first(monkeypatch: pytest.MonkeyPatch, password: str, name: str = "Edith") -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"{password}\n"))
    call_command("first_administrator", name, "Edith Marsh", stdout=io.StringIO())


class TestFirstAdministrator:
    def test_an_empty_installation_gets_one(self, db: None, monkeypatch: pytest.MonkeyPatch) -> None:
        _first(monkeypatch, "three old kettles")
        edith = Member.objects.get()
        assert (edith.sign_in_name, edith.offices) == ("edith", ("administrator",))
        assert edith.check_password("three old kettles")
        assert Act.objects.about(edith).exists()

    def test_where_there_are_members_it_refuses(self, db: None, monkeypatch: pytest.MonkeyPatch) -> None:
        make_member()
        with pytest.raises(CommandError, match="members already"):
            _first(monkeypatch, "three old kettles")

    @pytest.mark.parametrize(
        ("password", "name", "words"), [("short", "edith", "too short"), ("three old kettles", "ed ith", "Letters")]
    )
    def test_what_will_not_do_is_said(
        self, db: None, monkeypatch: pytest.MonkeyPatch, password: str, name: str, words: str
    ) -> None:
        with pytest.raises(CommandError, match=words):
            _first(monkeypatch, password, name)
        assert not Member.objects.exists()


class TestServe:
    @pytest.fixture
    def started(self, monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
        """What would have become the server."""
        programs: list[list[str]] = []
        monkeypatch.setattr(os, "execv", lambda path, arguments: programs.append([path, *arguments]))
        monkeypatch.setattr(serving.connections, "close_all", lambda: None)
        monkeypatch.setattr("restorations.members.management.commands.serve.bring_up_to_date", lambda: None)
        return programs

    def test_it_becomes_the_threaded_server(self, db: None, started: list[list[str]]) -> None:
        call_command("serve", port=8123, stdout=io.StringIO(), stderr=io.StringIO())
        (program,) = started
        assert program[0] == sys.executable
        line = " ".join(program)
        assert "-m gunicorn -w 2 --threads 16 --reuse-port --bind 127.0.0.1:8123" in line
        assert line.endswith("clubshop.wsgi:application")

    def test_with_nobody_to_sign_in_it_says_what_to_do(self, db: None, started: list[list[str]]) -> None:
        errors = io.StringIO()
        call_command("serve", stdout=io.StringIO(), stderr=errors)
        assert "manage.py first_administrator" in errors.getvalue()

    @pytest.mark.parametrize(
        ("settings", "words"),
        [({"DEBUG": True}, "insides"), ({"DEMO": True}, "everybody knows"), ({"HTTPS": True}, "not safe to serve")],
    )
    def test_unsafe_settings_are_refused(
        self, db: None, started: list[list[str]], settings: dict[str, bool], words: str
    ) -> None:
        with override_settings(**settings), pytest.raises(CommandError, match=words):
            call_command("serve", stdout=io.StringIO(), stderr=io.StringIO())
        assert not started
