"""Rows of cells to lines of text: columns lined up where rows are of one sort, long rows carried on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

WIDTH = 110
_WIDEST_COLUMN = 40  # a cell wider than this pushes only its own row
_COMMENT_COLUMN = 80  # a comment behind a longer line does not push its neighbours
HANGING = 4


class Cell(NamedTuple):
    """Words that stay together in one column. `column` names it; cells of one column stand under each other."""

    column: str
    words: tuple[str, ...]

    @property
    def text(self) -> str:
        return " ".join(self.words)


@dataclass(slots=True, eq=False)
class Row:
    """One statement on one line, the head or the end of a block, or a comment on a line of its own.

    indent   columns of white space before it
    cells    what it says
    tail     what stands behind the cells without being lined up: `{`, a short block, or a list of names
    comment  the comment behind it, or the whole of it
    blank    an empty line stands before it
    run      rows with the same run are lined up; empty for a row that stands alone
    across   the run goes on over empty lines and over other rows
    """

    indent: int
    cells: tuple[Cell, ...] = ()
    tail: str = ""
    comment: str = ""
    blank: bool = False
    run: tuple[str, int] = ("", 0)
    across: bool = False
    line: str = field(default="", init=False)

    def plain(self) -> str:
        """The row with single blanks between all words."""
        parts = [cell.text for cell in self.cells] + ([self.tail] if self.tail else [])
        return " " * self.indent + " ".join(parts)


def render(rows: Sequence[Row]) -> str:
    """The text of all rows, with a line end behind each."""
    for row in rows:
        row.line = row.plain()
    for run in _runs(rows):
        _line_up(run)
    for row in rows:
        if len(row.line) > WIDTH:
            row.line = _carried_on(row)
    lines: list[str] = []
    for group in _beside(rows):
        column = max((len(row.line) for row in group if len(row.line) <= _COMMENT_COLUMN), default=0)
        for row in group:
            if row.blank:
                lines.append("")
            lines.append(_with_comment(row, column) if row.comment else row.line)
    return "".join([line + "\n" for line in lines])


# ---- columns ------------------------------------------------------------------------------------------------------


def _runs(rows: Iterable[Row]) -> Iterator[list[Row]]:
    """Rows to be lined up together, in reading order."""
    across: dict[tuple[str, int], list[Row]] = {}
    beside: list[Row] = []
    for row in rows:
        if "\n" in row.line:  # carried on where it must be
            continue
        if row.across:
            across.setdefault(row.run, []).append(row)
            continue
        if not row.cells and row.comment and not row.blank:
            continue  # a comment between two rows does not part them
        if beside and (row.blank or row.run != beside[-1].run):
            yield beside
            beside = []
        if row.run[0]:
            beside.append(row)
    if beside:
        yield beside
    yield from across.values()


def _line_up(rows: list[Row]) -> None:
    """Set the line of every row that fits, in columns as wide as their widest cells."""
    while rows:
        order, rest = _columns(rows)
        together = rows[: len(rows) - len(rest)]
        if len(together) > 1 or together[0].across:
            _set_lines(together, order)
        rows = rest


def _columns(rows: list[Row]) -> tuple[list[str], list[Row]]:
    """The columns of as many rows from the first on as agree on their order, and the rows from there on."""
    order: list[str] = []
    for index, row in enumerate(rows):
        at, grown = 0, order.copy()
        for cell in row.cells:
            if cell.column in grown[:at]:
                return order, rows[index:]
            if cell.column in grown:
                at = grown.index(cell.column) + 1
            else:
                grown.insert(at, cell.column)
                at += 1
        order = grown
    return order, []


def _set_lines(rows: list[Row], order: list[str]) -> None:
    fitting = [row for row in rows if len(row.plain()) <= WIDTH]
    while fitting:
        widths = dict.fromkeys(order, 0)
        for row in fitting:
            for cell in row.cells:
                if len(cell.text) <= _WIDEST_COLUMN:
                    widths[cell.column] = max(widths[cell.column], len(cell.text))
        lines = [_in_columns(row, order, widths) for row in fitting]
        if all(len(line) <= WIDTH for line in lines):
            for row, line in zip(fitting, lines, strict=True):
                row.line = line
            return
        # A row that columns make too long stays out of them.
        fitting = [row for row, line in zip(fitting, lines, strict=True) if len(line) <= WIDTH]


def _in_columns(row: Row, order: list[str], widths: dict[str, int]) -> str:
    texts = {cell.column: cell.text for cell in row.cells}
    line = " " * row.indent
    gap = ""
    for column in order[: order.index(row.cells[-1].column) + 1]:
        if not widths[column] and column not in texts:
            continue
        if column == "--" or gap == "--":
            blanks = " "
        else:
            blanks = {"": "", "word": " "}.get(gap, "  ")
        line += blanks + texts.get(column, "").ljust(widths[column])
        gap = column
    if row.tail.startswith("{"):
        line = line.rstrip()  # a block stands close to its head, a list lines up with what is beside it
    return f"{line} {row.tail}".rstrip()


# ---- long rows and comments ---------------------------------------------------------------------------------------


def _carried_on(row: Row) -> str:
    """The row over several lines, each but the last with a backslash at its end."""
    words = [word for cell in row.cells for word in cell.words]
    if row.tail.startswith(("{", "}")) and words:
        words[-1] += f" {row.tail}"
    else:
        words += row.tail.split()
    lines = [" " * row.indent + words[0]] if words else [row.plain()]
    for word in words[1:]:
        if len(lines[-1]) + 1 + len(word) + 2 <= WIDTH:
            lines[-1] += f" {word}"
        else:
            lines.append(" " * (row.indent + HANGING) + word)
    return " \\\n".join(lines)


def _beside(rows: Iterable[Row]) -> Iterator[list[Row]]:
    """Rows whose comments stand under each other; a row without one stands alone."""
    group: list[Row] = []
    for row in rows:
        trailing = bool(row.cells or row.tail) and bool(row.comment)
        if group and not (trailing and not row.blank and group[-1].indent == row.indent and _trails(group[-1])):
            yield group
            group = []
        group.append(row)
    if group:
        yield group


def _trails(row: Row) -> bool:
    return bool(row.cells or row.tail) and bool(row.comment)


def _with_comment(row: Row, column: int) -> str:
    if not row.cells and not row.tail:
        return " " * row.indent + row.comment
    last = row.line.rsplit("\n", 1)[-1]
    return row.line + " " * max(2, column + 2 - len(last)) + row.comment
