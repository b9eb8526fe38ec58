"""All sheets of a variant, laid out and drawn; what is kept of earlier runs is not made again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from compiler.model.variant import Variant
from renderers.sheets.arrows import with_names
from renderers.sheets.distribution import ground_sheet, power_sheet
from renderers.sheets.dot import answered, run_dot, together
from renderers.sheets.figure import SheetFigure
from renderers.sheets.finished import figure_of
from renderers.sheets.kept import KeptSheets, Shown, figure_key, shown_on
from renderers.sheets.pages import Paginator, SheetPage
from renderers.sheets.plan import plan_sheets
from renderers.sheets.portions import portions
from renderers.sheets.potential import potentials
from renderers.sheets.register import Register
from renderers.sheets.remembered import remembering
from renderers.sheets.sight import Sights, View
from renderers.sheets.units import Content
from renderers.store import Store


def draw_sheets(variant: Variant, dot: str | None = None, store: Store | None = None) -> Mapping[str, SheetFigure]:
    """Every sheet of a variant as figures, one a page, by sheet number and page, in sheet order.

    `dot` names a Graphviz program; the built-in one gives the same output on every machine. `store` is where sheets of
    earlier runs are found and those of this one kept; nothing that is drawn depends on it. Raises DotError.
    """
    return Drawing(variant, dot, store).figures()


@dataclass(slots=True)
class _Part:
    """A sheet on its way, or of a very large one a portion. `key`: under which it is kept; `shown`: what its pages show;
    `pages`: these as laid out in this run, if they were."""

    view: View
    key: str = ""
    shown: Sequence[Shown] = ()
    pages: Sequence[SheetPage] = ()


class _Sheet(NamedTuple):
    """A sheet in its parts. `extra`: the tool shows it of its own accord."""

    number: str
    parts: Sequence[_Part]
    extra: bool

    def pages(self) -> Iterator[tuple[str, _Part, int]]:
        """Its pages in order: the name of each, its part, its place in that. What is nearer the supply is read first."""
        every = [(part, place) for part in self.parts for place in range(len(part.shown))]
        every.sort(key=lambda page: -page[0].shown[page[1]].potential)
        for index, (part, place) in enumerate(every):
            yield (self.number if index == 0 else f"{self.number} ({index + 1})"), part, place


class _Page(NamedTuple):
    """A page: its name, its part, its place in that; which page of how many of its sheet it is; the names of other pages
    at its arrows, and at the things that stand there too."""

    name: str
    part: _Part
    place: int
    of: tuple[int, int]
    arrows: tuple[str, ...]
    others: tuple[tuple[str, ...], ...]

    @property
    def key(self) -> str:
        """The key under which its figure is kept."""
        return figure_key(self.part.key, self.place, self.of, self.arrows, self.others)


class Drawing:
    """The drawing of all sheets of a variant, step by step."""

    def __init__(self, variant: Variant, dot: str | None = None, store: Store | None = None) -> None:
        self.dot = dot
        self.variant = variant
        self.kept = KeptSheets(store, dot) if store and store.folder else None
        self.run = remembering(store) if store and store.folder else run_dot
        self.sheets = self._planned(variant)

    def figures(self) -> Mapping[str, SheetFigure]:
        """The figures of all pages, in order."""
        wanted = [part for sheet in self.sheets for part in sheet.parts if not part.shown]
        while True:
            self._lay_out(wanted)
            pages = self._named()
            found = [self.kept.figure(page.key) if self.kept else None for page in pages]
            # Other names of pages on a part that is kept: its layout is not.
            missing = {id(p.part): p.part for p, figure in zip(pages, found, strict=True) if figure is None}
            wanted = [part for part in missing.values() if not part.pages]
            if not wanted:
                return {p.name: figure or self._drawn(p) for p, figure in zip(pages, found, strict=True)}

    def laid_out(self) -> Mapping[str, SheetPage]:
        """The pages that this run has laid out, by name."""
        every = (page for sheet in self.sheets for page in sheet.pages())
        return {name: part.pages[place] for name, part, place in every if part.pages}

    def _planned(self, variant: Variant) -> list[_Sheet]:
        """The sheets with what each of them sees, and what is kept of them."""
        level = potentials(variant)
        plans = plan_sheets(variant)
        extra = [e for e in (power_sheet(variant, level), ground_sheet(variant)) if e]
        # An author may have taken the letters.
        extra = [e for e in extra if e[0].number not in {plan.number for plan in plans}]
        early = Register(variant, early=True)
        for plan in plans:
            early.add(plan.number, (wire.id for wire in plan.wires))
        for plan, content in extra:
            cuts = ((wire.id, side) for wire, side in content.cuts)
            early.add(plan.number, (wire.id for wire in content.wires), cuts, extra=True)
        sights = Sights(variant, level, early)
        sheets = []
        for place, (plan, content) in enumerate([*extra, *((p, Content(p.wires, (), p.components)) for p in plans)]):
            parts = [self._kept(sights, sights.view(plan, part)) for part in portions(variant, content, level)]
            sheets.append(_Sheet(plan.number, parts, place < len(extra)))
        return sheets

    def _kept(self, sights: Sights, view: View) -> _Part:
        if not self.kept:
            return _Part(view)
        key = self.kept.key(sights.told(view))
        return _Part(view, key, self.kept.pages(key))

    def _lay_out(self, wanted: Sequence[_Part]) -> None:
        """Lay some sheets out, side by side."""
        laid = answered(together([Paginator(part.view).pages() for part in wanted]), self.dot, self.run)
        for part, pages in zip(wanted, laid, strict=True):
            shown = tuple(map(shown_on, pages))
            if self.kept and shown != part.shown:
                self.kept.keep_pages(part.key, shown)
            part.pages, part.shown = pages, shown

    def _named(self) -> list[_Page]:
        """All pages with the names of others on them; arrows lead to where a wire is drawn for its own sake."""
        register = Register(self.variant)
        for sheet in self.sheets:
            for name, part, place in sheet.pages():
                register.add(name, part.shown[place].wires, part.shown[place].cuts, sheet.extra)
        found = []
        for sheet in self.sheets:
            pages = list(sheet.pages())
            for number, (name, part, place) in enumerate(pages, 1):
                arrows = tuple(register.page(name, *aim) for aim in part.shown[place].aims)
                others = tuple(register.elsewhere(name, item) for item in part.shown[place].items)
                found.append(_Page(name, part, place, (number, len(pages)), arrows, others))
        return found

    def _drawn(self, page: _Page) -> SheetFigure:
        """The figure of a page that is laid out, kept from now on."""
        view, own = page.part.view, page.part.pages[page.place]
        layout = with_names(own.layout, view.variant, page.name, page.arrows, page.others)
        figure = figure_of(view, own, layout, page.name, page.of)
        if self.kept:
            self.kept.keep_figure(page.key, figure)
        return figure
