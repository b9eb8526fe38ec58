"""Edits of sources: some of the tour vehicle's, with the sheets whose input they change, and any number at random."""

from __future__ import annotations

import re
from random import Random
from typing import NamedTuple

EVERY = frozenset({"P", "G", "1", "2", "3", "4", "5", "6", "U60"})

_HOUSE = """
colours HOUSE "House colours" {
  base iec-60757
  colour RD "red" "#AA0000"
}
"""


class Edit(NamedTuple):
    """What is done, the text before and after, and the sheets whose input it changes."""

    what: str
    old: str
    new: str
    sheets: frozenset[str] = frozenset()


def _edit(what: str, old: str, new: str, sheets: str = "") -> Edit:
    return Edit(what, old, new, frozenset(sheets.split()))


_BLOWER = "K1.87 -- M2.1 1 m"
TOUR = (
    _edit("a wire's colour", "F C1.6 -- B3.1 1 m in main", "F C1.6 -- B3.1 1 m BU in main", "4"),
    _edit("a wire's size", _BLOWER, f"{_BLOWER} 4 mm2", "3"),
    _edit("a wire's length", _BLOWER, "K1.87 -- M2.1 7 m"),
    _edit("a wire's note", _BLOWER, f'{_BLOWER} note "behind the duct"'),
    _edit("a comment", 'harness main "Main harness"', '# one\n\nharness main "Main harness"'),
    _edit("a point in a zone", "at bay (62, 62)", "at bay (63, 62)"),
    # Potentials shift behind the same fuse, and with them perhaps the order on a page.
    _edit("a cavity", "C4.5 -- B1.1", "C4.11 -- B1.1", "3 4 6 G P U60"),
    _edit("a wire moved to another component", "F H2.2 -- G101", "F B1.2 -- G101", "3 4 6 G P U60"),
    _edit("a new wire", "M F3.2 -- E9.1 1 m", "M F3.2 -- E9.1 1 m\n  N E9.1 -- X1.1 1 m", "3 5 G P"),
    _edit("a load's power", 'motor M2 "Fan" 1 2 150 W', 'motor M2 "Fan" 1 2 180 W', "3"),
    _edit("a title", '"Wiper, two speeds"', '"Wiper motor"', "3"),
    _edit("a place in words", 'at cab (100, 60) "above the pedals"', 'at cab (100, 60) "left"', "2 4"),
    _edit("a fuse's rating", 'F3 "Motors" slot 3 20 A', 'F3 "Motors" slot 3 25 A', "3 5 P"),
    _edit("a pin's title", '"Tacho"', '"Speed out"', "6"),
    _edit("when a contact is closed", "contact 1 2 when hot", "contact 1 2 when cold", "3"),
    _edit("a twist", "  twist 1 2\n", "", "6 G"),
    _edit("a sheet's title", '"Gauges" { circuits 30 }', '"Instruments" { circuits 30 }', "4"),
    _edit("a sheet's circuits", "{ circuits 40 }", "{ circuits 40 60 }", "1 5 G P"),
    _edit("a zone's title", 'zone bay  "Bay"', 'zone bay  "Engine bay"', "1 2 3 4 5 6 G P U60"),
    Edit("the issue", '"2027-1"', '"2027-2"', EVERY),
    Edit("the colour table", "supply     12.6 V\n}", f"supply 12.6 V\n}}{_HOUSE}", EVERY),
)

_PIECE = re.compile(r'"[^"\n]*"|[A-Za-z][\w.+/-]*|\d+(?:\.\d+)?')


def scrambled(random: Random, text: str) -> str:
    """A source with one thing in it made another: a line, a name everywhere, a word, a number or a text."""
    pieces = list(_PIECE.finditer(text))
    if random.random() < 0.2:
        lines = text.split("\n")
        line = lines.pop(random.randrange(len(lines)))
        return "\n".join(lines) if random.random() < 0.5 else "\n".join((*lines, line, line))
    if random.random() < 0.1:
        name = random.choice([piece[0] for piece in pieces if re.fullmatch(r"[A-Z]+\d+", piece[0])])
        return re.sub(rf"\b{name}\b", f"{name}9", text)
    piece = random.choice(pieces)
    if piece[0][0] == '"':
        new = random.choice(('"Other"', '""', f'"{piece[0][1:-1]} and more words than a line holds"'))
    elif piece[0][0].isdigit():
        new = random.choice((str(random.randrange(1, 12)), f"{piece[0]}0", "0.5"))
    else:
        new = random.choice([random.choice(pieces)[0] for _ in range(9)] + ["BU/WH"])
    return text[: piece.start()] + new + text[piece.end() :]
