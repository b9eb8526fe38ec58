"""A wire that grows thinner on its way, behind a fuse or link that suits only the thicker part."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from compiler.checks._protecting import (
    SETTING,
    allowed_a,
    basis,
    chosen_policy,
    named,
    rating_of,
    remedy,
    wires_at_load,
)
from compiler.checks._waivers import excused
from compiler.checks._words import counted, listing, rounded_down
from compiler.checks.back_feed import BackFeed, joined, meeting
from compiler.checks.base import Check, Subject
from compiler.circuit.feeds import Protection
from compiler.circuit.graph import Graph
from compiler.model.items import Behaviour, Part, Wire
from compiler.standards.grades import enforceable
from compiler.standards.links import expected_link, link_fit, link_rule
from compiler.standards.protection import Policy
from compiler.standards.sizes import Size
from grammar.finding import Finding, Note, Severity
from grammar.source import Span

# Roles of module pins that put out no more than the module lets them.
_LIMITED_PINS = ("pull-up-input", "sensor-supply", "output", "low-side", "sensor-ground")


class Step(NamedTuple):
    """Wires that begin to be too thin at one node, and those that hang on them."""

    node: int
    wires: list[Wire]
    behind: list[Wire]


class SizeStepUnprotected(Check):
    """Page: pages/size-step-unprotected.md."""

    name = "size-step-unprotected"
    severity = Severity.ERROR
    family = "protection and feeds"
    policies = (SETTING,)
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        rule = chosen_policy(subject)
        graph, is_excused = subject.graph, excused(subject.variant, self.name)
        supply = subject.variant.header.supply_v
        back_fed = _back_fed(subject)
        for protection in subject.feeds.protections:
            if protection.edge in back_fed:
                continue
            too_thin = _too_thin(rule, protection)
            if too_thin is None or not any(w.size and too_thin(w.size) for w in protection.wires):
                continue
            # Too large for the first wires already: that is told of at the fuse or link.
            if any(w.size and too_thin(w.size) for w in wires_at_load(graph, protection)):
                continue
            for step in _steps(graph, protection, too_thin, supply):
                for wires in _placed(step.wires, is_excused):
                    yield self._finding(rule, graph, protection, step, wires)

    def _finding(self, rule: Policy, graph: Graph, protection: Protection, step: Step, wires: list[Wire]) -> Finding:
        device, rating = protection.device, rating_of(protection)
        sizes = [wire.size for wire in wires if wire.size is not None]
        size = min(sizes, key=lambda size: size.area_mm2)
        one = len(wires) == 1
        it = "it" if one else "them"
        begin = f"{'wire' if one else 'wires'} {listing(w.id for w in wires)} of {listing(map(str, sizes))}"
        begin += " stands behind " if one else " stand behind "
        hanging = len(step.behind) if wires == step.wires else 0
        behind = f"; {counted(hanging, 'more wire')} behind {it}" if hanging else ""
        point = graph.points[step.node]
        if rating is None:
            assert device.size is not None
            grade = link_rule().grade
            says = f"{begin}fusible link {device.id} of {device.size} alone, which does not protect {it}{behind}"
            mend = f"put a fuse, or a link of {expected_link(size)}, at {point}; or make {it} thicker"
            source = Note(None, f"rule: {link_rule().source}")
        else:
            grade = rule.grade
            limit = allowed_a(rule, protection, size)
            says = f"{begin}{named(protection)}, but may have {rounded_down(limit)} at most{behind}"
            mend = f"put a fuse at {point}, where the size steps down; or {remedy(rule, protection, size)}"
            source = basis(rule, sizes)
        return self.finding(
            wires[0].at,
            says,
            notes=(Note(device.at, f"{device.id} protects {it}"), source),
            mend=mend,
            severity=None if enforceable(grade) else Severity.WARNING,
        )


def _back_fed(subject: Subject) -> set[int]:
    """Edges of the devices that feed each other's circuits by a fault that `back-feed` reports."""
    if subject.is_off(BackFeed.name):
        return set()
    is_excused = excused(subject.variant, BackFeed.name)
    return {
        protection.edge
        for group in joined(subject.feeds)
        if not is_excused(meeting(subject.graph, group))
        for protection in group
    }


def _too_thin(rule: Policy, protection: Protection) -> Callable[[Size], bool] | None:
    """Whether a wire of a size is too thin for a device; None when nothing can be said of the device."""
    rating, link = rating_of(protection), protection.device.size
    known: dict[Size, bool] = {}

    def by_rating(size: Size) -> bool:
        found = known.get(size)
        if found is None:
            assert rating is not None
            found = known[size] = rating > allowed_a(rule, protection, size)
        return found

    def by_link(size: Size) -> bool:
        assert link is not None
        fit = link_fit(link, size)
        # Sizes of different systems are not converted, but a wire with no more copper than the link outlives nothing.
        return fit == "too thick" if fit is not None else size.area_mm2 <= link.area_mm2

    if rating is not None:
        return by_rating
    return by_link if protection.part.kind == "fusible-link" and link is not None else None


def _steps(graph: Graph, protection: Protection, too_thin: Callable[[Size], bool], supply_v: float) -> list[Step]:
    """Where, on the ways that this device alone protects, wires first become too thin."""
    own = set(protection.wires)
    first = set(wires_at_load(graph, protection))
    rating = rating_of(protection)
    steps: dict[int, Step] = {}
    under: dict[int, Step | None] = {protection.load: None}
    order = [protection.load]
    met: set[int] = set()
    for node in order:  # grows while it runs
        for edge in graph.around[node]:
            owner, step = graph.owners[edge], under[node]
            if edge in met:
                continue
            if isinstance(owner, Wire):
                if owner not in own:
                    continue
                met.add(edge)
                if step is not None:
                    step.behind.append(owner)
                elif owner not in first and owner.size is not None and too_thin(owner.size):
                    step = steps.setdefault(node, Step(node, [], []))
                    step.wires.append(owner)
            elif not _lets_through(graph, edge, node, rating, supply_v):
                continue
            other = graph.other(edge, node)
            if other not in under:
                under[other] = step
                order.append(other)
    return list(steps.values())


def _lets_through(graph: Graph, edge: int, node: int, rating: float | None, supply_v: float) -> bool:
    """Whether a short beyond a stretch can draw enough to need the fuse: not where something else limits it."""
    behaviour, part = graph.behaviours[edge], graph.owners[edge]
    if behaviour in (Behaviour.CAVITY, Behaviour.JOIN, Behaviour.CONTACT):
        return True
    if behaviour is Behaviour.DIODE:
        return graph.tails[edge] == node
    if not isinstance(part, Part):
        return False
    if behaviour is Behaviour.RESISTOR:
        ohms = part.ratings.get("resistance")
        return ohms is not None and rating is not None and supply_v > rating * ohms
    if behaviour is Behaviour.DRIVER:
        return graph.tails[edge] == node and part.role not in _LIMITED_PINS and "current" not in part.ratings
    return False


def _placed(wires: list[Wire], is_excused: Callable[[Span], bool]) -> Iterator[list[Wire]]:
    """One finding for the wires that no waiver covers, and one for each that one does."""
    standing = [wire for wire in wires if not is_excused(wire.at)]
    if standing:
        yield standing
    for wire in wires:
        if is_excused(wire.at):
            yield [wire]
