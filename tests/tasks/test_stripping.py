"""Parts coming off, being described, and going back: one record each, nothing lost, nothing refused that is true."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from restorations.faults.facts import bench_facts
from restorations.members.models import Act
from restorations.photos.models import Photo
from restorations.tasks.models import FixingSet, StrippedPart
from restorations.tasks.services import put_back_all
from tests.cast import Cast
from tests.factories import NOON, TODAY, make_engine
from tests.photos.pictures import jpeg
from tests.tasks.bench_builders import doing, end, make_consent, make_fixings, sent, strip

ROD = "connecting_rod@left"


@pytest.fixture
def engine(cast: Cast) -> Any:
    return make_engine(made_by=cast.owner, owner_member=cast.owner, hands=(cast.member, cast.mate))


def _off(engine: Any) -> frozenset[str]:
    return bench_facts(engine, on=TODAY).off


@pytest.mark.parametrize(
    "what",
    [{"part": ROD}, {"name": "little bracket"}, {"photos": SimpleUploadedFile("rod.jpg", jpeg(64, 48), "image/jpeg")}],
    ids=["a part of the list", "a name of one's own", "a photo"],
)
def test_a_photo_or_a_name_and_a_box_are_enough(cast: Cast, engine: Any, what: dict[str, Any]) -> None:
    response = cast.browser("member").post(f"/engines/{engine.pk}/off/", sent(box="7", tray_place="2", **what))
    assert response.status_code == 302
    part = StrippedPart.objects.get()
    assert (part.in_box.number, part.lies_in, part.number) == (7, "box 7, place 2", 1)
    assert part.photos.count() == Photo.objects.count() == (1 if "photos" in what else 0)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"box": "7"}, "Add a photo or say what it is"),
        ({"part": ROD, "name": "the rod", "box": "7"}, "one of the two"),
        ({"name": "the rod"}, "This field is required"),
        ({"name": "the rod", "box": "7", "tray_place": "99"}, "less than or equal to 24"),
        ({"part": "flux_capacitor", "box": "7"}, "flux_capacitor"),
    ],
    ids=["neither", "both names", "no box", "no such place", "no such part"],
)
def test_what_is_missing_is_said_and_what_was_typed_is_kept(
    cast: Cast, engine: Any, fields: dict[str, Any], words: str
) -> None:
    response = cast.browser("member").post(f"/engines/{engine.pk}/off/", sent(**fields))
    page = response.content.decode()
    assert response.status_code == 422
    assert words in page
    assert all(value in page for value in fields.values())
    assert not StrippedPart.objects.exists()


def test_parts_are_numbered_in_the_order_they_come_off_each_engine_by_itself(cast: Cast, engine: Any) -> None:
    other = make_engine(hands=(cast.member,))
    numbers = [strip(engine, cast.member, part_id=f"connecting_rod@{side}").number for side in ("left", "right")]
    assert [*numbers, strip(other, cast.member).number] == [1, 2, 1]


def test_a_part_that_is_off_already_stays_one_record(cast: Cast, engine: Any) -> None:
    first, second = strip(engine, cast.member, box="3"), strip(engine, cast.mate, box="4")
    assert first == second
    assert second.in_box.number == 3


def test_the_second_of_two_who_strip_the_same_part_is_told_where_it_is(cast: Cast, engine: Any) -> None:
    strip(engine, cast.member, box="3")
    form = sent(part=ROD, box="4")
    page = cast.browser("mate").post(f"/engines/{engine.pk}/off/", form, follow=True).content.decode()
    assert "It was off already: number 1, written down by Anneli Thwaite, in box 3." in page
    assert StrippedPart.objects.count() == 1


def test_the_same_form_twice_is_one_part(cast: Cast, engine: Any) -> None:
    form, browser = sent(name="bracket", box="7"), cast.browser("member")
    answers = [browser.post(f"/engines/{engine.pk}/off/", form).status_code for _ in range(2)]
    assert answers == [302, 302]
    assert StrippedPart.objects.count() == 1


def test_a_helpers_part_waits_but_no_step_may_rely_on_it_being_there(cast: Cast, engine: Any) -> None:
    part = strip(engine, cast.stranger, stands=False)
    facts = bench_facts(engine, on=TODAY)
    assert (facts.off, facts.off_unaccepted) == (frozenset(), {ROD})
    assert "waits to be accepted" in cast.browser("mate").get(f"/engines/{engine.pk}/off/").content.decode()
    cast.browser("mate").post(f"/parts/{part.pk}/accept/", sent())
    assert _off(engine) == {ROD}


def test_a_helpers_refit_counts_once_one_of_the_hands_accepts_it(cast: Cast, engine: Any) -> None:
    part = strip(engine, cast.member)
    cast.browser("stranger").post(f"/parts/{part.pk}/end/", sent(ending="refitted"))
    assert _off(engine) == {ROD}
    cast.browser("member").post(f"/parts/{part.pk}/accept/", sent())
    assert _off(engine) == frozenset()


def test_a_helpers_refit_that_is_not_so_is_taken_back_and_leaves_a_trace(cast: Cast, engine: Any) -> None:
    part = strip(engine, cast.member)
    end(part, cast.stranger, stands=False, ending="left_off", reason="runs without it")
    cast.browser("mate").post(f"/parts/{part.pk}/refuse/", sent())
    part.refresh_from_db()
    assert (part.ended_at, part.ending, part.ending_reason) == (None, "", "")
    act = Act.objects.about(part).get(verb="did not accept an ending")
    assert (act.member, act.before["ending"]) == (cast.mate, "left_off")


def test_what_one_of_the_hands_wrote_up_is_not_taken_back_that_way(cast: Cast, engine: Any) -> None:
    part = end(strip(engine, cast.member), cast.member)
    cast.browser("mate").post(f"/parts/{part.pk}/refuse/", sent())
    part.refresh_from_db()
    assert part.ending == "refitted"


def test_a_helper_does_not_say_which_part_of_the_list_it_is(cast: Cast, engine: Any) -> None:
    part = strip(engine, cast.member, part_id="", name="a rod")
    response = cast.browser("stranger").post(part.get_absolute_url(), sent(version=1, part=ROD))
    assert response.status_code == 422
    assert "the hands of the engine say" in response.content.decode()
    named = cast.browser("stranger").post(part.get_absolute_url(), sent(version=1, name="the long rod"))
    assert named.status_code == 302


def test_of_two_who_refit_the_same_part_the_second_is_told_and_there_is_one_record(cast: Cast, engine: Any) -> None:
    part = strip(engine, cast.member)
    first = cast.browser("member").post(f"/parts/{part.pk}/end/", sent(ending="refitted"))
    second = cast.browser("mate").post(f"/parts/{part.pk}/end/", sent(ending="renewed"))
    part.refresh_from_db()
    assert (first.status_code, second.status_code) == (302, 422)
    assert "Anneli Thwaite has written this part up already: refitted." in second.content.decode()
    assert (part.ending, part.ended_by) == ("refitted", cast.member)
    assert Act.objects.about(part).filter(verb="wrote up how a part ended").count() == 1


@pytest.mark.parametrize("ending", ["refitted", "renewed", "replaced"])
def test_a_part_that_went_back_or_was_replaced_counts_as_fitted(cast: Cast, engine: Any, ending: str) -> None:
    end(strip(engine, cast.member), cast.member, ending=ending)
    assert _off(engine) == frozenset()


def test_left_off_on_purpose_needs_its_reason(cast: Cast, engine: Any) -> None:
    part = strip(engine, cast.member)
    response = cast.browser("member").post(f"/parts/{part.pk}/end/", sent(ending="left_off"))
    assert response.status_code == 422
    assert "Say why it stays off" in response.content.decode()


def test_a_part_left_off_is_accounted_for_and_still_not_on_the_engine(cast: Cast, engine: Any) -> None:
    end(strip(engine, cast.member), cast.member, ending="left_off", reason="runs without it")
    assert not StrippedPart.objects.off().filter(engine=engine).exists()
    assert _off(engine) == {ROD}


def test_a_part_left_off_that_a_step_fits_later_is_on_again(cast: Cast, engine: Any) -> None:
    end(strip(engine, cast.member), cast.member, ending="left_off", reason="runs without it")
    with transaction.atomic():
        put_back_all(engine, [ROD], doing(cast.member, at=NOON + timedelta(hours=1)))
    assert _off(engine) == frozenset()
    assert StrippedPart.objects.filter(engine=engine, off_not_recorded=True, ending="refitted").count() == 1


def test_scrapping_needs_the_owners_consent(cast: Cast, engine: Any) -> None:
    part, consent = strip(engine, cast.member), make_consent(engine, cast.mentor)
    browser = cast.browser("member")
    refused = browser.post(f"/parts/{part.pk}/end/", sent(ending="scrapped"))
    assert refused.status_code == 422
    assert "Scrapping needs the owner&#x27;s consent" in refused.content.decode()
    assert browser.post(f"/parts/{part.pk}/end/", sent(ending="scrapped", consent=consent.pk)).status_code == 302
    part.refresh_from_db()
    assert (part.ending, part.consent) == ("scrapped", consent)


def test_neither_another_engines_consent_nor_one_struck_out_will_do(cast: Cast, engine: Any) -> None:
    part = strip(engine, cast.member)
    elsewhere = make_consent(make_engine(), cast.mentor)
    struck = make_consent(engine, cast.mentor)
    struck.strike_out(member=cast.mentor, reason="misheard")
    for consent in (elsewhere, struck):
        with pytest.raises(ValidationError, match="not for this engine, or was struck out"):
            end(part, cast.member, ending="scrapped", consent=consent)


def test_a_part_refitted_that_was_never_off_is_recorded_and_says_so(cast: Cast, engine: Any) -> None:
    browser = cast.browser("member")
    response = browser.post(f"/engines/{engine.pk}/refit/", sent(part=ROD, ending="refitted"))
    part = StrippedPart.objects.get()
    assert response.status_code == 302
    assert part.off_not_recorded
    assert "Nobody wrote down that it came off" in browser.get(part.get_absolute_url()).content.decode()
    assert _off(engine) == frozenset()


def test_a_part_that_is_off_is_not_refitted_as_never_off(cast: Cast, engine: Any) -> None:
    strip(engine, cast.member)
    response = cast.browser("member").post(f"/engines/{engine.pk}/refit/", sent(part=ROD, ending="refitted"))
    assert response.status_code == 422
    assert "is written down as off" in response.content.decode()
    assert StrippedPart.objects.count() == 1


def test_the_rest_is_added_later_with_thickness_as_typed_and_in_millimetres(cast: Cast, engine: Any) -> None:
    part = strip(engine, cast.member, part_id="", box="7")
    form = sent(version=1, part=ROD, orientation="oil hole up", mates="left pin", shim="4 thou", gasket="", box="box 7")
    assert cast.browser("mate").post(part.get_absolute_url(), form).status_code == 302
    part.refresh_from_db()
    assert (part.part_id, part.orientation, part.shim_typed) == (ROD, "oil hole up", "4 thou")
    assert part.shim_mm == pytest.approx(0.1016, rel=1e-12)  # 0.004 in by 25.4
    assert part.gasket_mm is None
    assert part.in_box.number == 7


def test_a_decimal_comma_is_refused_with_the_fix_and_what_was_typed_is_kept(cast: Cast, engine: Any) -> None:
    part = strip(engine, cast.member)
    form = sent(version=1, part=ROD, orientation="oil hole up", shim="0,1 mm")
    response = cast.browser("member").post(part.get_absolute_url(), form)
    page = response.content.decode()
    assert response.status_code == 422
    assert all(words in page for words in ("Use a point, not a comma: 0.1 mm.", 'value="0,1 mm"', "oil hole up"))


def test_two_who_describe_the_same_part_are_shown_both_versions(cast: Cast, engine: Any) -> None:
    part = strip(engine, cast.member)
    cast.browser("mate").post(part.get_absolute_url(), sent(version=1, part=ROD, orientation="dots forward"))
    response = cast.browser("member").post(part.get_absolute_url(), sent(version=1, part=ROD, orientation="dots back"))
    page = response.content.decode()
    assert response.status_code == 409
    assert "dots forward" in page
    assert "dots back" in page
    part.refresh_from_db()
    assert part.orientation == "dots forward"


def test_naming_a_part_does_not_make_it_off_twice(cast: Cast, engine: Any) -> None:
    strip(engine, cast.member)
    unnamed = strip(engine, cast.member, part_id="", name="a rod")
    response = cast.browser("member").post(unnamed.get_absolute_url(), sent(version=1, part=ROD))
    assert response.status_code == 422
    assert "off already, as number 1" in response.content.decode()


def test_nothing_is_added_to_a_line_that_was_struck_out(cast: Cast, engine: Any) -> None:
    part = strip(engine, cast.member)
    part.strike_out(member=cast.member, reason="wrong engine")
    response = cast.browser("mate").post(part.get_absolute_url(), sent(version=1, part=ROD, orientation="up"))
    assert response.status_code == 422
    assert "This line was struck out" in response.content.decode()


def test_fixings_are_noted_as_a_set_and_struck_out_with_a_reason(cast: Cast, engine: Any) -> None:
    part, browser = strip(engine, cast.member), cast.browser("member")
    form = sent(how_many=4, thread="6 BA hexagon", length="3/8 in", holes="the two at the top")
    assert browser.post(f"/parts/{part.pk}/fixings/", form).status_code == 302
    row = FixingSet.objects.get()
    assert (str(row), row.length_mm) == ("4 of 6 BA hexagon × 3/8 in", pytest.approx(9.525, rel=1e-12))
    browser.post(f"/fixings/{row.pk}/strike/", sent(reason="those are of the cover"))
    assert "None noted yet." in browser.get(part.get_absolute_url()).content.decode()


def test_the_refit_list_runs_backwards_and_says_what_is_missing(cast: Cast, engine: Any) -> None:
    strip(engine, cast.member, part_id="", name="first off")
    last = strip(engine, cast.member, part_id="", name="last off")
    make_fixings(last, cast.member)
    page = cast.browser("member").get(f"/engines/{engine.pk}/refit/").content.decode()
    assert page.index("last off") < page.index("first off")
    assert "a photo, which way it sat, its fixings" in page
    assert "a photo, which way it sat</p>" in page


def test_a_line_struck_out_is_off_no_more_and_only_its_writer_or_a_mentor_strikes(cast: Cast, engine: Any) -> None:
    part = strip(engine, cast.member)
    assert cast.browser("mate").post(f"/parts/{part.pk}/strike/", sent(reason="wrong")).status_code == 403
    assert cast.browser("mentor").post(f"/parts/{part.pk}/strike/", sent(reason="wrong")).status_code == 302
    assert _off(engine) == frozenset()


@pytest.mark.parametrize("page", ["off", "refit", "connections", "soaks", "tags"])
def test_a_page_asks_as_many_questions_for_ten_parts_as_for_one(cast: Cast, engine: Any, page: str) -> None:
    browser = cast.browser("member")
    counts = []
    for names in (["one"], [f"part {number}" for number in range(9)]):
        for name in names:
            make_fixings(strip(engine, cast.member, part_id="", name=name, box=name), cast.member)
        with CaptureQueriesContext(connection) as asked:
            browser.get(f"/engines/{engine.pk}/{page}/")
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_a_part_refitted_once_and_left_off_the_next_time_is_not_on_the_engine(cast: Cast, engine: Any) -> None:
    end(strip(engine, cast.member), cast.member)
    end(strip(engine, cast.member), cast.member, ending="left_off", reason="runs without it")
    assert _off(engine) == {ROD}
