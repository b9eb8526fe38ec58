"""Colours of wires and fuses as drawn. The code always stands beside a swatch: colour alone carries nothing."""

from __future__ import annotations

import re
from functools import lru_cache

from compiler.standards.colours import Colour, ColourError, ColourTable, WireColour, read_colour
from compiler.standards.swatches import swatch as word_swatch
from renderers.tables import Swatch

_RGB = re.compile(r"#[0-9A-Fa-f]{6}")


@lru_cache(maxsize=4096)
def wire_colour(code: str, table: ColourTable) -> WireColour | None:
    """The colour of a code of the table; None when it cannot be read."""
    try:
        return read_colour(code, table)
    except ColourError:
        return None


@lru_cache(maxsize=4096)
def wire_swatch(code: str, table: ColourTable) -> Swatch | None:
    """The swatch of a wire's colour code; None when it cannot be read."""
    colour = wire_colour(code, table)
    if colour is None:
        return None
    tracers = [rgb for part in (colour.base, colour.tracer, colour.second) if part for rgb in _stripes(part)]
    return _checked(tracers[0], tuple(tracers[1:]))


def colour_swatch(colour: Colour) -> Swatch | None:
    """The swatch of one colour of a table."""
    first, *rest = _stripes(colour)
    return _checked(first, tuple(rest))


def named_swatch(word: str) -> Swatch | None:
    """The swatch of a colour word (`amber`); None for an unknown word."""
    try:
        found = word_swatch(word)
    except KeyError:
        return None
    return _checked(found.rgb, (found.stripe,) if found.stripe else ())


def _stripes(colour: Colour) -> tuple[str, ...]:
    return (colour.rgb, colour.stripe) if colour.stripe else (colour.rgb,)


def _checked(base: str, tracers: tuple[str, ...]) -> Swatch | None:
    # The value goes into drawings as it stands, so it is held to its form here, whoever made the table.
    if all(_RGB.fullmatch(rgb) for rgb in (base, *tracers)):
        return Swatch(base, tracers)
    return None
