"""Labels and tags as PDF: typeset by typst from plain data, with a QR code of the page each of them opens."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from io import BytesIO
from pathlib import Path

import segno

from restorations.web.typesetting import typeset

TYPESETTING = Path(__file__).parent / "typesetting"


@dataclass(frozen=True, slots=True)
class Sheet:
    """A common size of labels, all in millimetres: so many across and down an A4 sheet, or one after another."""

    title: str
    width: float
    height: float
    across: int = 1
    down: int = 1
    left: float = 0.0
    top: float = 0.0
    gap_across: float = 0.0
    gap_down: float = 0.0
    pad: float = 2.0
    is_roll: bool = False

    @property
    def on_a_page(self) -> int:
        return self.across * self.down


SHEETS = {
    "a4_65": Sheet("A4, 65 labels of 38.1 × 21.2 mm", 38.1, 21.2, 5, 13, 4.75, 10.7, 2.5, pad=1.5),
    "a4_24": Sheet("A4, 24 labels of 63.5 × 33.9 mm", 63.5, 33.9, 3, 8, 7.25, 12.9, 2.5, pad=2.5),
    "roll": Sheet("Roll 62 mm wide", 62.0, 29.0, pad=2.0, is_roll=True),
}


@dataclass(frozen=True, slots=True)
class Label:
    """A large plain number, the code under it, a few lines of words, and the address that the QR code opens."""

    big: str
    code: str
    address: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TagWords:
    """What stands on a tag."""

    says: str
    engine: str
    reason: str
    on: str
    by: str
    address: str


def label_pdf(labels: Sequence[Label], sheet: Sheet, *, skip: int = 0) -> bytes:
    """The labels in order, after `skip` that are gone from the first sheet already. At least one label."""
    rows = [asdict(label) | {"qr": qr_code(label.address)} for label in labels]
    return typeset(
        TYPESETTING / "labels.typ", {"sheet": asdict(sheet), "labels": rows, "skip": 0 if sheet.is_roll else skip}
    )


def tag_pdf(words: TagWords) -> bytes:
    return typeset(TYPESETTING / "tag.typ", asdict(words) | {"qr": qr_code(words.address)})


def qr_code(address: str) -> str:
    """An SVG drawing that is still read when a sixth of it is oily, with its quiet edge."""
    drawing = BytesIO()
    segno.make(address, error="m", micro=False).save(drawing, kind="svg", border=3, xmldecl=False, svgns=True)
    return drawing.getvalue().decode()
