"""Text from a source made safe to show: what would steer a terminal or turn the reading direction becomes visible."""

from __future__ import annotations

import re

# Controls (C0, DEL, C1), marks that turn the reading direction, characters without width, line and paragraph
# separators, tag characters, half surrogates, and private or unassigned ends of planes.
_UNSAFE = re.compile(
    "[\x00-\x1f\x7f-\x9f\xad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u2028-\u202e\u2060-\u206f"
    "\u3164\ud800-\udfff\ufe00-\ufe0f\ufeff\uffa0\ufff0-\ufffb\ufffe\uffff\U000e0000-\U000e0fff]"
)
_PICTURES = 0x2400  # the block of control pictures stands in the order of the controls


def visible(text: str) -> str:
    """`text` on one line, with every character that a terminal would obey or hide replaced by one that can be seen."""
    return _UNSAFE.sub(_shown, text)


def _shown(match: re.Match[str]) -> str:
    code = ord(match[0])
    if code in (0x09, 0x0A, 0x0D):
        return " "
    if code < 0x20:
        return chr(_PICTURES + code)
    return "␡" if code == 0x7F else f"<U+{code:04X}>"
