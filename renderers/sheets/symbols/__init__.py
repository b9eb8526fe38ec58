"""Graphical symbols in the sense of IEC 60617 and IEEE 315, drawn by this project. One file a family.

`symbol(part, style)` gives the symbol of a part; marks without a part (ground, splice, terminals) are in `marks`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from compiler.model.items import Part
from renderers.sheets.symbols import contacts, loads, passive, protection, sources
from renderers.sheets.symbols.base import Glyph, Style

Drawer = Callable[[Part, Style], Glyph]

DRAWERS: Mapping[str, Drawer] = {
    "alternator": loads.generator,
    "battery": sources.battery,
    "breaker": protection.breaker,
    "buzzer": loads.buzzer,
    "capacitor": passive.capacitor,
    "coil": passive.coil,
    "contact": contacts.contact,
    "diode": passive.diode,
    "flasher": loads.flasher,
    "fuse": protection.fuse,
    "fusible-link": protection.fusible_link,
    "gauge": loads.gauge,
    "glow-plug": loads.glow_plug,
    "headlamp": loads.headlamp,
    "heater": loads.heater,
    "horn": loads.horn,
    "ignition-coil": loads.ignition_coil,
    "lamp": loads.lamp,
    "led": loads.led,
    "motor": loads.motor,
    "outlet": loads.outlet,
    "resistor": passive.resistor,
    "ring-terminal": sources.ring,
    "sender": passive.sender,
    "sensor": loads.sensor,
    "solenoid": loads.solenoid,
    "starter": loads.starter,
    "thermistor": passive.thermistor,
    "variable-resistor": passive.variable_resistor,
}


def symbol(part: Part, style: Style) -> Glyph:
    """The symbol of a part, first terminals above; a plain box with words for a kind that has none."""
    return DRAWERS.get(part.kind, loads.text_box)(part, style)


__all__ = ["DRAWERS", "Glyph", "Style", "symbol"]
