"""What stands beside components: what a fuse is, and the guide to a relay's face with its caution."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from compiler.model.variant import Variant
from renderers.sheets import draw_sheets
from renderers.sheets.bus import protective_facts
from renderers.sheets.guide import NOTE, guide_size

from .conftest import drawn
from .readback import all_words

SOURCE = """
variant V "V" { supply 12.6 V }
zone bay "Bay" 200 by 140
harness main "Main"
battery BT1 "Battery" 12.6 V 70 Ah at bay (10, 10)
fuse F1 "Loose" 1 2 7.5 A mini at bay (20, 10)
fusible-link FL1 "Link" 1.5 mm2 0.2 m at bay (20, 10)
breaker CB1 "Breaker" 30 A at bay (20, 10)
lamp E1 "Lamp" 1 2 5 W at bay (20, 10)
circuit 1 "Feed" 2 mm2 RD in main { A BT1.+ -- F1.1 1 m; B F1.2 -- FL1.1 1 m; C FL1.2 -- CB1.1 1 m; D CB1.2 -- E1.1 1 m }
sheet 1 "Feed" { circuits 1 }
"""


@pytest.mark.parametrize(
    ("device", "facts"), [("F1", "7.5 A mini"), ("FL1", "1.5 mm2"), ("CB1", "30 A"), ("E1", ""), ("BT1", "")]
)
def test_what_protects_says_its_rating(device: str, facts: str, variant_of: Callable[[str], Variant]) -> None:
    variant = variant_of(SOURCE)
    assert protective_facts(variant.devices[device]) == facts
    words = list(all_words(draw_sheets(variant)["1"].svg))
    assert facts == "" or facts in words


def test_the_guide_of_a_relay_warns_that_its_own_numbers_decide() -> None:
    variant, figures = drawn("tour")
    words = list(all_words(figures["3"].svg))
    assert words.count(NOTE) == 1
    assert guide_size(variant.devices["K1"]) is not None
    assert NOTE not in set(all_words(figures["2"].svg))
    assert guide_size(variant.devices["K2"]) is None, "a flasher has other terminals"
