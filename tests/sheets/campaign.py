"""Every page measured: both demo variants, the real list, and generated variants. One table comes out.

    .venv/bin/python -m tests.sheets.campaign [--variants 200] [--dot /usr/bin/dot]

What must be nought is nought, or the run ends with exit code 1 and the faults. Crossings and bends a wire stand beside
those of dot with orthogonal lines on the same graphs; wires for which dot drew no line are counted, not left out.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from compiler.model.variant import Variant
from renderers.sheets.measure import measure
from renderers.sheets.sheets import Drawing
from tests.chaos.variants import make_variant

from .beside_dot import Counted, dots, ours
from .conftest import SAMPLES, read
from .netlist import differences

MARGIN = 28  # points that a page keeps free on every side, for what a printer cannot reach and for head and foot
PAPERS = {"A4": (595, 842), "Letter": (612, 792)}
SMALLEST = 6.5  # points
ZEROS = ("boxes", "text/text", "text/line", "text near", "through", "shared", "touching", "dangling", "read-back")


@dataclass
class Row:
    """A line of the table. `zero`: what must be nought, by name; `smallest`: text as printed, by paper."""

    name: str
    pages: int = 0
    wires: int = 0
    zero: dict[str, int] = field(default_factory=lambda: dict.fromkeys(ZEROS, 0))
    smallest: dict[str, float] = field(default_factory=lambda: dict.fromkeys(PAPERS, 99.0))
    ours: Counted = field(default_factory=Counted)
    dots: Counted = field(default_factory=Counted)
    faults: list[str] = field(default_factory=list)

    @property
    def clean(self) -> bool:
        """Whether nothing is wrong."""
        return not any(self.zero.values()) and min(self.smallest.values()) >= SMALLEST

    def add(self, other: Row) -> None:
        """Put another row's figures to this one's."""
        self.pages += other.pages
        self.wires += other.wires
        self.zero = {name: n + other.zero[name] for name, n in self.zero.items()}
        self.smallest = {name: min(size, other.smallest[name]) for name, size in self.smallest.items()}
        self.ours, self.dots = self.ours.plus(other.ours), self.dots.plus(other.dots)
        self.faults += other.faults


def measured(name: str, variant: Variant, dot: str | None = None) -> Row:
    """The figures of all pages of a variant."""
    drawing = Drawing(variant, dot)
    figures = drawing.figures()
    row = Row(name, len(figures), len(variant.wires))
    for page_name, page in drawing.laid_out().items():
        figure = figures[page_name]
        found = measure(figure.svg)
        counts = (
            found.boxes_overlapping,
            found.text_on_text,
            found.text_on_line,
            found.texts_too_near,
            found.wires_through_boxes,
            found.shared_segments,
            found.wires_touching,
        )
        for what, count in zip(ZEROS, counts, strict=False):
            row.zero[what] += count
        for paper, (short, long) in PAPERS.items():
            sides = sorted((figure.width_pt, figure.height_pt))
            scale = min(1.0, (short - 2 * MARGIN) / sides[0], (long - 2 * MARGIN) / sides[1])
            row.smallest[paper] = min(row.smallest[paper], found.smallest_text_pt * scale)
        row.faults += [f"{name}, sheet {page_name}: {fault}" for fault in found.faults]
        row.ours, row.dots = row.ours.plus(ours(page)), row.dots.plus(dots(page, dot))
    for fault in differences(variant, figures):
        row.zero["dangling" if "arrow" in fault else "read-back"] += 1
        row.faults.append(f"{name}: {fault}")
    return row


def generated(count: int, dot: str | None = None) -> Row:
    """The figures of generated variants of 20 to 200 wires, as one row."""
    row = Row(f"{count} generated")
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(count):
            path = Path(folder, "v.loom")
            path.write_text(make_variant(seed, 20 + seed * 7 % 180))
            row.add(measured(f"seed {seed}", read(path), dot))
    return row


def table(rows: list[Row]) -> Iterator[str]:
    """The lines of the table."""
    heads = ["", "pages", "wires", *ZEROS, *(f"pt {p}" for p in PAPERS), "x/wire", "bends/wire"]
    heads += ["dot x/wire", "dot bends/wire", "dot shared", "dot lost"]
    lines = [heads]
    for row in rows:
        drawn, rival = max(1, row.ours.wires), max(1, row.dots.wires - row.dots.lost)
        cells = [row.name, str(row.pages), str(row.wires), *map(str, row.zero.values())]
        cells += [f"{size:.2f}" for size in row.smallest.values()]
        cells += [f"{row.ours.crossings / drawn:.3f}", f"{row.ours.bends / drawn:.2f}"]
        cells += [f"{row.dots.crossings / rival:.3f}", f"{row.dots.bends / rival:.2f}"]
        lines.append([*cells, str(row.dots.shared), str(row.dots.lost)])
    widths = [max(len(line[i]) for line in lines) for i in range(len(heads))]
    for line in lines:
        first, *rest = (cell.rjust(w) for cell, w in zip(line, widths, strict=True))
        yield "  ".join([line[0].ljust(len(first)), *rest])


def main(arguments: list[str] | None = None) -> int:
    """Measure, print the table and the faults; 1 if there is one."""
    parser = argparse.ArgumentParser(prog="python -m tests.sheets.campaign", description=__doc__)
    parser.add_argument("--variants", type=int, default=200, help="how many generated variants")
    parser.add_argument("--dot", help="a Graphviz program in place of the built-in one")
    options = parser.parse_args(arguments)
    rows = [measured(name, read(SAMPLES[name]), options.dot) for name in ("S2", "S4", "real")]
    if options.variants:
        rows.append(generated(options.variants, options.dot))
    print("\n".join(table(rows)))
    for fault in (fault for row in rows for fault in row.faults):
        print(fault)
    return 0 if all(row.clean for row in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
