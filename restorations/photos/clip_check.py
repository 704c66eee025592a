"""Whether a sound or video may be kept: its kind by content, and no place written in it. Pure.

A clip is kept as it came, to be downloaded; so one that says where it was made is refused, with how to send it without.
"""

import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

from restorations.photos.recognising import HEAD, recognise

MOST_BYTES = 25_000_000
LIMITS = "MP4, MOV, WebM, M4A, MP3, OGG or WAV, at most 25 MB"

CONTENT_TYPES = {
    "mp4": "video/mp4",
    "mov": "video/quicktime",
    "webm": "video/webm",
    "m4a": "audio/mp4",
    "mp3": "audio/mpeg",
    "ogg": "audio/ogg",
    "wav": "audio/wav",
}
_BOXED = {"mp4", "mov", "m4a"}
_PLACE_IN_BOXES = (
    b"\xa9xyz",  # the phone's place in user data
    b"loci",  # 3GPP location information
    b"com.apple.quicktime.location",
    b"gpmd",  # action cameras: a track of positions
    b"camm",  # camera motion metadata, which carries positions
)
_PLACE_IN_TAGS = (
    b"gpslatitude",
    b"gpslongitude",
    b"gpscoordinates",
    b"location_gps",
    b"geo_location",
    b"recording_location",
    b"location=",
    b"exif\x00\x00",  # a cover picture with a camera's data in it
)
_TEXT_TRACKS = {b"text", b"sbtl", b"subt"}  # some cameras write the place as subtitles

_HAS_PLACE = (
    "This clip says where it was made, so it is not kept. On an iPhone share it again with Options, Location switched "
    "off; on other phones switch off the location in the camera's settings before recording, or save a copy without it."
)
_HAS_TEXT = "This clip carries a track of text, in which some cameras write the place. Save a copy without subtitles."
_DAMAGED = "The clip is damaged or was cut off on the way. Send it again."
_TOO_MANY_BYTES = "The clip is larger than 25 MB. Trim it, or record it again at a lower quality."
_PICTURES = {"jpeg", "png", "webp", "heic", "avif", "gif", "bmp", "tiff"}


class NotAClip(ValueError):
    """Refused, with the reason and what to do instead in words."""


@dataclass(frozen=True, slots=True)
class Clip:
    """A checked file, of one of the kinds of CONTENT_TYPES, and its length in bytes."""

    file: BinaryIO
    kind: str
    size: int


def check_clip(file: BinaryIO) -> Clip:
    """The file as it came, if it is a sound or video that tells no place; raises NotAClip otherwise."""
    size = file.seek(0, io.SEEK_END)
    if size > MOST_BYTES:
        raise NotAClip(_TOO_MANY_BYTES)
    file.seek(0)
    kind = recognise(file.read(HEAD))
    if kind not in CONTENT_TYPES:
        raise NotAClip(_refusal(kind))
    file.seek(0)
    if kind in _BOXED:
        _refuse_place_in_boxes(b"".join(_boxes_beside_media(file, size)))
    else:
        _refuse_place_in_tags(file.read())
    file.seek(0)
    return Clip(file, kind, size)


def _refusal(kind: str) -> str:
    if kind == "empty":
        return "The file is empty. Choose it again; if it stays empty, it was not copied whole."
    if kind in _PICTURES:
        return "This is a picture. Send it under “Photos” of the engine."
    return f"This is not a sound or video that is kept here. Send {LIMITS}."


def _refuse_place_in_boxes(boxes: bytes) -> None:
    if b"moov" not in boxes:
        raise NotAClip(_DAMAGED)
    if any(mark in boxes for mark in _PLACE_IN_BOXES):
        raise NotAClip(_HAS_PLACE)
    _refuse_place_in_tags(boxes)
    if not _TEXT_TRACKS.isdisjoint(_track_kinds(boxes)):
        raise NotAClip(_HAS_TEXT)


def _refuse_place_in_tags(data: bytes) -> None:
    lower = data.lower()
    if any(mark in lower for mark in _PLACE_IN_TAGS):
        raise NotAClip(_HAS_PLACE)


def _track_kinds(boxes: bytes) -> Iterator[bytes]:
    """What each handler box says its track holds (ISO/IEC 14496-12, 8.4.3)."""
    at = boxes.find(b"hdlr")
    while at >= 0:
        yield boxes[at + 12 : at + 16]
        at = boxes.find(b"hdlr", at + 4)


def _boxes_beside_media(file: BinaryIO, size: int) -> Iterator[bytes]:
    """Every outermost box but the media itself; they must fill the file to its last byte."""
    at = 0
    while at < size:
        file.seek(at)
        header = file.read(16)
        length, kind, header_length = _box(header, rest=size - at)
        if not header_length <= length <= size - at:
            raise NotAClip(_DAMAGED)
        if kind != b"mdat":
            file.seek(at)
            yield file.read(length)
        at += length


def _box(header: bytes, *, rest: int) -> tuple[int, bytes, int]:
    """Length, kind and length of the header; 1 means that the length follows in 64 bits, 0 "to the end"."""
    length, kind = int.from_bytes(header[:4], "big"), header[4:8]
    if length == 1:
        return int.from_bytes(header[8:16], "big"), kind, 16
    return (length or rest), kind, 8
