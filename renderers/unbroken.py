"""What is read as one stays on one line: a figure and its unit, a sheet and its number, a name and its last figure.

Writers of pages hold it together with spaces that do not break; data files keep plain ones.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from renderers.tables import Run

HELD = "\u00a0"  # a space that no line breaks at

_UNITS = (
    "mm²|mm|m|AWG|SAE|V|mV|A|mA|Ah|W|kW|Ω|mΩ|kΩ|ohm|mohm|kohm|F|µF|mF|H|mH|Hz|kHz|N|Nm|°C|°|K|bar|kPa|%|s|ms|h|min"
    "|minutes?"
)
_HELD = re.compile(
    rf"(?<=\d) (?=(?:{_UNITS})(?![\w²]))"
    # A sheet with its number, page and zone; a page of paper.
    r"|(?<=\b[Ss]heet) (?=[\w(])|(?<=\b[Ss]heets) (?=[\w(])|(?<=\w) (?=\(\d{1,2}\))"
    r"|(?<=\b[Zz]one) (?=[A-Z]\d)|(?<=\bp\.) (?=\d)"
    # The last figure of a name, or the sign of a pole.
    r"|(?<=[^\W\d]) (?=\d(?!\w|[.,]\d))|(?<=\w) (?=[-−+](?:$|[,;.)]))"
)
_COLOUR_AND_SIZE = re.compile(r"^ ([A-Za-z/]+) (?=\d)")
_TO_SHEET = re.compile(r"\b([Ss]heets?) $")


@lru_cache(maxsize=65536)
def unbroken(text: str) -> str:
    """The text with what is read as one held together."""
    return _HELD.sub(HELD, _COLOUR_AND_SIZE.sub(rf"{HELD}\1{HELD}", text)) if " " in text else text


def held(runs: Iterable[Run]) -> tuple[Run, ...]:
    """Runs with what is read as one held together, across two of them too: a word before the sheet that it names."""
    done: list[Run] = []
    for run in runs:
        if not run.link.startswith("sheet-"):
            done.append(run._replace(text=unbroken(run.text)))
            continue
        if done:
            done[-1] = done[-1]._replace(text=_TO_SHEET.sub(rf"\1{HELD}", done[-1].text))
        done.append(run._replace(text=run.text.replace(" ", HELD)))
    return tuple(done)
