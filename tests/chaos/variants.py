"""Random whole variants that nothing is wrong with, for property tests and benchmarks of any size.

A variant is made of systems: a fuse with what it feeds, its switches, relays and modules, and the way back to ground.
They share fuse blocks, harnesses, in-line connectors and ground points as those of a real vehicle do. The text depends
on the seed and the size alone.
"""

from __future__ import annotations

from random import Random

from tests.chaos.vehicle import Vehicle

_WORDS = "Left Right Front Rear Upper Lower Inner Outer Main Work Side Cargo Bed Step Roof Sill".split()
_LOADS = {
    "lamp": ("lamp", (2, 3, 5, 10)),
    "led": ("marker", (1, 2)),
    "heater": ("heater pad", (15, 20, 24)),
    "motor": ("pump", (12, 18, 24)),
    "solenoid": ("lock", (8, 12)),
    "buzzer": ("buzzer", (1, 2)),
}


def make_variant(seed: int, wires: int) -> str:
    """The text of a variant with about `wires` wires: at least as many, and less than one system more.

    Every in-line cavity in use is wired on both halves, every circuit has one colour, every load is fed through a fuse
    and returns to ground, every splice joins three wires or more.
    """
    vehicle = Vehicle(Random(f"{seed}"))
    systems = (_switched_loads, _relay_and_motor, _module_with_outputs, _sensor_on_a_cable)
    while vehicle.wires < wires:
        with vehicle.system(optional=vehicle.random.random() < 0.08):
            vehicle.random.choices(systems, weights=(5, 3, 2, 1))[0](vehicle)
    return vehicle.text()


def _title(vehicle: Vehicle) -> str:
    return " ".join(vehicle.random.sample(_WORDS, 2))


def _load(vehicle: Vehicle, kind: str, zone: str) -> str:
    """A load, wired to its terminals or through a plug of its own."""
    noun, powers = _LOADS[kind]
    power = vehicle.random.choice(powers)
    name = f"{_title(vehicle)} {noun}"
    letter = {"motor": "M", "heater": "R", "solenoid": "Y", "buzzer": "H"}.get(kind, "E")
    plug = f" {{ connector {vehicle.new_id('C')} 2 cavities }}" if vehicle.random.random() < 0.4 else ""
    return vehicle.device(kind, letter, name, f"1 2 {power} W", zone, plug)


def _switch(vehicle: Vehicle, title: str) -> str:
    body = vehicle.random.choice(
        (
            " {\n  positions off on\n  contact 1 2 when on\n}",
            " {\n  positions off low high\n  contact 1 2 when low high\n}",
            " operated-by push { positions at-rest pressed; contact 1 2 when pressed }",
        )
    )
    return vehicle.device("switch", "S", f"{title} switch", "", "cab", body)


def _switched_loads(vehicle: Vehicle) -> None:
    """Fuse, switch, a splice, two to four loads side by side, a ground splice."""
    random = vehicle.random
    title = _title(vehicle)
    zone = random.choice(("tail", "front", "cab", "bay"))
    kind = random.choice(("lamp", "led", "solenoid", "heater"))
    switch = _switch(vehicle, title)
    feed = vehicle.circuit(f"{title} feed", "1.5 mm2", "cab")
    feed.wire(vehicle.fuse(title, 10), f"{switch}.1")
    feed.done()
    loads = [_load(vehicle, kind, zone) for _ in range(random.randint(2, 4))]
    split = vehicle.splice(title, zone)
    live = vehicle.circuit(f"{title} switched", "1.5 mm2", zone)
    live.run(f"{switch}.2", "cab", split, zone)
    for load in loads:
        live.wire(split, f"{load}.1")
    live.done()
    joint = vehicle.splice(f"{title} ground", zone)
    back = vehicle.circuit(f"{title} ground", "1.5 mm2", zone, ground=True)
    for load in loads:
        back.wire(f"{load}.2", joint)
    back.wire(joint, vehicle.ground(zone))
    back.done()
    positions = "on" if "positions off on" in vehicle.last_of(switch) else ""
    if positions and kind == "lamp":
        vehicle.expect(f"{title}", f"{switch} {positions}", f"{loads[0]} lit")


def _relay_and_motor(vehicle: Vehicle) -> None:
    """A switch that pulls in a relay, which feeds a motor or heater in another zone."""
    random = vehicle.random
    title = _title(vehicle)
    zone = random.choice(("tail", "front", "bay"))
    switch = _switch(vehicle, title)
    relay = vehicle.device(
        "relay",
        "K",
        f"{title} relay",
        "",
        "cab",
        f" {{\n  coil 86 85 {random.choice((80, 90, 120))} ohm\n  contact 30 87 when energised\n}}",
    )
    load = _load(vehicle, random.choice(("motor", "heater")), zone)
    joint = vehicle.splice(title, "cab")
    feed = vehicle.circuit(f"{title} feed", "2.5 mm2", "cab")
    feed.wire(vehicle.fuse(title, 15), joint)
    feed.wire(joint, f"{relay}.30")
    feed.wire(joint, f"{switch}.1")
    feed.done()
    coil = vehicle.circuit(f"{title} coil", "2.5 mm2", "cab")
    coil.wire(f"{switch}.2", f"{relay}.86")
    coil.done()
    live = vehicle.circuit(f"{title} switched", "2.5 mm2", zone)
    live.run(f"{relay}.87", "cab", f"{load}.1", zone)
    live.done()
    back = vehicle.circuit(f"{title} ground", "2.5 mm2", zone, ground=True)
    back.wire(f"{load}.2", vehicle.ground(zone))
    back.wire(f"{relay}.85", vehicle.ground("cab"), "cab")
    back.done()


def _module_with_outputs(vehicle: Vehicle) -> None:
    """A control module: supply, ground, outputs that switch loads, inputs from switches to ground."""
    random = vehicle.random
    title = _title(vehicle)
    outputs, inputs = random.randint(1, 3), random.randint(1, 2)
    plug = vehicle.new_id("C")
    cavities = 2 + outputs + inputs
    pins = [f"pin {plug}.1 supply", f"pin {plug}.2 ground"]
    pins += [f'pin {plug}.{3 + n} high-side "Output {n + 1}" 5 A' for n in range(outputs)]
    pins += [f'pin {plug}.{3 + outputs + n} pull-up-input "Input {n + 1}" 1 kohm' for n in range(inputs)]
    body = "".join(f"\n  {line}" for line in (f"connector {plug} {cavities} cavities", *pins))
    vehicle.device("module", "A", f"{title} module", "", "cab", f" {{{body}\n}}")
    feed = vehicle.circuit(f"{title} module feed", "1.5 mm2", "cab")
    feed.wire(vehicle.fuse(title, 10), f"{plug}.1")
    feed.done()
    back = vehicle.circuit(f"{title} module ground", "1.5 mm2", "cab", ground=True)
    back.wire(f"{plug}.2", vehicle.ground("cab"))
    back.done()
    for number in range(outputs):
        zone = random.choice(("tail", "front", "bay", "cab"))
        load = _load(vehicle, random.choice(("lamp", "led", "solenoid")), zone)
        live = vehicle.circuit(f"{title} output {number + 1}", "1.5 mm2", zone)
        live.run(f"{plug}.{3 + number}", "cab", f"{load}.1", zone)
        live.done()
        back = vehicle.circuit(f"{title} output {number + 1} ground", "1.5 mm2", zone, ground=True)
        back.wire(f"{load}.2", vehicle.ground(zone))
        back.done()
    for number in range(inputs):
        switch = _switch(vehicle, f"{title} {number + 1}")
        signal = vehicle.circuit(f"{title} input {number + 1}", "0.75 mm2", "cab")
        signal.wire(f"{plug}.{3 + outputs + number}", f"{switch}.1")
        signal.done()
        back = vehicle.circuit(f"{title} input {number + 1} ground", "0.75 mm2", "cab", ground=True)
        back.wire(f"{switch}.2", vehicle.ground("cab"))
        back.done()


def _sensor_on_a_cable(vehicle: Vehicle) -> None:
    """A sensor wired to a module by two twisted cores."""
    random = vehicle.random
    title = _title(vehicle)
    plug, cable = vehicle.new_id("C"), vehicle.new_id("W")
    sensor = vehicle.device("thermistor", "B", f"{title} sensor", "1 2 2.5 kohm", "cab", "")
    body = "".join(
        f"\n  {line}"
        for line in (
            f"connector {plug} 4 cavities",
            f"pin {plug}.1 supply",
            f"pin {plug}.2 ground",
            f'pin {plug}.3 pull-up-input "Sensor" {random.choice((1, 2))} kohm',
            f"pin {plug}.4 sensor-ground",
        )
    )
    vehicle.device("module", "A", f"{title} sensor module", "", "cab", f" {{{body}\n}}")
    vehicle.add(
        "cables",
        f'cable {cable} "{title} sensor cable" in cab {{\n  core 1 0.5 mm2 WH\n  core 2 0.5 mm2 BN\n  twist 1 2\n}}',
    )
    feed = vehicle.circuit(f"{title} sensor feed", "1.5 mm2", "cab")
    feed.wire(vehicle.fuse(title, 5), f"{plug}.1")
    feed.done()
    back = vehicle.circuit(f"{title} sensor module ground", "1.5 mm2", "cab", ground=True)
    back.wire(f"{plug}.2", vehicle.ground("cab"))
    back.done()
    for core, pin in ((1, 3), (2, 4)):
        signal = vehicle.circuit(f"{title} signal {core}", "", "cab", colour="")
        signal.wire(f"{sensor}.{core}", f"{plug}.{pin}", rest=f"core {cable}.{core}")
        signal.done()
