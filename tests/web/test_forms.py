"""Fields, the field tag, the error summary, both versions on a conflict."""

import re
import uuid
from types import SimpleNamespace
from typing import Any

import pytest
from django import forms
from django.template import Context, Template
from django.template.loader import render_to_string

from restorations.web.conflicts import VersionedForm, differences
from restorations.web.fields import OnceForm, QuantityField


class Sheet(OnceForm):
    name = forms.CharField(max_length=20, help_text="As on the plate.")
    bore = QuantityField(dimension="length", lowest=0.002, highest=0.2, limits="2 to 200 mm", required=False)
    gear = forms.ChoiceField(choices=[("slip", "Slip eccentric"), ("none", "None")], widget=forms.RadioSelect)
    oiled = forms.BooleanField(required=False)


def _sheet(**data: str) -> Sheet:
    form = Sheet({"submission": str(uuid.uuid4()), "name": "Wren", "gear": "slip", **data})
    form.is_valid()
    return form


def _render(form: forms.Form, **context: Any) -> str:
    return render_to_string("web/_form.html", {"form": form, **context})


class TestQuantityField:
    def test_it_gives_what_was_typed_and_the_same_in_si(self) -> None:
        bore = _sheet(bore="1 1/8 in").cleaned_data["bore"]
        assert (bore.typed, bore.si) == ("1 1/8 in", pytest.approx(0.028575))

    def test_left_open_it_gives_nothing(self) -> None:
        assert _sheet(bore="  ").cleaned_data["bore"] is None

    @pytest.mark.parametrize(
        ("typed", "words"),
        [("12 kg", "a length is wanted"), ("3 m", "outside what is possible here: 2 to 200 mm"), ("1,5 mm", "comma")],
    )
    def test_what_is_wrong_stands_beside_the_field_with_what_was_typed(self, typed: str, words: str) -> None:
        html = _render(_sheet(bore=typed))
        field = html.partition('for="id_bore"')[2].partition("</div>")[0]
        assert words in field
        assert f'value="{typed}"' in field

    def test_a_saved_quantity_is_offered_again_as_it_was_typed(self) -> None:
        bore = _sheet(bore="1 1/8 in").cleaned_data["bore"]
        assert 'value="1 1/8 in"' in str(Sheet(initial={"bore": bore})["bore"])


class TestFieldTag:
    def test_label_help_error_and_input_are_tied_together(self) -> None:
        html = _render(_sheet(name="x" * 21))
        assert '<label for="id_name">' in html
        assert 'aria-describedby="id_name_helptext id_name_error"' in html
        assert 'aria-invalid="true"' in html
        assert 'id="id_name_helptext"' in html
        assert 'id="id_name_error"' in html

    def test_a_group_of_choices_is_a_fieldset_with_a_legend(self) -> None:
        html = _render(_sheet(gear="x"))
        assert re.search(r'<fieldset class="choices wrong"[^>]*aria-describedby="id_gear_error"', html)
        assert "<legend>Gear" in html

    def test_only_what_may_be_left_open_is_marked_so(self) -> None:
        html = _render(_sheet())
        assert html.count("(optional)") == 1
        assert "Bore <span" in html

    def test_every_id_is_there_once(self) -> None:
        ids = re.findall(r'\bid="([^"]+)"', _render(_sheet(name="", gear="x", bore="x")))
        assert len(ids) == len(set(ids))


class TestErrorSummary:
    def test_each_thing_to_mend_leads_to_its_field(self) -> None:
        html = _render(_sheet(name="", gear="x"))
        assert "Please mend 2 things" in html
        for target in re.findall(r'<li><a href="#([^"]+)"', html):
            assert f'id="{target}"' in html

    def test_it_takes_focus_after_a_swap_and_is_absent_when_all_is_well(self) -> None:
        assert "data-focus" in _render(_sheet(name=""))
        assert "error-summary" not in _render(_sheet())

    def test_a_lost_mark_is_said_without_a_link(self) -> None:
        form = Sheet({"name": "Wren", "gear": "slip"})
        form.is_valid()
        assert "<li>This field is required.</li>" in _render(form)


class TestForm:
    def test_with_a_target_htmx_sends_it_and_the_browser_can_without(self) -> None:
        html = _render(_sheet(), target="#sheet", action="/sheets/1/")
        assert 'method="post"' in html
        assert 'action="/sheets/1/"' in html
        assert 'hx-post="/sheets/1/" hx-target="#sheet" hx-swap="outerHTML"' in html

    def test_each_page_carries_a_mark_of_its_own(self) -> None:
        marks = {re.search(r'name="submission" value="([^"]+)"', _render(Sheet()))[1] for _ in range(2)}  # type: ignore[index]
        marks |= {Template("{% load shop %}{% submission %}").render(Context()) for _ in range(2)}
        assert len(marks) == 4

    def test_what_members_type_is_never_markup(self) -> None:
        html = _render(_sheet(name='"><script>x</script>', bore="<b>1</b>"))
        assert "<script>" not in html
        assert "<b>" not in html


class Particulars(VersionedForm):
    name = forms.CharField()
    gear = forms.ChoiceField(choices=[("slip", "Slip eccentric"), ("none", "None")])
    private = forms.BooleanField(required=False)
    offices = forms.MultipleChoiceField(choices=[("a", "Alpha"), ("b", "Beta")], required=False)
    unlike_the_row = forms.CharField(required=False)


class TestConflict:
    def _form(self, **data: Any) -> Particulars:
        start = {"submission": str(uuid.uuid4()), "version": "1", "name": "Wren", "gear": "slip"}
        form = Particulars({**start, **data})
        assert form.is_valid()
        return form

    def test_only_what_differs_is_shown_in_words(self) -> None:
        form = self._form(private="on", offices=["a", "b"])
        theirs = SimpleNamespace(version=4, name="Wren", gear="none", private=False, offices=())
        told = [(row.label, row.theirs, row.yours) for row in differences(form, theirs)]
        assert told == [
            ("Gear", "None", "Slip eccentric"),
            ("Private", "no", "yes"),
            ("Offices", "none", "Alpha, Beta"),
        ]

    def test_the_form_moves_to_their_version_and_keeps_what_was_typed(self) -> None:
        form = self._form(name="Mine")
        differences(form, SimpleNamespace(version=4, name="Theirs"))
        assert 'value="4"' in str(form["version"])
        assert 'value="Mine"' in str(form["name"])
