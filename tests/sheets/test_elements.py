"""Whatever stands for a wire, a terminal or a component says so: id and circuit, in data attributes of its element."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree import ElementTree

import pytest

from compiler.model.items import Point
from compiler.model.variant import Variant
from renderers.sheets.measure import measure
from renderers.sheets.units import sits_on_bus

from .conftest import SAMPLES, drawn

SVG = "{http://www.w3.org/2000/svg}"


def groups(svg: str, *names: str) -> Iterator[ElementTree.Element]:
    """The groups of some classes."""
    for group in ElementTree.fromstring(svg).iter(f"{SVG}g"):
        if group.get("class") in names:
            yield group


def circuits(variant: Variant, points: list[Point]) -> set[str]:
    """Circuits of the wires at some points."""
    return {wire.circuit for point in points for wire in variant.wires_at(point)}


@pytest.mark.parametrize("name", ["S4", "tour"])
def test_wires_labels_and_arrows_carry_wire_and_circuit(name: str) -> None:
    variant, figures = drawn(name)
    seen: set[str] = set()
    for figure in figures.values():
        for group in groups(figure.svg, "wire", "label", "arrow", "loose"):
            wire = variant.wire_by_id[group.get("data-wire", "")]
            assert group.get("data-circuit") == wire.circuit
            seen.add(f"{group.get('class')} {wire.id}")
    assert {f"wire {w.id}" for w in variant.wires} <= seen
    assert {f"label {w.id}" for w in variant.wires} <= seen


@pytest.mark.parametrize("name", ["S4", "tour"])
def test_every_arrow_says_which_wire_goes_on(name: str) -> None:
    for figure in drawn(name).figures.values():
        shown = {g.get("data-wire") for g in groups(figure.svg, "wire")}
        arrows = [g.get("data-wire") for g in groups(figure.svg, "arrow")]
        assert set(arrows) <= shown
        assert None not in arrows


@pytest.mark.parametrize("name", ["S4", "tour"])
def test_components_carry_their_id_and_circuits(name: str) -> None:
    variant, figures = drawn(name)
    seen: set[str] = set()
    for figure in figures.values():
        for group in groups(figure.svg, "device", "connector", "splice", "ground", "bus"):
            item = group.get("data-item", "")
            assert item in variant.items
            wanted = {wire.circuit for wire in variant.wires_of_item(item)}
            assert set(group.get("data-circuits", "").split()) == wanted
            seen.add(item)
        for group in groups(figure.svg, "symbol"):
            if item := group.get("data-item", ""):
                assert sits_on_bus(variant, variant.devices[item]), "what is on its bus is a component of its own"
                seen.add(item)
    wired = {i for i in (*variant.splices, *variant.grounds) if variant.wired_points(i)}
    wired |= {d.id for d in variant.devices.values() if variant.wires_of_item(d.id)}
    wired |= {c.id for c in variant.connectors.values() if c.is_inline and variant.wired_points(c.id)}
    assert wired <= seen


@pytest.mark.parametrize("name", ["S4", "tour"])
def test_terminals_cavities_splices_and_grounds_carry_point_and_circuit(name: str) -> None:
    variant, figures = drawn(name)
    seen: set[Point] = set()
    for figure in figures.values():
        for group in groups(figure.svg, "terminal"):
            item, _, terminal = group.get("data-terminal", "").rpartition(".")
            if not item:
                item, terminal = terminal, ""
            if not item:
                continue  # the head of an arrow: its box carries the wire
            assert item in variant.items
            assert set(group.get("data-circuit", "").split()) == circuits(
                variant, [Point(item, terminal, half) for half in (0, 1)]
            )
            connector = variant.connectors.get(item)
            assert (group.get("data-half") in ("0", "1")) == (connector is not None and connector.is_inline)
            seen.add(Point(item, terminal, int(group.get("data-half", "0"))))
    wired = {e.point for w in variant.wires for e in w.ends if e.point is not None}
    missing = {p for p in wired - seen if not _on_a_bus(variant, p)}
    assert missing == set()


def _on_a_bus(variant: Variant, point: Point) -> bool:
    """Whether a point is the feed side of a fuse, which the bus bar shows."""
    device = variant.devices.get(point.item)
    return device is not None and device.bus != "" and point.terminal == device.parts[0].terminals[0]


def test_a_pin_stands_on_the_half_that_has_the_pins() -> None:
    variant, figures = drawn("S4")
    told: set[bool] = set()
    for figure in figures.values():
        for group in groups(figure.svg, "connector"):
            connector = variant.connectors[group.get("data-item", "")]
            edges = set()
            cells = [g for g in group if g.get("data-half")]
            for cell in cells:
                if cell.get("data-half") == str(connector.pins):
                    (outline,) = cell.iter(f"{SVG}rect")
                    top, high = float(outline.get("y", "")), float(outline.get("height", ""))
                    edges |= {round(top, 2), round(top + high, 2)}
            bars = [p.get("d", "") for p in group.findall(f"{SVG}path") if p.get("stroke-width") == "2"]
            assert len(bars) == (0 if connector.pins is None else len(cells) / 2)
            assert {float(bar[1:].partition("L")[0].split()[1]) for bar in bars} <= edges
            told.add(connector.pins is not None)
    assert told == {True, False}


@pytest.mark.parametrize("name", ["S4", "tour"])
def test_symbols_name_their_parts(name: str) -> None:
    variant, figures = drawn(name)
    for figure in figures.values():
        for group in groups(figure.svg, "symbol"):
            parts = group.get("data-part", "").split()
            assert parts
            for part in parts:
                device, _, number = part.rpartition(":")
                own = variant.devices[device].parts[int(number)]
                assert own.kind != "trace"
                assert (own.kind in ("contact", "starter")) == ("data-drawn" in group.attrib)


# Rooms that the print writer leaves for a sheet, upright: paper less the least margins (see `print_pdf`).
ROOMS = {"A4": (595.28 - 40, 841.89 - 55), "US Letter": (612.0 - 40, 792.0 - 55)}
ROOMS_WIDE = {"A4": (841.89 - 40, 595.28 - 55), "US Letter": (792.0 - 40, 612.0 - 55)}


@pytest.mark.parametrize("paper", ROOMS)
@pytest.mark.parametrize("name", SAMPLES)
def test_no_text_is_printed_under_six_and_a_half_points(name: str, paper: str) -> None:
    for sheet, figure in drawn(name).figures.items():
        wide, high = (ROOMS_WIDE if figure.width_pt > figure.height_pt else ROOMS)[paper]
        scale = min(1.0, wide / figure.width_pt, high / figure.height_pt)
        assert measure(figure.svg).smallest_text_pt * scale >= 6.5, sheet
