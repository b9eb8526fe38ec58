"""An item that nothing uses."""

from __future__ import annotations

from collections.abc import Iterator

from compiler.checks._usage import Unused
from compiler.checks.base import Check, Subject
from grammar.finding import Finding, Severity


class UnusedFragmentItem(Check):
    """Page: pages/unused-fragment-item.md."""

    name = "unused-fragment-item"
    severity = Severity.WARNING
    family = "names and references"

    def run(self, subject: Subject) -> Iterator[Finding]:
        for unused in subject.usage.unused:
            yield self._finding(unused)

    def _finding(self, unused: Unused) -> Finding:
        item, sort = unused.item, unused.sort
        if sort == "circuit":
            says, mend = f"circuit {item.id} has no wires", "give it its wires"
        elif unused.shared:
            says, mend = f"{sort} {item.id} is used by nothing", "use it"
        elif sort == "fuse block":
            says, mend = f"fuse block {item.id} holds nothing", "put its fuses into its block"
        elif sort == "cable":
            says, mend = f"no wire runs in cable {item.id}", f"say `core {item.id}...` on its wires"
        else:
            says, mend = f"no wire reaches {sort} {item.id}", "end its wires at it"
        if not item.fragment:
            return self.finding(item.at, says, mend=f"{mend}, or take it out")
        if unused.shared:
            # Places, metal and kinds of the whole line: that one variant has no use for one of them is no fault.
            mend = "take it out if no variant uses it" + (f"; else say `omit {unused.omit}`" if unused.omit else "")
            return self.finding(item.at, f"{says} in this variant", mend=mend, severity=Severity.NOTE)
        mend += f", or say `omit {unused.omit}` in the variant"
        return self.finding(item.at, f"{says} in this variant", mend=mend)
