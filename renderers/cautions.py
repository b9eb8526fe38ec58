"""The cautions of a pack: whole on their own page, and as the one line that stands on every page."""

from __future__ import annotations

from renderers.document import Caution
from renderers.tables import Run

EVERY_PAGE = "Battery disconnected unless the test needs power. Local rules and the maker’s instructions come first."
FUSES = "Never fit a larger fuse, and never plain wire in place of a fusible link."
HOT_AND_MOVING = "Keep hands, clothing and test leads clear of hot and moving parts."
RESTRAINT = "Restraint and high-voltage systems: trained and authorised people only."
POWERED = "Where a test needs power, connect the battery for that test only."

# Head and text of each, in the order in which they matter.
_WHOLE = """
Rules come first
Local rules and the maker’s instructions come before anything in this pack. Where they differ from it, follow them.

Disconnect the battery
Work with the battery disconnected, ground cable first, unless the test you are making needs power. Connect it for that
test only, and take rings, watches and loose metal off first.

Fuses and fusible links
Never replace a fuse by one of a larger rating. Never replace a fusible link by plain wire or by a link of another size.
Find out why it opened before you fit a new one.

Hot and moving parts
Keep hands, hair, clothing and test leads clear of hot parts and of parts that move. A fan or a motor can start without
warning while the battery is connected.

Restraint and high-voltage systems
Leave airbags, belt tensioners and high-voltage systems to trained and authorised people. Do not measure in their
circuits, and do not disconnect them, unless you are one of them and follow the maker’s procedure.

Measuring
Measure with a high-resistance meter. Do not push a test lead into the front of a cavity, and do not pierce insulation:
probe from the back of the connector, or use a breakout lead that fits the terminal.
"""


def all_cautions() -> tuple[Caution, ...]:
    """Every caution, in the order in which they matter."""
    cautions = []
    for block in _WHOLE.strip().split("\n\n"):
        title, *lines = block.splitlines()
        cautions.append(Caution(title, (Run(" ".join(lines)),)))
    return tuple(cautions)
