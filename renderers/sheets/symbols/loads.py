"""Symbols of what does the work: lamps, motors, heaters, sounders, solenoids, gauges."""

from __future__ import annotations

from compiler.model.items import Part
from renderers.sheets.ink import Arc, Blade, Disc, Rect, Shape, Stroke, Words, line
from renderers.sheets.labels import SMALL
from renderers.sheets.symbols.base import HIGH, Glyph, Style, arrow_head, cross, fan, lead, straight

MID = HIGH / 2


def lamp(part: Part, _style: Style) -> Glyph:
    """A circle with a slanted cross."""
    return straight(part, 7, (lead(0, 5), Disc(0, MID, 7), *cross(0, MID, 7), lead(19, HIGH)))


def headlamp(part: Part, style: Style) -> Glyph:
    """Two filaments side by side in one glass, with their common lead."""
    pins = fan(part.terminals[:-1], max(style.pitch, 18))
    ink: list[Shape] = []
    first, last = pins[0][1], pins[-1][1]
    for _, x in pins:
        ink += [lead(0, 6, x), Disc(x, MID, 6), *cross(x, MID, 6), lead(18, 22, x)]
    ink += [line((first, 22), (last, 22)), lead(22, HIGH)]
    ink.append(Rect(first - 9, 3, last - first + 18, 17, 0.6, "none", "2 1.6"))
    reach = (last - first) / 2 + 9
    return Glyph(reach, reach, HIGH, pins, ((part.terminals[-1], 0),), tuple(ink))


def led(part: Part, _style: Style) -> Glyph:
    """A diode with two arrows of light."""
    ink: list[Shape] = [
        lead(0, 7),
        Stroke(((-5, 7), (5, 7), (0, 16)), 0.8, "", "#FFFFFF", True),
        line((-5, 16), (5, 16)),
        lead(16, HIGH),
    ]
    for dy in (0.0, 4.5):
        tip, back = (12.0, 5.5 + dy), (7.0, 10.5 + dy)
        ink += [line(back, tip, width=0.6), arrow_head(tip, back, 2.6)]
    return straight(part, 12, ink)._replace(left=7)


def _letter(text: str, y: float) -> Words:
    """A machine's letter over the bar of direct current, in a circle about (0, y)."""
    return Words(0, y + 1.4, text, 8, False, "middle", bar=True)


def motor(part: Part, style: Style) -> Glyph:
    """A circle with M over the bar of direct current; further feeds enter beside the first."""
    circle = (Disc(0, MID, 8), _letter("M", MID), lead(20, HIGH))
    if len(part.terminals) == 2:
        return straight(part, 8, (lead(0, 4), *circle))
    pins = fan(part.terminals[:-1], max(style.pitch, 12))
    ink: list[Shape] = [*circle]
    for _, x in pins:
        ink.append(line((x, 0), (x, 2), (max(-4.0, min(4.0, float(x))), 5.1)))
    reach = max(8.0, abs(pins[0][1]) + 2.0)
    return Glyph(reach, reach, HIGH, pins, ((part.terminals[-1], 0),), tuple(ink))


def generator(part: Part, style: Style) -> Glyph:
    """A circle with G: the alternator. Being a source it stands at the top, all its leads go down."""
    gap = max(style.pitch + 12, 24)  # beside the mark of the case too
    pins = tuple((terminal, gap * index) for index, terminal in enumerate(part.terminals))
    ink: list[Shape] = [
        Disc(0, 9, 8),
        _letter("G", 9),
    ]
    ink.append(lead(17, HIGH))
    last = float(gap * (len(pins) - 1))
    ink += [line((8, 6 + 3 * n), (last - gap * n, 6 + 3 * n), (last - gap * n, HIGH)) for n in range(len(pins) - 1)]
    return Glyph(9, last + 3, HIGH, (), pins, tuple(ink))


def starter(part: Part, style: Style) -> Glyph:
    """The motor behind the solenoid's contact, and the solenoid's winding from the control terminal."""
    main, control, ground = part.terminals
    gap = max(style.pitch, 24)
    ink: tuple[Shape, ...] = (
        lead(0, 4),
        Disc(0, 5, 1.1, 0.8, "#FFFFFF"),
        Blade(((-5, 6.5), (0, 13.5)), ((-0.4, 6), (0, 13.5)), 0.8),
        lead(13.5, 18),
        Disc(0, 25, 7),
        _letter("M", 25),
        lead(32, 38),
        lead(0, 6, gap),
        Rect(gap - 7, 6, 14, 8),
        line((gap - 7, 14), (gap + 7, 6), width=0.6),
        line((gap - 7, 10), (-2.5, 10), width=0.6, dash="1.6 1.2"),
        line((gap, 14), (gap, 35), (0, 35)),
        Disc(0, 35, 1.1, 0.8, "#111111"),
    )
    return Glyph(8, gap + 8.0, 38, ((main, 0), (control, gap)), ((ground, 0),), ink, None, (0, 10))


def heater(part: Part, _style: Style) -> Glyph:
    """A rectangle with cross bars."""
    bars = [line((-4, y), (4, y), width=0.7) for y in (7.2, 10.4, 13.6, 16.8)]
    return straight(part, 4, (lead(0, 4), Rect(-4, 4, 8, 16), *bars, lead(20, HIGH)))


def glow_plug(part: Part, _style: Style) -> Glyph:
    """A heater in a pointed body."""
    body = Stroke(((-4, 4), (4, 4), (4, 14), (0, 20), (-4, 14)), 0.8, "", "none", True)
    bars = [line((-4, y), (4, y), width=0.7) for y in (7.2, 10.4, 13.6)]
    return straight(part, 4, (lead(0, 4), body, *bars, lead(20, HIGH)))


def solenoid(part: Part, _style: Style) -> Glyph:
    """A rectangle across the line with the slanted stroke of a winding, and its plunger."""
    ink = (
        lead(0, 7),
        Rect(-9, 7, 18, 10),
        line((-9, 17), (9, 7), width=0.6),
        lead(17, HIGH),
        line((9, 12), (15, 12), width=0.6),
        arrow_head((15, 12), (9, 12), 3),
    )
    return straight(part, 15, ink)._replace(left=9)


def horn(part: Part, _style: Style) -> Glyph:
    """A flare on a box, the box across the line."""
    ink = (
        lead(0, 7),
        Rect(-4, 7, 8, 10),
        Stroke(((4, 9), (11, 4), (11, 20), (4, 15)), 0.8),
        lead(17, HIGH),
    )
    return straight(part, 11, ink)._replace(left=6)


def buzzer(part: Part, _style: Style) -> Glyph:
    """A half disc on a bar."""
    ink = (lead(0, 6), line((-2, 4), (-2, 20)), Arc(-2, 12, 7, -90, 90), lead(18, HIGH))
    return straight(part, 7, ink)


def ignition_coil(part: Part, _style: Style) -> Glyph:
    """Two windings on one core; the high-voltage side is no wiring of this manual and ends in a spark mark."""
    ink: list[Shape] = [lead(0, 3)]
    for index in range(4):
        ink.append(Arc(0, 5.25 + 4.5 * index, 2.25, -90, 90))
    for index in range(4):
        ink.append(Arc(10, 5.25 + 4.5 * index, 2.25, 90, 270))
    ink += [line((4.4, 3), (4.4, 21), width=0.6), line((6, 3), (6, 21), width=0.6), lead(21, HIGH)]
    ink += [
        line((10, 3), (16, 3)),
        line((16, 0), (14.5, 3.2), (17.5, 3), (16, 6.4), width=0.6),
        line((10, 21), (10, 23), (0, 23)),
    ]
    return straight(part, 18, ink)._replace(left=5)


def outlet(part: Part, _style: Style) -> Glyph:
    """The cup of a socket over its outer contact."""
    ink = (
        lead(0, 6),
        Arc(0, 13, 7, 180, 360),
        line((-7, 13), (-7, 18), (7, 18), (7, 13)),
        Disc(0, 12.4, 1.4, 0.8, "#111111"),
        line((0, 6), (0, 11)),
        lead(18, HIGH),
    )
    return straight(part, 8, ink)


def gauge(part: Part, style: Style) -> Glyph:
    """A circle with a needle; further terminals leave below."""
    top, rest = part.terminals[:1], part.terminals[1:]
    pins = fan(rest, max(style.pitch, 18) if len(rest) > 1 else 12)
    ink: list[Shape] = [
        lead(0, 4),
        Disc(0, MID, 8),
        line((0, 15.5), (3.6, 8.2), width=0.7),
        Disc(0, 15.5, 0.9, 0.4, "#111111"),
    ]
    ink += [line((x, HIGH), (x, 22), (max(-4.0, min(4.0, float(x))), 18.9)) for _, x in pins]
    reach = max(8.0, abs(pins[0][1]) + 2.0, abs(pins[-1][1]) + 2.0)
    return Glyph(reach, reach, HIGH, ((top[0], 0),), pins, tuple(ink))


def flasher(part: Part, style: Style) -> Glyph:
    """A box with the saw-tooth of a repeated contact."""
    top, rest = part.terminals[:1], part.terminals[1:]
    pins = fan(rest, max(style.pitch, 24) if len(rest) > 1 else 12)
    reach = max(11.0, abs(pins[0][1]) + 3.0, abs(pins[-1][1]) + 3.0)
    ink: list[Shape] = [
        lead(0, 3),
        Rect(-reach, 3, 2 * reach, 18),
        line((-7, 15), (-7, 9), (-2.4, 9), (-2.4, 15), (2.3, 15), (2.3, 9), (7, 9), (7, 15), width=0.7),
    ]
    ink += [lead(21, HIGH, x) for _, x in pins]
    return Glyph(reach, reach, HIGH, ((top[0], 0),), pins, tuple(ink))


def text_box(part: Part, style: Style) -> Glyph:
    """A plain box with words: what has no symbol of its own."""
    top, bottom = _sides(part, style)
    reach = max(12.0, *(abs(x) + 4.0 for _, x in (*top, *bottom)))
    words = (Words(0, MID + 2.3, style.words, SMALL, False, "middle"),) if style.words else ()
    ink = (
        Rect(-reach, 3, 2 * reach, 18),
        *words,
        *(lead(0, 3, x) for _, x in top),
        *(lead(21, HIGH, x) for _, x in bottom),
    )
    return Glyph(reach, reach, HIGH, top, bottom, ink)


def sensor(part: Part, style: Style) -> Glyph:
    """A box with a diagonal: from what is sensed to a signal."""
    top, bottom = _sides(part, style)
    reach = max(12.0, *(abs(x) + 4.0 for _, x in (*top, *bottom)))
    ink: list[Shape] = [Rect(-reach, 3, 2 * reach, 18), line((-reach, 21), (reach, 3), width=0.6)]
    x, y = reach - 7.0, 16.6
    ink += [Arc(x - 2, y, 2, 180, 360, 0.7), Arc(x + 2, y, 2, 0, 180, 0.7)]
    ink += [lead(0, 3, x) for _, x in top]
    ink += [lead(21, HIGH, x) for _, x in bottom]
    return Glyph(reach, reach, HIGH, top, bottom, tuple(ink))


def _sides(part: Part, style: Style) -> tuple[tuple[tuple[str, int], ...], tuple[tuple[str, int], ...]]:
    """Pins above and below of a symbol whose terminals go where their wires come from."""
    below = tuple(t for t in part.terminals if t in style.below)
    return fan(tuple(t for t in part.terminals if t not in below), style.pitch), fan(below, style.pitch)
