"""Words that mean the same in the trade, British and American ones, for the search of the screen pack.

From memory, common practice (grade C). One group a line; what stands in it is looked up in place of each other, so a
word that means two things stands in two groups. What stands before a `>` leads to what stands behind, and not back. A
pack carries only the groups of which it uses a word. A phrase is written in the singular, without hyphens; whether it
is run together does not matter (`fuse box`, `fusebox`).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

_TABLE = """
# sorts of things
ground / earth / ground point / earth point / earthing point / chassis ground / chassis earth
ground strap / earth strap / earth lead / ground cable / bonding strap
wire / lead / cable
connector / plug / multiplug / multi plug / coupler
cavity / pin / terminal / way / contact
splice / joint / crimp
fuse block / fuse box / fuse panel / fuse board / fuse carrier / power distribution box / junction box
fusible link / fuse link / link wire
circuit breaker / breaker
switch / button / push / push button / rocker
stalk / lever / column switch / multifunction switch / multi function switch
sensor / sender / sending unit / thermistor / transducer / probe / pickup
module / control module / control unit / controller / computer / ecu
buzzer / beeper / chime / sounder / alarm
motor / actuator
light emitting diode / led
lamp / light / bulb
left / lh / left hand
right / rh / right hand
rear / back
grey / gray
violet / purple

# places
bonnet / hood
engine bay / engine compartment / under bonnet / under hood
load space / load bay / luggage space / luggage compartment / cargo area / cargo
boot / trunk > load space / luggage space / luggage compartment / cargo area / cargo / tailgate / boot lid / trunk lid
boot lamp / boot light / trunk lamp / trunk light / load space lamp / luggage lamp / cargo lamp
tailgate / liftgate / hatch
back door / rear door > tailgate / liftgate / hatch
wing / fender
bulkhead / firewall
glove box / glove compartment
dash / dashboard / fascia / facia / instrument panel
cab / cabin / passenger compartment
frame / chassis
gearbox / transmission
windscreen / windshield / front screen

# power and starting
battery / accumulator
battery positive / battery plus / positive cable / positive lead
battery negative / battery minus / negative cable / negative lead
alternator / generator / dynamo
starter / starter motor / cranking motor
crank / cranking > starter
starter relay / start relay / cranking relay
ignition switch / key switch / ignition lock / ignition barrel / ignition key
ignition > ignition switch
accessory / auxiliary / aux
power socket / power outlet / power point / cigarette lighter / cigar lighter / lighter / lighter socket
power socket / accessory socket / auxiliary socket / 12v socket / 12 v socket

# engine and fuel
engine control module / engine module / engine control unit / engine computer / engine ecu / ecu / ecm / pcm
main relay / power relay / ecu relay / ecm relay
crank / crankshaft
crank sensor / crankshaft sensor / crank position sensor / crankshaft position sensor / ckp
cam / camshaft
cam sensor / camshaft sensor / cam position sensor / camshaft position sensor / cmp
water > coolant
coolant temperature / coolant temp / water temperature / water temp / engine temperature / engine temp
coolant gauge / temperature gauge / temp gauge / water temperature gauge / coolant temperature gauge
coolant level switch / coolant level sensor / water level switch / water level sensor
intake temperature / intake temp / intake air temperature / intake air temp / inlet air temperature / iat
boost pressure / boost sensor / map sensor / manifold pressure / turbo pressure
boost valve / boost solenoid / turbo valve / turbo solenoid / wastegate
exhaust return / exhaust gas recirculation / egr
fuel metering valve / metering valve / metering unit / suction control valve
injector / fuel injector / injection nozzle / nozzle
glow relay / glow plug relay / preheat relay / preheater relay
glow plug / heater plug / preheater / pre heater
fuel pump / fuel lift pump / lift pump / feed pump / tank pump / petrol pump / gas pump
fuel filter heater / fuel heater / filter heater / diesel heater
water in fuel switch / water in fuel sensor / water separator switch / water separator
accelerator / throttle / gas pedal / accelerator pedal / throttle pedal
radiator fan / cooling fan / engine fan
fan relay / radiator fan relay / cooling fan relay / engine fan relay
oil pressure switch / oil pressure sensor / oil pressure sender / oil switch / oil sender

# lighting
headlamp / head lamp / headlight / head light
headlamp / head lamp / headlight / head light > dipped beam / low beam / main beam / high beam
light switch / lighting switch / headlamp switch / headlight switch / lamp switch
dipped beam / dip beam / low beam / passing beam
main beam / high beam / full beam
dip and flash stalk / dip switch / dimmer switch / dimmer / beam switch / headlamp flasher / headlight flasher
side lamp / side light / parking lamp / parking light / position lamp / position light / marker lamp / marker light
tail lamp / tail light / rear lamp / rear light / back light
tail lamp / tail light > side lamp / parking lamp / position lamp
stop lamp / stop light / brake light / stop signal
brake lamp > stop lamp / stop light
high stop lamp / high level stop lamp / high level brake light / third brake light / centre brake light
stop lamp switch / stop light switch / brake light switch / brake lamp switch / brake pedal switch / brake switch
reversing / reverse / backup / back up
reversing lamp / reversing light / reverse lamp / reverse light / backup lamp / backup light / back up light
reversing switch / reverse switch / reverse light switch / reversing lamp switch / backup switch / backup light switch
reversing alarm / reverse alarm / reverse beeper / reversing buzzer / backup alarm / backup beeper / back up alarm
turn / turn lamp / turn signal / turn light / indicator / indicator lamp / indicator light / direction indicator
turn / turn lamp / indicator / blinker / winker
flasher > turn / turn lamp / turn signal / indicator / blinker
turn stalk / turn switch / turn signal switch / indicator switch / indicator stalk / blinker switch / turn signal lever
flasher unit / flasher relay / indicator relay / turn signal relay / blinker relay / flasher can
side repeater / repeater / side indicator / wing indicator / side turn signal / fender turn signal
hazard / hazard lamp / hazard light / hazard flasher / hazard warning / four way flasher / emergency flasher
plate lamp / number plate lamp / number plate light / number plate / licence plate lamp / licence plate light
plate lamp / number plate light / license plate lamp / license plate light / registration plate lamp / tag light
courtesy lamp / interior lamp / interior light / courtesy light / dome lamp / dome light / roof lamp / roof light
courtesy lamp / interior lamp / map lamp / map light / cabin light / cab light / inside light
work lamp / work light / flood lamp / flood light / spot lamp / spot light
fog lamp / fog light
panel lamp / panel light / instrument lamp / instrument light / dash light / dashboard light / cluster light
warning lamp / warning light / tell tale
warning lamp / warning light > lamp / light

# screens, heating and cooling
rear screen / rear window / back window / heated rear screen / heated rear window / rear screen heater
rear screen / rear window heater / rear demister / rear defogger / rear defroster / rear demist / rear defrost
demister / defogger / defroster / demist / defrost > heated screen / screen heater / rear screen / rear window
heater / heating / heated / heating element
mirror heater / heated mirror / mirror demister / mirror defogger
windscreen wiper / windshield wiper / front wiper
windscreen washer / windshield washer / front washer / screen washer / screen wash
wiper stalk / wiper switch / wiper lever / front wiper switch / windscreen wiper switch / windshield wiper switch
blower / blower motor / blower fan / heater fan / heater motor / heater blower / cabin fan
blower resistor / heater resistor / fan resistor / heater fan resistor / speed resistor
blower switch / fan switch / fan speed switch / heater switch / heater fan switch
air cooling / air conditioning / air con / air conditioner / a c
recirculation / recirc / fresh air

# horn, doors, mirrors and windows
horn / hooter
horn push / horn button / horn switch / horn pad
door lock / central lock / central locking / power lock / lock actuator / lock motor / door lock motor
window lift / window motor / window regulator / window winder
power window / electric window > window
mirror / door mirror / wing mirror / side mirror / outside mirror
mirror joystick / mirror switch / mirror adjuster / mirror control
door switch / door jamb switch / door pin switch / door contact / courtesy switch / door ajar switch

# instruments
instrument panel / instrument cluster / cluster / binnacle
gauge / instrument > instrument panel / instrument cluster / cluster
fuel level / fuel gauge / tank level / petrol gauge / gas gauge
fuel level sender / fuel sender / fuel level sensor / fuel gauge sender / tank sender / tank unit / fuel sending unit
road speed / vehicle speed / speedometer / speedo
engine speed / rev counter / tachometer / tacho / rpm
charge lamp / charge light / charging lamp / charging light / battery lamp / battery light / alternator light
charge lamp / charging lamp / battery warning light / alternator warning light / ignition warning light
oil pressure lamp / oil pressure light / oil lamp / oil light / oil warning light
engine lamp / engine light / engine warning light / check engine light / malfunction lamp
glow lamp / glow light / glow plug lamp / glow plug light / preheat light
brake lamp / brake warning lamp / brake warning light / handbrake light / parking brake light
brake warning / brake warning lamp / brake warning light
parking brake / park brake / handbrake / hand brake / emergency brake
clutch pedal switch / clutch switch
brake fluid switch / brake fluid sensor / brake fluid level / brake fluid level sensor
coolant level lamp / coolant level light / coolant light / low coolant light
diagnostic socket / diagnostic connector / diagnostic plug / diagnostic port / data link connector / obd / obd port
diagnostic socket / obd / obd socket / obd plug / obd connector / scan tool socket
can / can bus / data bus / data link

# brakes, drive and trailer
wheel slip / abs / anti lock / anti lock brake / anti skid
wheel speed / wheel speed sensor / abs sensor / wheel sensor
abs sensor / wheel speed sensor / wheel sensor > axle speed
four wheel drive / all wheel drive / four by four / 4wd / 4x4 / awd
transfer case / transfer box / transfer gearbox
transfer case motor / transfer box motor / transfer motor / shift motor / range motor
drive selector / four wheel drive switch / 4wd switch / 4x4 switch / range switch / mode switch
front axle valve / front axle lock / axle disconnect / front axle solenoid
trailer / towing / tow bar / tow hitch
trailer socket / trailer plug / trailer connector / towing socket / tow socket / tow plug / tow bar socket
"""

_WORD = re.compile(r"[^\W_]+")
_PLURAL = re.compile(r"(?<=ch|sh|ss)es$|(?<=x)es$|(?<![sui])s$")


class Group(NamedTuple):
    """A group that a pack carries: the words that it uses, and all that lead to them."""

    used: tuple[str, ...]
    leading: tuple[str, ...]


def groups(texts: Iterable[str]) -> tuple[Group, ...]:
    """The groups of which a word is used in the texts of a pack, in the order of the table."""
    said = "".join(f" {folded(text)} " for text in dict.fromkeys(texts))
    found = (Group(tuple(word for word in words if f" {word} " in said), leading) for words, leading in table())
    # A word that leads to itself alone says nothing.
    return tuple(group for group in found if group.used and group.leading != group.used[:1])


@cache
def table() -> tuple[Group, ...]:
    """The groups, as if all their words were used."""
    found = []
    for line in _TABLE.splitlines():
        if line and not line.startswith("#"):
            leading, _, used = line.rpartition(" > ")
            found.append(Group(tuple(used.split(" / ")), tuple((leading or used).split(" / "))))
    return tuple(found)


def folded(text: str) -> str:
    """Words in the singular, as the search compares them (`single` in `scripts/45-match.js`)."""
    return " ".join(map(_single, _WORD.findall(text.casefold())))


def _single(word: str) -> str:
    if len(word) < 4:
        return word
    return f"{word[:-3]}y" if word.endswith("ies") else _PLURAL.sub("", word)
