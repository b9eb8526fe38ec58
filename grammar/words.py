"""What people are told of the language's words: how each line reads, and what comes after which word.

Every example here is a line that the grammar accepts where it stands; a test reads them all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches

CLAUSES: Mapping[str, str] = {
    "at": 'at cab (118, 64) "behind the glove-box lid"',
    "access": "access 5 min",
    "note": 'note "fitted from serial number 2000"',
    "allow": 'allow unfused-feed "maker\'s design"',
}

# For each kind of block, by the symbol that reads its lines: how its lines begin, with an example of each.
# The key "" stands for a line that begins with a name.
EXAMPLES: Mapping[str, Mapping[str, str]] = {
    "file": {
        "variant": 'variant S4 "Sandpiper utility truck" { supply 12.6 V }',
        "use": 'use "shared/zones.loom"',
        "option": 'option TOWING "Towing socket"',
        "when": 'when TOWING and not LIGHT { use "shared/towing.loom" }',
        "omit": "omit circuit 61 62",
        "replace": 'replace relay K7 "Screen relay, heavy" { coil 86 85 80 ohm }',
        "extend": "extend circuit 48 { C C40.8 -- E9.1 0.6 m }",
        "zone": 'zone cab "Cab" 240 by 140 drawing "zones/cab.svg"',
        "harness": 'harness body "Body harness"',
        "structure": 'structure engine "Engine block"',
        "colours": 'colours HOUSE "House colours" { colour LG "light green" "#90D060" }',
        "kind": 'kind rear-lamp "Rear lamp" { lamp 1 4 21 W "stop" }',
        "fuse-block": 'fuse-block FB1 "Cab fuse block" at cab (118, 64) { bus RUN-BUS "Run bus" }',
        "bus": 'bus STUD1 "Junction stud" at engine (40, 20)',
        "connector": 'connector C40 "Tailgate hinge" 10 cavities body -- tailgate at tail (40, 22) { spare 8 9 }',
        "splice": 'splice SP101 "Run feed" in body at cab (100, 60)',
        "ground": 'ground G101 "Left kick panel" on body at cab (20, 90)',
        "cable": 'cable W12 "Wheel sensor cable" in body { core 1 0.5 mm2 WH }',
        "twist": 'twist TP1 "Data pair" { wires 60A 61A }',
        "circuit": 'circuit 48 "Rear screen feed" 2.5 mm2 BK/WH in body { A K7.87 -- C12.G4 1.6 m }',
        "sheet": 'sheet 38 "Rear screen" { circuits 47 48 49 }',
        "state": 'state "Night driving" { set IGN run, S4 head; sheets 22 23 }',
        "expect": 'expect "screen heats" { set IGN run, S21 on; then R3 powered }',
        "complaint": 'complaint "Screen stays cold" { set S21 on; seen R3 dead }',
        "trouble-code": 'trouble-code B1234 "Rear screen circuit open" circuit 48 open',
        "": 'lamp E3 "Left side lamp" 1 2 5 W at front (10, 20)',
    },
    "variant_lines": {
        "series": 'series "Sandpiper"',
        "model-year": "model-year 2027",
        "issue": 'issue "2027-1"',
        "supply": "supply 12.6 V",
        "options": "options HEATED-SCREEN TOWING",
        "colours": "colours iec-60757",
    },
    "colours_lines": {
        "base": "base iec-60757",
        "colour": 'colour LG "light green" "#90D060"',
        "tracer": "tracer BK WH",
    },
    "fuse_block_lines": {
        "bus": 'bus RUN-BUS "Run bus"',
        "when": 'when TOWING { fuse F31 "Work lamps" slot 31 15 A blade from RUN-BUS }',
        "replace": 'replace fuse F9 "Rear screen" slot 9 25 A blade from RUN-BUS',
        "": 'fuse F9 "Rear screen" slot 9 25 A blade from RUN-BUS',
    },
    "connector_lines": {
        "spare": "spare 8 9 on body",
        "plugged": "plugged 10",
        "doubled": "doubled 3",
        "numbered": "numbered A1..H8",
        "rows": "rows 3 4 3",
        "pins": "pins on body",
        "when": "when TOWING { spare 4 }",
    },
    "device_lines": {
        "connector": "connector C51 2 cavities { spare 2 }",
        "when": "when TOWING { contact 1 4 when on }",
        "": "contact 30 87 when energised",
    },
    "circuit_lines": {
        "replace": "replace A K7.87 -- C12.G5 1.6 m",
        "when": "when TOWING { D SP101 -- E9.1 0.6 m }",
        "": "A K7.87 -- C12.G4 2.5 mm2 BK/WH 1.6 m in body",
    },
    "cable_lines": {
        "core": "core 1 0.5 mm2 WH",
        "shield": "shield S 0.35 mm2",
        "twist": "twist 1 2",
        "when": "when TOWING { core 3 0.5 mm2 GY }",
    },
    "twist_lines": {"wires": "wires 60A 61A"},
    "sheet_lines": {
        "system": 'system "Body"',
        "circuits": "circuits 47 48 49",
        "components": "components K7 R3",
        "see": "see 12 14",
        "when": "when TOWING { circuits 61 }",
    },
    "scenario_lines": {
        "set": "set IGN run, S21 on",
        "then": "then R3 powered, C40.7 above 11.5 V",
        "seen": "seen R3 dead",
    },
    "state_lines": {
        "set": "set IGN run, S4 head",
        "sheets": "sheets 22 23",
        "when": "when TOWING { set S50 on }",
    },
}

# What the lines of each block are, and how a line that begins with a name reads.
PLACES: Mapping[str, str] = {
    "file": "a file",
    "variant_lines": "a variant",
    "colours_lines": "a colour table",
    "fuse_block_lines": "a fuse block",
    "connector_lines": "a connector",
    "device_lines": "a device",
    "circuit_lines": "a circuit",
    "cable_lines": "a cable",
    "twist_lines": "a twist",
    "sheet_lines": "a sheet",
    "scenario_lines": "an expectation or a complaint",
    "state_lines": "a state",
}
NAMED_LINES: Mapping[str, str] = {
    "file": "a device line reads: kind, id, title, terminals, ratings",
    "fuse_block_lines": "a line in a fuse block reads: kind, id, title, slot, rating, bus",
    "device_lines": "a part line reads: kind, terminals, ratings, label",
    "circuit_lines": "a wire line reads: segment, end, `--`, end, then size, colour and length",
    "scenario_lines": "a line reads: `set`, `then` or `seen`, then facts with commas between them",
}

# The symbol that reads the lines of the block of a statement; a `when` keeps that of the block it stands in.
BLOCKS: Mapping[str, str] = {
    "variant": "variant_lines",
    "colours": "colours_lines",
    "fuse-block": "fuse_block_lines",
    "connector": "connector_lines",
    "kind": "device_lines",
    "circuit": "circuit_lines",
    "cable": "cable_lines",
    "twist": "twist_lines",
    "sheet": "sheet_lines",
    "state": "state_lines",
    "expect": "scenario_lines",
    "complaint": "scenario_lines",
}

# Statements whose name stands in double quotes.
QUOTED = ("state", "expect", "complaint")

# What is meant by the name, text or quantity right after a word.
FOLLOWS: Mapping[str, str] = {
    "--": "a harness name",
    "access": "a time such as `5 min`",
    "allow": "the name of a check",
    "at": "a zone name",
    "base": "the name of a colour table",
    "bus": "the bus's id",
    "by": "the height of the zone",
    "cable": "the cable's id",
    "circuit": "the circuit's number",
    "circuits": "circuit numbers",
    "class": "a class of voltage drop",
    "colour": "a colour code",
    "colours": "the name of a colour table",
    "complaint": "the complaint in double quotes",
    "components": "the ids of components",
    "connector": "the connector's id",
    "core": "a core",
    "doubled": "cavity numbers",
    "drawing": "the path of a drawing in double quotes",
    "expect": "a name in double quotes",
    "extend": "a whole statement",
    "fuse-block": "the fuse block's id",
    "ground": "the ground's id",
    "harness": "the harness's name",
    "in": "a harness name",
    "issue": "the issue in double quotes",
    "kind": "the name of the kind",
    "model-year": "the model year",
    "not": "an option",
    "note": "a text in double quotes",
    "numbered": "the range of cavities, such as `A1..H8`",
    "omit": "the ids of what to omit",
    "on": "a structure or harness name",
    "option": "the option's name",
    "options": "the options of this variant",
    "pins": "`on` and the half that has them",
    "plugged": "cavity numbers",
    "recoloured": "the reason in double quotes",
    "replace": "a whole statement",
    "rows": "the number of cavities in each row",
    "see": "sheet numbers",
    "seen": "a device and its state",
    "series": "the series in double quotes",
    "set": "a device and its position",
    "sheet": "the sheet's number",
    "sheets": "sheet numbers",
    "shield": "the shield's name",
    "spare": "cavity numbers",
    "splice": "the splice's id",
    "state": "a name in double quotes",
    "structure": "the structure's name",
    "supply": "the supply voltage, such as `12.6 V`",
    "system": "the name of a system in double quotes",
    "then": "a device and its state",
    "tracer": "two colour codes",
    "trouble-code": "the code",
    "type": "a wire type",
    "use": "the path of a fragment in double quotes",
    "variant": "the variant's id",
    "when": "an option",
    "wires": "wire ids",
    "zone": "the zone's name",
}


def closest(word: str, choices: Iterable[str]) -> str:
    """The choice that `word` may be a misspelling of, or an empty string. Letter case does not count."""
    by_lower = {choice.lower(): choice for choice in sorted(choices, reverse=True)}
    found = get_close_matches(word.lower(), by_lower, n=1, cutoff=0.75)
    return by_lower[found[0]] if found else ""


def meant_block(word: str, behind: str, symbol: str) -> str:
    """The statement with a block that `word` may be a misspelling of in lines `symbol`, or an empty string.

    `behind` is the text behind it: a name in double quotes, or none, tells `stat "Night"` from `starter M1`.
    """
    quoted = behind.lstrip().startswith('"')
    return closest(word, [name for name in EXAMPLES[symbol] if name in BLOCKS and (name in QUOTED) is quoted])


def example(symbol: str, word: str) -> str:
    """How a line that begins with the fixed word `word` reads in a block of lines `symbol`."""
    lines = EXAMPLES[symbol]
    return lines.get(word) or CLAUSES[word]
