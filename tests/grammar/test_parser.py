"""Shapes and places in the tree of a clean text."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest

from grammar.parser import parse
from grammar.source import Source
from grammar.tree import Block, Clause, Condition, Statement, SyntaxTree, When, Wire, walk
from tests.grammar.conftest import good_texts


def tree(text: str) -> SyntaxTree:
    parsed = parse(Source("t.loom", text))
    assert parsed.findings == ()
    return parsed.tree


def only(text: str) -> Statement:
    (node,) = tree(text).lines
    assert isinstance(node, Statement)
    return node


def wire(line: str) -> Wire:
    block = only(f"circuit 1 {{ {line} }}").block
    assert block is not None
    (node,) = block.lines
    assert isinstance(node, Wire)
    return node


def test_a_wire() -> None:
    node = wire('A  K7.87 -- ?  1.0 mm2 RD/WH 0.5 m in cab recoloured "by the supplier" colour ?')
    assert (node.label.text, node.a.text, node.b.kind) == ("A", "K7.87", "UNKNOWN")
    assert [(word.kind, word.text) for word in node.values] == [
        ("QUANTITY", "1.0 mm2"),
        ("NAME", "RD/WH"),
        ("QUANTITY", "0.5 m"),
    ]
    assert [clause.word.text for clause in node.clauses] == ["in", "recoloured", "colour"]
    assert node.clauses[1].values[0].value == "by the supplier"


def test_a_connector() -> None:
    node = only(
        'connector C40 "Hinge" 10 cavities body -- tailgate at tail (40, 22) "left" access 5 min {\n spare 8 9\n}'
    )
    assert [word.text for word in node.values] == ["C40", '"Hinge"', "10 cavities"]
    halves, place, access = node.clauses
    assert (halves.word.text, [w.text for w in halves.values]) == ("--", ["body", "tailgate"])
    assert [w.kind for w in place.values] == ["NAME", "POINT", "STRING"]
    assert access.values[0].text == "5 min"
    assert isinstance(node.block, Block)
    (spare,) = node.block.lines
    assert isinstance(spare, Statement)
    assert (spare.rule, [w.text for w in spare.values]) == ("cavities", ["8", "9"])


def test_a_lone_hyphen_is_a_name_and_two_are_a_join() -> None:
    assert [w.text for w in only("motor M1 + - 90 W").values] == ["M1", "+", "-", "90 W"]
    node = only("circuit 1 { A M1.- -- M2.- 1 m }")
    assert node.block is not None
    (wire,) = node.block.lines
    assert isinstance(wire, Wire)
    assert (wire.a.text, wire.b.text) == ("M1.-", "M2.-")


def test_a_state_sets_positions_and_other_states() -> None:
    node = only('state "Night" { set state "Day", S4 head,\n S5 on; sheets 22 60A; when TOWING { set S50 on } }')
    assert (node.rule, node.values[0].value) == ("state", "Night")
    assert node.block is not None
    made, sheets, when = node.block.lines
    assert isinstance(made, Statement)
    assert [(c.word.kind, c.word.text, [v.value for v in c.values]) for c in made.clauses] == [
        ("KEYWORD", "state", ["Day"]),
        ("NAME", "S4", ["head"]),
        ("NAME", "S5", ["on"]),
    ]
    assert isinstance(sheets, Statement)
    assert [w.text for w in sheets.values] == ["22", "60A"]
    assert isinstance(when, When)


def test_a_device_keeps_words_of_its_line_as_names() -> None:
    node = only("switch S30 1 case engine operated-by pressure { contact 1 case when at-rest }")
    assert node.rule == "device"
    assert node.word.kind == "NAME"
    assert [w.text for w in node.values] == ["S30", "1", "case", "engine", "operated-by", "pressure"]
    assert node.block is not None
    (contact,) = node.block.lines
    assert isinstance(contact, Statement)
    assert [w.kind for w in contact.values] == ["NAME", "NAME", "WHEN", "NAME"]


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("A", ("is", "A")),
        ("not A", ("not", "A")),
        ("A and not B", ("and", ("is", "A"), ("not", "B"))),
        ("A and B or C", ("or", ("and", ("is", "A"), ("is", "B")), ("is", "C"))),
    ],
)
def test_conditions(text: str, shown: object) -> None:
    def show(condition: Condition) -> object:
        if condition.word is not None:
            return condition.op, condition.word.text
        return condition.op, *map(show, condition.terms)

    (node,) = tree(f'when {text} {{ use "x" }}').lines
    assert isinstance(node, When)
    assert show(node.condition) == shown


def test_prefixes() -> None:
    replaced, extended, prefixed = tree('replace relay K7\nextend sheet 3 { circuits 4 }\nextend note "x"\n').lines
    assert isinstance(replaced, Statement)
    assert replaced.prefix is not None
    assert (replaced.prefix.text, replaced.rule, replaced.start) == ("replace", "device", 0)
    assert isinstance(extended, Statement)
    assert extended.rule == "sheet"
    assert isinstance(prefixed, Statement)
    assert prefixed.rule == "prefixed"


def test_facts() -> None:
    node = only('expect "x" {\n set IGN run, # the key\n\n S21 on\n then R3 between 11 V 12 V\n}')
    assert node.block is not None
    first, then = node.block.lines
    assert isinstance(first, Statement)
    assert isinstance(then, Statement)
    assert [(c.word.text, [w.text for w in c.values]) for c in first.clauses] == [("IGN", ["run"]), ("S21", ["on"])]
    assert then.rule == "then"


def test_a_quantity_needs_a_place_for_one() -> None:
    # After `wires` stand names only: 60A is a wire, not a current.
    node = only("twist TP1 { wires 60A 61 A }")
    assert node.block is not None
    (wires,) = node.block.lines
    assert isinstance(wires, Statement)
    assert [(w.kind, w.text) for w in wires.values] == [("NAME", "60A"), ("NAME", "61"), ("NAME", "A")]


@pytest.mark.parametrize(
    "text", ["bus A", "bus A\n", "\ufeffbus A\r\n", "\tbus\tA\t", "bus \\\n A", "bus \\\r\n A;;\n;"]
)
def test_line_ends_and_blanks(text: str) -> None:
    node = only(text)
    assert (node.word.text, node.values[0].text) == ("bus", "A")


def test_text_escapes() -> None:
    assert only(r'bus A "a \"b\" \\ c"').values[1].value == r'a "b" \ c'


def test_offsets_are_exact() -> None:
    for text in good_texts():
        parsed = tree(text)
        for node in walk(parsed.lines):
            for word in node.values if isinstance(node, Clause | Statement | Wire) else ():
                assert text[word.start : word.end] == word.text
            span = parsed.span(node)
            assert span.text == span.text.strip()
            if isinstance(node, Statement | When) and node.block:
                assert text[node.block.start] == "{"
                assert text[node.block.end - 1] == "}"
                assert node.end == node.block.end
        for comment in parsed.comments:
            assert text[comment.start : comment.end] == comment.text
            assert comment.text.startswith("#")


def test_comments_of_parallel_reads_stay_apart() -> None:
    texts = [f"# {n}\n" * 200 + f"bus A{n} # last {n}\n" for n in range(16)]
    with ThreadPoolExecutor(8) as pool:
        parsed = list(pool.map(lambda text: parse(Source("x", text)), texts * 4))
    for number, result in enumerate(parsed):
        assert {c.text for c in result.tree.comments} == {f"# {number % 16}", f"# last {number % 16}"}
        assert len(result.tree.comments) == 201
