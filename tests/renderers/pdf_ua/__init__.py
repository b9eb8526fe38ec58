"""An independent check of a PDF against PDF/UA-1: what of the standard a program can decide, read from the file alone.

It knows nothing of how our PDFs are made. The rules are those of ISO 14289-1 (PDF/UA-1) and ISO 32000-1, 14.6 to 14.8,
in the order of the Matterhorn Protocol of the PDF Association, whose failure conditions marked for machines are its
pattern. All of them are from memory (grade C); where the texts leave room, the stricter reading is taken. Beyond
the standard it asks that both directions of every reference agree, so that it can prove a file joined of parts.

What it does not check: contrast, whether words are apt, whether reading order makes sense, colour spaces, optional
content, glyph widths, fonts that are not TrueType beyond being embedded.
"""

from __future__ import annotations

import io
from pathlib import Path

import pikepdf

from tests.renderers.pdf_ua.agreement import agreement_faults, id_faults
from tests.renderers.pdf_ua.annotations import annotation_faults, paper_of
from tests.renderers.pdf_ua.content import read_contents
from tests.renderers.pdf_ua.document import document_faults
from tests.renderers.pdf_ua.fonts import font_faults
from tests.renderers.pdf_ua.found import Destinations, Violation
from tests.renderers.pdf_ua.nesting import nesting_faults
from tests.renderers.pdf_ua.tree import read_tree

__all__ = ["Violation", "violations"]


def violations(source: Path | bytes) -> list[Violation]:
    """All broken rules of a PDF, given as a path or as bytes; empty when it holds.

    Raises `pikepdf.PdfError` for what is no PDF.
    """
    with pikepdf.open(io.BytesIO(source) if isinstance(source, bytes) else source) as pdf:
        destinations = Destinations(pdf)
        contents = read_contents(pdf)
        found = [Violation("syntax", "document", says) for says in pdf.get_warnings()]
        found += document_faults(pdf, destinations)
        found += contents.faults
        found += font_faults(contents)
        found += annotation_faults(pdf, destinations)
        tree = read_tree(pdf)
        if tree is None:
            return [*found, Violation("root", "document", "there is no structure tree")]
        found += tree.faults
        found += agreement_faults(pdf, tree, contents)
        found += id_faults(tree)
        found += nesting_faults(tree, {page.obj.objgen: paper_of(page) for page in pdf.pages})
        return found
