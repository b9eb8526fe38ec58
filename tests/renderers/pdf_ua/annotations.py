"""Annotations page by page: the order of the tabulator, words for links, links that lead somewhere.

ISO 14289-1, 7.18, and the Matterhorn Protocol, checkpoint 28, from memory: grade C.
"""

from __future__ import annotations

from collections.abc import Iterator

import pikepdf

from tests.renderers.pdf_ua.found import Destinations, Violation, get, key_of, listed, said


def annotation_faults(pdf: pikepdf.Pdf, destinations: Destinations) -> Iterator[Violation]:
    """Faults of annotations that do not concern the structure tree."""
    for number, page in enumerate(pdf.pages, 1):
        where = f"page {number}"
        notes = [note for note in listed(get(page.obj, "/Annots")) if isinstance(note, pikepdf.Dictionary)]
        if notes and get(page.obj, "/Tabs") != "/S":
            yield Violation("tabs", where, "links, and their order is not that of the structure")
        paper = paper_of(page)
        for note in notes:
            for rule, says in _faults(note, page, paper, destinations):
                yield Violation(rule, where, says)


def paper_of(page: pikepdf.Page) -> list[float]:
    """Left, bottom, right and top of a page, points."""
    return [float(side) for side in page.mediabox.as_list()]


def _faults(
    note: pikepdf.Dictionary, page: pikepdf.Page, paper: list[float], destinations: Destinations
) -> Iterator[tuple[str, str]]:
    sort = get(note, "/Subtype")
    if "/P" in note and key_of(get(note, "/P")) != page.obj.objgen:
        yield "annotation", "its page is another"
    box = [float(side) for side in listed(get(note, "/Rect"))]
    if len(box) != 4 or box[0] >= box[2] or box[1] >= box[3]:
        yield "annotation", f"it has no size: {box}"
    elif not (paper[0] - 2 <= box[0] and box[2] <= paper[2] + 2 and paper[1] - 2 <= box[1] and box[3] <= paper[3] + 2):
        yield "annotation", f"it lies beside the page: {[*map(round, box)]}"
    if sort == "/TrapNet" or sort not in ("/Link", "/Widget", "/PrinterMark", "/Text", "/Popup", "/FreeText"):
        yield "annotation", f"a sort {sort} that a printed pack has no use for"
    if not said(get(note, "/Contents")).strip():
        yield "link-words", f"a {str(sort)[1:]} without words for it"
    if sort == "/Link" and (says := destinations.fault_of_target(note)):
        yield "link-target", says
