"""A fuse's colour that does not belong to its type and rating."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._words import amperes, listing
from compiler.checks.base import Check, Subject
from compiler.model.items import Device
from compiler.standards.fuses import FuseType, fuse_type, fuse_types, fuses_of_colour
from compiler.standards.grades import grade_words
from grammar.finding import Finding, Note, Severity
from grammar.source import Span

# A colour is given to a type by its standard; a fuse without a type may be any of these.
_COLOURED = tuple(name for name in fuse_types() if fuse_type(name).colours)


class FuseColour(Check):
    """Page: pages/fuse-colour.md."""

    name = "fuse-colour"
    severity = Severity.ERROR
    family = "protection and feeds"
    needs_all = False

    def run(self, subject: Subject) -> Iterator[Finding]:
        for device in subject.variant.devices.values():
            colour, rating = device.word("colour"), device.ratings.get("current")
            if device.kind != "fuse" or not colour or colour == "?" or rating is None:
                continue
            if name := device.word("type"):
                found = self._typed(device, fuse_type(name), rating, colour)
            else:
                found = self._untyped(device, rating, colour)
            if found is not None:
                yield found

    def _typed(self, device: Device, kind: FuseType, rating: float, colour: str) -> Finding | None:
        if kind.fits_colour(rating, colour) is not False:
            return None
        right = kind.colours[rating]
        others = [amperes(r) for name, r in fuses_of_colour(colour) if name == kind.name]
        means = f"; {colour} is {listing(others)}" if others else ""
        grade = kind.colour_grades[rating]
        # Colours from memory may not fail a run.
        severity = None if kind.enforces_colour(rating) else Severity.WARNING
        return self.finding(
            _colour_at(device),
            f"a {amperes(rating)} {kind.name} fuse is {right[0]}, not {colour}{means}",
            notes=(Note(None, f"colours by {kind.source}: {grade_words(grade)}"),),
            mend=f"write `colour {right[0]}`, or give {device.id} the rating that its colour stands for",
            severity=severity,
        )

    def _untyped(self, device: Device, rating: float, colour: str) -> Finding | None:
        """Without a type a colour can be wrong only if no type has it at this rating."""
        kinds = [fuse_type(name) for name in _COLOURED]
        known = [kind for kind in kinds if rating in kind.colours]
        if not known or any(kind.fits_colour(rating, colour) for kind in known):
            return None
        usual: dict[str, list[str]] = {}
        for kind in known:
            usual.setdefault(kind.colours[rating][0], []).append(kind.name)
        right = listing(f"{name} ({', '.join(types)})" for name, types in usual.items())
        return self.finding(
            _colour_at(device),
            f"no {amperes(rating)} fuse is {colour}: it is {right}",
            mend=f"give {device.id} its type and the colour that belongs to it",
            severity=Severity.WARNING,
        )


def _colour_at(device: Device) -> Span:
    word = device.words["colour"]
    return Span(device.at.source, word.start, word.end)
