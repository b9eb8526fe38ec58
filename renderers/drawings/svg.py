"""SVG as text: escaped, rounded, the same on every machine."""

from __future__ import annotations

import re
from collections.abc import Mapping

from renderers.text import clean

FONT = "Arimo, 'Liberation Sans', Arial, Helvetica, sans-serif"
_SPECIAL = re.compile(r"[&<>\"']")
_ENTITIES = {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;"}


def escape(text: str) -> str:
    """Text for element content or an attribute in double quotes."""
    return _SPECIAL.sub(lambda match: _ENTITIES[match[0]], clean(text))


def number(value: float) -> str:
    """A coordinate: two decimals at most, never `-0`."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def element(name: str, attributes: Mapping[str, str | float], content: str = "") -> str:
    """An element; `content` is markup already."""
    given = "".join(
        f' {key}="{escape(value) if isinstance(value, str) else number(value)}"' for key, value in attributes.items()
    )
    return f"<{name}{given}>{content}</{name}>" if content else f"<{name}{given}/>"


def text(x: float, y: float, words: str, size: float, **more: str) -> str:
    """A line of text with its baseline at y. Keyword names take hyphens for underscores."""
    given: dict[str, str | float] = {"x": x, "y": y, "font-size": size}
    given.update({key.replace("_", "-"): value for key, value in more.items()})
    return element("text", given, escape(words))


def drawing(width: float, height: float, parts: list[str]) -> str:
    """A whole SVG element of a size in points."""
    box = f"0 0 {number(width)} {number(height)}"
    return element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": box,
            "width": f"{number(width)}pt",
            "height": f"{number(height)}pt",
            "font-family": FONT,
            "fill": "#000",
        },
        "".join(parts),
    )
