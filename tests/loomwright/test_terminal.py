"""What a person sees: the line, the carets under the very stretch, and nothing that steers the terminal."""

from __future__ import annotations

import io
import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from grammar.finding import Note, Severity
from grammar.source import Source, Span
from loomwright.report import Report, Reported
from loomwright.reports.clean import visible
from loomwright.reports.excerpt import excerpt
from loomwright.reports.styled import Piece, rendered, wrapped
from loomwright.reports.summary import summary
from loomwright.reports.terminal import write_findings
from tests.loomwright.reports import SOURCE, finding, report, span

ESCAPE = re.compile(r"\x1b\[[0-9;]*m")


def written(of: Report, *, colour: bool = False, width: int | None = 80) -> str:
    out = io.StringIO()
    write_findings(of, out, colour=colour, width=width)
    return out.getvalue()


FULL = finding(
    span("C40.7"),
    notes=(Note(span("C40"), "C40 is declared here"), Note(None, "the other half is in the tailgate harness")),
    mend="wire the tailgate half of C40.7, or mark it `spare 7`",
)


def test_one_finding_on_a_terminal() -> None:
    assert (
        written(report(Reported(FULL, ("S4", "S6")), variants=("S2", "S4", "S6")))
        == """\
error: cavity C40.7 is wired on the body side only               dangling-cavity
  fragments/rear-screen.loom:3:16
  3 |   B  C12.G4 -- C40.7    3.1 m
    |                ^^^^^
  fragments/rear-screen.loom:1:11  C40 is declared here
  1 | connector C40 "Tailgate hinge" 10 cavities body -- tailgate
    |           ^^^
  note: the other half is in the tailgate harness
  in variants S4, S6
  mend: wire the tailgate half of C40.7, or mark it `spare 7`

"""
    )


def test_colours_change_nothing_but_colours() -> None:
    plain, coloured = written(report(FULL)), written(report(FULL), colour=True)
    assert "\x1b[" in coloured
    assert ESCAPE.sub("", coloured) == plain


def test_in_a_pipe_a_sentence_stays_on_one_line() -> None:
    long = finding(span("C40.7"), "word " * 60 + "end", mend="mend " * 60 + "end")
    lines = written(report(long), width=None).splitlines()
    assert lines[0].endswith("end  dangling-cavity")
    assert lines[-2].endswith("mend end")


def test_on_a_terminal_a_sentence_is_wrapped_below_itself() -> None:
    long = finding(span("C40.7"), "word " * 30 + "end", mend="mend " * 30 + "end")
    lines = written(report(long), width=60).splitlines()
    assert all(len(line) <= 60 for line in lines)
    assert lines[0].endswith("dangling-cavity")
    assert lines[1].startswith("       word")
    assert any(line.startswith("        mend mend") for line in lines)


def test_a_finding_without_a_place() -> None:
    crash = finding(None, "the check broke down", check="check-crashed", mend="tell us")
    assert written(report(crash), width=60) == (
        "error: the check broke down                    check-crashed\n  mend: tell us\n\n"
    )


@pytest.mark.parametrize(
    ("variants", "all_variants", "told"),
    [
        (("S4",), ("S4",), None),
        (("S4",), ("S2", "S4"), "in variant S4"),
        (("S2", "S4"), ("S2", "S4"), "in both variants"),
        (("S2", "S4", "S6"), ("S2", "S4", "S6"), "in all 3 variants"),
        ((), ("S2", "S4"), None),
    ],
)
def test_variants_are_named_where_there_are_several(
    variants: tuple[str, ...], all_variants: tuple[str, ...], told: str | None
) -> None:
    lines = written(report(Reported(finding(span("C40.7")), variants), variants=all_variants)).splitlines()
    assert [line.strip() for line in lines if line.startswith("  in ")] == ([told] if told else [])


def test_the_summary_counts_what_there_is() -> None:
    assert summary(report()) == "no findings (1 variant, 3 files, 0.25 s)"
    several = report(
        finding(), finding(), finding(severity=Severity.WARNING), finding(severity=Severity.NOTE),
        variants=("S4", "S6", "S8"), waived=2,
    )  # fmt: skip
    assert summary(several) == "2 errors, 1 warning, 1 note in 1 of 3 variants; 2 waived (3 variants, 3 files, 0.25 s)"
    assert summary(report(finding(severity=Severity.WARNING), variants=("S4",))).startswith("0 errors, 1 warning (")


def shown(line: str, start: int, end: int, room: int = 80) -> tuple[str, str]:
    """The line as shown and the text that stands above the carets."""
    source = Source("x.loom", line)
    found = excerpt(Span(source, start, end), room)
    at = 0
    above = []
    for character in found.text:
        width = cell_len(character)
        if found.before <= at < found.before + found.carets:
            above.append(character)
        at += width
    return found.text, "".join(above)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("  A  K7.87 -- C12.G4", "C12.G4"),
        ("\tA\tK7.87\t-- C12.G4", "C12.G4"),
        ("配線 図 A -- C12.G4", "C12.G4"),
        ("A -- 配線", "配線"),
        ("e\u0301e\u0301 A -- C12.G4", "C12.G4"),
        ("\x1b[31m A -- C12.G4", "C12.G4"),
        ("\u202eabc A -- C12.G4", "C12.G4"),
        ("🚚🚚 A -- C12.G4", "C12.G4"),
    ],
)
def test_carets_stand_under_the_very_stretch(line: str, words: str) -> None:
    start = line.index(words)
    assert shown(line, start, start + len(words))[1] == words


@pytest.mark.parametrize("before", [0, 5, 70, 78, 79, 80, 81, 500, 9000])
@pytest.mark.parametrize("after", [0, 3, 80, 9000])
def test_a_long_line_is_cut_around_the_span(before: int, after: int) -> None:
    line = "." * before + "C40.7" + "," * after
    text, above = shown(line, before, before + 5)
    assert above == "C40.7"
    assert cell_len(text) <= 80


def test_a_span_longer_than_the_line_is_marked_as_far_as_it_is_shown() -> None:
    text, above = shown("x" * 500, 100, 400)
    assert len(text) == 80
    assert set(above) <= {"x", "…"}
    assert above.startswith("x" * 20)


def test_a_span_over_several_lines_is_marked_to_the_end_of_its_first() -> None:
    source = Source("x.loom", "circuit 48 {\n  A a -- b\n}\n")
    found = excerpt(Span(source, 0, len(source.text)), 80)
    assert (found.text, found.before, found.carets) == ("circuit 48 {", 0, 12)


def test_an_empty_span_at_the_end_of_the_text_has_one_caret() -> None:
    source = Source("x.loom", "circuit 48 {\n")
    found = excerpt(Span(source, 13, 13), 80)
    assert (found.number, found.text, found.before, found.carets) == (2, "", 0, 1)


@given(st.text(max_size=300), st.integers(0, 300), st.integers(0, 40), st.integers(20, 100))
def test_no_text_steers_the_terminal_or_leaves_the_window(text: str, start: int, length: int, room: int) -> None:
    source = Source("x.loom", text)
    start = min(start, len(text))
    found = excerpt(Span(source, start, min(start + length, len(text))), room)
    assert cell_len(found.text) <= room + 10  # one character may be shown as up to ten: <U+E0001>
    assert found.before + found.carets <= room + 10
    assert not any(unicodedata.category(character) in ("Cc", "Cf", "Zl", "Zp", "Cs") for character in found.text)


HOSTILE = "\x1b]0;owned\x07\x1b[2J\x9b31m\u202eabc\u2066\x00\r\n::error::x[bold red]&<b>"


def test_hostile_text_in_every_part_is_shown_not_obeyed() -> None:
    source = Source(f"a{HOSTILE}.loom", f"splice {HOSTILE} in body\n")
    bad = finding(
        Span(source, 0, 6),
        f"says {HOSTILE}",
        check="dangling-cavity",
        notes=(Note(Span(source, 0, 1), HOSTILE),),
        mend=HOSTILE,
    )
    for colour in (False, True):
        text = ESCAPE.sub("", written(report(Reported(bad, ("S4",))), colour=colour))
        assert not any(unicodedata.category(c) in ("Cc", "Cf") for c in text if c != "\n")
        assert "[bold red]&<b>" in text
        assert "\n::error" not in text


@given(st.text())
def test_visible_text_has_one_line_and_no_controls(text: str) -> None:
    shown_text = visible(text)
    assert len(shown_text.splitlines()) <= 1
    assert not any(unicodedata.category(c) in ("Cc", "Zl", "Zp", "Cs") for c in shown_text)


def test_plain_text_is_left_as_it_is() -> None:
    assert visible('Lampe für Öl "x" 配線 [b] `') == 'Lampe für Öl "x" 配線 [b] `'


@given(
    st.lists(st.tuples(st.text("ab `配 ", max_size=12), st.sampled_from(["", "bold", "dim"])), max_size=8),
    st.integers(5, 30),
)
def test_wrapping_loses_no_word(parts: list[tuple[str, str]], width: int) -> None:
    line = [Piece(*part) for part in parts]
    lines = wrapped(line, width, width)
    assert " ".join(rendered(piece, False) for piece in lines).split() == rendered(line, False).split()
    for one in lines:
        words = rendered(one, False).split()
        assert cell_len(rendered(one, False).strip()) <= width or len(words) <= 1


def test_the_same_source_is_shown_under_its_name() -> None:
    assert SOURCE.name in written(report(FULL))
