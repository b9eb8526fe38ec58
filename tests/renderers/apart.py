"""A published pack taken apart, knowing nothing of how it was written: the page as elements, the PDF as words on paper.

Texts are compared without any space in them: paper breaks lines where it must.
"""

from __future__ import annotations

import re
import subprocess
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from lxml import etree, html

from tests.renderers.drawings_apart import (
    Drawing,
    Label,
    Stroke,
    Word,
    drawing_of,
    frame_of,
    page_labels,
    paper_labels,
    paper_strokes,
)

INSET = 45.0  # where the first column of a table begins, points from the left edge of a page; text begins at 42
FOOT = 52.0  # of a page
CELL = 9.5  # type of cells is lower than this; heads between rows, and headings, are higher
APART = 11.5  # lines of one row are nearer than this
Head = tuple[str, ...]


class Chart(NamedTuple):
    """A table: the first word of the heading above it, the titles of its columns, its rows."""

    owner: str
    head: Head
    rows: list[Head]


class Named(NamedTuple):
    """A word of a drawing by which something may be known, and the zones of the frame that it may stand in: several
    where it stands on a border. `box` is the number of the thing's drawing; -1 on paper, where nothing says."""

    word: str
    zones: frozenset[str]
    box: int


class Taken(NamedTuple):
    """What a reader finds.

    charts  in reading order; a table that goes on over the page is one chart a page
    sheets  number of each wiring sheet -> the words in its drawing
    labels  number of each wiring sheet -> labels of wires
    named   number of each wiring sheet -> the names of things
    """

    charts: list[Chart]
    sheets: Mapping[str, frozenset[str]]
    labels: Mapping[str, Sequence[Label]]
    named: Mapping[str, Sequence[Named]]


def squeezed(text: str) -> str:
    return re.sub(r"[\s\u200b\u2060]", "", text)


def bare(word: str) -> str:
    """A word of a sentence without what parts it from the next."""
    return word.rstrip(",;.")


# -- the page ----------------------------------------------------------------------------------------------------------


def texts(element: html.HtmlElement) -> str:
    return str(element.text_content())


def page_of(data: bytes) -> html.HtmlElement:
    return html.document_fromstring(data, parser=html.HTMLParser(encoding="utf-8", huge_tree=True))


def of_page(page: html.HtmlElement) -> Taken:
    charts = []
    for table in page.iterfind(".//main//table"):
        group = next((e for e in table.iterancestors("div") if "group" in e.get("class", "").split()), None)
        owner = texts(group.find("h3")).split()[0] if group is not None else ""
        head = tuple(map(texts, table.findall("thead/tr")[-1]))
        rows = [tuple(squeezed(texts(cell)) for cell in row) for row in table.findall("tbody/tr")]
        charts.append(Chart(owner, head, [row for row in rows if len(row) == len(head)]))
    sheets, labels, named = {}, {}, {}
    for name, group in drawn(page).items():
        drawing = drawing_of(group.find(".//figure//svg"))
        sheets[name] = frozenset(bare(word) for text in drawing.texts for word in text.text.split())
        labels[name] = page_labels(drawing)
        named[name] = list(named_on_page(drawing))
    return Taken(charts, sheets, labels, named)


def named_on_page(drawing: Drawing) -> Iterator[Named]:
    """What is printed strongly in the drawing of a thing: its id. How wide it is, only the paper tells for certain."""
    frame = drawing.frame
    for text in drawing.texts:
        if text.bold and text.kind not in ("frame", "label", "arrow"):
            ends = ((x, text.box.middle[1]) for x in (text.box.x, text.box.end))
            zones = frozenset[str]().union(*(frame.zones(end, 1.0) for end in ends))
            yield Named(text.text, zones, text.group)


def drawn(page: html.HtmlElement) -> dict[str, html.HtmlElement]:
    """The wiring sheets by number, as their headings give it."""
    found = {}
    for group in page.iterfind(".//main//div[@id]"):
        title = group.find("h3")
        if title is not None and str(group.get("id")).startswith("sheet-"):
            found[sheet_number(texts(title))] = group
    return found


def sheet_number(title: str) -> str:
    """`38 (2)` of `Sheet 38 (2)  Rear screen`."""
    match = re.match(r"Sheet\s+(\S+(?:\s\(\d+\))?)", title)
    assert match is not None, title
    return match[1].replace("\u00a0", " ")


# -- the paper ---------------------------------------------------------------------------------------------------------


class PaperSheet(NamedTuple):
    """A page that one wiring sheet has to itself: its number, words and strokes."""

    sheet: str
    words: list[Word]
    strokes: tuple[Stroke, ...]


def sheets_of_paper(data: bytes) -> Iterator[PaperSheet]:
    """The pages with wiring sheets, in order; a sheet in a state comes again."""
    with TemporaryDirectory() as folder:
        file = Path(folder, "pack.pdf")
        file.write_bytes(data)
        for number, page in enumerate(words_of(data), 1):
            lines = lines_of(page)
            if lines and (sheet := own_sheet(lines)):
                yield PaperSheet(sheet, page, paper_strokes(file, number))


def of_paper(data: bytes, heads: Iterable[Head], drawn_on: Iterable[PaperSheet]) -> Taken:
    """`heads` are the rows of titles to look for, `drawn_on` the pages with wiring sheets."""
    charts: list[Chart] = []
    wanted = sorted(set(heads), key=len, reverse=True)
    owner = ""
    for page in words_of(data):
        lines = lines_of(page)
        if not (lines and own_sheet(lines)):
            owner = read_charts(lines, wanted, owner, charts)
    sheets, labels, named = {}, {}, {}
    for sheet, words, strokes in drawn_on:
        if sheet not in sheets:  # else in a state
            sheets[sheet] = frozenset(bare(word.text) for word in words)
            labels[sheet] = paper_labels(words, strokes)
            frame = frame_of(words)
            named[sheet] = [Named(word.text, frame.zones(word.middle, 1.0), -1) for word in words]
    return Taken(charts, sheets, labels, named)


def words_of(data: bytes) -> Iterator[list[Word]]:
    """The words of each page, without the foot."""
    run = subprocess.run(["pdftotext", "-bbox", "-", "-"], input=data, capture_output=True, check=True)
    tree = etree.fromstring(run.stdout, etree.XMLParser(huge_tree=True, recover=True))
    for page in tree.iter("{*}page"):
        low = float(page.get("height", 0)) - FOOT
        words = [
            Word(*(float(word.get(key, 0)) for key in ("xMin", "yMin", "xMax", "yMax")), word.text or "")
            for word in page.iter("{*}word")
        ]
        yield [word for word in words if word.y < low or own_sheet([words])]


def lines_of(words: Iterable[Word]) -> list[list[Word]]:
    """Words by the line they stand on, from the top; those of a line from the left."""
    lines: list[list[Word]] = []
    for word in sorted(words, key=lambda w: w.foot):
        if lines and word.foot - lines[-1][-1].foot < 2.5:
            lines[-1].append(word)
        else:
            lines.append([word])
    return [sorted(line) for line in lines]


def own_sheet(lines: list[list[Word]]) -> str:
    """The number of the sheet that has a page to itself; empty for other pages."""
    first = [word for word in lines[0] if word.y < 25]
    if len(first) < 2 or first[0].text != "Sheet":
        return ""
    return sheet_number(" ".join(word.text for word in first))


def read_charts(lines: list[list[Word]], heads: list[Head], owner: str, charts: list[Chart]) -> str:
    """Adds the charts of a page; a chart with the head of the last one and no heading before it goes on with it, and its
    last row may. Gives the word that the last heading begins with."""
    starts: list[float] = []
    chart: Chart | None = None
    last = 0.0
    for place, line in enumerate(lines):
        found = next(((h, s) for h in heads if (s := columns(h, line, lines[max(0, place - 2) : place]))), None)
        high = line[0].foot - line[0].y
        if found is not None:
            head, starts = found
            if not charts or charts[-1][:2] != (owner, head):
                charts.append(Chart(owner, head, []))
            chart, last = charts[-1], 0.0
        elif line[0].x < INSET - 1.5:
            chart = None
            if high > CELL + 2:
                owner = line[0].text
        elif chart is not None and high < CELL:
            cells = cells_of(line, starts)
            # Lines of one row stand close together; the first line below the titles, without a first cell, ends the row
            # of the page before.
            new = line[0].foot - last > APART if last else cells[0] != ""
            if new or not chart.rows:
                chart.rows.append(cells)
            else:
                chart.rows[-1] = tuple(map("".join, zip(chart.rows[-1], cells, strict=True)))
            last = line[0].foot
        else:
            last = -APART
    return owner


def cells_of(line: list[Word], starts: list[float]) -> Head:
    """The words of a line by column. Words that stand together belong where the last of them begins: a figure at the
    right of its column may begin before the column's title."""
    cells = [""] * len(starts)
    column, left = 0, 0.0
    for word in reversed(line):
        if left - word.end > 2.5 or not left:
            column = max(index for index, start in enumerate(starts) if start <= word.x + 1.5 or not index)
        left = word.x
        cells[column] = squeezed(word.text) + cells[column]
    return tuple(cells)


def columns(head: Head, line: list[Word], above: list[list[Word]]) -> list[float]:
    """Where the columns begin, if a line ends the titles of a head; a title may begin on a line above."""
    rest = list(line)
    starts: list[float] = []
    for title in head:
        words = title.split()
        tail = next((n for n in range(len(words)) if [w.text for w in rest[: len(words) - n]] == words[n:]), None)
        if tail is None:
            return []
        end = rest[len(words) - tail - 1].end
        upper = [w.x for row in above for w in row if tail and w.text == words[0] and line[0].foot - w.foot < 24]
        starts.append(min(rest[0].x, max((x for x in upper if x < end), default=rest[0].x)))
        rest = rest[len(words) - tail :]
    return [] if rest or abs(line[0].x - INSET) > 1.5 else starts


# Charts of which there is one a connector or block, told apart by the heading above them.
OWNED = ("Cavity", "Slot")
_PAGE = re.compile(r"p\.\d+(?=,|$)")


def joined(charts: Iterable[Chart]) -> dict[tuple[str, Head], list[Head]]:
    """The rows of charts by owner and head, without the page numbers that paper adds."""
    found: defaultdict[tuple[str, Head], list[Head]] = defaultdict(list)
    for chart in charts:
        owner = chart.owner if chart.head[0] in OWNED else ""
        found[owner, chart.head] += [tuple(_PAGE.sub("", cell) for cell in row) for row in chart.rows]
    return dict(found)


def paper_links(data: bytes) -> tuple[list[str], list[tuple[str, int]]]:
    """The text of each page, and the links of all pages: words, and the page (from 0) they lead to."""
    run = subprocess.run(
        ["pdftohtml", "-xml", "-i", "-q", "-stdout", "-fontfullname", "-", "-"],
        input=data,
        capture_output=True,
        check=True,
    )
    tree = etree.fromstring(run.stdout, etree.XMLParser(huge_tree=True, recover=True, load_dtd=False, no_network=True))
    pages, links = [], []
    for page in tree.iter("page"):
        pages.append("\n".join("".join(text.itertext()) for text in page.iter("text")))
        before = ""
        for a in page.iter("a"):
            words, goal = "".join(a.itertext()), int(a.get("href", "#0").rpartition("#")[2]) - 1
            if before.endswith(" ") and links[-1][1] == goal:
                words = links.pop()[0] + words  # goes on over the line
            links.append((words, goal))
            before = words
    return pages, links
