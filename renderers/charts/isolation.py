"""Fault isolation: the order of work, a list of charts, and each chart as a decision tree to go through."""

from __future__ import annotations

from renderers.charts.base import Blocks, Chart
from renderers.context import PackContext
from renderers.document import Block, Bullets, Paragraph
from renderers.isolation.chart import chart_group
from renderers.isolation.listing import listing
from renderers.tables import Run

# The six steps of NEETS module 19 (NAVEDTRA 14191, public text, grade A), in our own words.
_ORDER = (
    "Recognise the symptom: verify the complaint yourself, set as the chart says.",
    "Elaborate it: check the related symptoms. They need no tool, and each answer clears parts.",
    "List the probable causes: the chart gives them with their share.",
    "Localise: do the tests in the order of the chart. Each is the one that tells most for the minutes it takes.",
    "Isolate: go on until a letter is reached. It names the cause.",
    "Repair it, verify again, and look for what made it fail.",
)
_LEAD = (
    "Each chart begins with one complaint and assumes one fault. The order of work is that of the six-step method of"
    " NEETS module 19 (NAVEDTRA 14191):"
)
_READING = (
    "Volts are measured against the negative post of the battery, with all plugs fitted and power on; ohms with the"
    " battery disconnected. The range of a reading covers the meter, the charge of the battery and the tolerance of the"
    " parts; a reading between two ranges is taken to the nearer. “Good” is what a sound vehicle reads. Shares are how"
    " likely a cause is before the first test, by common practice: what can be unplugged or corrode comes before a"
    " sealed wire. Where charts go on alike, one of them has the tests and the others lead there."
    " A test names two of the sheets that draw its part or wire; the component index and the wire list name all."
)
# What `compiler/isolation/suspects.py` has.
_FAULTS = (
    "Faults considered: a wire open, of high resistance or shorted to ground; a joint of a splice open or of high"
    " resistance; a terminal backed out, corroded or loose; a ground or a case off or corroded; a fuse or fusible link"
    " open or of high resistance; a contact that does not close, is burnt or does not open; a module output that stays"
    " off or on; a load, coil, bulb or other part open or of high resistance. Not considered are a short inside a"
    " component, one from wire to wire, and a module that only reports wrongly. A short inside a component is not told"
    " from one of the wire at its terminal until the component is unplugged: where a chart ends at a wire shorted to"
    " ground, unplug what is at its ends and measure again before you open the harness."
)


def _build(context: PackContext) -> Blocks:
    charted = context.charted
    if not charted.charts:
        return ()
    lead: tuple[Block, ...] = (
        Paragraph((Run(_LEAD),)),
        Bullets(tuple((Run(line),) for line in _ORDER), numbered=True),
        Paragraph((Run(_READING),)),
        Paragraph((Run(_FAULTS),)),
    )
    return (*lead, *listing(context, charted), *(chart_group(context, chart) for chart in charted.charts))


CHART = Chart(210, "isolation", "Fault isolation", _build)
