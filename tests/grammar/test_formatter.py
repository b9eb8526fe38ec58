"""The one layout: what it looks like, that it changes nothing, and that it is stable."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grammar import formatter, layout
from grammar.formatter import CannotFormat, FormatterFault, format_text, meaning
from grammar.layout import WIDTH
from grammar.parser import parse
from grammar.source import Source
from tests.chaos.variants import make_variant
from tests.grammar.conftest import good_texts

LAYOUTS = Path(__file__).parent / "layouts"
NAMES = sorted(path.stem.removesuffix(".before") for path in LAYOUTS.glob("*.before.loom"))


def formatted(text: str) -> str:
    return format_text(Source("t.loom", text))


@pytest.mark.parametrize("name", NAMES)
def test_layout(name: str) -> None:
    before = (LAYOUTS / f"{name}.before.loom").read_bytes().decode()
    after = (LAYOUTS / f"{name}.after.loom").read_bytes().decode()
    assert formatted(before) == after


def test_there_are_layouts() -> None:
    assert len(NAMES) >= 5


def test_a_broken_text_is_refused_with_its_findings() -> None:
    with pytest.raises(CannotFormat) as refused:
        formatted("bus A\nsplice\n")
    (finding,) = refused.value.findings
    assert finding.at is not None
    assert finding.at.position.line == 2


@pytest.mark.parametrize(
    ("text", "after"),
    [
        ("", ""),
        ("\n\n", ""),
        ("\ufeff\r\n", ""),
        ("# only", "# only\n"),
        ("  # a\n\n\n  # b", "# a\n\n# b\n"),
        ("bus A;;", "bus A\n"),
    ],
)
def test_nearly_nothing(text: str, after: str) -> None:
    assert formatted(text) == after


SPACES = st.sampled_from([" ", "  ", "\t", " \\\n ", " \\\r\n"])


@st.composite
def spoilt_layouts(draw: st.DrawFn) -> str:
    """A good text with blanks, empty lines and comments strewn over it."""
    text = draw(st.sampled_from(good_texts()))
    lines = text.split("\n")
    start = draw(st.integers(0, max(0, len(lines) - 30)))
    lines = _whole(lines[start : start + 30])
    for _ in range(draw(st.integers(0, 12))):
        at = draw(st.integers(0, len(lines)))
        kind = draw(st.sampled_from(["comment", "empty", "behind", "indent", "blanks", "return"]))
        if kind == "comment":
            lines.insert(at, draw(st.sampled_from(["# a", "\t#b  ", "  #", "#\u00e9 {"])))
        elif kind == "empty":
            lines.insert(at, "")
        elif at < len(lines):
            line = lines[at]
            lines[at] = {
                "behind": line if line.endswith("\\") else f"{line} # behind",
                "indent": "      " + line,
                "blanks": line.replace(" ", draw(SPACES), 1) if '"' not in line and "#" not in line else line,
                "return": f"{line}\r",
            }[kind]
    return "\n".join(lines)


def _whole(lines: list[str]) -> list[str]:
    """As many of the lines as can be read on their own."""
    while lines and parse(Source("t", "\n".join(lines))).findings:
        lines = lines[:-1] if len(lines) % 2 else lines[1:]
    return lines


@given(spoilt_layouts())
def test_formatting_keeps_the_meaning_and_is_stable(text: str) -> None:
    before = parse(Source("t", text))
    if before.findings:
        with pytest.raises(CannotFormat):
            formatted(text)
        return
    after = formatted(text)
    assert meaning(parse(Source("t", after)).tree) == meaning(before.tree)
    assert formatted(after) == after
    assert "\t" not in after.replace("\t#", "")
    assert "\n\n\n" not in after
    for line in after.split("\n"):
        assert line == line.rstrip()
        assert "\r" not in line
    assert after == "" or after.endswith("\n")


@given(st.integers(0, 10_000))
def test_generated_variants(seed: int) -> None:
    text = make_variant(seed, 30)
    after = formatted(text)
    assert formatted(after) == after
    assert all(len(line) <= WIDTH for line in after.split("\n") if "#" not in line)


@pytest.mark.parametrize(
    "text",
    [
        "lamp E1 21 \\\n W\n",
        "lamp E1 21 at cab (1, 2) W\n",
        "lamp E1 { lamp 21 \\\n W }\n",
        "circuit 4 { A B -- C 5 \\\n m; D E -- F 5 \\\n core W1.1 }\n",
        "circuit 4 5 \\\n core W1.1 { }\n",
        "circuit 4 { A B -- C 5 in body core W1.1 }\n",
        'expect "x" { then A 21 \\\n W, B lit }\n',
        "cable W1 { core 1 2/0 \\\n AWG }\n",
    ],
)
def test_names_do_not_grow_together_to_a_quantity(text: str) -> None:
    after = formatted(text)
    assert meaning(parse(Source("t", after)).tree) == meaning(parse(Source("t", text)).tree)


def test_the_units_are_those_of_the_grammar() -> None:
    from grammar.generate import grammar_text
    from grammar.printing import UNITS

    listed = re.search(r"\(\?:(mm2\|[^)]*)\)", grammar_text())
    assert listed is not None
    assert set(listed[1].split("|")) == UNITS


def test_layout_of_blanks_alone_does_not_count() -> None:
    text = make_variant(5, 60)
    wide = "\n".join("   " + line.replace("  ", " ") for line in text.split("\n"))
    assert formatted(wide) == formatted(text)


def test_a_fault_of_ours_is_never_written(monkeypatch: pytest.MonkeyPatch) -> None:
    text = "circuit 4 {\n  A B -- C\n  D E -- F\n}\n"
    real = layout.render

    def wrong_by(change: object) -> None:
        monkeypatch.setattr(formatter, "render", lambda rows: change(real(rows)))  # type: ignore[operator]
        with pytest.raises(FormatterFault):
            formatted(text)

    wrong_by(lambda out: out.replace("D  E", "D  X"))
    wrong_by(lambda out: out.replace("--", "-"))
    wrong_by(lambda out: out + "# more\n")
    # Not the same layout twice.
    calls = iter(range(2))
    wrong_by(lambda out: out + "\n" * next(calls))


def test_meaning_tells_texts_apart() -> None:
    texts = [
        "bus A",
        "bus B",
        'bus A "x"',
        "bus A at cab",
        "bus A at cab (1, 2)",
        "when A { bus A }",
        "when not A { bus A }",
        "extend bus A",
        "circuit 1 { A B -- C }",
        "circuit 1 { A B -- ? }",
        "circuit 1 { A B -- C 1 m }",
        "circuit 1 { A B -- C 1 m BK }",
        "bus A # x",
        "bus A # y",
    ]
    meanings = [meaning(parse(Source("t", text)).tree) for text in texts]
    assert all(meanings[a] != meanings[b] for a in range(len(texts)) for b in range(a))
    same = ["fuse F 10A at c (1,2)", "fuse  F 10 A at c ( 1 , 2 )"]
    assert len({repr(meaning(parse(Source("t", text)).tree)) for text in same}) == 1
