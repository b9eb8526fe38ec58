"""Sheets to pages that fit the paper, each laid out."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from compiler.model.items import Point, Wire
from compiler.model.variant import Variant
from renderers.sheets.box import Context
from renderers.sheets.distribution import GROUND, POWER, ground_sheet, power_sheet
from renderers.sheets.dot import Asking, together
from renderers.sheets.frame import LANDSCAPE, PORTRAIT, Page
from renderers.sheets.ink import moved
from renderers.sheets.labels import SMALL
from renderers.sheets.layout import Layout, lay_out, shape
from renderers.sheets.pack import components, packed
from renderers.sheets.plan import SheetPlan, natural
from renderers.sheets.split import split
from renderers.sheets.units import Content, Sort, build_scene

SMALLEST = 6.5  # points, of text as printed
LEAST_SCALE = SMALLEST / SMALL


@dataclass(slots=True)
class SheetPage:
    """A page: the sheet it belongs to, what it shows, and its layout."""

    plan: SheetPlan
    content: Content
    layout: Layout
    name: str = ""
    of: tuple[int, int] = (1, 1)
    paper: Page = field(default=LANDSCAPE)
    scale: float = 1.0


def fit(layout: Layout, paper: Page) -> float:
    """The scale at which a layout fits a paper, at most 1."""
    wide, high = paper.inside
    return min(1.0, wide / max(layout.width, 1.0), high / max(layout.height, 1.0))


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
        return Context(self.variant, register.pages_of(name), register.sheets_of(name), {})

    def _name_arrows(self, page: SheetPage, register: _Register) -> None:
        """Arrows were laid out before pages had names; now they get theirs."""
        layout = page.layout
        context = self._context(register, page.name)
        for key, unit in layout.scene.units.items():
            if unit.sort is Sort.ARROW:
                old = layout.boxes[key]
                new = shape(unit, layout.scene, context)
                shift = old.ports[0].x - new.ports[0].x
                new.ink, new.marks = (
                    moved(new.ink, shift, 0),
                    [m._replace(ink=tuple(moved(m.ink, shift, 0))) for m in new.marks],
                )
                new.ports, new.width, new.height = old.ports, old.width, old.height
                layout.boxes[key] = new

    def _best_layout(self, content: Content, register: _Register, name: str) -> Asking[SheetPage]:
        """The layout of a page's content that fits best, with its paper and scale."""
        scene = build_scene(self.variant, content, self.potential)
        context = self._context(register, name)
        parts = components(scene)
        plain = yield from together([lay_out(part, context) for part in parts])
        tries: list[tuple[Page, Layout]] = [(p, packed(plain, *p.inside)) for p in (LANDSCAPE, PORTRAIT)]
        if max(fit(layout, paper) for paper, layout in tries) < LEAST_SCALE:
            area = sum(p.width * p.height for p in plain)
            papers = [
                p
                for p in (LANDSCAPE, PORTRAIT)
                if area < 2.2 * p.inside[0] * p.inside[1] and any(k.width > p.inside[0] for k in plain)
            ]
            slim = yield from together(
                [
                    lay_out(part, context, paper.inside[0] * 0.95 if own.width > paper.inside[0] else 0.0)
                    for paper in papers
                    for part, own in zip(parts, plain, strict=True)
                ]
            )
            for index, paper in enumerate(papers):
                own = slim[index * len(parts) : (index + 1) * len(parts)]
                tries.append((paper, packed(own, *paper.inside)))
        scales = [fit(layout, paper) for paper, layout in tries]
        best = max(range(len(tries)), key=lambda i: (scales[i], -i))
        paper, layout = tries[best]
        return SheetPage(_NOWHERE, content, layout, paper=paper, scale=scales[best])

    def _sheet(self, plan: SheetPlan, content: Content, register: _Register) -> Asking[list[SheetPage]]:
        """The pages of a sheet."""
        pages = yield from self._fitting(content, register, plan.number)
        tries = 2 * len(pages)
        refused: set[tuple[int, int]] = set()
        while tries > 0:
            pair = _best_pair(pages, refused)
            if pair is None:
                break
            tries -= 1
            one, other = pages[pair[0]], pages[pair[1]]
            page = yield from self._best_layout(merged(one.content, other.content), register, plan.number)
            if page.scale >= LEAST_SCALE:
                pages[pair[0]] = page
                del pages[pair[1]]
            else:
                refused.add((id(one), id(other)))
        return pages

    def _fitting(self, content: Content, register: _Register, name: str) -> Asking[list[SheetPage]]:
        """The content cut into pages that fit."""
        page = yield from self._best_layout(content, register, name)
        if page.scale >= LEAST_SCALE:
            return [page]
        room = page.paper.inside
        ratio = page.layout.width * page.layout.height / (room[0] * room[1])
        count = max(2, round(ratio * 0.5))
        parts = split(self.variant, content, (count // 2) / count, self.potential)
        if parts is None:
            return [page]
        pieces = yield from together([self._fitting(part, register, name) for part in parts])
        return [piece for part in pieces for piece in part]


def _used(page: SheetPage) -> float:
    """The share of its paper that a page's drawing takes."""
    return page.layout.width * page.layout.height / (page.paper.inside[0] * page.paper.inside[1])


def _best_pair(pages: Sequence[SheetPage], refused: set[tuple[int, int]]) -> tuple[int, int] | None:
    """Two pages that could be one: those with most wires cut between them, then the emptiest."""
    best: tuple[tuple[float, float], tuple[int, int]] | None = None
    for i, one in enumerate(pages):
        cuts = {w.id for w, _ in one.content.cuts}
        for j in range(i + 1, len(pages)):
            other = pages[j]
            used = _used(one) + _used(other)
            if used > 0.95 or (id(one), id(other)) in refused:
                continue
            shared = sum(w.id in cuts for w, _ in other.content.cuts)
            rank = (-shared, used)
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
    return Content(
        (*one.wires, *other.wires, *healed), cuts, tuple(dict.fromkeys((*one.components, *other.components)))
    )


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
            return sorted(names, key=natural)

        return sheets


_NOWHERE = SheetPlan("", "", "", (), (), ())
