"""Pages compared by what they look like."""

from __future__ import annotations

from compiler.changes.drawn import SAME, Drawn, Look, Seen, sighted


def drawn(pages: dict[str, str], by: str = "code", lit: dict[str, dict[str, str]] | None = None) -> Drawn:
    """`38: "a b"` is a page that looks like `a` and leads to `b`."""

    def looks(pages: dict[str, str]) -> dict[str, Look]:
        return {page: Look(*look.split(" ")) for page, look in pages.items()}

    return Drawn(by, looks(pages), {state: looks(pages) for state, pages in (lit or {}).items()})


def seen(old: dict[str, str], new: dict[str, str], by: str = "code", **sheets: str) -> dict[str, Seen]:
    renamed = {before.removeprefix("s"): now for before, now in sheets.items()}
    return dict(sighted(drawn(old), drawn(new, by), renamed, {}).pages)


def test_a_page_that_looks_the_same_is_the_same() -> None:
    pages = {"38": "a x", "38 (2)": "b x", "P": "c x"}
    assert seen(pages, pages) == dict.fromkeys(pages, SAME)
    assert seen(pages, pages, by="other code") == dict.fromkeys(pages, SAME)


def test_a_page_that_looks_otherwise_differs() -> None:
    old = {"38": "a x", "P": "c x"}
    assert seen(old, {"38": "a x", "P": "d x"})["P"] == Seen("differs")
    assert seen(old, {"38": "a x", "P": "d y"})["P"] == Seen("differs", names=True)
    assert seen(old, {"38": "a x", "P": "d x"}, by="other code") == {"38": SAME, "P": Seen("unsure")}


def test_a_page_of_a_sheet_that_was_not_there_is_new() -> None:
    assert seen({"38": "a x"}, {"38": "a x", "40": "a x"})["40"] == Seen("new")
    assert seen({"38": "a x"}, {"138": "a x"}, s38="138") == {"138": Seen("differs", "138")}


def test_a_page_that_was_another_page_is_known_again() -> None:
    found = seen({"P": "a x", "P (2)": "b x"}, {"P": "n x", "P (2)": "a x", "P (3)": "b x"})
    assert found == {
        "P": Seen("differs", more=True),
        "P (2)": Seen("differs", "P", more=True),
        "P (3)": Seen("differs", "P (2)", more=True),
    }


def test_pages_that_are_gone_are_named_where_their_sheet_is_still_there() -> None:
    old = {"46": "a x", "46 (2)": "b x", "50": "c x"}
    assert sighted(drawn(old), drawn({"47": "a x"}), {"46": "47"}, {}).gone == ("47 (2)",)


def test_sheets_in_a_state_are_compared_with_those_in_the_same_state() -> None:
    old = drawn({"38": "a x"}, lit={"On": {"38": "l x"}, "Off": {"38": "m x"}})
    new = drawn({"38": "a x"}, lit={"Lit": {"38": "l x"}, "Off": {"38": "n x"}, "Half": {"38": "l x"}})
    assert sighted(old, new, {}, {"On": "Lit", "Off": "Off"}).lit == {
        ("Lit", "38"): SAME,
        ("Off", "38"): Seen("differs"),
        ("Half", "38"): Seen("new"),
    }
