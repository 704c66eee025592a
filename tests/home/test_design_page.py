"""A design's page: what is known good of its engines, as far as one may see them."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from restorations.engines.models import Design
from tests.cast import Cast
from tests.factories import make_engine
from tests.home.rows import make_reading
from tests.photos.builders import make_photo


def _design() -> Design:
    return Design.objects.create(name="Brindle")


def test_it_shows_sisters_readings_traps_and_photos_of_right_assembly(cast: Cast) -> None:
    design = _design()
    sister = make_engine(name="Heron", design=design)
    make_reading(sister, cast.mentor, known_good_for=design, typed="8.02 mm")
    make_reading(sister, cast.mentor, typed="9.99 mm")
    make_photo(sister, cast.mentor, design=design, caption="eccentric the right way round")
    design.design_notes.create(kind="trap", text="The pump eccentric fits both ways.", written_by=cast.mentor)
    page = cast.browser("stranger").get(f"/designs/{design.pk}/").text
    for words in ("Heron", "8.02 mm", cast.mentor.full_name, "eccentric the right way round", "fits both ways"):
        assert words in page
    assert "9.99 mm" not in page


def test_a_helpers_reading_is_known_good_only_once_accepted(cast: Cast) -> None:
    design = _design()
    make_reading(make_engine(design=design), cast.stranger, accepted=False, known_good_for=design)
    assert "8.0 mm" not in cast.browser("member").get(f"/designs/{design.pk}/").text


@pytest.mark.parametrize("who", ["stranger", "mentor", "administrator"])
def test_a_private_sister_is_neither_named_nor_quoted(cast: Cast, who: str) -> None:
    design = _design()
    private = make_engine(name="Dot", design=design, is_private=True, owner_member=cast.owner)
    make_reading(private, cast.owner, known_good_for=design)
    make_photo(private, cast.owner, design=design, caption="Dot's own axle")
    page = cast.browser(who).get(f"/designs/{design.pk}/").text
    assert "Dot" not in page
    assert "8.0 mm" not in page
    assert "None that you may see." in page


def test_a_secretary_sees_that_a_private_sister_exists_but_no_reading_of_it(cast: Cast) -> None:
    design = _design()
    private = make_engine(name="Dot", design=design, is_private=True, owner_member=cast.owner)
    make_reading(private, cast.owner, known_good_for=design)
    page = cast.browser("secretary").get(f"/designs/{design.pk}/").text
    assert "Dot" in page
    assert "8.0 mm" not in page


def test_ten_sisters_cost_no_more_queries_than_one(cast: Cast) -> None:
    design, browser, counts = _design(), cast.browser("member"), []
    for number in range(10):
        sister = make_engine(name=f"Sister {number}", design=design)
        make_reading(sister, cast.mentor, known_good_for=design)
        make_photo(sister, cast.mentor, design=design)
        design.design_notes.create(kind="trap", text=f"trap {number}", written_by=cast.mentor)
        if number in (0, 9):
            with CaptureQueriesContext(connection) as queries:
                assert browser.get(f"/designs/{design.pk}/").status_code == 200
            counts.append(len(queries))
    assert counts[0] == counts[1]
