"""`when`: what counts in a variant, and what is noted of the conditions."""

from __future__ import annotations

from itertools import compress, product
from pathlib import Path

import pytest

from tests.assembly.sources import assembled, variant_of

OPTIONS = ("A", "B", "C")
CHOICES = [tuple(compress(OPTIONS, bits)) for bits in product((0, 1), repeat=len(OPTIONS))]
DECLARED = "".join(f"option {name}\n" for name in OPTIONS)


def with_options(chosen: tuple[str, ...], text: str) -> dict[str, str]:
    header = f"variant S4 {{ options {' '.join(chosen)} }}" if chosen else "variant S4"
    return {"S4.loom": f"{header}\n{DECLARED}{text}"}


@pytest.mark.parametrize("chosen", CHOICES)
@pytest.mark.parametrize(
    ("condition", "python"),
    [
        ("A", "A"),
        ("not A", "not A"),
        ("A and B", "A and B"),
        ("A or B", "A or B"),
        ("A and not B or C", "A and not B or C"),
        ("A or B and C", "A or B and C"),
        ("not A and not B or not C", "not A and not B or not C"),
    ],
)
def test_conditions_bind_as_they_do_in_logic(
    tmp_path: Path, chosen: tuple[str, ...], condition: str, python: str
) -> None:
    # Oracle: Python's own `not`, `and`, `or`, which bind in the usual order.
    variant = variant_of(tmp_path, with_options(chosen, f"when {condition} {{ harness yes }}"))
    expected = eval(python, {name: name in chosen for name in OPTIONS})
    assert ("yes" in variant.harnesses) is bool(expected)
    assert variant.conditions[0].held is bool(expected)
    assert variant.conditions[0].at.text == condition


@pytest.mark.parametrize(
    ("text", "possible"),
    [
        ("when A { }", [True]),
        ("when A and not A { }", [False]),
        ("when A and not B and B { }", [False]),
        ("when A or not A { }", [True]),
        ("when A { when not A { } }", [True, False]),
        ("when A { when B { when not A and C { } } }", [True, True, False]),
        ("when A or B { when not A { } }", [True, True]),
    ],
)
def test_a_condition_that_no_choice_makes_true_is_known(tmp_path: Path, text: str, possible: list[bool]) -> None:
    variant = variant_of(tmp_path, with_options(("A", "B"), text))
    assert [use.possible for use in variant.conditions] == possible


def test_when_stands_in_every_block(tmp_path: Path) -> None:
    text = """
    harness a
    harness b
    zone cab
    connector C2 4 cavities a -- b { when A { spare 1 }; when B { spare 2 } }
    fuse-block FB1 { bus B1; when A { fuse F1 10 A from B1 }; when B { fuse F2 10 A from B1 } }
    switch S1 { positions off on; when A { contact 1 2 when on }; when B { contact 3 4 when on } }
    cable W1 { when A { core 1 0.5 mm2 WH }; when B { core 2 0.5 mm2 BN } }
    circuit 1 1 mm2 BK in a { when A { A  F1.2 -- S1.1 }; when B { B  S1.3 -- S1.4 } }
    sheet 1 { when A { circuits 1 }; when B { circuits 1 } }
    """
    variant = variant_of(tmp_path, with_options(("A",), text))
    assert set(variant.connectors["C2"].spare) == {"1"}
    assert set(variant.devices) == {"F1", "S1"}
    assert [part.terminals for part in variant.devices["S1"].parts] == [("1", "2")]
    assert set(variant.cables["W1"].cores) == {"1"}
    assert [wire.id for wire in variant.wires] == ["1A"]
    assert [word.text for word, _ in variant.sheets["1"].circuits] == ["1"]


def test_an_option_without_a_declaration_is_noted_where_it_stands(tmp_path: Path) -> None:
    done = assembled(tmp_path, with_options(("A", "TOWIN"), "option TOWING\nwhen A and HEATED { }"))
    assert done.variant is not None
    noted = {(name.name, name.sort, name.at.text, name.near) for name in done.variant.unresolved}
    assert noted == {("TOWIN", "option", "TOWIN", "TOWING"), ("HEATED", "option", "HEATED", "")}
