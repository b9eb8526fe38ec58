"""Reading a broken text: nothing raises, one finding a mistake, good neighbours kept."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from grammar.engine import Stuck, run
from grammar.finding import Severity
from grammar.formatter import meaning
from grammar.limits import FINDINGS
from grammar.parser import Parsed, parse
from grammar.source import Source
from grammar.tables import table
from grammar.tree import Statement, Wire, walk
from tests.chaos.variants import make_variant
from tests.grammar.conftest import good_texts

BITS = st.sampled_from(
    [
        *'{}";#,?()= -\n\r\u202e\ud800\x00“é\u00a0',
        "--",
        "\\\n",
        "\r\n",
        "at",
        "in",
        "when",
        "9",
        "12 V",
        "C40.7",
        "circuit",
    ]
)


@st.composite
def broken_texts(draw: st.DrawFn) -> str:
    """A good text with a few places cut out or written over."""
    text = draw(st.sampled_from(good_texts()))
    start = draw(st.integers(0, max(0, len(text) - 600)))
    text = text[start : start + 600]
    for _ in range(draw(st.integers(1, 6))):
        at = draw(st.integers(0, len(text)))
        length = draw(st.sampled_from([0, 0, 1, 2, 10, 60]))
        text = text[:at] + draw(BITS) + text[at + length :]
    return text


def is_good(text: str) -> bool:
    try:
        run(table(), text, "file")
    except Stuck:
        return False
    return True


def check(text: str) -> Parsed:
    source = Source("t.loom", text)
    parsed = parse(source)
    for finding in parsed.findings:
        assert finding.check in ("syntax", "limit")
        assert finding.severity is Severity.ERROR
        assert finding.says
        assert finding.at is not None
        assert finding.at.source is source
        assert 0 <= finding.at.start <= finding.at.end <= len(text)
    starts = [finding.at.start for finding in parsed.findings if finding.at]
    assert starts == sorted(starts)
    if not is_good(text):
        assert parsed.findings
    for node in walk(parsed.tree.lines):
        assert 0 <= node.start < node.end <= len(text)
    return parsed


@given(broken_texts())
def test_no_broken_text_raises_and_each_has_a_finding(text: str) -> None:
    check(text)


@given(st.text(max_size=200))
def test_no_text_at_all_raises(text: str) -> None:
    check(text)


@given(st.text('{}"#;\\\n ab-?,(', max_size=80))
def test_no_heap_of_marks_raises(text: str) -> None:
    check(text)


MISTAKES = st.sampled_from(
    ["-", "(1 2)", "=", "splice", 'at "x"', "circuit 9 in", "A -- B", "bus B (1, 1)", "when { }"]
)


@given(st.integers(0, 4), st.lists(st.tuples(st.integers(0, 10_000), MISTAKES), min_size=1, max_size=12))
def test_each_mistake_at_the_top_is_one_finding_and_hurts_no_neighbour(
    seed: int, places: list[tuple[int, str]]
) -> None:
    text = make_variant(seed, 40)
    clean = parse(Source("clean", text)).tree
    at_place = {clean.lines[number % len(clean.lines)].start: mistake for number, mistake in places}
    for at, mistake in sorted(at_place.items(), reverse=True):
        text = f"{text[:at]}{mistake}\n{text[at:]}"
    parsed = check(text)
    assert len(parsed.findings) == len(at_place), [finding.says for finding in parsed.findings]
    assert meaning(parsed.tree) == meaning(clean)


@given(
    st.integers(0, 4), st.sets(st.integers(0, 10_000), min_size=1, max_size=10), st.sampled_from(["-", "", "==", "→"])
)
def test_a_broken_wire_is_one_finding_and_its_circuit_keeps_the_others(seed: int, numbers: set[int], join: str) -> None:
    text = make_variant(seed, 40)
    clean = parse(Source("clean", text)).tree
    wires = [node for node in walk(clean.lines) if isinstance(node, Wire)]
    broken = {number % len(wires) for number in numbers}
    for number in sorted(broken, reverse=True):
        wire = wires[number]
        text = text[: wire.a.end] + f" {join} " + text[wire.b.start :]
    parsed = check(text)
    assert len(parsed.findings) == len(broken)
    kept = [node for node in walk(parsed.tree.lines) if isinstance(node, Wire)]
    assert [(w.label.text, w.a.text, w.b.text) for w in kept] == [
        (w.label.text, w.a.text, w.b.text) for number, w in enumerate(wires) if number not in broken
    ]
    statements = [node for node in parsed.tree.lines if isinstance(node, Statement)]
    assert len(statements) == len([node for node in clean.lines if isinstance(node, Statement)])


@given(st.integers(0, 4), st.integers(0, 10_000))
def test_a_forgotten_brace_is_found_at_its_block(seed: int, number: int) -> None:
    text = make_variant(seed, 40)
    clean = parse(Source("clean", text)).tree
    blocks = [
        node.block
        for node in clean.lines
        if isinstance(node, Statement) and node.block and text[node.block.end - 2 : node.block.end] == "\n}"
    ]
    block = blocks[number % len(blocks)]
    parsed = check(text[: block.end - 1] + text[block.end :])
    (finding,) = parsed.findings
    assert finding.at is not None
    assert finding.at.start == block.start
    assert len(parsed.tree.lines) == len(clean.lines)


def test_one_closing_finding_ends_a_hopeless_file() -> None:
    parsed = check("splice\n" * 5_000)
    assert len(parsed.findings) == FINDINGS + 1
    assert parsed.findings[-1].check == "limit"


def test_a_broken_file_keeps_its_comments() -> None:
    parsed = check('# one\nsplice # two\ncircuit 4 { # three\n A - B "#no" # four\n}\n')
    assert [comment.text for comment in parsed.tree.comments] == ["# one", "# two", "# three", "# four"]


def test_facts_over_several_lines_stay_one_statement() -> None:
    parsed = check('expect "x" {\n  set IGN run, # the key\n    S21 on\n  then\n}\n')
    (finding,) = parsed.findings
    assert finding.says.startswith("after `then`")
    (node,) = parsed.tree.lines
    assert isinstance(node, Statement)
    assert node.block is not None
    assert len(node.block.lines) == 1
