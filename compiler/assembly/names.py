"""Near misses among names: what an author may have meant."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import SequenceMatcher, get_close_matches

# Letters that are read, and typed, for figures.
_LOOK_ALIKE = str.maketrans("oil", "011")


def nearest(name: str, known: Iterable[str]) -> str:
    """The known name closest to `name`, or empty when none is close or too many are. Ties go to the first in order."""
    names = list(known)
    if found := alike(name, names):
        return found
    if name.isdigit() or len(name) == 1:
        return ""  # 12 is no nearer to 13 than to 31
    if len(name) <= 4:
        # difflib's ratio is blunt for short ids: one changed, lost or added character is near enough.
        close = {c: SequenceMatcher(None, name, c).ratio() for c in names if _one_apart(name, c)}
        nearest_ = [c for c, ratio in close.items() if ratio == max(close.values())]
        # E9 is as near to E1 as to E2 and E3: none of them is meant more than another.
        return nearest_[0] if 0 < len(nearest_) <= 2 else ""
    near = get_close_matches(name, names, n=1, cutoff=0.72)
    return near[0] if near else ""


def alike(name: str, known: Iterable[str]) -> str:
    """The known name that differs in upper and lower case only, or in letters typed for figures; or empty."""
    names = list(known)
    for fold in (str.casefold, _as_figures):
        own = fold(name)
        for candidate in names:
            if candidate != name and fold(candidate) == own:
                return candidate
    return ""


def _as_figures(name: str) -> str:
    return name.casefold().translate(_LOOK_ALIKE)


def _one_apart(a: str, b: str) -> bool:
    if abs(len(a) - len(b)) > 1 or a == b:
        return False
    if len(a) == len(b):
        return sum(x != y for x, y in zip(a, b, strict=True)) == 1
    short, long = sorted((a, b), key=len)
    return any(long[:i] + long[i + 1 :] == short for i in range(len(long)))
