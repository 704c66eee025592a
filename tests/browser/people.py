"""What the people of the cast do in a browser."""

from playwright.sync_api import Page

from tests.cast import PASSWORD


def sign_in(page: Page, server: str, name: str, *, then: str = "/") -> None:
    """Sign in at the door and arrive at the page wanted."""
    page.goto(f"{server}/sign-in/?next={then}")
    page.get_by_label("Sign-in name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{server}{then}")
