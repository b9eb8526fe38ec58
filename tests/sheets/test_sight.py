"""What a sheet sees of a variant: all that its drawing needs, nothing of where things stand in a source, and all of it
told."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pytest

from compiler.model.items import Device, Zone
from compiler.model.variant import Variant
from grammar.source import Source, Span
from renderers.sheets import SheetFigure, draw_sheets
from renderers.sheets import sheets as module
from renderers.sheets.plain import copy, hidden_in, outline, told
from renderers.sheets.plan import SheetPlan
from renderers.sheets.register import Register
from renderers.sheets.sheets import Drawing
from renderers.sheets.sight import Names, Sights, View
from renderers.sheets.units import Content
from tests.chaos.variants import make_variant

from .conftest import drawn
from .differing import other_views, within

Make = Callable[[str], Variant]


class Everything(Sights):
    """Sights that see the whole variant, as it is."""

    def view(self, plan: SheetPlan, content: Content) -> View:
        variant, early, here = self.variant, self.early, plan.number
        pages = {w.id: (early.page(here, w.id, 0), early.page(here, w.id, 1)) for w in variant.wires}
        others = {item: early.elsewhere(here, item) for item in variant.items}
        return View(variant, self.potential, plan, content, Names(pages, others))


def seen_whole(variant: Variant, monkeypatch: pytest.MonkeyPatch) -> Mapping[str, SheetFigure]:
    """The sheets of a variant, drawn with the whole of it in sight."""
    with monkeypatch.context() as patch:
        patch.setattr(module, "Sights", Everything)
        return draw_sheets(variant)


@pytest.mark.parametrize("name", ["tour", "real"])
def test_a_sheet_sees_all_that_its_drawing_needs(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    variant, figures = drawn(name)
    assert list(seen_whole(variant, monkeypatch).items()) == list(figures.items())


@pytest.mark.parametrize(("seed", "wires"), [(1, 40), (2, 120), (3, 200)])
def test_a_sheet_of_a_generated_variant_sees_all_that_its_drawing_needs(
    seed: int, wires: int, variant_of: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    variant = variant_of(make_variant(seed, wires))
    assert list(seen_whole(variant, monkeypatch).items()) == list(draw_sheets(variant).items())


def test_views_hold_nothing_that_is_hidden() -> None:
    """No place in a source, no length of a wire: what is not told is the same in every view."""
    count = 0
    for sheet in Drawing(drawn("tour").variant).sheets:
        for value in within(sheet.parts[0].view):
            kind: Any = type(value)
            hidden = hidden_in(kind)
            count += len(hidden)
            assert all(getattr(value, name) == constant for name, constant in hidden.items())
    assert count > 5000


def test_whatever_differs_in_a_view_is_told() -> None:
    """Every fact of every thing that some sheets see, each made another by itself."""
    variant = drawn("tour").variant
    sights = Sights(variant, {}, Register(variant))
    count = 0
    for sheet in Drawing(drawn("tour").variant).sheets[:4]:
        view = sheet.parts[0].view
        before = list(sights.told(view))
        for other in other_views(view):
            assert list(sights.told(other)) != before
            count += 1
    assert count > 1000


def test_a_copy_says_what_is_told_and_nothing_else() -> None:
    for item in (*drawn("tour").variant.items.values(), *drawn("tour").variant.wires):
        assert told(copy(item)) == told(item)
        assert told(copy(copy(item))) == told(item)


def test_a_place_in_a_source_cannot_be_told() -> None:
    with pytest.raises(TypeError, match="where something stands"):
        told((Span(Source("a", "text"), 0, 1),))
    with pytest.raises(TypeError, match="no text for a object"):
        told(object())


def test_two_values_with_one_text_are_alike() -> None:
    texts = {
        told(value)
        for value in (("1",), (1,), (1.0,), (True,), (None,), ("None",), ((),), ("", ""), ("",), (0.1 + 0.2,), (0.3,))
    }
    assert len(texts) == 11
    assert told(frozenset({"b", "a"})) == told(("a", "b"))


def test_of_what_is_only_named_little_is_seen() -> None:
    variant = drawn("tour").variant
    far = outline(variant.devices["F1"])
    assert (far.id, far.bus, far.title, far.place, far.parts) == ("F1", "BAT", "", None, ())
    assert (plug := outline(variant.connectors["C4"])).device == "A1"
    assert not plug.is_inline
    assert copy(variant.zones["cab"]) is not variant.zones["cab"]
    zone: Zone = copy(variant.zones["cab"])
    assert (zone.title, zone.width) == ("Cab", 0.0)
    device: Device = copy(variant.devices["M2"])
    assert device.ratings == variant.devices["M2"].ratings


def test_what_lies_far_from_a_sheet_is_not_seen() -> None:
    views = {sheet.number: sheet.parts[0].view for sheet in Drawing(drawn("tour").variant).sheets}
    small = views["3"].variant
    assert {"F3", "K1", "M2", "M3", "S4"} <= small.devices.keys()
    assert "P1" not in small.devices
    assert small.sources == ()
    assert {wire.id for wire in small.wires if wire.circuit == "20"} >= {"20A", "20B"}
    # Of wires that come to the same ground and are drawn elsewhere only the circuit.
    passing = [wire for wire in small.wires if wire.circuit == "40"]
    assert {(wire.id, wire.colour, wire.size) for wire in passing} == {("", None, None)}
