"""A real server on a copied database, and Chromium at the size of a phone and of a desk.

    def test_...(desk: Page, server: str):        # the server is shared: look, and change only what no other test reads
    def test_...(phone: Page, own_server: str):   # one of its own, for tests that change what others read
        sign_in(desk, server, "member")
        looks_right(desk)

`phone` and `desk` fail the test on script errors, console errors and reports of the content policy.
"""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.listening import Listener
from tests.browser.serving import prepare, served

CHROMIUM = Path("/usr/bin/chromium")
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1440, "height": 900}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)
            item.add_marker(pytest.mark.xdist_group("browser"))  # one Chromium, one prepared installation


@pytest.fixture(scope="session")
def installation(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of data with the cast and one engine; servers work on copies of it."""
    folder = tmp_path_factory.mktemp("installation") / "data"
    prepare(folder)
    return folder


@pytest.fixture(scope="session")
def server(installation: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served(installation, tmp_path_factory.mktemp("shared") / "data") as address:
        yield address


@pytest.fixture
def own_server(installation: Path, tmp_path: Path) -> Iterator[str]:
    with served(installation, tmp_path / "data") as address:
        yield address


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    if not CHROMIUM.exists():
        pytest.skip(f"{CHROMIUM} is not installed: apt-get install chromium")
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    # Playwright keeps an event loop in this thread, where later tests use the database as they always do.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()
    if before is None:
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


def _watched(chromium: Browser, size: dict[str, int], **options: object) -> Iterator[Page]:
    context = chromium.new_context(viewport=size, locale="en-GB", timezone_id="Europe/London", **options)
    listener = Listener(context)
    yield context.new_page()
    context.close()
    assert listener.complaints == []


@pytest.fixture
def phone(chromium: Browser) -> Iterator[Page]:
    yield from _watched(chromium, PHONE, has_touch=True, is_mobile=True, device_scale_factor=2)


@pytest.fixture
def desk(chromium: Browser) -> Iterator[Page]:
    yield from _watched(chromium, DESK)


@pytest.fixture
def desk_without_script(chromium: Browser) -> Iterator[Page]:
    yield from _watched(chromium, DESK, java_script_enabled=False)
