"""Decision trees kept between runs, made in several processes, and put in order for print."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from lxml import html

from compiler.assembly.project import find_project
from compiler.circuit.graph import Graph
from compiler.isolation.bench import Bench
from compiler.isolation.tree import tree
from compiler.isolation.types import Complaint, Tree
from compiler.model.variant import Variant
from compiler.network.electrical import Electrical
from compiler.network.network import Network
from grammar.source import Source
from renderers.around import Around
from renderers.coding import decoded, encoded
from renderers.document import Group, Paragraph
from renderers.isolation import trees
from renderers.isolation.drawn import drawn, letters_of
from renderers.isolation.trees import Made, made, said
from renderers.pack import build_pack
from renderers.publish import PublishError, publish
from renderers.repairs import REPAIR
from renderers.sheets import draw_sheets
from renderers.store import Store
from renderers.tables import Table
from renderers.writers.csv_tables import write_csv
from renderers.writers.html_folder import write_html
from renderers.writers.json_data import write_json
from renderers.writers.print_pdf import write_pdf
from tests.isolation.vehicles import LAMP
from tests.network.circuits import variant_of
from tests.published import sample
from tests.renderers.vehicles import HOSTILE, figures


def bench_of(text: str = LAMP) -> Bench:
    return Bench(Network(Graph(variant_of(text))))


def test_a_tree_comes_back_from_json_as_it_was() -> None:
    bench = bench_of()
    for complaint in bench.complaints():
        grown = tree(bench, complaint)
        assert decoded(Tree, encoded(grown)) == grown


@pytest.mark.parametrize(
    "data", [b"", b"[]", b"{}", b"null", b"[1,2]", b'["x","y",[],[],[],[],[],[0,0],[0,0]]', b"\xff"]
)
def test_what_is_no_tree_is_refused(data: bytes) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - of json, of its decoding, or ours
        decoded(Tree, data)


def test_kept_trees_are_taken_until_something_changes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bench, store = bench_of(), Store(tmp_path)
    first = made(bench, bench.complaints(), store)
    asked: list[int] = []
    real = trees._grown

    def counted(own: Bench, found: Sequence[Complaint], jobs: int) -> Iterator[Made]:
        asked.append(len(found))
        return real(own, found, jobs)

    monkeypatch.setattr(trees, "_grown", counted)
    assert made(bench, bench.complaints(), store) == first
    commented = bench_of("# a remark\n" + LAMP.replace("\n", "  # as built\n"))
    assert made(commented, commented.complaints(), store) == first
    assert asked == [0, 0]
    longer = bench_of(LAMP.replace("S1.2 -- C1.1  1 m", "S1.2 -- C1.1  90 m"))
    assert made(longer, longer.complaints(), store) != first
    assert asked[-1] == len(first)
    hot = Bench(Electrical(Graph(variant_of(LAMP)), {"conductor-temperature": 150}).network)
    assert made(hot, hot.complaints(), store) == made(hot, hot.complaints(), Store(None)) != first


def test_an_entry_that_is_not_ours_is_made_anew(tmp_path: Path) -> None:
    bench, store = bench_of(), Store(tmp_path)
    first = made(bench, bench.source_complaints, store)
    (key,) = trees._keys(bench, bench.source_complaints)
    for bad in (b"", b"no line end", b"[]\n", b'["x"]\n'):
        store.put(key, bad)
        assert made(bench, bench.source_complaints, store) == first


def test_processes_give_the_same_as_one() -> None:
    bench = bench_of()
    assert made(bench, bench.complaints(), Store(None), 2) == made(bench, bench.complaints(), Store(None), 1)


def test_comments_and_blanks_say_nothing_but_quoted_text_does() -> None:
    def of(text: str) -> tuple[str, ...]:
        return said(replace(variant_of(LAMP), sources=(Source("a.loom", text),)))

    assert of("a  b # x\n\n  c") == of("a b\nc # y")
    assert of('a "b # x"') != of('a "b # y"')
    assert of('a "b  c"') != of('a "b c"')


def test_the_same_tree_stands_once_and_shared_ends_are_referred_to() -> None:
    bench = bench_of()
    found = made(bench, bench.complaints(), Store(None))
    twice = drawn((*found, *(Made(m.complaint._replace(id=f"{m.complaint.id}-2"), m.tree) for m in found)))
    once = drawn(found)
    assert [chart.id for chart in twice] == [chart.id for chart in once]
    assert all(len(b.complaints) == 2 * len(a.complaints) for a, b in zip(once, twice, strict=True))
    anchors = {place.anchor for chart in once for place in chart.to.values()}
    own = [chart.to[node.number].anchor for chart in once for node in chart.steps]
    assert len(own) == len(set(own))
    assert set(own) <= anchors


def test_a_tree_that_goes_on_like_another_leads_there() -> None:
    """The same complaint with one more root: below it everything stands in the first chart already."""
    bench = bench_of()
    one = made(bench, [bench.complaint("E1-dead")], Store(None))[0]
    assert one.tree is not None
    root = one.tree.nodes[0]
    moved = tuple(
        replace(node, number=node.number + 1, answers=tuple(a._replace(node=a.node + 1) for a in node.answers))
        for node in one.tree.nodes
    )
    answers = (root.answers[0]._replace(node=1), root.answers[1]._replace(node=1))
    above = replace(root, answers=answers, count=root.count + 1)
    longer = replace(one.tree, nodes=(above, *moved))
    first, second = drawn((one, Made(one.complaint._replace(id="longer", title="Longer"), longer)))
    assert len(second.steps) == 1
    assert second.to[1] == first.to[0]


def test_letters_count() -> None:
    assert [letters_of(n) for n in (0, 25, 26, 51, 52, 701, 702)] == ["A", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]


def test_publish_takes_wishes_and_refuses_what_it_cannot_use(tmp_path: Path) -> None:
    variant, project = variant_of(LAMP), find_project(tmp_path)

    def steps(faults: str) -> int:
        publish(variant, project, tmp_path / faults, formats=["json"], faults=faults)
        return (tmp_path / faults / "pack.json").read_text("utf-8").count('"block": "steps"')

    assert (steps("none"), steps("source")) == (0, 2)
    assert steps("loads") > 2
    with pytest.raises(PublishError, match="no set of fault charts 'all'; there are none, source, loads"):
        publish(variant, project, tmp_path / "a", formats=["json"], faults="all")
    settings = replace(project.settings, policy={"fault-limits": {"related": "many"}})
    with pytest.raises(PublishError, match=r"loomwright.toml: policy fault-limits: related is 'many'"):
        publish(variant, replace(project, settings=settings), tmp_path / "a", formats=["json"])
    publish(variant, replace(project, settings=settings), tmp_path / "a", formats=["json"], faults="none")


def test_hostile_words_stay_words_in_every_form(hostile: Variant) -> None:
    pack = build_pack(hostile, figures(hostile), around=Around(faults="loads"))
    section = pack.section("isolation")
    assert len(section.tables) > 10
    tree = html.fromstring(write_html(pack)["index.html"].decode("utf-8"))
    assert len(tree.xpath("//script")) == 2
    assert tree.xpath("//img | //*[@onclick] | //*[@onerror]") == []
    texts = {cell.text for table in section.tables for row in table.rows for cell in row.cells}
    assert any(words in text for text in texts for words in HOSTILE)
    assert write_pdf(pack)["T1.pdf"].startswith(b"%PDF")
    for data in write_csv(pack).values():
        rows = csv.reader(io.StringIO(data.decode("utf-8-sig")))
        assert not any(value.startswith(("=", "+", "@")) for row in rows for value in row)
    assert json.loads(write_json(pack)["pack.json"])["sections"]


KILLED = """
import os, time
from compiler.isolation import tree
from renderers.isolation.trees import made
from renderers.repairs import REPAIR
from renderers.store import Store
from renderers.tables import Table
from tests.renderers.test_fault_trees import bench_of

def slow(*_):
    print(os.getpid(), flush=True)
    time.sleep(300)

tree.tree = slow
bench = bench_of()
made(bench, bench.complaints(), Store(None), 2)
"""


def test_no_process_outlives_one_that_is_killed(root: Path) -> None:
    with subprocess.Popen([sys.executable, "-c", KILLED], cwd=root, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        hands = [int(running.stdout.readline()) for _ in range(2)]
        running.kill()
        # The pipe ends when the last process that holds it has ended.
        assert running.communicate(timeout=60)[0] == ""
    assert len(set(hands)) == 2


def test_complaints_whose_ids_are_the_same_have_charts_of_their_own() -> None:
    more = '\ncomplaint "日本" { set S1 on; seen E1 out }\ncomplaint "木" { set S1 on; seen E2 out }\n'
    pack = build_pack(variant_of(LAMP + more), {}, around=Around(faults="source"))
    titles = [block.title for block in pack.section("isolation").blocks if isinstance(block, Group)]
    assert titles == ["Left lamp dark, right lamp lit", "日本", "木", "B1 Lamp circuit open"]


def test_no_table_with_anchors_waits_for_page_numbers() -> None:
    """The print engine may lose the anchors of a table that it lays out again and again for page numbers in it."""
    pack = build_pack(variant_of(LAMP), {}, around=Around(faults="loads"))
    for table in pack.section("isolation").tables:
        if any(row.anchor for row in table.rows):
            assert not any(run.page for row in table.rows for cell in row.cells for run in cell.runs), table.id


def test_a_thing_drawn_twice_on_a_page_is_given_with_both_zones(lamps: Variant) -> None:
    drawn_once = draw_sheets(lamps)
    assert not any("+" in zone for figure in drawn_once.values() for zone in figure.places.values())
    twice = {name: replace(figure, places={**figure.places, "C1": "C4+E2"}) for name, figure in drawn_once.items()}
    pack = build_pack(lamps, twice, around=Around(faults="source"))
    where = [row.cells[2].text for table in pack.section("isolation").tables for row in table.rows]
    assert "cab; sheet 1 C4+E2" in where
    assert "cab; sheet 1" not in where


def test_charts_lead_to_the_repair_notes_and_name_them_only_so() -> None:
    pack = build_pack(sample("S4"), {}, around=Around(faults="source"))
    assert pack.anchors()[REPAIR] == "sizes"
    for group in pack.section("isolation").blocks:
        leaves = group.blocks if isinstance(group, Group) else (group,)
        tables = [leaf for leaf in leaves if isinstance(leaf, Table)]
        named = [run for leaf in leaves if isinstance(leaf, Paragraph) for run in leaf.runs if "repair notes" in run.text]
        assert all(run.link == REPAIR and run.page for run in named)
        assert not any("repair notes" in one.text for table in tables for row in table.rows for one in row.cells)
        causes = [row.cells[1].text for table in tables for row in table.rows if table.family == "isolation-causes"]
        assert bool(named) == any(word in text for text in causes for word in ("wire ", "joint ", "terminal "))


def test_a_chart_without_tests_has_one_that_confirms_its_cause() -> None:
    pack = build_pack(sample("S4"), {}, around=Around(faults="source"))
    (chart,) = [g for g in pack.section("isolation").blocks if isinstance(g, Group) and g.title.startswith("E0117")]
    told = ["".join(run.text for run in leaf.runs) for leaf in chart.blocks if isinstance(leaf, Paragraph)]
    (words,) = [text for text in told if text.startswith("There is nothing to tell apart.")]
    assert "Unplug C212 and C202" in words
    assert "With the fault: below 0.3 ohm. Without it: open; then the short is not in the wire" in words
    assert "B12 (Coolant temperature): Engine, thermostat housing" in words
    assert "A1 (Engine control module): Engine bay, right of the scuttle" in words
    causes = next(leaf for leaf in chart.blocks if isinstance(leaf, Table))
    assert "fuse" not in causes.rows[0].cells[4].text
