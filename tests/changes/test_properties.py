"""What holds of any two variants: nothing differs from itself, and turned round the same is told."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from compiler.changes.compare import compare
from compiler.changes.inventory import Inventory
from compiler.changes.stored import SCHEMA, InventoryError, inventory_json, read_inventory
from compiler.changes.words import sentence
from tests.changes.vehicles import demo_inventory, of_text, straight, turned
from tests.chaos.variants import make_variant

SEEDS = st.integers(0, 30)
QUICK = settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@cache
def chaos(seed: int) -> Inventory:
    with TemporaryDirectory() as folder:
        return of_text(Path(folder), make_variant(seed, 40))


@given(seed=SEEDS)
@QUICK
def test_nothing_differs_from_itself(seed: int) -> None:
    assert compare(chaos(seed), chaos(seed)).changes == ()


@given(first=SEEDS, second=SEEDS)
@QUICK
def test_turned_round_the_same_is_told(first: int, second: int) -> None:
    there, back = compare(chaos(first), chaos(second)), compare(chaos(second), chaos(first))
    assert turned(there) == straight(back)
    assert bool(there.changes) == (first != second)


@given(seed=SEEDS)
@QUICK
def test_what_is_kept_is_what_was(seed: int) -> None:
    text = inventory_json(chaos(seed))
    kept = read_inventory(text.encode())
    assert inventory_json(kept) == text
    assert compare(chaos(seed), kept).changes == ()


def test_the_demo_is_kept_whole() -> None:
    kept = read_inventory(inventory_json(demo_inventory()).encode())
    assert compare(demo_inventory("S2"), kept) == compare(demo_inventory("S2"), demo_inventory())


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "no JSON"),
        (b"{", "no JSON"),
        (b"\xff\xfe", "no JSON"),
        (b"[" * 100_000, "no JSON"),
        (b"[]", "names no schema"),
        (b'{"schema": 1}', "names no schema"),
        (b'{"schema": "loomwright-pack/1"}', "its schema is loomwright-pack/1"),
        (f'{{"schema": "{SCHEMA}", "things": []}}'.encode(), "things is not an object"),
        (f'{{"schema": "{SCHEMA}", "things": {{"cow": {{}}}}}}'.encode(), "unknown sort, cow"),
        (f'{{"schema": "{SCHEMA}", "things": {{"wire": {{"1A": 3}}}}}}'.encode(), "wire 1A is not an object"),
        (
            f'{{"schema": "{SCHEMA}", "things": {{"wire": {{"1A": {{"a": null}}}}}}}}'.encode(),
            "a of wire 1A is neither",
        ),
        (f'{{"schema": "{SCHEMA}", "drawn": null}}'.encode(), "drawn is not an object"),
        (f'{{"schema": "{SCHEMA}", "drawn": {{"pages": ["38"]}}}}'.encode(), "pages is not an object"),
        (f'{{"schema": "{SCHEMA}", "drawn": {{"lit": {{"On": 3}}}}}}'.encode(), "lit is not an object"),
        (f'{{"schema": "{SCHEMA}", "variant": {{"supply": NaN}}}}'.encode(), "NaN is not a number"),
        (f'{{"schema": "{SCHEMA}", "variant": {{"supply": 1e999}}}}'.encode(), "supply of variant is neither"),
        (f'{{"schema": "{SCHEMA}", "variant": {{"supply": {"9" * 400}}}}}'.encode(), "supply of variant is neither"),
    ],
)
def test_what_is_no_inventory_is_refused(data: bytes, says: str) -> None:
    with pytest.raises(InventoryError, match=says):
        read_inventory(data)


VALUES = st.one_of(st.text(max_size=4), st.floats(-1e9, 1e9), st.lists(st.text(max_size=4), max_size=3), st.none())


@given(data=st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_damaged_facts_are_compared_or_refused(data: st.DataObject) -> None:
    """Facts of the wrong sort, names that nothing bears, records that lack what they need: never a crash."""
    kept: dict[str, Any] = json.loads(inventory_json(chaos(3)))
    for _ in range(data.draw(st.integers(1, 6))):
        records = kept["things"][data.draw(st.sampled_from(sorted(kept["things"])))]
        if records:
            record = records[data.draw(st.sampled_from(sorted(records)))]
            fact = data.draw(st.sampled_from([*sorted(record), "device", "word slot", "rating power", "harnesses"]))
            value = data.draw(VALUES)
            if value is None:
                record.pop(fact, None)
            else:
                record[fact] = value
    damaged = read_inventory(json.dumps(kept).encode())
    for changes in (compare(chaos(3), damaged), compare(damaged, chaos(3))):
        assert all(sentence(change, changes) for change in changes.changes)
