"""The take-in sheet as it is read and printed: with its eight views, hazards first, both names in the title block."""

from datetime import timedelta

from django.utils import timezone

from restorations.engines.models import Engine, TakeIn
from restorations.home.taking_in import standard_views
from restorations.photos.models import VIEWS
from tests.cast import Cast
from tests.factories import make_engine
from tests.photos.builders import make_photo


def _sheet(cast: Cast) -> tuple[Engine, TakeIn]:
    engine = make_engine(hands=(cast.member,))
    return engine, TakeIn.objects.create(engine=engine, begun_by=cast.member, fuel="found", fuel_note="spirit")


def test_before_anything_is_written_all_eight_views_are_missing(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    page = cast.browser("member").get(f"/engines/{engine.pk}/taking-in/").text
    assert len(VIEWS) == 8
    assert page.count(": missing</span>") == 8
    for view in VIEWS:
        assert f"/engines/{engine.pk}/photos/?as={view}" in page


def test_a_view_that_was_taken_is_shown_and_the_others_are_missing(cast: Cast) -> None:
    engine, _ = _sheet(cast)
    photo = make_photo(engine, cast.member, view="left")
    page = cast.browser("stranger").get(f"/engines/{engine.pk}/taking-in/").text
    assert f'src="/photos/{photo.pk}/thumbnail.webp"' in page
    assert "7 of 8 views missing" in page


def test_what_is_photographed_after_signing_is_not_how_it_came(cast: Cast) -> None:
    engine, sheet = _sheet(cast)
    now = timezone.now()
    first = make_photo(engine, cast.member, view="left", at=now - timedelta(days=2))
    type(first).objects.filter(pk=first.pk).update(made_at=now - timedelta(days=2))
    sheet.frozen_at = now - timedelta(days=1)
    sheet.save()
    later = make_photo(engine, cast.member, view="left", at=now)
    type(later).objects.filter(pk=later.pk).update(made_at=now)
    shown = next(view for view in standard_views(engine, sheet) if view.key == "left")
    assert shown.photo == first


def test_the_condition_report_has_both_names_in_its_title_block(cast: Cast) -> None:
    engine, sheet = _sheet(cast)
    for sign, name in (("took_in", "Anneli Thwaite"), ("brought", "Aldous Pell")):
        sheet.signatures.create(sign=sign, name=name, of_version=sheet.version, written_by=cast.member)
    block = cast.browser("member").get(f"/engines/{engine.pk}/taking-in/").text.partition('class="title-block"')[2]
    assert "Anneli Thwaite" in block
    assert "Aldous Pell" in block


def test_a_member_who_may_not_change_it_reads_but_finds_no_way_to_write(cast: Cast) -> None:
    engine, _ = _sheet(cast)
    page = cast.browser("stranger").get(f"/engines/{engine.pk}/taking-in/").text
    assert "spirit" in page
    assert "taking-in/write" not in page
