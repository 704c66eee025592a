"""Files before rows: whole, named by their bytes, swept when no row came; photos handed to the rows of other apps."""

import hashlib
import os
from collections.abc import Iterator
from datetime import timedelta
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.utils import timezone

from restorations.members.doing import Doing
from restorations.photos import files
from restorations.photos.models import Photo
from restorations.photos.services import attach, take_in
from tests.cast import Cast
from tests.factories import NOON, make_engine
from tests.photos.builders import make_clip, make_photo, picture


def _sweep() -> str:
    said = StringIO()
    call_command("sweep", stdout=said)
    return said.getvalue()


def _age(path: Path, *, days: float) -> None:
    moment = (timezone.now() - timedelta(days=days)).timestamp()
    os.utime(path, (moment, moment))


def test_a_file_is_named_by_the_hash_of_its_bytes_and_kept_once(stored: Path) -> None:
    names = {files.keep([b"one ", b"picture"], ".webp") for _ in range(2)}
    assert names == {f"{hashlib.sha256(b'one picture').hexdigest()}.webp"}
    assert [path.read_bytes() for path in stored.iterdir()] == [b"one picture"]


def test_a_file_broken_off_leaves_nothing(stored: Path) -> None:
    def breaks_off() -> Iterator[bytes]:
        yield b"half of it"
        raise OSError("the phone is gone")

    with pytest.raises(OSError, match="phone is gone"):
        files.keep(breaks_off(), ".webp")
    assert list(stored.iterdir()) == []


def test_only_files_that_had_no_row_for_a_day_are_swept(cast: Cast, stored: Path) -> None:
    engine = make_engine(hands=(cast.member,))
    photo, clip = make_photo(engine, cast.member), make_clip(engine, cast.member)
    photo.strike_out(member=cast.member, reason="blurred")
    orphan, fresh = files.keep([b"orphan"], ".webp"), files.keep([b"fresh"], ".webp")
    unfinished = stored / ".part-broken-off"
    unfinished.write_bytes(b"half")
    for name in (photo.large, photo.thumbnail, clip.file, orphan, unfinished.name):
        _age(stored / name, days=1.1)
    assert _sweep() == "2 files without a row removed.\n"
    assert {path.name for path in stored.iterdir()} == {photo.large, photo.thumbnail, clip.file, fresh}
    assert _sweep() == "0 files without a row removed.\n"


def test_an_orphan_that_is_sent_again_is_young_again(cast: Cast, stored: Path) -> None:
    name = files.keep([b"orphan"], ".webp")
    _age(stored / name, days=3)
    files.keep([b"orphan"], ".webp")
    assert _sweep() == "0 files without a row removed.\n"


def test_sweeping_an_empty_installation_says_so(db: None, stored: Path) -> None:
    assert _sweep() == "0 files without a row removed.\n"


def test_the_files_are_there_before_the_rows_and_the_rows_come_with_the_entry(cast: Cast, stored: Path) -> None:
    engine, doing = make_engine(hands=(cast.member,)), Doing(cast.member, NOON)
    photos = take_in([picture(), picture(600, 400)], engine, doing, caption="left rod", view="left")
    assert len(list(stored.iterdir())) == 4
    assert not Photo.objects.exists()
    added: list[Photo] = []

    class PhotosOfAnEntry:
        @staticmethod
        def add(*rows: Any) -> None:
            added.extend(rows)

    attach(photos, PhotosOfAnEntry, doing)
    assert [photo.pk for photo in added] == sorted(Photo.objects.values_list("pk", flat=True))
    assert {(photo.caption, photo.view, photo.stands) for photo in Photo.objects.all()} == {("left rod", "left", True)}


def test_no_picture_is_no_photo_and_no_question_to_the_database(
    cast: Cast, stored: Path, django_assert_num_queries: Any
) -> None:
    engine = make_engine()
    with django_assert_num_queries(0):
        assert take_in([], engine, Doing(cast.member, NOON)) == []
