"""The drawing of a tray with numbered places: where each lies, for a template to draw."""

from collections.abc import Mapping
from dataclasses import dataclass

CELL_WIDTH, CELL_HEIGHT, EDGE = 96, 64, 8
FEW, MANY = 12, 4
LONGEST_WORD = 14


@dataclass(frozen=True, slots=True)
class Cell:
    """One numbered place: its corner, and the words in it."""

    number: int
    x: int
    y: int
    words: str

    @property
    def short(self) -> str:
        return self.words if len(self.words) <= LONGEST_WORD else f"{self.words[: LONGEST_WORD - 1]}…"


@dataclass(frozen=True, slots=True)
class Tray:
    width: int
    height: int
    cells: tuple[Cell, ...]
    cell_width: int = CELL_WIDTH
    cell_height: int = CELL_HEIGHT

    @property
    def inner_width(self) -> int:
        """Of the edge, drawn 2 inside the paper's."""
        return self.width - 4

    @property
    def inner_height(self) -> int:
        return self.height - 4


def draw_tray(places: int, words: Mapping[int, str]) -> Tray:
    """Places in rows, three across (four in a large one, so that a phone shows the words), numbered as one reads."""
    across = min(places, MANY if places > FEW else MANY - 1)
    rows = -(-places // across)
    cells = tuple(
        Cell(
            number=index + 1,
            x=EDGE + CELL_WIDTH * (index % across),
            y=EDGE + CELL_HEIGHT * (index // across),
            words=words.get(index + 1, ""),
        )
        for index in range(places)
    )
    return Tray(width=2 * EDGE + CELL_WIDTH * across, height=2 * EDGE + CELL_HEIGHT * rows, cells=cells)
