"""Nothing inline, nothing unescaped, every form with its token: what the content policy and the members rely on."""

import re
from pathlib import Path

import pytest

from tests.architecture.sources import RESTORATIONS, ROOT, python_files, shown, templates

FORBIDDEN = {
    "a style attribute": r"\sstyle\s*=",
    "a style element": r"<style\b",
    "a script without src": r"<script(?![^>]*\bsrc=)[^>]*>",
    "words inside a script element": r"<script[^>]*>\s*[^<\s]",
    "an on… attribute": r"\son[a-z]+\s*=",
    "hx-on": r"\shx-on\b",
    "a javascript address": r"javascript:",
    "text let through unescaped": r"\|\s*safe\b|\|\s*safeseq\b|autoescape\s+off",
    "htmx evaluating": r"hx-vals\s*=\s*[\"']js:|hx-headers\s*=\s*[\"']js:",
    "something from another host": r"(?:src|href)\s*=\s*[\"'](?:https?:)?//",
}
UNSAFE_SCRIPT = r"\binnerHTML\b|\bouterHTML\b|\beval\s*\(|insertAdjacentHTML|document\.write|new Function"
# Markup made by our own drawing code, from numbers and our own words; what members typed is escaped before.
MAY_MARK_SAFE = {
    "restorations/faults/templatetags/sheets.py", "restorations/web/charts.py",
    "restorations/web/outline/silhouette.py",
}  # fmt: skip


def offences(html: str) -> list[str]:
    bare = re.sub(r"{#.*?#}|{% comment %}.*?{% endcomment %}", "", html, flags=re.DOTALL)
    return [name for name, pattern in FORBIDDEN.items() if re.search(pattern, bare, re.IGNORECASE)]


def whole(html: str) -> str:
    """The template with those it includes put in their places."""
    by_name = {str(path).partition("/templates/")[2]: path for path in templates()}

    def included(tag: re.Match[str]) -> str:
        return whole(by_name[tag[1]].read_text(encoding="utf-8")) if tag[1] in by_name else ""

    return re.sub(r'{% include "([^"]+)"[^%]*%}', included, html)


def forms_without_token(html: str) -> int:
    forms = re.findall(r"<form\b[^>]*method=[\"']post[\"'].*?</form>", html, re.DOTALL | re.IGNORECASE)
    return sum("{% csrf_token %}" not in form for form in forms)


def test_no_template_has_anything_inline_or_unescaped() -> None:
    found = {shown(path): offences(path.read_text(encoding="utf-8")) for path in templates()}
    assert {path: wrong for path, wrong in found.items() if wrong} == {}


def test_every_form_that_posts_carries_its_token() -> None:
    found = {shown(path): forms_without_token(whole(path.read_text(encoding="utf-8"))) for path in templates()}
    assert {path: number for path, number in found.items() if number} == {}


def test_only_drawing_code_marks_markup_as_safe() -> None:
    users = {
        shown(path)
        for path in python_files(RESTORATIONS)
        if re.search(r"\bmark_safe\s*\(|\bSafeString\s*\(|html_safe", path.read_text(encoding="utf-8"))
    }
    assert users <= MAY_MARK_SAFE


def test_no_script_of_ours_makes_markup_from_text() -> None:
    scripts: list[Path] = sorted((ROOT / "static" / "js").glob("*.js"))
    assert scripts
    assert [shown(path) for path in scripts if re.search(UNSAFE_SCRIPT, path.read_text(encoding="utf-8"))] == []


@pytest.mark.parametrize(
    "html",
    [
        '<p style="color: red">',
        "<style>p {}</style>",
        "<script>alert(1)</script>",
        '<script type="module">import x</script>',
        '<script src="/a.js">alert(1)</script>',
        '<button onclick="x()">',
        '<div hx-on:click="x()">',
        '<a href="javascript:x()">',
        "{{ text|safe }}",
        "{% autoescape off %}",
        '<script src="https://elsewhere.example/x.js"></script>',
        '<img src="//elsewhere.example/x.png">',
    ],
)
def test_each_kind_of_offence_would_be_found(html: str) -> None:
    assert offences(html)


def test_lawful_markup_is_let_be() -> None:
    assert offences('<script src="{% static "js/x.js" %}" defer></script><p class="on stylish">one = two</p>') == []
    assert forms_without_token('<form method="post"><button></form>') == 1
    assert forms_without_token('<form method="post">{% csrf_token %}</form><form method="get"></form>') == 0
