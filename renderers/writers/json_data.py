"""The pack as one JSON file, for programs: tables, texts and what can be looked up.

Shape (`schema` names it; keys are sorted, lists keep the pack's order):

    schema, variant, title, subtitle, caution
    identification  [{label, value}]
    entries         [{term, id, what, anchor, sheets}]
    sheets          [{sheet, title, width_pt, height_pt, alt}]
    sections        [{id, title, caution, anchor, blocks}]

A block has a `block` of `paragraph` (text), `list` (items, numbered), `caution` (title, text), `figure` (id, title,
alt, sheet, width_pt, height_pt), `group` (id, title, item, blocks), `steps` or `table` (id, title, columns, rows,
notes, family, member). A row has `anchor`, `marks`, `circuits`, `wire`, `item`, `cells` (text by column key), and where
there are any `links` (anchors by column key) and `swatches` (colours by column key). Texts are as printed; a dash is a
fact not given.

`steps` are the tests of a fault chart: chart, verify, again (how to see the complaint before and after), start (anchor
of the first step or cause), and steps, each with anchor, number, test, kind, place, item, settings, power, unit, left
(causes before it), what, where, and answers: reading, low and high (null: no end), good, share, and to (anchor of the
step that follows, or of the cause's row in a table of causes).
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from math import isfinite
from typing import Any

from renderers.document import Block, Bullets, Caution, Figure, Group, Pack, Paragraph, Section
from renderers.steps import Step, Steps
from renderers.tables import Row, Run, Table

SCHEMA = "loomwright-pack/1"
Json = dict[str, Any]


def write_json(pack: Pack) -> dict[str, bytes]:
    """`pack.json`."""
    data: Json = {
        "schema": SCHEMA,
        "variant": pack.variant,
        "title": pack.title,
        "subtitle": pack.subtitle,
        "caution": pack.caution,
        "identification": [{"label": label, "value": value} for label, value in pack.identification],
        "entries": [{**entry._asdict(), "sheets": list(entry.sheets)} for entry in pack.entries],
        "sheets": [
            {"sheet": s.sheet, "title": s.title, "width_pt": s.width_pt, "height_pt": s.height_pt, "alt": s.alt}
            for s in pack.sheets.values()
        ],
        "sections": [_section(section) for section in pack.sections],
    }
    text = json.dumps(data, ensure_ascii=False, sort_keys=True, indent=1)
    return {"pack.json": (text + "\n").encode("utf-8")}


def _section(section: Section) -> Json:
    return {
        "id": section.id,
        "title": section.title,
        "caution": section.caution,
        "anchor": section.anchor,
        "blocks": [_block(block) for block in section.blocks],
    }


def _block(block: Block) -> Json:
    match block:
        case Group():
            blocks = [_block(leaf) for leaf in block.blocks]
            return {"block": "group", "id": block.id, "title": block.title, "item": block.item, "blocks": blocks}
        case Paragraph():
            return {"block": "paragraph", "text": _text(block.runs)}
        case Bullets():
            return {"block": "list", "items": [_text(item) for item in block.items], "numbered": block.numbered}
        case Caution():
            return {"block": "caution", "title": block.title, "text": _text(block.runs)}
        case Figure():
            figure = block._asdict()
            del figure["svg"]
            return {"block": "figure", **figure}
        case Steps():
            return _steps(block)
        case Table():
            return _table(block)


def _text(runs: Iterable[Run]) -> str:
    return "".join(run.text for run in runs)


def _table(table: Table) -> Json:
    keys = [column.key for column in table.columns]
    return {
        "block": "table",
        "id": table.id,
        "title": table.title,
        "columns": [{"key": c.key, "title": c.title, "kind": c.kind, "group": c.group} for c in table.columns],
        "rows": [_row(row, keys) for row in table.rows],
        "notes": list(table.notes),
        "family": table.family,
        "member": table.member,
    }


def _steps(block: Steps) -> Json:
    return {
        "block": "steps",
        "id": block.id,
        "title": block.title,
        "chart": block.chart,
        "verify": block.verify,
        "again": block.again,
        "start": block.start.link,
        "steps": [_step(step) for step in block.steps],
    }


def _step(step: Step) -> Json:
    answers = [
        {
            "reading": answer.words,
            "low": answer.low if isfinite(answer.low) else None,
            "high": answer.high if isfinite(answer.high) else None,
            "good": answer.good,
            "share": answer.share,
            "to": answer.to.link,
        }
        for answer in step.answers
    ]
    texts = {"what": _text(step.what), "where": _text(step.where)}
    return {**step._asdict(), **texts, "settings": [list(pair) for pair in step.settings], "answers": answers}


def _row(row: Row, keys: list[str]) -> Json:
    cells = list(zip(keys, row.cells, strict=True))
    data: Json = {
        "anchor": row.anchor,
        "marks": list(row.marks),
        "circuits": list(row.about.circuits),
        "wire": row.about.wire,
        "item": row.about.item,
        "cells": {key: cell.text for key, cell in cells},
    }
    links = {key: found for key, cell in cells if (found := [run.link for run in cell.runs if run.link])}
    swatches = {key: [cell.swatch.base, *cell.swatch.tracers] for key, cell in cells if cell.swatch}
    return data | ({"links": links} if links else {}) | ({"swatches": swatches} if swatches else {})
