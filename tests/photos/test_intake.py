"""Pictures: nothing of the file that came is kept but its dots and its moment, and what is no picture is refused."""

import contextlib
import io
import struct
import warnings
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from restorations.photos import intake
from restorations.photos.intake import LARGE_SIDE, THUMBNAIL_SIDE, NotAPicture, Picture, read_picture
from tests.photos.pictures import (
    SECRETS,
    camera_exif,
    drawn,
    encoded,
    jpeg,
    mp4,
    png,
    png_that_claims,
    webp,
)

INVERSE = {
    1: None,
    2: 0,
    3: 3,
    4: 1,
    5: 5,
    6: 2,
    7: 6,
    8: 4,
}  # Pillow's transpositions that undo the turn a tag asks for


def read(data: bytes) -> Picture:
    return read_picture(io.BytesIO(data))


def chunks(data: bytes) -> list[bytes]:
    """Names of the chunks of a WebP file, which must fill it to its last byte (RFC 9649)."""
    assert data[:4] == b"RIFF"
    assert data[8:12] == b"WEBP"
    assert struct.unpack("<I", data[4:8])[0] + 8 == len(data)
    names, at = [], 12
    while at < len(data):
        names.append(data[at : at + 4])
        at += 8 + (struct.unpack("<I", data[at + 4 : at + 8])[0] + 1) // 2 * 2
    assert at == len(data)
    return names


def corners(data: bytes) -> list[str]:
    """The colours above left, above right, below left, below right."""
    image = Image.open(io.BytesIO(data)).convert("RGB")
    across, down = image.width // 5, image.height // 5
    spots = [(across, down), (4 * across, down), (across, 4 * down), (4 * across, 4 * down)]
    named = {"red": (255, 0, 0), "green": (0, 128, 0), "blue": (0, 0, 255), "white": (255, 255, 255)}
    return [min(named, key=lambda name: _apart(named[name], image.getpixel(spot))) for spot in spots]


def _apart(one: Any, other: Any) -> int:
    return sum((first - second) ** 2 for first, second in zip(one, other, strict=True))


@pytest.mark.parametrize(
    "source",
    [jpeg(tell_all=True), jpeg(3000, 2000, tell_all=True), png(), webp()],
    ids=["JPEG", "large JPEG", "PNG", "WebP"],
)
def test_no_byte_of_what_the_camera_says_of_place_or_person_is_kept(source: bytes) -> None:
    told = [secret for secret in SECRETS if secret in source]
    assert len(told) >= 4, "the picture of the test tells nothing"
    picture = read(source)
    for kept in (picture.large, picture.thumbnail):
        assert chunks(kept) == [b"VP8 "]
        assert [secret for secret in SECRETS if secret in kept] == []


def test_bytes_behind_the_end_of_a_picture_are_dropped() -> None:
    archive = b"PK\x03\x04 an archive behind the picture"
    assert read(jpeg() + archive) == read(jpeg())


def test_large_and_thumbnail_keep_the_shape_and_their_sides() -> None:
    picture = read(jpeg(4000, 3000))
    assert (picture.width, picture.height) == (LARGE_SIDE, 1536)
    assert Image.open(io.BytesIO(picture.large)).size == (LARGE_SIDE, 1536)
    assert Image.open(io.BytesIO(picture.thumbnail)).size == (THUMBNAIL_SIDE, 360)


def test_a_small_picture_is_not_blown_up() -> None:
    picture = read(jpeg(300, 200))
    assert (picture.width, picture.height) == (300, 200)
    assert Image.open(io.BytesIO(picture.thumbnail)).size == (300, 200)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_is_turned_upright(orientation: int) -> None:
    turn = INVERSE[orientation]
    lying = drawn() if turn is None else drawn().transpose(Image.Transpose(turn))
    picture = read(encoded(lying, exif=camera_exif(orientation=orientation)))
    assert (picture.width, picture.height) == (640, 480)
    assert corners(picture.large) == corners(picture.thumbnail) == ["red", "green", "blue", "white"]


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "L", "LA", "P", "1", "CMYK"])
def test_every_way_of_keeping_colours_is_read(mode: str) -> None:
    picture = read(encoded(drawn().convert(mode), "JPEG" if mode == "CMYK" else "PNG"))
    assert corners(picture.large)[3] == "white"


def test_sixteen_bits_of_grey_stay_grey() -> None:
    grey = Image.open(io.BytesIO(read(encoded(Image.new("I;16", (64, 48), 0x8000), "PNG")).large)).getpixel((9, 9))
    assert all(abs(part - 128) < 6 for part in grey)


def test_what_is_transparent_becomes_white() -> None:
    picture = read(encoded(Image.new("RGBA", (64, 48), (200, 0, 0, 0)), "PNG"))
    assert corners(picture.large) == ["white"] * 4


def test_the_moment_is_kept_as_data_in_the_zone_the_camera_gave() -> None:
    assert read(jpeg(taken="2024:05:01 12:30:00")).taken == datetime(2024, 5, 1, 12, 30)
    abroad = read(jpeg(taken="2024:05:01 12:30:00", offset="+02:00")).taken
    assert abroad == datetime(2024, 5, 1, 10, 30, tzinfo=UTC)
    assert abroad.utcoffset() == timedelta(hours=2)


@pytest.mark.parametrize("said", ["0000:00:00 00:00:00", "yesterday", "", "2024:13:41 12:30:00", "2024-05-01"])
def test_a_clock_that_says_nothing_is_not_known(said: str) -> None:
    assert read(jpeg(taken=said)).taken is None


@pytest.mark.filterwarnings("ignore:Corrupt EXIF data")
def test_a_broken_block_of_camera_data_is_no_reason_to_refuse_the_picture() -> None:
    picture = read(encoded(drawn(), exif=b"Exif\x00\x00II*\x00\xff\xff\xff\x7f rubbish"))
    assert picture.taken is None
    assert corners(picture.large) == ["red", "green", "blue", "white"]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"GIF89a" + bytes(60), "GIF"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "SVG"),
        (b"\xef\xbb\xbf  <?xml version='1.0'?><svg/>", "SVG"),
        (b"\xff\xfe<\x00s\x00v\x00g\x00", "SVG"),
        (b"<!doctype html><title>x</title>", "web page"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9", "PostScript"),
        (b"%PDF-1.7\n", "PDF"),
        (encoded(drawn(), "BMP"), "BMP"),
        (encoded(drawn(), "TIFF"), "raw file"),
        (encoded(drawn(), "AVIF"), "AVIF"),
        (b"PK\x03\x04" + bytes(60), "archive"),
        (mp4(), "video"),
        (b"ID3\x03" + bytes(60), "sound"),
        (b"just words", "JPEG, PNG or WebP"),
    ],
    ids=lambda part: part if isinstance(part, str) else "",
)
def test_what_is_no_photograph_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(NotAPicture, match=words):
        read(data)


@pytest.mark.parametrize("size", [(12_001, 10), (9000, 9000), (10_000, 10_000), (60_000, 60_000)])
@pytest.mark.parametrize("heeded", [True, False])
def test_a_bomb_is_refused_before_it_is_decoded(size: tuple[int, int], heeded: bool) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error" if heeded else "ignore")
        with pytest.raises(NotAPicture, match="60 megapixels"):
            read(png_that_claims(*size))


def test_too_many_bytes_are_refused_before_any_is_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(intake, "MOST_BYTES", 1000)
    with pytest.raises(NotAPicture, match="25 MB"):
        read(jpeg())


@pytest.mark.parametrize("source", [jpeg(), png(), webp()], ids=["JPEG", "PNG", "WebP"])
@pytest.mark.parametrize("part", [0.3, 0.5, 0.8])
def test_a_file_cut_off_on_the_way_is_refused(source: bytes, part: float) -> None:
    with pytest.raises(NotAPicture, match="cut off"):
        read(source[: int(len(source) * part)])


def test_heic_is_read_where_the_decoder_is_installed() -> None:
    pillow_heif = pytest.importorskip("pillow_heif")
    file = io.BytesIO()
    exif = camera_exif(taken="2024:05:01 12:30:00").tobytes()
    pillow_heif.from_pillow(drawn()).save(file, quality=90, exif=exif)
    assert b"Canonet" in file.getvalue()
    picture = read(file.getvalue())
    assert corners(picture.large) == ["red", "green", "blue", "white"]
    assert picture.taken == datetime(2024, 5, 1, 12, 30)
    assert chunks(picture.large) == [b"VP8 "]
    assert [secret for secret in SECRETS if secret in picture.large] == []
    with pytest.raises(NotAPicture, match="cut off"):
        read(file.getvalue()[: len(file.getvalue()) // 2])


def test_heic_without_the_decoder_is_refused_with_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(intake, "reads_heic", lambda: False)
    with pytest.raises(NotAPicture, match="Most Compatible"):
        read(b"\x00\x00\x00\x18ftypheic" + bytes(60))


SMALL = [jpeg(40, 30, tell_all=True), png(40, 30), webp(40, 30)]


def _refused_or_read(data: bytes) -> None:
    with contextlib.suppress(NotAPicture):
        assert chunks(read(data).large) == [b"VP8 "]


@pytest.mark.filterwarnings("ignore")  # what the decoder only remarks upon goes on in earnest
@settings(max_examples=150)
@given(st.binary(max_size=300), st.sampled_from([b"", *(source[:12] for source in SMALL), b"\x00\x00\x00\x18ftypheic"]))
def test_any_bytes_are_refused_in_words_or_read(data: bytes, beginning: bytes) -> None:
    _refused_or_read(beginning + data)


@pytest.mark.filterwarnings("ignore")  # what the decoder only remarks upon goes on in earnest
@settings(max_examples=150)
@given(st.data())
def test_a_picture_with_bytes_changed_is_refused_in_words_or_read(data: st.DataObject) -> None:
    source = bytearray(data.draw(st.sampled_from(SMALL)))
    for _ in range(data.draw(st.integers(1, 8))):
        source[data.draw(st.integers(0, len(source) - 1))] = data.draw(st.integers(0, 255))
    _refused_or_read(bytes(source[: data.draw(st.integers(0, len(source)))] if data.draw(st.booleans()) else source))
