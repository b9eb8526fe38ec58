"""Inside a box, the lines join each terminal to the symbols that the model joins it to, and to no other."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from compiler.model.variant import Variant
from renderers.sheets.box import Context, Ends
from renderers.sheets.device import _Composer
from renderers.sheets.ink import Stroke
from renderers.sheets.plan import plan_sheets
from renderers.sheets.potential import potentials
from renderers.sheets.units import Content, Sort, build_scene

from .conftest import SAMPLES, drawn

Segment = tuple[float, float, float, float]


def composers(variant: Variant) -> Iterator[_Composer]:
    """Every device box of every sheet, composed."""
    level = potentials(variant)
    for plan in plan_sheets(variant):
        scene = build_scene(variant, Content(plan.wires, (), plan.components), level)
        for key, unit in scene.units.items():
            if unit.sort is Sort.DEVICE:
                sides: tuple[dict[str, object], dict[str, object]] = ({}, {})
                for link in scene.links:
                    for tip in link.tips:
                        if tip.unit == key:
                            sides[tip.face][link.key] = link
                context = Context(variant, lambda *_: "1", lambda _: "", {}, {})
                ends = Ends(tuple(sides[0].values()), tuple(sides[1].values()))  # type: ignore[arg-type]
                composer = _Composer(variant.devices[unit.item], unit, ends, context)
                composer.compose()
                yield composer


def pieces(composer: _Composer) -> list[Segment]:
    """Straight pieces of the lines that lead from terminals to symbols."""
    found = []
    for stroke in composer.joins:
        if isinstance(stroke, Stroke):
            (x0, y0), (x1, y1) = stroke.points
            found.append((min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))
    return found


def touches(a: Segment, b: Segment) -> bool:
    """Whether an end of one piece lies on the other. Lines that only cross are not joined."""
    for one, other in ((a, b), (b, a)):
        for x, y in ((one[0], one[1]), (one[2], one[3])):
            if other[0] - 0.01 <= x <= other[2] + 0.01 and other[1] - 0.01 <= y <= other[3] + 0.01:
                return True
    return False


def islands(segments: list[Segment]) -> list[set[int]]:
    """Pieces that hang together."""
    left = set(range(len(segments)))
    found = []
    while left:
        start = min(left)
        left.remove(start)
        island, todo = {start}, [start]
        while todo:
            one = todo.pop()
            for other in sorted(left):
                if touches(segments[one], segments[other]):
                    left.remove(other)
                    island.add(other)
                    todo.append(other)
        found.append(island)
    return found


def joined(composer: _Composer) -> tuple[set[frozenset[str]], set[frozenset[str]]]:
    """What the lines join, and what the model joins: groups of terminals and pins."""
    plan = composer.plan
    places: list[tuple[str, str, float, float]] = [
        (f"pin {n} {i}", n, x, y) for i, (n, x, y) in enumerate(composer.pins)
    ]
    top, low = composer.body
    for column in plan.columns:
        for (face, dx), terminal in column.homes.items():
            name = f"terminal {terminal.name} {face}"
            places.append((name, terminal.name, float(column.axis + dx), low if face else top))
    segments = pieces(composer)
    seen: dict[str, set[str]] = {}
    groups = islands(segments)
    for name, _, x, y in places:
        at = [i for i, g in enumerate(groups) if any(touches((x, y, x, y), segments[n]) for n in g)]
        # A symbol may stand on the edge itself, with no line between.
        key = f"island {at[0]}" if at else f"spot {x:g} {y:g}"
        seen.setdefault(key, set()).add(name)
    meant: dict[str, set[str]] = {}
    for name, terminal, _, _ in places:
        meant.setdefault(plan.net_of(terminal), set()).add(name)
    return {frozenset(g) for g in seen.values()}, {frozenset(g) for g in meant.values()}


@pytest.mark.parametrize("name", SAMPLES)
def test_lines_join_what_the_model_joins(name: str) -> None:
    count = 0
    for composer in composers(drawn(name).variant):
        shown, meant = joined(composer)
        assert shown == meant, composer.device.id
        count += 1
    assert count > 20


@pytest.mark.parametrize("name", SAMPLES)
def test_every_terminal_of_a_shown_symbol_is_drawn(name: str) -> None:
    for composer in composers(drawn(name).variant):
        pins = {composer.plan.net_of(n) for n, _, _ in composer.pins}
        homes = {composer.plan.net_of(t.name) for c in composer.columns for t in c.homes.values()}
        inner = {n for n in pins - homes if not _reachable(composer, n)}
        assert pins - homes == inner, composer.device.id


def _reachable(composer: _Composer, net: str) -> bool:
    """Whether a net comes out at a terminal that a wire could reach."""
    device, variant = composer.device, composer.context.variant
    names = [t for t in device.terminals if composer.plan.net_of(t) == net]
    return any(not device.connectors or variant.connector_of_terminal(device, t) for t in names)
