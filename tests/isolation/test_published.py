"""The published fault charts, walked as a technician does: from the page alone, with readings of the solved network in
which a fault is planted. Whatever the fault, the page must lead to a cause that names it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from random import Random
from typing import Any

import pytest
from lxml import html

from compiler.circuit.graph import Graph
from compiler.isolation import types
from compiler.isolation.bench import Bench
from compiler.isolation.types import Complaint, Reading, Suspect, TestKind
from compiler.network.network import Network
from renderers.around import Around
from renderers.document import Pack
from renderers.pack import build_pack
from renderers.writers.html_folder import write_html
from renderers.writers.json_data import write_json
from tests.isolation.technician import Technician
from tests.isolation.vehicles import LAMP, demo
from tests.network.circuits import variant_of

Json = dict[str, Any]
NUMBER = r"([0-9.]+(?:e[+-]?[0-9]+)?)"
OPEN_OHM = 20_000.0


class Page:
    """What `pack.json` holds of the fault charts: steps and causes by anchor, charts by the title of their complaint."""

    def __init__(self, pack: Pack) -> None:
        data = json.loads(write_json(pack)["pack.json"])
        self.section = next(s for s in data["sections"] if s["id"] == "isolation")
        self.charts: dict[str, Json] = {b["title"]: b for b in self.section["blocks"] if b["block"] == "group"}
        self.steps: dict[str, Json] = {}
        self.causes: dict[str, str] = {}
        for block in (leaf for chart in self.charts.values() for leaf in chart["blocks"]):
            if block["block"] == "steps":
                self.steps |= {step["anchor"]: step for step in block["steps"]}
            elif block["id" if "id" in block else "block"].startswith("causes-"):
                self.causes |= {row["anchor"]: row["cells"]["fault"] for row in block["rows"]}

    def start(self, title: str) -> str:
        """The anchor at which a chart begins."""
        for block in self.charts[title]["blocks"]:
            if block["block"] == "steps":
                return str(block["start"])
        for block in self.charts[title]["blocks"]:
            if block.get("family") == "isolation-causes":
                return str(block["rows"][0]["anchor"])
        raise AssertionError(f"{title} begins nowhere")


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(Network(Graph(variant_of(LAMP))))


@pytest.fixture(scope="module")
def pack(bench: Bench) -> Pack:
    return build_pack(bench.network.variant, {}, around=Around(faults="loads"))


@pytest.fixture(scope="module")
def page(pack: Pack) -> Page:
    return Page(pack)


def told_range(words: str, unit: str) -> tuple[float, float]:
    """The printed reading as numbers: `11.6 to 12.9 V`, `below 0.2 V`, `above 20 k ohm`, `open`."""
    if words == "open":
        return OPEN_OHM, float("inf")
    found = re.fullmatch(rf"(below |above )?{NUMBER}(?: ?k)?(?: to {NUMBER})? ?(k ?)?(V|ohm)", words)
    assert found, words
    scale = 1e3 if unit == "ohm" and re.search(r"\dk| k", words) else 1.0
    first, last = float(found[2]) * scale, float(found[3] or found[2]) * scale
    return {"below ": (-1e9, first), "above ": (first, float("inf"))}.get(found[1], (first, last))


def chosen(step: Json, value: float) -> Json:
    """The answer that a reading falls in. What is read on a meter is taken to the nearest range as printed."""

    def off(answer: Json) -> float:
        low = -1e9 if answer["low"] is None else answer["low"]
        high = float("inf") if answer["high"] is None else answer["high"]
        if step["unit"] in ("V", "ohm"):
            low, high = told_range(answer["reading"], step["unit"])
        return max(low - value, value - high, 0.0)

    return min(step["answers"], key=off)


def thing_to_do(step: Json) -> types.Test:
    """The step as a thing to do, from what the page says."""
    kind, sound = TestKind(step["kind"]), Reading(0.0, 0.0, step["unit"], "")
    settings = tuple((str(a), str(b)) for a, b in step["settings"])
    place = step["place"]
    return types.Test(step["test"], kind, place, step["item"], settings, step["power"], step["what"], 0, 0, (), sound)


def names(cause: str, suspect: Suspect) -> bool:
    """Whether a row of causes names a fault: `terminal C1.1 body side corroded or loose, or backed out; wire 1C open`."""
    said = suspect.says.removeprefix(suspect.part).strip()
    parts = [part.removeprefix(suspect.part).strip() for part in cause.split("; ") if part.startswith(suspect.part)]
    return any(said in part.split(", or ") for part in parts)


def walked(page: Page, start: str, technician: Technician) -> tuple[str, int]:
    """The cause at which a technician ends, and how many tests that took."""
    at, tests = start, 0
    while at in page.steps:
        step = page.steps[at]
        at = chosen(step, technician.answer(thing_to_do(step)))["to"]
        tests += 1
        assert tests < 60
    return page.causes[at], tests


def titles_of(page: Page) -> dict[str, str]:
    """Title of a complaint -> title of its chart: several may share one."""
    titles = {title: title for title in page.charts}
    for title, chart in page.charts.items():
        for block in chart["blocks"]:
            if block["block"] == "paragraph" and block["text"].startswith("Also for: "):
                titles |= dict.fromkeys(block["text"].removeprefix("Also for: ").removesuffix(".").split("; "), title)
    return titles


def all_found(bench: Bench, page: Page, complaints: Iterable[Complaint], most: int) -> int:
    """Plant up to `most` faults for each complaint and walk the page; how many walks there were."""
    random, titles, done = Random("page"), titles_of(page), 0
    for complaint in complaints:
        case = bench.case(complaint)
        for suspect in random.sample(case.suspects, min(most, len(case.suspects))):
            technician = Technician(bench, case.settings, suspect, random)
            cause, _ = walked(page, page.start(titles[complaint.title]), technician)
            assert names(cause, suspect), (complaint.title, suspect.says, cause)
            done += 1
    return done


def test_every_fault_is_found_by_the_page_alone(bench: Bench, page: Page) -> None:
    assert all_found(bench, page, bench.complaints(), 1000) > 100


@pytest.mark.campaign
def test_the_faults_of_the_demo_are_found_by_its_page_alone() -> None:
    bench = demo()
    page = Page(build_pack(bench.network.variant, {}, around=Around(faults="source"), jobs=0))
    assert all_found(bench, page, (*bench.source_complaints, *bench.codes), 1000) > 300


def test_a_cause_names_no_more_than_its_group(bench: Bench, page: Page) -> None:
    """The walk can fail: what a technician comes to does not name every other fault as well."""
    case = bench.case(bench.source_complaints[0])
    for suspect in case.suspects:
        technician = Technician(bench, case.settings, suspect, Random(1))
        cause, _ = walked(page, page.start(case.complaint.title), technician)
        named = {s.number for s in case.suspects if names(cause, s)}
        (group,) = [g for g in case.board.groups(tuple(range(len(case.suspects)))) if suspect.number in g]
        assert named == set(group)


def test_the_html_table_says_the_same_as_the_data(pack: Pack, page: Page) -> None:
    # The page holds figure and unit together; what is read is the same.
    tree = html.fromstring(write_html(pack)["index.html"].decode("utf-8").replace("\u00a0", " "))
    rows = {row.get("id"): row for row in tree.xpath("//tr[@class='step']")}
    assert rows.keys() == page.steps.keys()
    for anchor, step in page.steps.items():
        items = rows[anchor].xpath(".//ul[@class='answers']/li")
        told = [(li.xpath("span")[0].text_content().removesuffix(" (good)"), li.xpath("a/@href")[0]) for li in items]
        assert told == [(a["reading"], f"#{a['to']}") for a in step["answers"]]
        assert int(rows[anchor].get("data-left")) == step["left"] >= 2
    anchors = set(tree.xpath("//@id"))
    assert set(page.causes) <= anchors


def test_each_chart_has_cautions_verification_and_a_place_to_begin(page: Page) -> None:
    assert len(page.charts) > 5
    for title, chart in page.charts.items():
        kinds = [block["block"] for block in chart["blocks"]]
        assert kinds[0] == "caution", title
        texts = [block["text"] for block in chart["blocks"] if block["block"] == "paragraph"]
        assert any(text.startswith("Verify: ") for text in texts)
        assert texts[-1].startswith("Verify again: ")
        assert page.start(title) in {*page.steps, *page.causes}


def test_every_step_and_cause_is_reached(page: Page) -> None:
    reached = {page.start(title) for title in page.charts}
    reached |= {answer["to"] for step in page.steps.values() for answer in step["answers"]}
    assert reached == {*page.steps, *page.causes}


def test_the_order_of_work_is_that_of_the_six_steps(page: Page) -> None:
    """NEETS module 19 (NAVEDTRA 14191), chapter on troubleshooting: symptom recognition, symptom elaboration, listing
    of probable faulty functions, localising, isolating, failure analysis (read, grade A)."""
    (order,) = [block for block in page.section["blocks"] if block["block"] == "list"]
    assert order["numbered"]
    wanted = ["symptom", "related symptoms", "probable causes", "Localise", "Isolate", "Repair"]
    assert len(order["items"]) == len(wanted)
    assert all(word in item for word, item in zip(wanted, order["items"], strict=True))


def test_the_list_leads_to_every_chart(page: Page) -> None:
    tables = [block for block in page.section["blocks"] if block["block"] == "table"]
    assert [table["id"] for table in tables] == ["isolation-complaints", "isolation-codes", "isolation-loads"]
    assert [table["columns"][0]["title"] for table in tables] == ["Complaint", "Trouble code", "Load"]
    links = {link for t in tables for row in t["rows"] for found in row.get("links", {}).values() for link in found}
    assert {chart["id"] for chart in page.charts.values()} <= links


def test_source_alone_and_none(bench: Bench) -> None:
    variant = bench.network.variant
    some = build_pack(variant, {}, around=Around(faults="source"))
    titles = [chart["title"] for chart in Page(some).charts.values()]
    assert titles == ["Left lamp dark, right lamp lit", "B1 Lamp circuit open"]
    none = build_pack(variant, {}, around=Around())
    assert "isolation" not in {section.id for section in none.sections}
