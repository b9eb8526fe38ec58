"""Words that mean the same: what the table holds, and which of it a pack carries."""

from __future__ import annotations

import json
import re

from renderers.trade_words import folded, groups, table
from renderers.writers.html_folder import write_html
from tests.published import sample_pack


def leads(texts: list[str]) -> dict[str, set[str]]:
    """What each word leads to in a pack with these texts."""
    found: dict[str, set[str]] = {}
    for used, leading in groups(texts):
        for word in leading:
            found.setdefault(word, set()).update({*used} - {word})
    return found


def test_the_table_is_in_the_singular_and_says_nothing_twice() -> None:
    for used, leading in table():
        for words in (used, leading):
            assert len(words) == len(set(words)), words
            assert [word for word in words if folded(word) != word] == []
        assert len({*used, *leading}) > 1, used


def test_a_pack_carries_what_it_has_a_word_for() -> None:
    assert leads([]) == {}
    assert leads(["Left fog lamp"])["fog light"] == {"fog lamp"}
    assert "horn button" not in leads(["Left fog lamp"])
    # Words in the plural and with hyphens are the same, parts of words are not.
    assert leads(["Stop-lamp switches"])["brake light"] == {"stop lamp"}
    assert leads(["Hearth"]) == {}
    assert leads(["Relay", "lamp"])["bulb"] == {"lamp"}, "no phrase goes across two texts"


def test_some_words_lead_one_way() -> None:
    both = leads(["Dipped beam", "Main beam", "Headlamp"])
    assert both["headlight"] == {"headlamp", "dipped beam", "main beam"}
    assert both["low beam"] == {"dipped beam"}
    assert both["dipped beam"] == set()


def test_the_page_has_them() -> None:
    page = write_html(sample_pack("S4"))["index.html"].decode()
    found = re.search(r'<script type="application/json" id="lookup">(.*?)</script>', page)
    assert found
    words = json.loads(found[1])["words"]
    assert any(used == ["ground"] and "earth" in leading for used, leading in words)
    assert len(json.dumps(words)) < 20_000
