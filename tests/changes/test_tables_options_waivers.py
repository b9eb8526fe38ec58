"""What is told of colour tables, of options on offer and of findings that are excused."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from compiler.changes.compare import compare
from compiler.changes.inventory import Inventory
from compiler.changes.stored import inventory_json, read_inventory
from compiler.changes.words import sentence
from tests.changes.test_compare import VEHICLE, told
from tests.changes.vehicles import of_text

TABLE = """
colours HOUSE "House colours" {
  base iec-60757
  colour LG "light green" "#90D060"
  tracer GN BK
}
"""
HOUSE = VEHICLE.replace('issue "1"', 'issue "1"\n  colours HOUSE') + TABLE


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ('LG "light green"', 'LG "pale green"', 'colour LG "pale green" renamed: "light green" -> "pale green"'),
        ("#90D060", "#90D061", 'colour LG "light green" swatch changed: #90D060 -> #90D061'),
        ("tracer GN BK", "tracer GN WH", 'colour GN "green" standard tracer changed: BK -> WH'),
        ("tracer GN BK", "tracer GN BK\n  tracer VT WH", 'colour VT "violet" standard tracer now given: WH'),
        ('LG "light', 'LN "light', 'colour LN "light green" now called: LG -> LN'),
        ("tracer GN", 'colour TN "tan"\n  tracer GN', 'colour TN "tan" added'),
        ('  colour LG "light green" "#90D060"\n', "", 'colour LG "light green" removed'),
    ],
)
def test_a_change_of_the_colour_table_is_one_sentence(tmp_path: Path, before: str, after: str, says: str) -> None:
    assert told(tmp_path, (before, after), old=HOUSE) == [says]


def test_another_table_tells_only_what_the_wires_wear(tmp_path: Path) -> None:
    table = TABLE.replace("HOUSE", "OTHER").replace("tracer GN BK", "tracer GN WH").replace("#90D060", "#000001")
    worn = ('"Horn" 1.5 mm2 GN in', '"Horn" 1.5 mm2 LG in')
    found = told(tmp_path, ("colours HOUSE\n", "colours OTHER\n"), (TABLE, table), worn, old=HOUSE)
    assert found == [
        "vehicle colour table changed: HOUSE -> OTHER",
        'colour GN "green" standard tracer changed: BK -> WH',
        'colour LG "light green" swatch changed: #90D060 -> #000001',
        "wires 20A 20B recoloured: GN -> LG",
    ]
    german = told(tmp_path, ("colours HOUSE\n", "colours two-letter\n"), old=HOUSE)
    assert german[0] == "vehicle colour table changed: HOUSE -> two-letter"
    assert not [one for one in german if one.startswith('colour LG "light green"')], "no wire wears it"


def test_a_swatch_marks_the_sheets_that_wear_it(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
    green = HOUSE.replace("tracer GN BK", 'colour GN "green" "#00AA00"\n  tracer GN BK')
    found = compare(of_text(tmp_path / "a", HOUSE), of_text(tmp_path / "b", green))
    assert [change.what for change in found.changes] == ["colour-shown"]
    assert found.sheets == ("2",)
    assert found.changes[0].circuits == ("20",)


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        (
            'option TOWING "Towing socket"',
            'option TOWING "Towing socket"\noption WINCH "Winch"',
            ['option WINCH "Winch" now offered in the line'],
        ),
        (
            "options TOWING\n}\noption",
            'options TOWING WINCH\n}\noption WINCH "Winch"\noption',
            ['option WINCH "Winch" added'],
        ),
        ('"Towing socket"', '"Towing socket, 13-pin"', None),
    ],
)
def test_options_on_offer_are_told(tmp_path: Path, before: str, after: str, says: list[str] | None) -> None:
    renamed = 'option TOWING "Towing socket, 13-pin" renamed: "Towing socket" -> "Towing socket, 13-pin"'
    assert told(tmp_path, (before, after)) == (says or [renamed])


def test_an_option_that_is_offered_no_longer(tmp_path: Path) -> None:
    old = VEHICLE.replace("option TOWING", 'option WINCH "Winch"\noption TOWING')
    assert told(tmp_path, ('option WINCH "Winch"\n', ""), old=old) == [
        'option WINCH "Winch" no longer offered in the line'
    ]
    variants = compare(_as("T8", tmp_path, old), _as("T9", tmp_path, VEHICLE))
    assert 'option WINCH "Winch", offered in the line, only in T8' in [sentence(c, variants) for c in variants.changes]


def _as(name: str, folder: Path, text: str) -> Inventory:
    return of_text(folder, text.replace("variant T1", f"variant {name}"))


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ("A E1.2 -- G1 1 m", 'A E1.2 -- G1 1 m allow no-return "test"', 'wire 11A now excused from no-return: "test"'),
        (
            "A BT1.+ -- BAT 1 m }",
            'allow unfused-feed "in conduit"; A BT1.+ -- BAT 1 m }',
            'circuit 1 "Feed" now excused from unfused-feed: "in conduit"',
        ),
        (
            'horn H1 "Horn" 1 2 60 W',
            'horn H1 "Horn" 1 2 60 W allow unlocated "on loan"',
            'horn H1 "Horn" now excused from unlocated: "on loan"',
        ),
        (
            "contact 1 2 when on;",
            'contact 1 2 when on allow switch-contact-unused "kept for the winch";',
            'switch S1 "Switch" now excused from switch-contact-unused: "kept for the winch"',
        ),
        ("model-year 2027", 'model-year 2027\n  allow unsheeted "a study"', 'vehicle now excused from unsheeted: "a study"'),
    ],
)  # fmt: skip
def test_a_finding_excused_is_one_sentence(tmp_path: Path, before: str, after: str, says: str) -> None:
    assert told(tmp_path, (before, after)) == [says]
    excused = VEHICLE.replace(before, after)
    reason = says.rpartition(": ")[2]
    lead = says.replace("now excused", "no longer excused")
    assert told(tmp_path, (after, before), old=excused) == [lead]
    reworded = told(tmp_path, (reason, '"otherwise"'), old=excused)
    assert len(reworded) == 1
    assert reworded[0].endswith(f' for another reason: {reason} -> "otherwise"')


def test_alike_excuses_of_the_wires_of_a_circuit_are_one_sentence(tmp_path: Path) -> None:
    found = told(
        tmp_path,
        ("A E1.2 -- G1 1 m", 'A E1.2 -- G1 1 m allow no-return "test"'),
        ("B E2.2 -- G1 1 m", 'B E2.2 -- G1 1 m allow no-return "test"'),
    )
    assert found == ['wires 11A 11B now excused from no-return: "test"']


def test_a_pack_that_kept_none_of_it_says_nothing_about_it(tmp_path: Path) -> None:
    waived = HOUSE.replace("A E1.2 -- G1 1 m", 'A E1.2 -- G1 1 m allow no-return "test"')
    whole = of_text(tmp_path, waived)
    kept = json.loads(inventory_json(whole))
    del kept["things"]["colour"], kept["things"]["offer"]
    del kept["things"]["wire"]["11A"]["waiver no-return"]
    early = read_inventory(json.dumps(kept).encode())
    assert early.early
    assert not read_inventory(inventory_json(whole).encode()).early
    assert compare(early, whole).changes == ()
    assert compare(whole, early).changes == ()
    assert compare(replace(early, early=False), whole).changes != ()
