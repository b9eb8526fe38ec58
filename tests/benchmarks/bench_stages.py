"""What comes before printing, stage by stage, for the demo variant and for generated ones of 1,000 and 5,000 wires: processor
seconds of all processes, and memory held by the highest tide so far. The sheets are drawn four times: with nothing kept,
to be kept, after one wire was recoloured, and with all kept. Run with
`bash tests/run tests/benchmarks/bench_stages.py -s`; ratios within one run are what counts.
"""

from __future__ import annotations

import resource
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from compiler.assembly.library import Library
from compiler.assembly.project import find_project
from compiler.checks.run import check_variant
from compiler.model.variant import Variant
from renderers.around import look_around
from renderers.pack import build_pack
from renderers.sheets import draw_sheets
from renderers.store import Store, code_digest
from renderers.writers.csv_tables import write_csv
from renderers.writers.html_folder import write_html
from renderers.writers.json_data import write_json
from tests.benchmarks.conftest import spent
from tests.chaos.variants import make_variant
from tests.sheets.conftest import SAMPLES

pytestmark = pytest.mark.usefixtures("without_collector")


@contextmanager
def measured(name: str) -> Iterator[None]:
    before = spent()
    yield
    seconds, held = spent() - before, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"  {name:24} {seconds:7.2f} s {held:7.0f} MB", flush=True)


def recoloured(variant: Variant) -> Variant:
    """The variant with a wire in the middle of it in another colour."""
    at = len(variant.wires) // 2
    one = variant.wires[at]
    new = replace(one, colour="GN/YE" if one.colour != "GN/YE" else "BU")
    return replace(variant, wires=(*variant.wires[:at], new, *variant.wires[at + 1 :]))


@pytest.mark.parametrize("wires", [0, 1000, 5000])
def test_stages(wires: int, tmp_path: Path) -> None:
    path = SAMPLES["S4"]
    if wires:
        path = tmp_path / "v.loom"
        path.write_text(make_variant(1, wires), "utf-8")
    project, store = find_project(path), Store(tmp_path / "kept")
    code_digest()  # read once, whatever is made
    print()
    with measured("check"):
        variant = check_variant(Library(project), path).variant
    assert variant is not None
    with measured("sheets"):
        figures = draw_sheets(variant)
    with measured("sheets, to be kept"):
        draw_sheets(variant, None, store)
    with measured("sheets, a wire edited"):
        draw_sheets(recoloured(variant), None, store)
    with measured("sheets, nothing changed"):
        again = draw_sheets(variant, None, store)
    around = look_around(project, variant)
    with measured("charts without faults"):
        pack = build_pack(variant, figures, line="Line", around=around._replace(faults="none"))
    with measured("charts with faults"):
        build_pack(variant, figures, line="Line", around=around._replace(faults="source"))
    files: dict[str, Mapping[str, bytes]] = {}
    for name, write in (("html", write_html), ("csv", write_csv), ("json", write_json)):
        with measured(name):
            files[name] = write(pack)
    sizes = ", ".join(f"{name} {sum(map(len, made.values())) / 1e6:.1f} MB" for name, made in files.items())
    print(f"{len(variant.wires)} wires, {len(figures)} sheet pages; {sizes}")
    assert again == figures
