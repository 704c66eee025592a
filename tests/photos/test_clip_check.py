"""Sounds and videos: told by their bytes, kept only where they name no place."""

import contextlib
import io
import struct
import wave

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restorations.photos import clip_check
from restorations.photos.clip_check import NotAClip, check_clip
from tests.photos.pictures import box, handler, jpeg, mp4

MP3 = b"\xff\xfb\x90\x00" + bytes(400)
OGG = b"OggS\x00\x02" + bytes(22) + b"\x01\x1e\x01vorbis" + bytes(30)
WEBM = b"\x1a\x45\xdf\xa3\x9f\x42\x86\x81\x01\x42\x82\x84webm" + bytes(80)
PLACE = b"+51.4778-000.0015/"


def wav() -> bytes:
    file = io.BytesIO()
    with wave.open(file, "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(8000)
        sound.writeframes(bytes(1600))
    return file.getvalue()


@pytest.mark.parametrize(
    ("data", "kind"),
    [
        (mp4(), "mp4"),
        (mp4(brand=b"qt  "), "mov"),
        (mp4(brand=b"M4A "), "m4a"),
        (mp4(track=b"soun"), "mp4"),
        (MP3, "mp3"),
        (b"ID3\x03" + bytes(60), "mp3"),
        (OGG, "ogg"),
        (wav(), "wav"),
        (WEBM, "webm"),
    ],
)
def test_the_kind_is_told_by_the_bytes(data: bytes, kind: str) -> None:
    clip = check_clip(io.BytesIO(data))
    assert (clip.kind, clip.size) == (kind, len(data))
    assert clip.file.read() == data


@pytest.mark.parametrize(
    "data",
    [
        mp4(inside=box(b"udta", box(b"\xa9xyz", b"\x00\x12\x15\xc7" + PLACE))),
        mp4(inside=box(b"udta", box(b"loci", bytes(20)))),
        mp4(inside=box(b"meta", box(b"keys", b"mdtacom.apple.quicktime.location.ISO6709"))),
        mp4(inside=box(b"trak", box(b"stsd", b"gpmd"))),
        mp4(inside=box(b"trak", box(b"stsd", b"camm"))),
        mp4() + box(b"uuid", b"<exif:GPSLatitude>51</exif:GPSLatitude>"),
        mp4() + box(b"free", b"com.apple.quicktime.location.ISO6709"),
        OGG + b"\x10\x00\x00\x00LOCATION=Quillbeck",
        WEBM + b"RECORDING_LOCATION" + PLACE,
        b"ID3\x03APIC" + jpeg(40, 30),
        wav() + b"_PMX<x exif:GPSLatitude='51'/>",
    ],
    ids=["phone", "3GPP", "Apple", "positions", "motion", "XMP", "hidden", "OGG", "WebM", "cover picture", "WAV"],
)
def test_a_clip_that_names_a_place_is_refused_with_how_to_share_it_without(data: bytes) -> None:
    with pytest.raises(NotAClip, match="Location switched off"):
        check_clip(io.BytesIO(data))


def test_the_same_letters_inside_the_film_itself_are_no_place() -> None:
    assert check_clip(io.BytesIO(mp4(media=b"\xa9xyz loci camm com.apple.quicktime.location"))).kind == "mp4"


def test_a_track_of_text_is_refused() -> None:
    subtitles = box(b"trak", box(b"mdia", handler(b"sbtl")))
    with pytest.raises(NotAClip, match="subtitles"):
        check_clip(io.BytesIO(mp4(inside=subtitles)))


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (jpeg(), "“Photos”"),
        (b"GIF89a", "“Photos”"),
        (b"<html>", "MP4"),
        (b"MZ\x90\x00" + bytes(60), "MP4"),
        (b"\x1a\x45\xdf\xa3\x9f\x42\x82\x88matroska", "MP4"),
        (mp4()[:-20], "cut off"),
        (mp4() + b"PK\x03\x04 an archive behind the end", "damaged"),
        (box(b"ftyp", b"isom") + box(b"mdat", bytes(90)), "cut off"),
        (box(b"ftyp", b"isom") + struct.pack(">I", 2) + b"moov" + bytes(60), "damaged"),
    ],
)
def test_what_is_no_whole_clip_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(NotAClip, match=words):
        check_clip(io.BytesIO(data))


def test_lengths_in_64_bits_and_to_the_end_are_followed() -> None:
    media = struct.pack(">I", 1) + b"mdat" + struct.pack(">Q", 16 + 40) + bytes(40)
    moov = b"\x00\x00\x00\x00moov" + handler(b"vide")
    assert check_clip(io.BytesIO(box(b"ftyp", b"isom") + media + moov)).kind == "mp4"


def test_too_large_a_clip_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clip_check, "MOST_BYTES", 50)
    with pytest.raises(NotAClip, match="25 MB"):
        check_clip(io.BytesIO(mp4()))


@settings(max_examples=200)
@given(st.data())
def test_any_bytes_are_refused_in_words_or_kept(data: st.DataObject) -> None:
    source = bytearray(data.draw(st.sampled_from([b"", mp4(), mp4(brand=b"qt  "), OGG, WEBM, MP3])))
    source += data.draw(st.binary(max_size=60))
    for _ in range(data.draw(st.integers(0, 6)) if source else 0):
        source[data.draw(st.integers(0, len(source) - 1))] = data.draw(st.integers(0, 255))
    with contextlib.suppress(NotAClip):
        assert check_clip(io.BytesIO(bytes(source))).kind in clip_check.CONTENT_TYPES
