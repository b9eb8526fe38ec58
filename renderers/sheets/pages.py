"""Sheets to pages that fit the paper, each laid out."""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence

from renderers.sheets.box import Context
from renderers.sheets.dot import Asking, together
from renderers.sheets.frame import LANDSCAPE, PORTRAIT, Page
from renderers.sheets.labels import SMALL
from renderers.sheets.layout import Layout, dealt_out, lay_out, refined
from renderers.sheets.pack import components, packed
from renderers.sheets.pointers import pointer_words
from renderers.sheets.shapes import shapes
from renderers.sheets.sight import View
from renderers.sheets.split import SLACK, split
from renderers.sheets.units import Content, Scene, Sort, build_scene

SMALLEST = 6.5  # points, of text as printed
LEAST_SCALE = SMALLEST / SMALL
PAPERS = (LANDSCAPE, PORTRAIT)
_AREA = LANDSCAPE.inside[0] * LANDSCAPE.inside[1]

# All below was found by counting and looking on pages of the samples.
# Shares of the paper that the boxes of a page take.
USUAL = 0.3
HOPELESS = 0.6
# By how much of two pages the fuller one is relieved at a time, and how far that may be missed so that fewer wires are cut.
STEP, NEAR = 0.06, 0.03
# Where a drawing is too wide its ranks are dealt out: the share of the width that boxes may then take; the scale below
# which that is in vain; turns a wire from which on it is tried though the page fits.
SHARE, VAIN, MANY = 0.8, 0.5, 1.2
TANGLE = 3.2  # turns a wire from which on the sheet rather gets another page


def fit(layout: Layout, paper: Page) -> float:
    """The scale at which a layout fits a paper, at most 1."""
    wide, high = paper.inside
    return min(1.0, wide / max(layout.width, 1.0), high / max(layout.height, 1.0))


class SheetPage:
    """A page: what it shows, the layouts of the drawings on it, its paper and scale."""

    def __init__(self, content: Content, layouts: Sequence[Layout], paper: Page, thorough: bool = False) -> None:
        self.content = content
        self.paper = paper
        self.layouts = list(layouts)
        self.layout, self.is_pressed = packed(self.layouts, *paper.inside, thorough)
        self.scale = fit(self.layout, paper)

    @property
    def fits(self) -> bool:
        """Whether the drawings find room without text that is too small."""
        return self.scale >= LEAST_SCALE

    @property
    def potential(self) -> float:
        """The mean potential of what stands on the page; grounds and arrows do not count."""
        values = [u.potential for u in self.layout.scene.units.values() if u.sort not in (Sort.GROUND, Sort.ARROW)]
        return round(sum(values) / len(values), 6) if values else 0.0

    @property
    def turns(self) -> int:
        """How hard the lines are to follow: their bends, and as much as three for every crossing."""
        bends = sum(max(0, len(line) - 2) for line in self.layout.lines.values())
        return bends + 3 * sum(layout.crossed for layout in self.layouts)

    @property
    def is_tangled(self) -> bool:
        """Whether its lines are too hard to follow for a page of a manual."""
        return self.turns > TANGLE * len(self.layout.lines)

    @property
    def crowd(self) -> float:
        """The share of the paper that boxes take."""
        return sum(box.width * box.height for box in self.layout.boxes.values()) / _AREA


class Paginator:
    """Makes the pages of a sheet, from what the sheet sees of the variant."""

    def __init__(self, view: View) -> None:
        self.view = view
        self.variant = view.variant
        self.potential = view.potential
        self.context = Context(view.variant, view.names.page_of_wire, self._pointer, {}, {})
        # What drafts of a sheet have in common is made once.
        self._halves: dict[Hashable, tuple[Content, Content] | None] = {}
        self._scenes: dict[Content, Scene] = {}
        self._layouts: dict[Hashable, Layout] = {}
        self._best: dict[Content, SheetPage] = {}

    def _pointer(self, item: str) -> str:
        return pointer_words(self.view.plan.number, self.view.names.others[item])

    def pages(self) -> Asking[list[SheetPage]]:
        """The pages of the sheet. Their arrows do not name other pages yet, but have room for a name."""
        pages = yield from self._fewest(self.view.content)
        pages = yield from together([self._refine(page) for page in pages])
        for layout in [layout for page in pages for layout in page.layouts]:
            layout.pressed.clear()
        # What is nearer the supply is read first.
        return sorted(pages, key=lambda page: -page.potential)

    def _fewest(self, content: Content) -> Asking[list[SheetPage]]:
        """The content on as few pages as are found to hold it; on one more if that untangles them."""
        crowd = sum(self._room(content).values()) / _AREA
        pages: list[SheetPage] = []
        found: list[SheetPage] = []
        for count in range(max(1, math.ceil(crowd / HOPELESS)), max(2, math.ceil(crowd / USUAL)) + 1):
            parts = self._dealt(content, count)
            pages = yield from together([self._best_layout(part) for part in parts])
            if len(parts) > 1:
                yield from self._relieve(pages)
            if all(page.fits for page in pages) or len(parts) < count:
                if not any(page.is_tangled for page in pages):
                    return pages
                if found:
                    return found
                found = pages
        if found:
            return found
        pieces = yield from together([self._fitting(page) for page in pages])
        return [piece for part in pieces for piece in part]

    def _relieve(self, pages: list[SheetPage]) -> Asking[None]:
        """While a page is too full, a neighbour takes some of what it shows."""
        for turn in range(len(pages) + 1):
            full = next((page for page in pages if not page.fits), None)
            others = [page for page in pages if page.fits]
            if full is None or not others:
                return
            # One that shares wires with it, and has room.
            other = max(others, key=lambda page: _shared(full, page) - 40 * page.crowd)
            share = full.crowd / (full.crowd + other.crowd) - STEP * (1 + turn / len(pages))
            both = merged(full.content, other.content)
            parts = self._split(both, share, NEAR)
            if parts is None:
                return
            pages.remove(full)
            pages.remove(other)
            pages += yield from together([self._best_layout(part) for part in parts])

    def _fitting(self, page: SheetPage) -> Asking[list[SheetPage]]:
        """A page cut in two until every part fits, or cannot be cut."""
        parts = [page.content] if page.fits else self._dealt(page.content, 2)
        if len(parts) == 1:
            return [page]
        pages = yield from together([self._best_layout(part) for part in parts])
        pieces = yield from together([self._fitting(page) for page in pages])
        return [piece for part in pieces for piece in part]

    def _dealt(self, content: Content, count: int) -> list[Content]:
        """The content in a number of parts of like size, or in fewer where it cannot be cut."""
        halves = self._split(content, (count // 2) / count, SLACK) if count > 1 else None
        if halves is None:
            return [content]
        parts = zip(halves, (count // 2, count - count // 2), strict=True)
        return [part for half, number in parts for part in self._dealt(half, number)]

    def _split(self, content: Content, share: float, slack: float) -> tuple[Content, Content] | None:
        """The content in two parts; drafts with other numbers of pages cut alike again and again."""
        key = (content, share, slack)
        if key not in self._halves:
            room = self._room(content)
            self._halves[key] = split(self.variant, content, share, self.potential, room, slack)
        return self._halves[key]

    def _room(self, content: Content) -> dict[str, float]:
        """Square points that the boxes of a page take, by item, or cavity of an in-line connector."""
        scene = self._scene(content)
        room: dict[str, float] = {}
        for key, box in shapes(scene, self.context, {}).items():
            unit = scene.units[key]
            names = [f"{unit.item}.{cell}" for cell in unit.cells] if unit.sort is Sort.INLINE else unit.cells
            for name in names or [key]:
                room[name] = box.width * box.height / max(1, len(names))
        return room

    def _scene(self, content: Content) -> Scene:
        if content not in self._scenes:
            self._scenes[content] = build_scene(self.variant, content, self.potential)
        return self._scenes[content]

    def _best_layout(self, content: Content) -> Asking[SheetPage]:
        """The layout of a page's content that fits best, with its paper and scale."""
        if content not in self._best:
            self._best[content] = yield from self._best_of(content)
        return self._best[content]

    def _best_of(self, content: Content) -> Asking[SheetPage]:
        plain = yield from together([self._laid_out(part) for part in components(self._scene(content))])
        pages: list[SheetPage] = []
        for paper in PAPERS:
            pages.append(SheetPage(content, plain, paper))
            if pages[-1].fits and not pages[-1].is_pressed:
                return pages[-1]
        best = max(pages, key=lambda page: (page.fits, page.scale))
        if best.scale > VAIN and (not best.fits or best.turns > MANY * len(best.layout.lines)):
            tries = yield from together([_slimmer(plain, paper.inside[0]) for paper in PAPERS])
            pages += [SheetPage(content, slim, paper) for paper, slim in zip(PAPERS, tries, strict=True) if slim]
        return max(pages, key=lambda page: (min(page.scale, LEAST_SCALE), -page.turns, page.scale))

    def _laid_out(self, scene: Scene) -> Asking[Layout]:
        """The layout of a drawing."""
        look = scene.look
        if look not in self._layouts:
            self._layouts[look] = yield from lay_out(scene, self.context)
        return self._layouts[look].of(scene)

    def _refine(self, page: SheetPage) -> Asking[SheetPage]:
        """Fewer crossings and bends, if the page still fits then."""
        layouts = yield from together([refined(layout, self.context) for layout in page.layouts])
        # Where the better drawings find no room together, those that are no larger than before.
        some = [
            new if new.width <= old.width and new.height <= old.height else old
            for new, old in zip(layouts, page.layouts, strict=True)
        ]
        for tries, thorough in ((layouts, True), (layouts, False), (some, True), (some, False), (page.layouts, True)):
            other = SheetPage(page.content, tries, page.paper, thorough)
            if other.scale >= min(page.scale, LEAST_SCALE):
                return other
        return page


def _slimmer(plain: Sequence[Layout], wide: float) -> Asking[list[Layout]]:
    """Layouts with ranks dealt out over several where they are too wide; nothing if none is."""
    asked = [dealt_out(own, wide * SHARE) for own in plain if own.width > wide]
    slim = iter((yield from together(asked)))
    return [next(slim) if own.width > wide else own for own in plain] if asked else []


def _shared(one: SheetPage, other: SheetPage) -> int:
    """How many wires are cut between two pages."""
    cuts = {w.id for w, _ in one.content.cuts}
    return sum(w.id in cuts for w, _ in other.content.cuts)


def merged(one: Content, other: Content) -> Content:
    """Two contents as one; a wire cut between them is whole again."""
    sides: dict[str, set[int]] = {}
    for wire, side in (*one.cuts, *other.cuts):
        sides.setdefault(wire.id, set()).add(side)
    healed = tuple(w for w, s in one.cuts if len(sides[w.id]) == 2)
    healed = tuple({w.id: w for w in healed}.values())
    cuts = tuple((w, s) for w, s in (*one.cuts, *other.cuts) if len(sides[w.id]) == 1)
    components_ = tuple(dict.fromkeys((*one.components, *other.components)))
    return Content((*one.wires, *other.wires, *healed), cuts, components_, one.crowded | other.crowded)
