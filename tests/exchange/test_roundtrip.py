"""Any list that can be written comes back from the model of its source, cell by cell."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from compiler.exchange.problems import WireListError
from tests.exchange.rows import ModelRow, as_csv, imported, model_rows, variant_of

COLOURS = ["sw", "br", "rt", "or", "ge", "gn", "bl", "vi", "gr", "ws"]
NAMES = st.from_regex(r"[A-Za-z][A-Za-z0-9_]{0,6}(\.[A-Za-z0-9]{1,3})?", fullmatch=True)
CAVITIES = st.from_regex(r"[1-9][0-9]{0,1}[A-C]?|[A-H][1-8]", fullmatch=True)
ITEM_KINDS = st.sampled_from(["", "splice", "relay"])


@st.composite
def lists(draw: st.DrawFn) -> tuple[list[list[str]], dict[str, str]]:
    """Rows of a wire list, and the kinds of its items."""
    kinds = draw(st.dictionaries(NAMES, ITEM_KINDS, min_size=2, max_size=6))
    circuits = draw(st.lists(NAMES, min_size=1, max_size=3, unique=True))
    rows = []
    for number in range(draw(st.integers(1, 12))):
        ends: list[str] = []
        for _ in range(2):
            item = draw(st.sampled_from(sorted(kinds)))
            ends += [item, "1" if kinds[item] == "splice" else draw(CAVITIES)]
        base, tracer = draw(st.sampled_from(COLOURS)), draw(st.sampled_from(["", *COLOURS]))
        colour = f"{base}/{tracer}" if tracer and tracer != base else base
        size = draw(st.sampled_from(["0.35", "0.5", "0.75", "1", "2.5", "4.0", "NULL"]))
        length = f"{draw(st.integers(1, 999_999)) / 100:.2f}"
        rows.append([str(number), draw(st.sampled_from(circuits)), *ends, colour, size, length])
    return rows, kinds


@given(lists(), st.sampled_from([",", ";", "\t"]))
def test_rows_come_back(given_lists: tuple[list[list[str]], dict[str, str]], delimiter: str) -> None:
    rows, kinds = given_lists
    # A splice called like a terminal (`K1.1`) gives way; a test of its own looks at that.
    assume(not any(kinds[row[at]] != "splice" and f"{row[at]}.{row[at + 1]}" in kinds for row in rows for at in (2, 4)))
    if delimiter == ";":
        rows = [[*row[:7], row[7].replace(".", ","), row[8].replace(".", ",")] for row in rows]
    items = as_csv([[item, kind, "", ""] for item, kind in kinds.items()], ["item", "kind", "description", "cavities"])
    done = imported(as_csv(rows, delimiter=delimiter), items)

    def end(item: str, cavity: str) -> tuple[str, str]:
        return (item, "" if kinds[item] == "splice" else cavity)

    expected = [
        ModelRow(
            row[0],
            row[1],
            end(row[2], row[3]),
            end(row[4], row[5]),
            row[6],
            None if row[7] == "NULL" else f"{float(row[7].replace(',', '.')):g} mm2",
            float(row[8].replace(",", ".")),
        )
        for row in rows
    ]
    found = [row._replace(size=row.size and f"{float(row.size.split()[0]):g} mm2") for row in model_rows(done.text)]
    assert sorted(map(str, found)) == sorted(map(str, expected))


@given(st.lists(st.lists(st.text(max_size=12), min_size=9, max_size=9), min_size=1, max_size=6))
def test_no_text_in_a_cell_breaks_the_import(rows: list[list[str]]) -> None:
    if not any(cell.strip() for row in rows for cell in row):
        with pytest.raises(WireListError, match="holds no wire"):
            imported(as_csv(rows))
        return
    done = imported(as_csv(rows))
    assert len(variant_of(done.text).wires) == len([row for row in rows if any(cell.strip() for cell in row)])


@given(st.binary(max_size=300))
def test_no_bytes_break_the_import(data: bytes) -> None:
    try:
        told = imported(data, b"item,kind\n" + data, b"fuse,rating\n" + data).text.splitlines()
    except WireListError as error:
        told = [str(error)]
    assert told
    assert told[0].startswith(("variant V1", "wires.csv: ", "items.csv: ", "fuses.csv: "))
