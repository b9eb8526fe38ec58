"""The pack set in parts: dealt, set by processes, numbered in rounds, joined to one file."""

from __future__ import annotations

import json
import re
import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from multiprocessing import Pipe
from pathlib import Path

import pikepdf
import pytest

from renderers.document import Block, Group, Pack, Paragraph
from renderers.store import Store
from renderers.tables import Column, Row, Run, Table, cell
from renderers.writers import print_parts, print_workers
from renderers.writers.print_engine import Extent, Part, PrintError, Setting, Spot, loosened, mark_of, set_part
from renderers.writers.print_join import joined, places_of
from renderers.writers.print_parts import SHEETS_A_PART, parts_of
from renderers.writers.print_pdf import printed, write_pdf
from renderers.writers.print_rounds import settled
from renderers.writers.print_workers import Task, Workers, serve
from tests.renderers.pdf_ua import violations
from tests.renderers.test_pdf import opened, text_of


@pytest.fixture(scope="module")
def parts(small_pack: Pack) -> print_parts.Parts:
    return parts_of(small_pack, "a4", None)


@pytest.fixture(scope="module")
def settings(parts: print_parts.Parts) -> list[Setting]:
    with Workers() as workers:
        return settled(parts.parts, Store(None), workers)


def test_joining_loses_nothing(parts: print_parts.Parts, settings: list[Setting]) -> None:
    made = joined(settings, parts.heads)
    whole = text_of(made).rstrip("\f").split("\f")
    before = [page for setting in settings for page in text_of(setting.pdf).rstrip("\f").split("\f")]
    assert len(whole) == len(before)
    for number, (page, own) in enumerate(zip(whole, before, strict=True)):
        numbered = f"{number} / {len(whole) - 1}"
        assert number == 0 or numbered in page
        assert page.replace(numbered, "").split() == own.split()
    with opened(made) as document:
        tags = [one for one in document.objects if isinstance(one, pikepdf.Dictionary) and "/P" in one and "/S" in one]
        assert len(tags) > 1000
        parts_have = sum(len(_elements(setting.pdf)) for setting in settings)
        # One tag for the document as a whole stands for that of each part.
        assert len(_elements(made)) == parts_have - len(settings) + 1


def test_connectors_of_two_sorts_stand_under_heads_of_their_own(
    small_pack: Pack, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In bookmarks, contents and tags; in parts that begin below such a head too."""
    monkeypatch.setattr(print_parts, "LONG", 20)
    cut = parts_of(small_pack, "a4", None)
    deep = [part.deep for part in cut.parts if part.name.startswith("connectors-")]
    assert deep == [0, 2, 1]
    with Workers() as workers:
        made = joined(settled(cut.parts, Store(None), workers), cut.heads)
    assert violations(made) == []
    with opened(made) as document, document.open_outline() as outline:
        (charts,) = [item for item in outline.root if item.title == "Connector charts"]
        assert [(sort.title, [item.title.split()[0] for item in sort.children]) for sort in charts.children] == [
            ("In-line connectors", ["C12", "C40"]),
            ("Connectors at components", ["C51"]),
        ]
    assert re.search(r"In-line connectors[ .]+\d", text_of(made))


def test_the_running_head_names_the_connectors_of_a_page(settings: list[Setting], parts: print_parts.Parts) -> None:
    pages = text_of(joined(settings, parts.heads)).split("\f")
    heads = [page.split("\n")[0] for page in pages]
    assert any(re.search(r"Connector charts: C12 – C(40|51)$", head) for head in heads)
    for head, page in zip(heads, pages, strict=True):
        if found := re.search(r"Connector charts: (C\d+)(?: – (C\d+))?$", head):
            names = re.findall(r"^ *(C\d+)  ", page, re.MULTILINE)
            assert not names or names[-1] == (found[2] or found[1])
    assert any(head.endswith("Component index") for head in heads)


def test_the_contents_list_each_sheet_once(small_pack: Pack) -> None:
    further = replace(small_pack.sheets["38"], sheet="38 (2)")
    sheets = small_pack.section("sheets")
    (group,) = [b for b in sheets.blocks if isinstance(b, Group) and b.id == "sheet-38"]
    figure = next(leaf for leaf in group.blocks if not isinstance(leaf, Paragraph))
    more = group._replace(id="sheet-38_20__28_2_29_", title="Sheet 38 (2)", blocks=(figure._replace(sheet="38 (2)"),))  # type: ignore[union-attr]
    at = sheets.blocks.index(group) + 1
    longer = replace(sheets, blocks=(*sheets.blocks[:at], more, *sheets.blocks[at:]))
    pack = replace(
        small_pack,
        sheets={**small_pack.sheets, "38 (2)": further},
        sections=tuple(longer if s is sheets else s for s in small_pack.sections),
    )
    front = json.loads(parts_of(pack, "a4", None).parts[0].files["part.json"])
    listed = [title for _, name, title in front["contents"] if name.startswith("sheet-")]
    assert [title.split()[:2] for title in listed] == [["Sheet", "38"], ["Sheet", "39"]]
    (columns,) = [row for row in front["columns"] if len(row) == 2]
    assert [[front["contents"][at][1] for at in column] for column in columns] == [["sheet-38"], ["sheet-39"]]


def _elements(data: bytes) -> list[pikepdf.Object]:
    with opened(data) as document:
        kind = pikepdf.Name.StructElem
        return [o for o in document.objects if isinstance(o, pikepdf.Dictionary) and o.get("/Type") == kind]


def test_every_part_is_fit_for_readers_of_tags_and_so_is_the_whole(
    parts: print_parts.Parts, settings: list[Setting]
) -> None:
    assert violations(joined(settings, parts.heads)) == []


def test_any_number_of_processes_makes_the_same_file(small_pack: Pack) -> None:
    (one,), (two,) = (write_pdf(small_pack, jobs=jobs).values() for jobs in (1, 3))
    assert one == two


class Counting(Workers):
    """Workers that note what they are given."""

    def __init__(self, noted: list[str]) -> None:
        super().__init__(2)
        self.noted = noted

    def done(self, tasks: Iterable[Task]) -> list[Setting]:
        listed = list(tasks)
        self.noted += [task.part.name for task in listed]
        return super().done(listed)


def test_only_the_part_that_changed_is_set_again(
    small_pack: Pack, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    noted: list[str] = []
    monkeypatch.setattr("renderers.writers.print_pdf.Workers", lambda _: Counting(noted))
    store = Store(tmp_path / "kept")
    before = write_pdf(small_pack, store=store)
    assert len(noted) > 15
    noted.clear()
    assert write_pdf(small_pack, store=store) == before
    assert noted == []
    section = small_pack.section("sizes")
    more = replace(section, blocks=(*section.blocks, Paragraph((Run("One more line."),))))
    sections = tuple(more if one is section else one for one in small_pack.sections)
    edited = replace(small_pack, sections=sections)
    after = write_pdf(edited, store=store)
    assert noted == ["sizes-0"]
    assert after == write_pdf(edited)
    assert after != before


def test_pages_that_move_are_numbered_anew(small_pack: Pack, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What stands behind a part that grew by a page is not set again; what names its page is."""
    noted: list[str] = []
    monkeypatch.setattr("renderers.writers.print_pdf.Workers", lambda _: Counting(noted))
    store = Store(tmp_path / "kept")
    (before,) = write_pdf(small_pack, store=store).values()
    noted.clear()
    section = small_pack.section("cautions")
    more = replace(section, blocks=(*section.blocks, *(Paragraph((Run(f"Line {n}."),)) for n in range(60))))
    sections = tuple(more if one is section else one for one in small_pack.sections)
    (after,) = write_pdf(replace(small_pack, sections=sections), store=store).values()
    assert "index-0" in noted
    assert not {"components-0", "wires-0", "sheets-1"} & set(noted)
    old, new = (re.search(r"Splice index[ .\u2060]+(\d+)\n", text_of(data)) for data in (before, after))
    assert old is not None
    assert new is not None
    assert int(new[1]) == int(old[1]) + 1
    assert "Splice index" in text_of(after).split("\f")[int(new[1])]


def test_sheets_are_dealt_in_small_parts(small_pack: Pack) -> None:
    section = small_pack.section("sheets")
    drawn = next(b for b in section.blocks if isinstance(b, Group))
    many = tuple(drawn._replace(id=f"sheet-{n}") for n in range(2 * SHEETS_A_PART + 1))
    words: tuple[Block, ...] = (Paragraph((Run("List"),)),)
    pack = replace(small_pack, sections=(replace(section, blocks=(*words, *many)),))
    _, *parts = parts_of(pack, "a4", None).parts
    assert [part.deep for part in parts] == [0, 1, 1, 1]
    held = [sorted(name for name in part.names if name.startswith("sheet-")) for part in parts]
    assert sorted(name for one in held for name in one) == sorted(group.id for group in many)
    assert [len(one) for one in held] == [0, SHEETS_A_PART, SHEETS_A_PART, 1]


def test_a_long_section_of_groups_is_dealt(small_pack: Pack, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(print_parts, "LONG", 100)
    columns = (Column("a", "Cavity", "id", 10), Column("b", "Wire", "text", 30))
    groups = tuple(
        Group(
            f"g-{n}",
            f"Head{n}",
            (Table(f"t{n}", "", columns, tuple(Row((cell(f"c{n}x{k}"), cell("w"))) for k in range(20))),),
        )
        for n in range(9)
    )
    pack = replace(small_pack, sections=(replace(small_pack.section("sizes"), blocks=groups),), sheets={})
    parts = parts_of(pack, "a4", None)
    assert [part.name for part in parts.parts] == ["front", "sizes-0", "sizes-1", "sizes-2"]
    data = printed(parts, Store(None))
    assert violations(data) == []
    with opened(data) as document, document.open_outline() as outline:
        (section,) = [item for item in outline.root if item.title == "Wire sizes"]
        assert [item.title for item in section.children] == [f"Head{n}" for n in range(9)]
    assert text_of(data).count("Wire sizes") == 1 + len(text_of(data).rstrip("\f").split("\f")) - 2 + 1


def test_a_link_in_a_form_that_is_not_known_is_not_let_through(
    parts: print_parts.Parts, settings: list[Setting], monkeypatch: pytest.MonkeyPatch
) -> None:
    part = next(part for part in parts.parts if part.name == "wires-0")
    raw: list[bytes] = []

    def noting(pdf: bytes, part: Part, mark: str) -> Setting:
        raw.append(pdf)
        return loosened(pdf, part, mark)

    monkeypatch.setattr("renderers.writers.print_engine.loosened", noting)
    set_part(part, {})
    mark = mark_of(part, {})
    begun = b"/Contents(" + mark.encode("ascii")
    assert begun in raw[0]
    with pytest.raises(PrintError, match="not known here"):
        loosened(raw[0].replace(begun, begun.replace(b"(", b" ("), 1), part, mark)
    without = [setting for setting, part in zip(settings, parts.parts, strict=True) if part.name != "connectors-0"]
    with pytest.raises(PrintError, match="nowhere in the pack"):
        joined(without, parts.heads)


# -- rounds ------------------------------------------------------------------------------------------------------------
class Pretended:
    """Sets parts of which only the extent is pretended, by a rule from the numbers that they print."""

    def __init__(self, rules: dict[str, Callable[[dict[str, str]], Extent]]) -> None:
        self.rules = rules
        self.done_: list[tuple[str, dict[str, str]]] = []

    def done(self, tasks: Iterable[Task]) -> list[Setting]:
        made = []
        for task in tasks:
            numbers = dict(task.numbers)
            self.done_.append((task.part.name, numbers))
            made.append(Setting(json_of(numbers), self.rules[task.part.name](numbers)))
        return made


def json_of(numbers: dict[str, str]) -> bytes:
    return repr(sorted(numbers.items())).encode()


def pretended(
    parts: Sequence[Part], rules: dict[str, Callable[[dict[str, str]], Extent]]
) -> tuple[list[Setting], Pretended]:
    workers = Pretended(rules)
    return settled(parts, Store(None), workers), workers  # type: ignore[arg-type]


def extent(pages: int, **names: int) -> Extent:
    return Extent(pages, {name: Spot(page, 0.0, 0.0) for name, page in names.items()}, ())


def part(name: str, targets: tuple[str, ...] = (), names: Iterable[str] = ()) -> Part:
    return Part(name, {"main.typ": name.encode()}, targets, frozenset(names))


def test_a_part_that_names_only_what_stands_before_it_is_set_once() -> None:
    parts = [
        part("front", ("a", "b", "c")),
        part("one", (), "a"),
        part("two", ("a",), "b"),
        part("three", ("a", "b"), "c"),
    ]
    made, workers = pretended(
        parts,
        {
            "front": lambda _: extent(2),
            "one": lambda _: extent(7, a=7),
            "two": lambda _: extent(3, b=1),
            "three": lambda _: extent(1, c=1),
        },
    )
    assert [name for name, _ in workers.done_] == ["front", "one", "two", "three", "front"]
    assert workers.done_[-1] == ("front", {"a": "8", "b": "9", "c": "12"})
    assert workers.done_[3] == ("three", {"a": "8", "b": "9"})
    assert places_of([setting.extent for setting in made])["c"].number == 12


def test_numbers_that_move_what_they_number_come_to_rest() -> None:
    """Numbered 99 the contents take a page more, so that it is 100; numbered 100 they have room, so that it is 99."""
    rules: dict[str, Callable[[dict[str, str]], Extent]] = {
        "front": lambda numbers: extent(99 if len(numbers["a"]) == 3 else 100),
        "one": lambda _: extent(1, a=1),
    }
    made, workers = pretended([part("front", ("a",)), part("one", (), "a")], rules)
    tried = [numbers["a"] for name, numbers in workers.done_ if name == "front"]
    assert tried[:3] == ["000", "99", "100"]
    assert made[0].pdf == json_of({"a": "\u200799"})
    assert places_of([setting.extent for setting in made])["a"].number == 99


def test_a_page_of_nothing_is_refused() -> None:
    with pytest.raises(PrintError, match="page of b is wanted"):
        pretended([part("front", ("b",))], {"front": lambda _: extent(1)})


# -- processes -------------------------------------------------------------------------------------------------------
def test_a_process_that_ends_is_told_of(parts: print_parts.Parts) -> None:
    with Workers() as workers:
        workers.done([Task(parts.parts[1], {})])
        workers.started[0].process.kill()
        workers.started[0].process.wait()  # a signal takes its time, in which a part so small could still be set
        with pytest.raises(PrintError, match="stopped before it was done"):
            workers.done([Task(parts.parts[1], {})])
        # The next begins with a fresh one.
        assert workers.done([Task(parts.parts[1], {})])[0].extent.pages == 1
        started = list(workers.started)
    assert len(started) == 2
    assert all(worker.process.poll() is not None for worker in started)


def served(task: Task) -> tuple[Setting | str, bool]:
    """What a process would answer; it ends when it is asked nothing more."""
    mine, yours = Pipe()
    thread = threading.Thread(target=serve, args=(yours, yours))
    thread.start()
    mine.send(task)
    outcome: tuple[Setting | str, bool] = mine.recv()
    mine.close()
    thread.join(20)
    assert not thread.is_alive()
    return outcome


def test_a_process_that_holds_enough_is_followed_by_another(
    parts: print_parts.Parts, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(print_workers, "MOST", 0)
    setting, tired = served(Task(parts.parts[1], {}))
    assert isinstance(setting, Setting)
    assert tired


def test_a_disk_that_is_full_is_told_of(
    parts: print_parts.Parts, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    nowhere = tmp_path / "file"
    nowhere.write_bytes(b"")
    monkeypatch.setattr("tempfile.tempdir", str(nowhere))
    assert served(Task(parts.parts[1], {}))[0] == "Not a directory"


def test_an_error_leaves_no_process_and_no_file(parts: print_parts.Parts) -> None:
    with Workers(2) as workers:
        broken = Part("broken", {"main.typ": b'#panic("no")'}, ())
        tasks = [Task(broken, {}), *(Task(part, dict.fromkeys(part.targets, "1")) for part in parts.parts)]
        with pytest.raises(PrintError, match="panicked"):
            workers.done(tasks)
    assert all(worker.process.poll() is not None for worker in workers.started)
    assert not Path(workers.folder.name).exists()
