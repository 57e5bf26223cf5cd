"""Leaders and their names: several labels to edges along one row, stacked so that none meets another."""

from dataclasses import dataclass, replace
from typing import Final

from wattwright.documents.drawing import Mark, Pen, lettering, line
from wattwright.documents.lettering import SMALLEST, Face, text_width, wrapped
from wattwright.documents.palette import Palette

ROW: Final = 17.0
"""Height of one line of a label."""
APART: Final = 7.0
"""Between a leader and its words, and between words and the next leader."""
COUNT_GAP: Final = 6.0
"""Between the count and the name."""
WIDEST: Final = 300.0
NARROWEST: Final = 60.0
"""Names break beyond the first and are never squeezed below the second."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """One name with its count, to stand beside a leader."""

    count: str
    """"≥ 4"."""
    name: str
    decides: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """The labels that share one edge, the deciding one first; ``edge`` is the leader's x."""

    edge: float
    grows: int
    """-1 if the words stand left of the leader, 1 if right."""
    labels: tuple[Label, ...]
    widest: float
    """Names break beyond this width."""

    def rows(self) -> tuple[tuple[Label, tuple[str, ...]], ...]:
        """Each label with its name broken into lines."""
        return tuple(
            (label, wrapped(label.name, self.widest, SMALLEST, _face(label))) for label in self.labels
        )

    @property
    def height(self) -> float:
        """Of all its lines."""
        return ROW * sum(len(lines) for _, lines in self.rows())

    @property
    def width(self) -> float:
        """From the leader to the far end of the longest line."""
        return APART + max(
            _indent(label) + text_width(words, SMALLEST, _face(label))
            for label, lines in self.rows()
            for words in lines
        )

    def filling(self, room: float) -> "Block":
        """The same block, its names running as wide as ``room`` allows, leader to page edge."""
        indent = max(_indent(label) for label in self.labels)
        return replace(self, widest=max(min(room - APART - indent, WIDEST), NARROWEST))

    @property
    def span(self) -> tuple[float, float]:
        """Left and right end, leader included."""
        far = self.edge + self.grows * self.width
        return min(self.edge, far), max(self.edge, far)


def stacked(blocks: tuple[Block, ...]) -> tuple[tuple[Block, float], ...]:
    """Each block with how far its near side stands off the row.

    Blocks nearest the outside of the row come first and lowest; a block whose words reach over the leader
    of another stands clear of that one's words, so leaders never run through words.
    """
    placed: list[tuple[Block, float]] = []
    for block in sorted(blocks, key=lambda entry: entry.grows * -entry.edge):
        left, right = block.span
        under = [
            level + other.height
            for other, level in placed
            if other.span[0] < right + APART and left - APART < other.span[1]
        ]
        placed.append((block, max(under, default=0.0)))
    return tuple(placed)


def reach(placed: tuple[tuple[Block, float], ...]) -> float:
    """How far the highest block reaches off the row."""
    return max((level + block.height for block, level in placed), default=0.0)


def drawn(block: Block, level: float, row: float, palette: Palette, *, upwards: bool) -> tuple[Mark, ...]:
    """Leader and words of one block standing ``level`` off the row's edge at y = ``row``."""
    away = -1.0 if upwards else 1.0
    far = row + away * (level + block.height)
    top = far if upwards else row + level
    decides = any(label.decides for label in block.labels)
    pen = Pen(stroke=palette.accent, width=1.5) if decides else Pen(stroke=palette.soft)
    marks = [line((block.edge, row), (block.edge, far), pen)]
    base = top + ROW - 4.0
    for label, lines in block.rows():
        marks += _words(block, label, lines, base, palette)
        base += ROW * len(lines)
    return tuple(marks)


def _words(block: Block, label: Label, lines: tuple[str, ...], base: float, palette: Palette) -> list[Mark]:
    """The count beside the leader, the name beyond it: each its own text, so that scripts do not mix."""
    colour = palette.accent if label.decides else palette.soft
    anchor = "end" if block.grows < 0 else "start"
    beside = block.edge + block.grows * APART
    name = beside + block.grows * _indent(label)
    face = _face(label)
    marks = [lettering(label.count, (beside, base), colour, face=face, anchor=anchor)]
    for index, words in enumerate(lines):
        marks.append(lettering(words, (name, base + ROW * index), colour, face=face, anchor=anchor))
    return marks


def _indent(label: Label) -> float:
    return text_width(label.count, SMALLEST, _face(label)) + COUNT_GAP


def _face(label: Label) -> Face:
    return Face.TEXT_BOLD if label.decides else Face.TEXT
