"""The listener hears what it is there for."""

import pytest
from playwright.sync_api import Browser

from tests.browser.listening import Listener
from tests.browser.looks import looks_right

PAGE = "http://page.example/"
POLICY = {"Content-Security-Policy": "default-src 'none'; script-src 'self'", "Content-Type": "text/html"}


@pytest.mark.parametrize(
    "body",
    ["<p style='color: red'>x</p>", "<style>p {}</style>", "<script>alert(1)</script>", "<p onclick='x()'>x</p>"],
)
def test_a_breach_of_the_content_policy_is_heard(chromium: Browser, body: str) -> None:
    context = chromium.new_context()
    listener, page = Listener(context), context.new_page()
    page.route(PAGE, lambda route: route.fulfill(body=f"<!doctype html><title>x</title>{body}", headers=POLICY))
    page.goto(PAGE)
    page.evaluate("1")
    context.close()
    assert "Content Security Policy" in str(listener.complaints)


def test_a_script_error_is_heard(chromium: Browser) -> None:
    context = chromium.new_context()
    listener, page = Listener(context), context.new_page()
    page.route(PAGE, lambda route: route.fulfill(body="<script>throw Error('lost')</script>", content_type="text/html"))
    page.goto(PAGE)
    page.evaluate("1")
    context.close()
    assert "lost" in str(listener.complaints)


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("<button>x</button>", "targets too small"),
        ("<img src='/x.png'>", "accessibility"),
        ("<p>" + "wide" * 400, "scrolls sideways"),
    ],
)
def test_what_cannot_be_used_is_found(chromium: Browser, body: str, words: str) -> None:
    context = chromium.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.set_content(f"<!doctype html><html lang='en'><title>x</title><main><h1>x</h1>{body}</main>")
    with pytest.raises(AssertionError, match=words):
        looks_right(page)
    context.close()
