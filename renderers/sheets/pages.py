"""Sheets to pages that fit the paper, each laid out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from compiler.model.items import Point, Wire
from compiler.model.variant import Variant
from renderers.sheets.box import Context
from renderers.sheets.distribution import GROUND, POWER, ground_sheet, power_sheet
from renderers.sheets.dot import Asking, together
from renderers.sheets.frame import LANDSCAPE, PORTRAIT, Page
from renderers.sheets.ink import moved
from renderers.sheets.labels import SMALL
from renderers.sheets.layout import Layout, lay_out, refined, shapes
from renderers.sheets.pack import components, packed
from renderers.sheets.plan import SheetPlan
from renderers.sheets.split import split
from renderers.sheets.units import Content, Sort, build_scene
from renderers.text import natural_key

SMALLEST = 6.5  # points, of text as printed
LEAST_SCALE = SMALLEST / SMALL


# Shares of the paper that the boxes of a page take, found by counting on real pages.
USUAL = 0.3
FULL = 0.42
HOPELESS = 0.55


def fit(layout: Layout, paper: Page) -> float:
    """The scale at which a layout fits a paper, at most 1."""
    wide, high = paper.inside
    return min(1.0, wide / max(layout.width, 1.0), high / max(layout.height, 1.0))


class SheetPage:
    """A page: what it shows, the layouts of the drawings on it, its paper and scale; later the sheet it belongs to, its
    name, and which page of how many it is."""

    def __init__(self, content: Content, layouts: Sequence[Layout], paper: Page) -> None:
        self.content = content
        self.paper = paper
        self.plan = SheetPlan("", "", "", (), (), ())
        self.name = ""
        self.of = (1, 1)
        self.set_layouts(layouts)

    def set_layouts(self, layouts: Sequence[Layout]) -> None:
        """Set the drawings and pack them."""
        self.layouts = list(layouts)
        self.layout = packed(self.layouts, self.paper.inside[0])
        self.scale = fit(self.layout, self.paper)

    @property
    def potential(self) -> float:
        """The mean potential of what stands on the page; grounds and arrows do not count."""
        values = [u.potential for u in self.layout.scene.units.values() if u.sort not in (Sort.GROUND, Sort.ARROW)]
        return round(sum(values) / len(values), 6) if values else 0.0

    @property
    def crowd(self) -> float:
        """The share of the paper that boxes take."""
        return sum(box.width * box.height for box in self.layout.boxes.values()) / _AREA


class Paginator:
    """Makes pages of sheets."""

    def __init__(self, variant: Variant, potential: Mapping[Point, float]) -> None:
        self.variant = variant
        self.potential = potential

    def pages(self, plans: Sequence[SheetPlan]) -> Asking[list[SheetPage]]:
        """All pages of all sheets, named, arrows in agreement."""
        extra = [e for e in (power_sheet(self.variant, self.potential), ground_sheet(self.variant)) if e]
        # An author may have taken the letters.
        extra = [e for e in extra if e[0].number not in {plan.number for plan in plans}]
        register = _Register(self.variant, early=True)
        for plan in plans:
            register.add(plan.number, Content(plan.wires))
        contents = [*extra, *((plan, Content(plan.wires, (), plan.components)) for plan in plans)]
        fitted = yield from together([self._sheet(plan, content, register) for plan, content in contents])
        register = _Register(self.variant)
        pages: list[SheetPage] = []
        for number, ((plan, _), parts) in enumerate(zip(contents, fitted, strict=True)):
            for index, page in enumerate(parts):
                page.plan = plan
                page.name = plan.number if index == 0 else f"{plan.number} ({index + 1})"
                page.of = (index + 1, len(parts))
                if number >= len(extra):
                    # Arrows lead to where a wire is drawn for its own sake.
                    register.add(page.name, page.content)
                pages.append(page)
        for page in pages:
            self._name_arrows(page, register)
        return pages

    def _context(self, register: _Register, name: str) -> Context:
        return Context(self.variant, register.pages_of(name), register.sheets_of(name), {}, {})

    def _name_arrows(self, page: SheetPage, register: _Register) -> None:
        """Arrows were laid out before pages had names; now they get theirs."""
        layout = page.layout
        fresh = shapes(layout.scene, self._context(register, page.name), {})
        for key, unit in layout.scene.units.items():
            if unit.sort is Sort.ARROW:
                old, new = layout.boxes[key], fresh[key]
                shift = old.ports[0].x - new.ports[0].x
                marks = [m._replace(ink=tuple(moved(m.ink, shift, 0))) for m in new.marks]
                layout.boxes[key] = replace(old, ink=moved(new.ink, shift, 0), marks=marks)

    # -- what fits -----------------------------------------------------------------------------------------------
    def _sheet(self, plan: SheetPlan, content: Content, register: _Register) -> Asking[list[SheetPage]]:
        """The pages of a sheet."""
        context = self._context(register, plan.number)
        pages = yield from self._fitting(content, context)
        tries = 2 * len(pages)
        refused: set[tuple[int, int]] = set()
        while tries > 0:
            pair = _best_pair(pages, refused)
            if pair is None:
                break
            tries -= 1
            one, other = pages[pair[0]], pages[pair[1]]
            page = yield from self._best_layout(merged(one.content, other.content), context)
            if page.scale >= LEAST_SCALE:
                pages[pair[0]] = page
                del pages[pair[1]]
            else:
                refused.add((id(one), id(other)))
        yield from together([self._refine(page, context) for page in pages])
        # What is nearer the supply is read first.
        return sorted(pages, key=lambda page: -page.potential)

    def _fitting(self, content: Content, context: Context) -> Asking[list[SheetPage]]:
        """The content cut into pages that fit."""
        crowd = self._crowd(content, context)
        page: SheetPage | None = None
        if crowd < HOPELESS:
            page = yield from self._best_layout(content, context)
            if page.scale >= LEAST_SCALE:
                return [page]
        count = max(2, round(crowd / USUAL))
        parts = split(self.variant, content, (count // 2) / count, self.potential)
        if parts is None:
            return [page or (yield from self._best_layout(content, context))]
        pieces = yield from together([self._fitting(part, context) for part in parts])
        return [piece for part in pieces for piece in part]

    def _crowd(self, content: Content, context: Context) -> float:
        """The area of all boxes of a page, as a share of the paper."""
        scene = build_scene(self.variant, content, self.potential)
        return sum(box.width * box.height for box in shapes(scene, context, {}).values()) / _AREA

    def _best_layout(self, content: Content, context: Context) -> Asking[SheetPage]:
        """The layout of a page's content that fits best, with its paper and scale."""
        parts = components(build_scene(self.variant, content, self.potential))
        plain = yield from together([lay_out(part, context) for part in parts])
        tries = [(paper, plain) for paper in (LANDSCAPE, PORTRAIT)]
        if max(fit(packed(plain, paper.inside[0]), paper) for paper, _ in tries) < LEAST_SCALE:
            area = sum(p.width * p.height for p in plain)
            papers = [p for p, _ in tries if area < 2.2 * _AREA and any(own.width > p.inside[0] for own in plain)]
            slim = yield from together(
                [
                    lay_out(part, context, paper.inside[0] * 0.95)
                    for paper in papers
                    for part, own in zip(parts, plain, strict=True)
                    if own.width > paper.inside[0]
                ]
            )
            fresh = iter(slim)
            tries += [(p, [next(fresh) if own.width > p.inside[0] else own for own in plain]) for p in papers]
        pages = [SheetPage(content, layouts, paper) for paper, layouts in tries]
        return max(pages, key=lambda page: page.scale)

    def _refine(self, page: SheetPage, context: Context) -> Asking[None]:
        """Fewer crossings, if the page still fits then."""
        layouts = yield from together([refined(layout, context) for layout in page.layouts])
        other = SheetPage(page.content, layouts, page.paper)
        if other.scale >= min(page.scale, LEAST_SCALE):
            page.set_layouts(layouts)


_AREA = LANDSCAPE.inside[0] * LANDSCAPE.inside[1]


def _best_pair(pages: Sequence[SheetPage], refused: set[tuple[int, int]]) -> tuple[int, int] | None:
    """Two pages that could be one: those with most wires cut between them, then the emptiest."""
    best: tuple[tuple[float, float], tuple[int, int]] | None = None
    for i, one in enumerate(pages):
        cuts = {w.id for w, _ in one.content.cuts}
        for j in range(i + 1, len(pages)):
            other = pages[j]
            crowd = one.crowd + other.crowd
            if crowd > FULL or (id(one), id(other)) in refused:
                continue
            shared = sum(w.id in cuts for w, _ in other.content.cuts)
            rank = (-shared, crowd)
            if best is None or rank < best[0]:
                best = (rank, (i, j))
    return best[1] if best else None


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


class _Register:
    """Where each end of each wire is drawn."""

    def __init__(self, variant: Variant, early: bool = False) -> None:
        self.early = early
        self.on: dict[str, list[tuple[str, int]]] = {}
        self.variant = variant

    def add(self, name: str, content: Content) -> None:
        """Note a page and what it shows."""
        for wire in content.wires:
            self.on.setdefault(wire.id, []).extend([(name, 0), (name, 1)])
        for wire, side in content.cuts:
            self.on.setdefault(wire.id, []).append((name, side))

    def pages_of(self, here: str) -> Callable[[Wire, Point | None], str]:
        """For a page: the page that shows the far end of a wire, seen from a point; of its own sheet if there is one."""

        def pages(wire: Wire, near: Point | None) -> str:
            far = 1 if wire.a.point == near else 0
            found = [n for n, side in self.on.get(wire.id, ()) if side == far and n != here]
            if not found:
                # While pages have no names yet: room for the longest.
                return f"{here} (2)" if wire.id in self.on else ""
            own = here.partition(" (")[0]
            name = next((n for n in found if n.partition(" (")[0] == own), found[0])
            return f"{name} (2)" if self.early else name

        return pages

    def sheets_of(self, here: str) -> Callable[[str], list[str]]:
        """For a page of a sheet: the other sheets on which an item stands."""
        own = here.partition(" (")[0]

        def sheets(item: str) -> list[str]:
            if item in self.variant.grounds or item in self.variant.buses:
                whole = GROUND if item in self.variant.grounds else POWER
                return [] if own == whole else [whole]
            wires = self.variant.wires_of_item(item)
            names = {n.partition(" (")[0] for w in wires for n, _ in self.on.get(w.id, ())} - {own}
            return sorted(names, key=natural_key)

        return sheets
