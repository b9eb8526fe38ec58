"""Named states: what they set, how they build on each other, and how expectations and complaints use them."""

from __future__ import annotations

from pathlib import Path

import pytest

from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.assembly.states import MAX_DEPTH
from compiler.checks.run import check_variant
from compiler.model.variant import Variant
from tests.assembly.sources import assembled, said, variant_of, write

SWITCHES = """
switch S1 { positions off run crank; contact 1 2 when run }
switch S2 { positions off side head; contact 1 2 when head }
switch S3 { positions off on; contact 1 2 when on }
relay K1
module A1 { connector C1 4 cavities; pin C1.1 supply; pin C1.2 ground; pin C1.3 low-side }
"""
NIGHT = 'state "Night" { set S1 run, S2 head }\n'


def settings(variant: Variant, name: str) -> list[str]:
    return [" ".join((fact.subject, *fact.words)) for fact in variant.states[name].set]


def test_a_state_keeps_what_it_sets_and_the_sheets_it_asks_for(tmp_path: Path) -> None:
    text = (
        f'{SWITCHES}state "Night" {{\n set S1 run, S2 head, K1 energised, A1.C1.3 on\n sheets 1 2\n note "dark"\n}}\n'
    )
    state = variant_of(tmp_path, text).states["Night"]
    assert settings(variant_of(tmp_path, text), "Night") == ["S1 run", "S2 head", "K1 energised", "A1.C1.3 on"]
    assert [word.text for word, _ in state.sheets] == ["1", "2"]
    assert (state.title, state.notes, state.builds_on) == ("Night", ("dark",), ())


def test_a_state_builds_on_another_and_what_is_said_last_counts(tmp_path: Path) -> None:
    text = f'{SWITCHES}state "Wet night" {{ set state "Night", S3 on, S2 side }}\n{NIGHT}'
    variant = variant_of(tmp_path, text)
    assert settings(variant, "Wet night") == ["S1 run", "S2 side", "S3 on"]
    assert variant.states["Wet night"].builds_on == ("Night",)


def test_an_expectation_and_a_complaint_set_a_state(tmp_path: Path) -> None:
    text = f"""{SWITCHES}{NIGHT}
expect "x" {{ set state "Night", S3 on; then S1.2 dead }}
complaint "y" {{ set S3 on, state "Night"; seen S1.2 dead }}
"""
    for scenario in variant_of(tmp_path, text).scenarios:
        assert scenario.states == ("Night",)
        assert {fact.subject: fact.words for fact in scenario.set} == {"S1": ("run",), "S2": ("head",), "S3": ("on",)}


def test_options_open_lines_of_a_state(tmp_path: Path) -> None:
    text = f'option TOWING\n{SWITCHES}state "Night" {{ set S1 run; when TOWING {{ set S3 on }} }}\n'
    assert settings(variant_of(tmp_path, text), "Night") == ["S1 run"]
    files = {"S4.loom": f"variant S4 {{ options TOWING }}\n{text}"}
    assert settings(variant_of(tmp_path, files), "Night") == ["S1 run", "S3 on"]


def test_a_variant_replaces_extends_and_omits_states_of_a_fragment(tmp_path: Path) -> None:
    shared = f'{SWITCHES}{NIGHT}state "Day" {{ set S1 run }}\nstate "Still" {{ set S1 off }}\n'
    own = """variant S4
use "shared.loom"
replace state "Day" { set S1 run, S2 off }
extend state "Night" { set S3 on; sheets 1 }
omit state "Still"
sheet 1 "x" { components S1 }
"""
    variant = variant_of(tmp_path, {"S4.loom": own, "shared.loom": shared})
    assert {name: settings(variant, name) for name in variant.states} == {
        "Night": ["S1 run", "S2 head", "S3 on"],
        "Day": ["S1 run", "S2 off"],
    }


def test_an_omitted_sheet_drops_out_of_the_states_of_a_fragment(tmp_path: Path) -> None:
    shared = f'{SWITCHES}state "Night" {{ set S1 run; sheets 1 2 }}\nsheet 1 {{ components S1 }}\nsheet 2 {{ components S2 }}\n'
    files = {"S4.loom": 'variant S4\nuse "shared.loom"\nomit sheet 2\n', "shared.loom": shared}
    assert [word.text for word, _ in variant_of(tmp_path, files).states["Night"].sheets] == ["1"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('state "Night" { sheets 1 }', "this state sets nothing"),
        ('state "Night" { set S1 run, S1 off }', "S1 is set twice"),
        ('state "Night" { set S1 run off }', "S1 can stand in one position at a time"),
        ('state "A" { set state "A" }', "the state `A` sets itself"),
        ('state "A" { set state "B" }\nstate "B" { set state "A", S1 run }', "the state `A` sets itself"),
    ],
)
def test_what_a_state_cannot_say(tmp_path: Path, text: str, says: str) -> None:
    found = [words for check, _, words in said(assembled(tmp_path, SWITCHES + text)) if check == "syntax"]
    assert found[:1] == [says]
    assert len(found) == 1 or says.endswith("itself")


@pytest.mark.parametrize(
    ("text", "name", "sort", "near"),
    [
        ('state "Night" { set S1 rum }', "rum", "position of S1", "run"),
        ('state "Night" { set S9 run }', "S9", "switch", ""),
        ('state "Night" { set A1.C1.3 up }', "up", "position of A1.C1.3", ""),
        (f'{NIGHT}expect "x" {{ set state "Nigth"; then S1.2 dead }}', "Nigth", "named state", "Night"),
    ],
)
def test_names_that_stand_for_nothing(tmp_path: Path, text: str, name: str, sort: str, near: str) -> None:
    variant = assembled(tmp_path, SWITCHES + text).variant
    assert variant is not None
    assert [(row.name, row.sort, row.near) for row in variant.unresolved] == [(name, sort, near)]


def test_a_long_chain_of_states_is_refused_and_not_a_crash(tmp_path: Path) -> None:
    chain = "".join(f'state "{n}" {{ set state "{n + 1}" }}\n' for n in range(500))
    found = said(assembled(tmp_path, f'{SWITCHES}{chain}state "500" {{ set S1 run }}\n'))
    assert f"states build on each other more than {MAX_DEPTH} deep" in {words for _, _, words in found}


def test_findings_about_states_each_told_once(tmp_path: Path) -> None:
    text = """
ring-terminal E1
ring-terminal E2
switch S1 { positions off run; contact 1 2 when run }
circuit 1 1 mm2 BK { A E1 -- S1.1 1 m; B S1.2 -- E2 1 m }
sheet 1 "x" { circuits 1 }
state "Used" { set S1 run; sheets 1 9 1 }
state "Idle" { set S1 run }
state "Twice" { set S1 off; sheets 1 }
state "Twice" { set S1 run; sheets 1 }
state Broken { set S1 run }
expect "y" { set state "Broken"; then S1.2 dead }
"""
    path = write(tmp_path, {"S4.loom": f"variant S4\n{text}"})
    findings = check_variant(Library(find_project(path)), path).findings
    told = {(finding.check, finding.says) for finding in findings if finding.check != "unlocated"}
    assert told == {
        ("sheet-reference", "state `Used` asks for sheet 9, which does not exist"),
        ("sheet-reference", "state `Used` lists sheet 1 twice"),
        ("unused-fragment-item", "state Idle is used by nothing"),
        ("duplicate-id", "state Twice is declared twice"),
        ("syntax", "a text stands in double quotes"),
    }
