"""Labels and tags: the PDF is rendered, and its QR codes are read back by a decoder that knows nothing of ours."""

from itertools import pairwise
from typing import Any

import pypdfium2
import pytest
import zxingcpp

from restorations.tasks.labels import SHEETS, Label, label_pdf
from tests.cast import Cast
from tests.factories import make_engine
from tests.tasks.bench_builders import make_box, make_connection, make_tag, strip

DPI = 300
POINTS_PER_MM = 72 / 25.4


def _document(pdf: bytes) -> Any:
    return pypdfium2.PdfDocument(pdf)


def _codes(pdf: bytes) -> list[str]:
    """What every QR code says, page by page, from top left to bottom right."""
    found = []
    for page in _document(pdf):
        codes = zxingcpp.read_barcodes(page.render(scale=DPI / 72).to_pil())
        found += sorted(codes, key=lambda code: (code.position.top_left.y // 50, code.position.top_left.x))
    return [code.text for code in found]


def _words(pdf: bytes) -> str:
    return "\n".join(page.get_textpage().get_text_range() for page in _document(pdf))


def _label(number: int, *lines: str) -> Label:
    return Label(big=str(number), code="K7QX", address=f"https://club.example/box/{number}/", lines=lines)


@pytest.fixture
def engine(cast: Cast) -> Any:
    return make_engine(name="Wren", made_by=cast.owner, owner_member=cast.owner, hands=(cast.member,))


@pytest.mark.parametrize("sheet", SHEETS)
def test_the_code_on_a_boxs_label_opens_the_box(cast: Cast, engine: Any, sheet: str) -> None:
    box = strip(engine, cast.member, box="12").in_box
    browser = cast.browser("member")
    response = browser.get(f"/engines/{engine.pk}/labels/", {"sheet": sheet, "box": box.pk})
    assert response["Content-Type"] == "application/pdf"
    (address,) = _codes(response.content)
    assert address == f"http://testserver/box/{box.code}/"
    assert browser.get(address).context["box"] == box
    words = _words(response.content)
    assert "12" in words
    assert box.code in words


def test_whoever_scans_it_signed_out_signs_in_first_and_comes_to_the_box(cast: Cast) -> None:
    box = make_box(cast.member)
    response = cast.browser("anonymous").get(box.get_absolute_url())
    assert response.status_code == 302
    assert response.url.endswith(f"?next={box.get_absolute_url()}")


def test_a_connection_gets_a_pair_of_labels_one_for_each_end(cast: Cast, engine: Any) -> None:
    pipe = make_connection(engine, cast.member)
    pdf = cast.browser("member").get(f"/engines/{engine.pk}/labels/?sheet=a4_24&connection={pipe.pk}").content
    assert _codes(pdf) == [f"http://testserver{pipe.get_absolute_url()}"] * 2
    words = _words(pdf)
    assert all(part in words for part in ("1A", "1B", "end A: pump", "end B: left clack", "A → B", "Wren"))


@pytest.mark.parametrize("sheet", ["a4_65", "a4_24"])
def test_a_full_sheet_and_one_more_label_fill_two_pages_of_a4(sheet: str) -> None:
    number = SHEETS[sheet].on_a_page + 1
    pdf = label_pdf([_label(index) for index in range(number)], SHEETS[sheet])
    document = _document(pdf)
    assert len(document) == 2
    assert document[0].get_size() == pytest.approx((210 * POINTS_PER_MM, 297 * POINTS_PER_MM), abs=0.5)
    assert _codes(pdf) == [f"https://club.example/box/{index}/" for index in range(number)]


@pytest.mark.parametrize("sheet", [sheet for sheet in SHEETS.values() if not sheet.is_roll], ids=lambda s: s.title)
def test_the_labels_of_a_sheet_lie_evenly_on_a4(sheet: Any) -> None:
    across = 2 * sheet.left + sheet.across * sheet.width + (sheet.across - 1) * sheet.gap_across
    down = 2 * sheet.top + sheet.down * sheet.height + (sheet.down - 1) * sheet.gap_down
    assert (across, down) == pytest.approx((210, 297), abs=0.05)


def test_a_roll_has_one_label_to_a_page() -> None:
    document = _document(label_pdf([_label(1), _label(2)], SHEETS["roll"]))
    assert len(document) == 2
    assert document[0].get_width() == pytest.approx(62 * POINTS_PER_MM, abs=0.5)


def test_labels_gone_from_the_sheet_are_left_empty() -> None:
    page = _document(label_pdf([_label(1)], SHEETS["a4_24"], skip=4))[0]
    (code,) = zxingcpp.read_barcodes(page.render(scale=DPI / 72).to_pil())
    # The fifth label: second row, second column.
    left, top = (code.position.top_left.x / DPI * 25.4, code.position.top_left.y / DPI * 25.4)
    assert 7.25 + 66 < left < 7.25 + 2 * 66
    assert 12.9 + 33.9 < top < 12.9 + 2 * 33.9


def test_what_members_typed_is_printed_as_it_stands_and_never_run(cast: Cast) -> None:
    nasty = '#panic("no") $x$ *b* <a> \\ "q" `r` @z // #sys.inputs'
    words = _words(label_pdf([_label(1, nasty)], SHEETS["roll"])).replace("\r\n", " ")
    assert '#panic("no") $x$ *b* <a> \\ "q" `r` @z // #sys.inputs' in words


def test_a_tag_is_a6_with_what_it_says_why_when_and_who(cast: Cast, engine: Any) -> None:
    tag = make_tag(engine, cast.member, kind="do_not_turn", reason="the rod hangs in the frames")
    pdf = cast.browser("mate").get(f"/tags/{tag.pk}/print/").content
    page = _document(pdf)[0]
    assert page.get_size() == pytest.approx((105 * POINTS_PER_MM, 148 * POINTS_PER_MM), abs=0.5)
    words = " ".join(_words(pdf).split())
    for said in ("DO NOT TURN", "Wren", "the rod hangs in the frames", "20 Nov 2026", "Anneli Thwaite"):
        assert said in words
    assert _codes(pdf) == [f"http://testserver/engines/{engine.pk}/tags/"]


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"sheet": "a4_24"}, "Tick at least one box or connection."),
        ({"sheet": "letter"}, "letter is not one of the available choices"),
        ({"sheet": "a4_24", "skip": "24"}, "A sheet has 24 labels; leave at least one."),
        ({"sheet": "a4_24", "box": "999999"}, "999999 is not one of the available choices"),
    ],
    ids=["nothing", "no such sheet", "no label left", "no such box"],
)
def test_what_cannot_be_printed_is_said_in_words(cast: Cast, engine: Any, asked: dict[str, str], words: str) -> None:
    box = strip(engine, cast.member).in_box
    response = cast.browser("member").get(
        f"/engines/{engine.pk}/labels/", {"box": box.pk, **asked} if "skip" in asked else asked
    )
    assert response.status_code == 422
    assert words in response.content.decode()


@pytest.mark.parametrize("lines", [0, 1, 2, 4])
@pytest.mark.parametrize("sheet", SHEETS)
def test_no_line_of_a_label_lies_on_another_or_outside_it(sheet: str, lines: int) -> None:
    said = [f"line {number}: a pipe between the boiler and the gauge" for number in range(lines)]
    page = _document(label_pdf([_label(12, *said)], SHEETS[sheet]))[0].get_textpage()
    boxes = sorted((page.get_rect(index) for index in range(page.count_rects())), key=lambda box: -box[3])
    assert len(boxes) == 2 + lines
    assert all(upper[1] > lower[3] - 0.3 for upper, lower in pairwise(boxes))  # a third of a point: a hair's breadth
    assert max(box[2] for box in boxes) / POINTS_PER_MM <= SHEETS[sheet].left + SHEETS[sheet].width
