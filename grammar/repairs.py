"""Small changes that may be what the author meant: each is tried, and offered only if the statement then reads."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator
from typing import NamedTuple

from grammar.engine import Stuck
from grammar.words import closest


class Repair(NamedTuple):
    """Put `text` in place of `start` to `end`; `says` what is wrong there, `mend` how to put it right.

    `at` is the one character to point at, when the change is larger than the fault.
    """

    start: int
    end: int
    text: str
    says: str
    mend: str
    at: int = -1


class Broken(NamedTuple):
    """A statement that got stuck: the whole source text, where the statement begins and ends, and what could follow."""

    text: str
    start: int
    end: int
    stuck: Stuck
    can: frozenset[str]
    words: Collection[str]  # every fixed word of the language
    beginnings: Collection[str]  # those that a line can begin with here


_WORD = re.compile(r'"(?:[^"\\\n]|\\[^\n])*"|[^\s"{},()#;?]+')
_LOOSE_POINT = re.compile(r"\(?[ \t]*(-?\d+(?:\.\d+)?)[ \t]*[,;/]?[ \t]+(-?\d+(?:\.\d+)?)[ \t]*\)?")
_JOIN = re.compile(r"(?:<?[-=–—−→]+>?|[<>→]+)+")
_BARE = re.compile(r"[ \t]*\w[^\s\"{}(),;#?]*")
_CURLY = str.maketrans(dict.fromkeys("“”„‟«»‘’'`´", '"'))


def best_repair(broken: Broken, reaches: Callable[[str], float]) -> Repair | None:
    """The first repair that lets the whole statement be read, else the first that lets it be read further.

    `reaches` says how far a changed statement can be read: an offset into it, infinite for all of it.
    """
    got = broken.stuck.found.start - broken.start
    further: Repair | None = None
    for repair in _candidates(broken):
        changed = _changed(broken, repair)
        reached = reaches(changed)
        if reached == float("inf"):
            return repair
        grown = len(changed) - (broken.end - broken.start)
        behind = repair.start - broken.start + len(repair.text)
        behind += len(changed[behind:]) - len(changed[behind:].lstrip())
        if further is None and reached > max(got + grown, behind):
            further = repair
    return further


def _changed(broken: Broken, repair: Repair) -> str:
    return broken.text[broken.start : repair.start] + repair.text + broken.text[repair.end : broken.end]


def _candidates(broken: Broken) -> Iterator[Repair]:
    yield from _marks(broken)
    yield from _spelling(broken)
    yield from _quotes(broken)


def _marks(broken: Broken) -> Iterator[Repair]:
    text, found, end = broken.text, broken.stuck.found, broken.end
    at = found.start
    if "DASHES" in broken.can:
        join = _JOIN.match(text, at, end)
        if join:
            shown = join[0]
            yield Repair(at, join.end(), " -- ", f"`--` joins two ends, not `{shown}`", "write `--`")
        before = broken.stuck.before
        if before is not None and found.kind in ("NAME", "UNKNOWN"):
            says = f"after `{before.text}` comes `--`, not `{found.text}`"
            yield Repair(at, at, "-- ", says, f"write `--` between `{before.text}` and `{found.text}`")
    comma = re.compile(r"\d+,\d+").match(text, max(broken.start, _start_of_number(text, at)), end)
    if comma and comma.start() <= at < comma.end():
        number = comma[0].replace(",", ".")
        yield Repair(comma.start(), comma.end(), number, "a number has a decimal point, not a comma", f"write {number}")
    if text[at : at + 1] == "," and "$END" in broken.can:
        yield Repair(at, at + 1, " ", "words stand apart by blanks, without commas", "leave the comma out")
    if text[at : at + 1] in ("=", ":"):
        says = f"a value follows its word without `{text[at]}`"
        yield Repair(at, at + 1, " ", says, f"leave `{text[at]}` out")
    if re.compile(r"\.\d").match(text, at, end):
        yield Repair(at, at, "0", "a number begins with a digit", "write 0 before the point")
    if text.startswith(("//", "/*", "%"), at):
        stop = text.find("\n", at, end)
        stop = stop if stop >= 0 else end
        yield Repair(at, stop, "", "a comment begins with `#`", "write `#`")
    point = _LOOSE_POINT.match(text, at, end)
    if point and "POINT" in broken.can:
        right = f"({point[1]}, {point[2]})"
        yield Repair(at, point.end(), right, f"a point reads (x, y), not {point[0]}", f"write {right}")
    if "BY" in broken.can and found.text in ("x", "X", "×", "*"):
        yield Repair(at, at + 1, "by", f"`by` stands between width and height, not `{found.text}`", "write `by`")


def _start_of_number(text: str, at: int) -> int:
    while at > 0 and text[at - 1].isdigit():
        at -= 1
    return at


def _spelling(broken: Broken) -> Iterator[Repair]:
    """Words that are nearly words of the language: the one found, then backwards, then the first of the line."""
    found = broken.stuck.found
    seen = list(_WORD.finditer(broken.text, broken.start, min(broken.end, found.end)))
    for match in [*seen[:-5:-1], *seen[:1]]:
        word = match[0]
        if match.start() == broken.start:
            choices = [] if word in broken.beginnings else broken.beginnings
        else:
            choices = [] if word in broken.words else broken.words
        right = closest(word, choices)
        if right:
            says = f"`{word}` is not a word that can stand here"
            yield Repair(match.start(), match.end(), right, says, f"did you mean `{right}`?")


def _quotes(broken: Broken) -> Iterator[Repair]:
    """Texts without quotes or with quotes of another kind."""
    text, start, end = broken.text, broken.start, broken.end
    straight = text[start:end].translate(_CURLY)
    changed = [place for place in range(start, end) if text[place] != straight[place - start]]
    if changed:
        first, last = changed[0], changed[-1] + 1
        says = f"a text stands between straight double quotes, not {text[first]}"
        mend = 'write " before and behind the text'
        yield Repair(first, last, straight[first - start : last - start], says, mend, first)
    found, before = broken.stuck.found, broken.stuck.before
    last = anchor = found.start if "STRING" in broken.can or before is None else before.start
    for _ in range(5):
        match = _BARE.match(text, last, end)
        if not match or match[0].strip() in broken.words:
            return
        last = match.end()
        bare = text[anchor:last]
        yield Repair(anchor, last, f'"{bare}"', "a text stands in double quotes", f'write "{bare}"')
