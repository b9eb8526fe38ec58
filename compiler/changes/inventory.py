"""A variant as plain facts: what is compared, and what a pack keeps so that the next issue can be compared with it.

An inventory holds records by sort and id. A record maps fact names to text, a number in the base unit of the trade
(V, A, W, ohm, m, min, Ah, F, degC, kPa), or a list of texts. A fact that the source does not give is not there; one
that it says is not known is `?`. Places in the source play no part: moving a line to another file changes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from compiler.changes.drawn import Drawn
from compiler.changes.excused import excused
from compiler.changes.quantities import quantity_text
from compiler.model.items import (
    Bus,
    Cable,
    Connector,
    Device,
    Fact,
    Ground,
    Located,
    Named,
    NamedState,
    Part,
    Scenario,
    Sheet,
    Splice,
    TroubleCode,
    Twist,
    Wire,
    Zone,
)
from compiler.model.variant import Variant

Value = str | float | tuple[str, ...]
Record = Mapping[str, Value]

UNKNOWN = "?"
RATING = "rating "
WORD = "word "

# All sorts of record, in the order in which changes are told.
SORTS = (
    "offer", "colour", "circuit", "wire", "cable", "twist", "block", "bus", "device", "connector", "splice", "ground",
    "structure", "zone", "harness", "sheet", "state", "expect", "complaint", "trouble-code",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Inventory:
    """The facts of one variant. `variant` are those of the variant itself; `things` has every sort of SORTS.

    early  it was kept before packs kept options on offer, colours and waivers: that it has none says nothing
    drawn  what its sheets look like; None of a source, and of a pack that kept none of it
    """

    variant: Record
    things: Mapping[str, Mapping[str, Record]]
    early: bool = False
    drawn: Drawn | None = None

    @property
    def id(self) -> str:
        return str(self.variant.get("id", ""))


def inventory_of(variant: Variant) -> Inventory:
    """The inventory of a variant."""
    header = variant.header
    named = _named(variant)
    waived = excused(variant, named)

    def whole(sort: str, key: str, facts: Mapping[str, Value | None]) -> Record:
        return _given({**facts, **waived.get((sort, key), {})})

    about = whole(
        "variant",
        "",
        {
            "id": variant.id,
            "title": header.title,
            "series": header.series,
            "model-year": header.model_year,
            "issue": header.issue,
            "supply": _number(header.supply_v),
            "colours": variant.colours.name,
            "options": tuple(sorted(_option(variant, name) for name, _ in header.options)),
        },
    )
    things: dict[str, dict[str, Record]] = {sort: {} for sort in SORTS}
    for sort, items in named.items():
        things[sort] = {
            key: whole(sort, key, _common(variant, item) | _own(variant, item)) for key, item in items.items()
        }
    things["wire"] = {wire.id: whole("wire", wire.id, _wire(variant, wire)) for wire in variant.wires}
    things["colour"] = _colours(variant)
    for scenario in variant.scenarios:
        facts = {"notes": scenario.notes} | _scenario(scenario)
        things[scenario.kind][scenario.id] = whole(scenario.kind, scenario.id, facts)
    return Inventory(about, things)


def _named(variant: Variant) -> Mapping[str, Mapping[str, Named]]:
    """What has an id and a title, by sort."""
    return {
        "offer": variant.options,
        "circuit": variant.circuits,
        "cable": variant.cables,
        "twist": variant.twists,
        "block": variant.blocks,
        "bus": variant.buses,
        "device": variant.devices,
        "connector": variant.connectors,
        "splice": variant.splices,
        "ground": variant.grounds,
        "structure": variant.structures,
        "zone": variant.zones,
        "harness": variant.harnesses,
        "sheet": variant.sheets,
        "state": variant.states,
        "trouble-code": variant.trouble_codes,
    }


def _colours(variant: Variant) -> dict[str, Record]:
    """The colour table in use, by code."""
    table = variant.colours
    return {
        code: _given({"title": colour.name, "shown": colour.rgb, "tracer": table.tracers.get(code)})
        for code, colour in table.colours.items()
    }


def _given(facts: Mapping[str, Value | None]) -> Record:
    return {name: value for name, value in facts.items() if value is not None and value not in ("", ())}


def _number(value: float) -> float:
    """The value without the noise of binary arithmetic: 160 cm and 1.6 m are one length."""
    return float(f"{value:.10g}")


def _option(variant: Variant, name: str) -> str:
    declared = variant.options.get(name)
    return f"{name} ({declared.title})" if declared and declared.title else name


def _common(variant: Variant, item: Named) -> dict[str, Value | None]:
    facts: dict[str, Value | None] = {"title": item.title, "notes": item.notes}
    if isinstance(item, Located) and item.place is not None:
        place = item.place
        block = variant.blocks.get(getattr(item, "block", ""))
        if block is not None and block.place == place:
            return facts  # it sits where its fuse block sits, and moves with it
        facts["zone"] = place.zone
        facts["point"] = ", ".join(f"{axis:.10g}" for axis in place.point) if place.point else None
        facts["where"] = place.words
        facts["access"] = None if place.access_min is None else _number(place.access_min)
    return facts


def _own(variant: Variant, item: Named) -> dict[str, Value | None]:
    """What a sort of thing has beside title, notes and place."""
    match item:
        case Device():
            return _device(item)
        case Connector():
            return _connector(variant, item)
        case Zone():
            return {"outline": f"{item.width:.10g} by {item.height:.10g}", "drawing": item.drawing}
        case Splice():
            return {"harness": item.harness}
        case Ground():
            return {"structure": item.structure}
        case Bus():
            return {"block": item.block}
        case Cable():
            return _cable(item)
        case Twist():
            return {"wires": tuple(word.text for word in item.wires)}
        case Sheet():
            return {
                "system": item.system,
                "circuits": tuple(word.text for word, _ in item.circuits),
                "components": tuple(word.text for word, _ in item.components),
                "see": tuple(word.text for word, _ in item.see),
            }
        case NamedState():
            return {"title": None, "set": _facts(item.set), "sheets": tuple(word.text for word, _ in item.sheets)}
        case TroubleCode():
            return {"about": item.about, "subject": item.subject, "fault": item.fault}
    return {}


def _cable(cable: Cable) -> dict[str, Value | None]:
    cores = []
    for name, core in cable.cores.items():
        said = (name, str(core.size or ""), core.colour or "", "shield" if core.is_shield else "")
        cores.append(" ".join(filter(None, said)))
    twisted = tuple(" ".join(twist) for twist in cable.twists)
    return {"harness": cable.harness, "cores": tuple(cores), "twisted": twisted}


def _wire(variant: Variant, wire: Wire) -> dict[str, Value | None]:
    circuit = variant.circuits.get(wire.circuit)
    ends = [str(end.point) if end.point else end.written.text for end in wire.ends]

    def known(fact: str, value: Value | None) -> Value | None:
        return UNKNOWN if value is None and fact in wire.unknown else value

    return {
        "circuit": wire.circuit,
        "segment": wire.segment,
        "a": ends[0],
        "b": ends[1],
        "size": known("size", str(wire.size) if wire.size else None),
        "colour": known("colour", wire.colour),
        "length": known("length", None if wire.length_m is None else _number(wire.length_m)),
        "harness": wire.harness,
        "core": wire.core,
        "type": wire.words.get("type"),
        "class": wire.words.get("class") or (circuit.class_ if circuit else None),
        "reason": wire.recoloured,
        "notes": wire.notes,
    }


def _device(device: Device) -> dict[str, Value | None]:
    own: dict[str, Value | None] = {
        "kind": device.kind,
        "terminals": device.terminals,
        "positions": device.positions,
        "connectors": device.connectors,
        "block": device.block,
        "bus": device.bus,
        "case": device.case,
        "spare": tuple(sorted(device.spare)),
        "size": str(device.size) if device.size else None,
    }
    own |= {f"{RATING}{name}": _number(value) for name, value in device.ratings.items()}
    # The bus and the case stand above already, by the id of the thing and not as it was written.
    own |= {f"{WORD}{name}": word.text for name, word in device.words.items() if name not in ("from", "case")}
    own["inside"] = tuple(_part(part) for part in device.parts if not _is_device(device, part))
    return own


def _is_device(device: Device, part: Part) -> bool:
    """Whether a part says no more than its device: a lamp is one lamp."""
    return part.kind == device.kind and part.terminals == device.terminals and part.ratings == device.ratings


def _part(part: Part) -> str:
    """`contact 30 87: when energised`: what it is and where, a colon, what else is said of it."""
    said = [quantity_text(name, value) for name, value in part.ratings.items()]
    if part.suppression:
        said.append(part.suppression)
    if part.role:
        said.append(part.role)
    if part.title or part.label:
        said.append(part.title or part.label)
    if part.when:
        said.append("when " + " ".join(part.when))
    return " ".join((part.kind, *part.terminals)) + (": " + ", ".join(said) if said else "")


def _connector(variant: Variant, connector: Connector) -> dict[str, Value | None]:
    halves = (0, 1) if connector.is_inline else (0,)
    states: dict[str, dict[str, list[int]]] = {"spare": {}, "plugged": {}, "unmarked": {}}
    wired = {(point.terminal, point.half) for point in variant.wired_points(connector.id)}
    for cavity in connector.cavities:
        for half in halves:
            if (cavity, half) in wired:
                continue
            if half in connector.plugged.get(cavity, ()):
                state = "plugged"
            elif connector.spare_rest or half in connector.spare.get(cavity, ()):
                state = "spare"
            else:
                state = "unmarked"
            states[state].setdefault(cavity, []).append(half)
    own: dict[str, Value | None] = {
        "cavities": connector.cavities,
        "harnesses": connector.halves if connector.is_inline else None,
        "device": connector.device,
        "rows": " ".join(map(str, connector.rows)) or None,
        "pins": _half_id(connector, connector.pins),
        "doubled": _by_half(connector, {c: sorted(h) for c, h in connector.doubled.items()}, len(halves)),
    }
    return own | {name: _by_half(connector, cavities, len(halves)) for name, cavities in states.items()}


def _half_id(connector: Connector, half: int | None) -> str | None:
    """A half of an in-line connector by its harness, of a component connector in words."""
    if half is None:
        return None
    return connector.halves[half] if connector.is_inline else connector.half_name(half)


def _by_half(connector: Connector, cavities: Mapping[str, list[int]], halves: int) -> tuple[str, ...]:
    """`8` where a fact holds for the whole cavity, `8@body` where it holds for one half."""
    found = []
    for cavity, held in cavities.items():
        whole = halves == 1 or len(held) == halves
        found += [cavity] if whole else [f"{cavity}@{connector.halves[half]}" for half in held]
    return tuple(found)


def _scenario(scenario: Scenario) -> dict[str, Value | None]:
    return {"set": _facts(scenario.set), "seen": _facts(scenario.seen)}


def _facts(facts: tuple[Fact, ...]) -> tuple[str, ...]:
    return tuple(" ".join((fact.subject, *fact.words)) for fact in facts)
