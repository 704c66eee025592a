"""Sounds and videos: kept as they came, handed out only as downloads."""

from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from restorations.engines.models import Engine
from restorations.photos.models import Clip
from tests.cast import Cast
from tests.engines.sent import once
from tests.factories import make_engine
from tests.photos.builders import make_clip
from tests.photos.pictures import box, jpeg, mp4

pytestmark = pytest.mark.usefixtures("stored")


@pytest.fixture
def engine(cast: Cast) -> Engine:
    return make_engine(hands=(cast.member, cast.mate))


def _send(cast: Cast, engine: Engine, data: bytes, who: str = "member", **more: Any) -> Any:
    form = once(clip=SimpleUploadedFile("knock.exe", data), caption="knock, left side", **more)
    return cast.browser(who).post(f"/engines/{engine.pk}/clips/", form)


def test_a_clip_is_kept_as_it_came_and_handed_out_as_a_download(cast: Cast, engine: Engine, stored: Path) -> None:
    assert _send(cast, engine, mp4()).status_code == 302
    clip = Clip.objects.get()
    assert (clip.kind, clip.size_bytes, clip.stands) == ("mp4", len(mp4()), True)
    assert [file.name for file in stored.iterdir()] == [clip.file]
    answer = cast.browser("stranger").get(f"/clips/{clip.pk}/download/")
    assert answer.getvalue() == mp4()
    assert answer.headers["Content-Disposition"] == f'attachment; filename="clip-{clip.pk}.mp4"'
    assert answer.headers["Content-Type"] == "video/mp4"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    assert "video, MP4" in cast.browser("stranger").get(f"/engines/{engine.pk}/clips/").text


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (mp4(inside=box(b"udta", box(b"\xa9xyz", b"+51-000/"))), "says where it was made"),
        (jpeg(), "This is a picture"),
        (b"<html><script>alert(1)</script>", "not a sound or video"),
        (mp4()[:-30], "cut off"),
    ],
)
def test_what_is_refused_is_refused_in_words_and_leaves_nothing(
    cast: Cast, engine: Engine, stored: Path, data: bytes, words: str
) -> None:
    answer = _send(cast, engine, data)
    assert answer.status_code == 422
    assert words in answer.text
    assert "knock, left side" in answer.text
    assert not Clip.objects.exists()
    assert not stored.exists()


def test_none_chosen_is_said(cast: Cast, engine: Engine) -> None:
    answer = cast.browser("member").post(f"/engines/{engine.pk}/clips/", once(caption="x"))
    assert "Choose a sound or video first" in answer.text


def test_the_same_form_twice_is_one_clip(cast: Cast, engine: Engine) -> None:
    mark = once()
    for _ in range(2):
        assert _send(cast, engine, mp4(), **mark).status_code == 302
    assert Clip.objects.count() == 1


def test_a_helpers_clip_waits_and_is_accepted(cast: Cast, engine: Engine) -> None:
    assert _send(cast, engine, mp4(), "stranger").status_code == 302
    clip = Clip.objects.get()
    assert not clip.stands
    assert "waits to be accepted" in cast.browser("member").get(f"/engines/{engine.pk}/clips/").text
    assert cast.browser("member").post(f"/clips/{clip.pk}/accept/", once()).status_code == 302
    clip.refresh_from_db()
    assert clip.stands


def test_a_struck_clip_stays_in_the_list_with_the_reason(cast: Cast, engine: Engine) -> None:
    clip = make_clip(engine, cast.member)
    address = f"/clips/{clip.pk}/strike/"
    assert cast.browser("member").post(address, once(reason="")).status_code == 422
    assert cast.browser("member").post(address, once(reason="only wind")).status_code == 302
    assert "only wind" in cast.browser("mate").get(f"/engines/{engine.pk}/clips/").text
