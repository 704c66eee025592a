"""What a file is, told from its first bytes; its name and what the browser says of it count for nothing."""

from collections.abc import Callable

HEAD = 512  # bytes that are enough for every kind below

UNKNOWN = "unknown"
_HEIF_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
_AVIF_BRANDS = {b"avif", b"avis"}
_MP3_LAYERS = {0x01, 0x02, 0x03}


def recognise(head: bytes) -> str:
    """The kind of file these first bytes begin, or "unknown"."""
    if not head:
        return "empty"
    return next((kind for kind, begins in _KINDS if begins(head)), UNKNOWN)


def _starts(*beginnings: bytes) -> Callable[[bytes], bool]:
    return lambda head: head.startswith(beginnings)


def _riff(form: bytes) -> Callable[[bytes], bool]:
    return lambda head: head[:4] == b"RIFF" and head[8:12] == form


def _brand(head: bytes) -> bytes:
    return head[8:12] if head[4:8] == b"ftyp" else b""


def _is_mp3(head: bytes) -> bool:
    """An ID3 tag, or the header of a sound frame with a lawful layer, bit rate and sampling rate."""
    if head[:3] == b"ID3":
        return True
    if len(head) < 4 or head[0] != 0xFF or head[1] & 0xE0 != 0xE0:
        return False
    version, layer = head[1] >> 3 & 0x03, head[1] >> 1 & 0x03
    return version != 0x01 and layer in _MP3_LAYERS and head[2] >> 4 != 0x0F and head[2] >> 2 & 0x03 != 0x03


def _is_markup(head: bytes) -> bool:
    text = head.removeprefix(b"\xef\xbb\xbf").lstrip()
    return text.startswith((b"<", b"<\x00")) or head.startswith((b"\xff\xfe<", b"\xfe\xff\x00<"))


_KINDS: tuple[tuple[str, Callable[[bytes], bool]], ...] = (
    ("jpeg", _starts(b"\xff\xd8\xff")),
    ("png", _starts(b"\x89PNG\r\n\x1a\n")),
    ("webp", _riff(b"WEBP")),
    ("heic", lambda head: _brand(head) in _HEIF_BRANDS),
    ("avif", lambda head: _brand(head) in _AVIF_BRANDS),
    ("m4a", lambda head: _brand(head) in {b"M4A ", b"M4B "}),
    ("mov", lambda head: _brand(head) == b"qt  " or head[4:8] in {b"moov", b"wide"}),
    ("mp4", lambda head: _brand(head) != b""),
    ("gif", _starts(b"GIF8")),
    ("pdf", _starts(b"%PDF")),
    ("eps", _starts(b"%!PS", b"\xc5\xd0\xd3\xc6")),
    ("tiff", _starts(b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+")),
    ("bmp", _starts(b"BM")),
    ("zip", _starts(b"PK\x03\x04", b"PK\x05\x06")),
    ("wav", _riff(b"WAVE")),
    ("ogg", _starts(b"OggS")),
    ("webm", lambda head: head.startswith(b"\x1a\x45\xdf\xa3") and b"webm" in head[:64]),
    ("mkv", _starts(b"\x1a\x45\xdf\xa3")),
    ("mp3", _is_mp3),
    ("markup", _is_markup),
)
