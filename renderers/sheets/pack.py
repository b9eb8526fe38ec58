"""Drawings that hang together are laid out one by one and set on the page in rows."""

from __future__ import annotations

from collections.abc import Sequence

from renderers.sheets.layout import Layout
from renderers.sheets.units import Scene

GAP = 16.0


def components(scene: Scene) -> list[Scene]:
    """The parts of a scene that no link joins, in the order of their first unit."""
    parent = {key: key for key in scene.units}

    def root(key: str) -> str:
        while parent[key] != key:
            parent[key] = parent[parent[key]]
            key = parent[key]
        return key

    for link in scene.links:
        a, b = root(link.upper.unit), root(link.lower.unit)
        if a != b:
            parent[b] = a
    groups: dict[str, Scene] = {}
    for key, unit in scene.units.items():
        groups.setdefault(root(key), Scene({}, [])).units[key] = unit
    for link in scene.links:
        groups[root(link.upper.unit)].links.append(link)
    return list(groups.values())


def packed(layouts: Sequence[Layout], wide: float) -> Layout:
    """Layouts in rows no wider than `wide` where they can be; the tallest first."""
    if len(layouts) == 1:
        return layouts[0]
    order = sorted(range(len(layouts)), key=lambda i: (-layouts[i].height, i))
    rows: list[tuple[float, float, list[int]]] = []
    places: dict[int, tuple[float, float]] = {}
    y = 0.0
    for index in order:
        own = layouts[index]
        for number, (top, used, members) in enumerate(rows):
            if used + GAP + own.width <= wide:
                places[index] = (used + GAP, top)
                rows[number] = (top, used + GAP + own.width, [*members, index])
                break
        else:
            places[index] = (0.0, y)
            rows.append((y, own.width, [index]))
            y += own.height + GAP
    # A row is set in the middle of the widest.
    widest = max(used for _, used, _ in rows)
    for _, used, members in rows:
        for index in members:
            x, top = places[index]
            places[index] = ((x + (widest - used) / 2) // 6 * 6, top)
    done = Layout(Scene({}, []), {}, {}, {}, {}, widest, y - GAP, "\n".join(layout.dot for layout in layouts))
    for index, layout in enumerate(layouts):
        dx, dy = places[index]
        done.scene.units.update(layout.scene.units)
        done.scene.links.extend(layout.scene.links)
        done.boxes.update(layout.boxes)
        done.at.update({k: (x + dx, y + dy) for k, (x, y) in layout.at.items()})
        done.lines.update({k: tuple((x + dx, y + dy) for x, y in line) for k, line in layout.lines.items()})
        done.labels.update({k: (x + dx, y + dy) for k, (x, y) in layout.labels.items()})
    return done
