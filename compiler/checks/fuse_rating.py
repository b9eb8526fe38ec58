"""A fuse of a rating that its type is not made in."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import amperes, listing
from compiler.checks.base import Check, Subject
from compiler.standards.fuses import FuseType, fuse_type, fuse_types
from compiler.standards.grades import grade_words
from grammar.finding import Finding, Note, Severity


class FuseRating(Check):
    """Page: pages/fuse-rating.md."""

    name = "fuse-rating"
    severity = Severity.ERROR
    family = "protection and feeds"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        for device in subject.variant.devices.values():
            rating = device.ratings.get("current")
            if device.kind not in ("fuse", "breaker", "fusible-link") or rating is None:
                continue
            if rating <= 0:
                yield self.finding(
                    device.at, f"{device.id} is rated {amperes(rating)}", mend="give the current it carries"
                )
            elif device.kind == "fuse" and device.word("type"):
                kind = fuse_type(device.word("type"))
                if not kind.is_standard(rating):
                    yield self.finding(
                        device.at,
                        f"{device.id}: a {kind.name} fuse is not made for {amperes(rating)}",
                        notes=(Note(None, f"ratings by {kind.source}: {grade_words(kind.grade)}"),),
                        mend=_mend(kind, rating),
                        # A list from memory may not fail a run.
                        severity=None if kind.enforces_ratings() else Severity.WARNING,
                    )


def _mend(kind: FuseType, rating: float) -> str:
    low, high = kind.range_a
    below = [r for r in kind.ratings if r < rating]
    above = [r for r in kind.ratings if r > rating]
    near = [*below[-1:], *above[:1]]
    if near:
        choice = f"next to it are {listing(map(amperes, near))}" if len(near) == 2 else f"nearest is {amperes(near[0])}"
    else:
        choice = f"it is made from {amperes(low)} to {amperes(high)}"
    others = [name for name in fuse_types() if fuse_type(name).ratings and fuse_type(name).is_standard(rating)]
    return choice + (f"; {amperes(rating)} is made as {listing(others)}" if others else "")
