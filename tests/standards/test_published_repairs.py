"""The repair notes against what the published rules say; the words quoted were read where a grade of A or B says so."""

from __future__ import annotations

import pytest

from compiler.standards.repairs import RepairNote, repair_notes

# Source, what it says (quoted in part), and words that the note must have.
SAID = [
    # NASA-STD-8739.4 with change 6, 4.3 item 4: "Stranded wire shall be used for crimping ... Crimping of solder tinned
    # stranded wire is prohibited"; several copies, and NASA's own workmanship pages.
    ("NASA-STD-8739.4", "stranded wire only", "A"),
    # NEETS module 4, page 2-2: a splice or connection is to be "both mechanically and electrically as sound as the
    # conductor"; one copy.
    ("NEETS module 4", "mechanically and electrically as sound as the wire", "B"),
    # The same page, of strippers: to be set so that this "avoids nicking, cutting".
    ("NEETS module 4", "without nicking or cutting", "B"),
    # The same, page 2-21: indent centred and in line, lug not cracked, no insulation crimped in the barrel; "cut off the
    # defective connection and remake using a new terminal lug".
    ("NEETS module 4", "make it anew with a new terminal", "B"),
    # AC 43.13-1B, 11-96: wiring "must be replaced with equivalent wire" where chafed, frayed or brittle; an excerpt.
    ("AC 43.13-1B, 11-96", "frayed, chafed through or brittle", "B"),
    # The same, 11-167: "not be more than one splice in any one wire segment between any two connectors"; an excerpt.
    ("AC 43.13-1B, 11-167", "no second joint in a wire between two connectors", "B"),
    # From memory.
    ("AC 43.13-1B, chapter 11", "stagger the joints", "C"),
]


@pytest.mark.parametrize(("source", "words", "grade"), SAID)
def test_a_published_rule_is_told_with_its_source_and_grade(source: str, words: str, grade: str) -> None:
    (note,) = [note for note in repair_notes() if words in note.text]
    assert source in note.source
    assert note.grade == grade


def test_the_rest_is_common_practice_and_says_so() -> None:
    rest = [note for note in repair_notes() if not any(words in note.text for _, words, _ in SAID)]
    assert rest
    assert all(note == RepairNote(note.about, note.text, "common practice", "common practice") for note in rest)


def test_they_give_no_figures() -> None:
    assert not any(letter.isdigit() for note in repair_notes() for letter in note.text)
