"""Whether a page can be used: an accessibility engine, sizes of targets, no sideways scroll."""

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

SMALLEST_TARGET = 44  # pixels; a thumb in a glove, not WCAG's 24

# Links within a sentence are let be, as in WCAG 2.5.8; a box inside its label counts as large as the label.
_SMALL_TARGETS = """(smallest) => {
  const inSentence = (link) => getComputedStyle(link).display === "inline" && [...link.parentElement.childNodes].some(
    (node) => node.nodeType === Node.TEXT_NODE && node.textContent.trim().length > 1);
  const found = [];
  for (const target of document.querySelectorAll("a[href], button, input, select, textarea, summary")) {
    if (!target.checkVisibility({visibilityProperty: true}) || target.matches("input[type=hidden], .skip")) continue;
    if (target.matches("a") && inSentence(target)) continue;
    const inLabel = target.matches("[type=checkbox], [type=radio]") && target.closest("label");
    const box = (inLabel || target).getBoundingClientRect();
    if (box.width === 0 && box.height === 0) continue;
    if (box.height < smallest - 0.5 || box.width < smallest - 0.5)
      found.push(`${target.outerHTML.slice(0, 80)}: ${box.width.toFixed(0)} x ${box.height.toFixed(0)}`);
  }
  return found;
}"""
_WIDTHS = "() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]"


def looks_right(page: Page) -> None:
    """Fail with what is wrong on the page as it stands."""
    violations = Axe().run(page).response["violations"]
    told = [f"{violation['id']}: {[node['html'][:120] for node in violation['nodes']]}" for violation in violations]
    assert told == [], f"accessibility of {page.url}"
    assert page.evaluate(_SMALL_TARGETS, SMALLEST_TARGET) == [], f"targets too small on {page.url}"
    content, window = page.evaluate(_WIDTHS)
    assert content <= window, f"{page.url} scrolls sideways: {content} px in {window}"
