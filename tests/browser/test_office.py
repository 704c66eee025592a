"""The secretary answers the committee: stop, forecast, reminders, report; and whoever may not is told so in words."""

import csv
import re
import subprocess
import sys
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pypdfium2
from django.utils import timezone
from playwright.sync_api import Page, expect

from tests.architecture.sources import ROOT
from tests.browser.looks import looks_right
from tests.browser.people import sign_in
from tests.browser.serving import environment

WREN = "/engines/1/"


def _waiting_mail(folder: Path) -> int:
    """After the command has queued what is due; no mail host is set, so that all of it waits."""
    command = [sys.executable, "manage.py", "send_messages"]
    ran = subprocess.run(command, cwd=ROOT, env=environment(folder), check=True, capture_output=True, text=True)  # noqa: S603
    waits = re.search(r"(\d+) waiting", ran.stdout)
    assert waits, ran.stdout
    return int(waits[1])


def _record_insurance(page: Page) -> None:
    today = timezone.localdate()
    page.get_by_label("What paper").select_option(label="Insurance")
    page.get_by_label("Passed or issued on").fill(str(today - timedelta(days=358)))
    page.get_by_label("Good until").fill(str(today + timedelta(days=7)))
    page.get_by_label("Inspector or office").fill("the insurer")
    page.get_by_role("button", name="Record it").click()
    expect(page.locator("#papers-desk strong", has_text="Insurance")).to_be_visible()


def _taken(page: Page, link: str) -> bytes:
    address = page.get_by_role("link", name=link).get_attribute("href")
    return page.request.get(f"{page.url.split('?')[0]}{address}").body()


def test_the_secretary_stops_an_engine_and_reports_to_the_committee(
    desk: Page, phone: Page, own_server: str, tmp_path: Path
) -> None:
    sign_in(desk, own_server, "secretary", then=f"{WREN}stop/")
    desk.get_by_label("What is wrong?").fill("The left rod knocks")
    desk.get_by_label("Where?").select_option("motion")
    desk.get_by_role("button", name="Stop the engine").click()
    desk.goto(f"{own_server}{WREN}forecast/")
    desk.get_by_role("button", name="Work it out").click()
    expect(desk.get_by_role("button", name="Work it out anew")).to_be_visible()
    desk.goto(f"{own_server}{WREN}papers/")
    before = _waiting_mail(tmp_path / "data")
    _record_insurance(desk)
    told = _waiting_mail(tmp_path / "data")
    assert (told - before, _waiting_mail(tmp_path / "data")) == (4, told)  # owner, two hands, secretary; each once

    desk.goto(f"{own_server}/office/")
    row = desk.get_by_role("row").filter(has_text="Wren")
    expect(row).to_contain_text("stopped")
    expect(row).to_contain_text("wheels, rods and motion")
    expect(row).to_contain_text("7 days left")
    looks_right(desk)
    desk.get_by_label("State").select_option("in_traffic")
    desk.get_by_role("button", name="Show").click()
    expect(desk.get_by_role("row").filter(has_text="Wren")).to_have_count(0)

    desk.get_by_role("link", name="Report to the committee").click()
    looks_right(desk)
    _same_numbers(desk)
    desk.goto(f"{own_server}/shed/?view=yard")
    expect(desk.get_by_role("link", name="Wren stopped")).to_be_visible()
    looks_right(desk)
    _may_not(phone, own_server)


def _same_numbers(page: Page) -> None:
    """Of page, PDF and table."""
    wren = page.get_by_role("row").filter(has_text="Wren")
    lost = wren.get_by_role("cell").filter(has_text=re.compile(r"^\d+ of \d+$")).first.inner_text()
    lines = list(csv.reader(StringIO(_taken(page, "All numbers as a table (CSV)").decode(), newline="")))
    (told,) = [f"{line[3]} {line[4]}" for line in lines if line[1:3] == ["Wren", "days lost"]]
    printed = pypdfium2.PdfDocument(_taken(page, "Print it (PDF)"))
    text = " ".join(sheet.get_textpage().get_text_range() for sheet in printed)
    assert told == lost
    assert lost in text
    (failures,) = [line[3] for line in lines if line[0] == "The period" and line[2] == "failures"]
    assert f"{failures} began" in text
    expect(page.locator(".facts")).to_contain_text(f"{failures} began")


def _may_not(page: Page, server: str) -> None:
    sign_in(page, server, "stranger", then="/shed/")
    expect(page.get_by_role("link", name="Wren stopped")).to_be_visible()
    looks_right(page)
    page.get_by_role("link", name="Table").click()
    looks_right(page)
    for address in ("/office/", "/report/", f"{WREN}move/"):
        answer = page.request.get(f"{server}{address}")
        assert answer.status == 403
        assert "secretary" in answer.text()
