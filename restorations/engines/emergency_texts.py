"""The careful defaults of the emergency cards, until the club's inspector words them for the club's own place.

They leave everything that needs judgement to whoever has it. Local codes and the club's inspector decide.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CardText:
    """Steps in their order, what never to do, whom to tell, and where it is from."""

    steps: tuple[str, ...]
    never: tuple[str, ...]
    call: tuple[str, ...]
    source: str


TRADE = "Common practice of the trade, no source; worded to the careful side."
_BOILER_AFTER = (
    "Tell a mentor and the club's inspector at once. It is not lit again until the inspector has looked at it.",
    "Anybody hurt, or a fire you cannot put out: the emergency number first.",
)

TEXTS: dict[str, CardText] = {
    "low_water": CardText(
        steps=(
            "Stop. Passengers off and away; everybody else back.",
            "Put no water in: no pump, no injector.",
            "Take the fire away. Gas or spirit: shut it off. "
            "Coal: blower off, damper shut, smother it with damp earth, sand or wet small coal from the side.",
            "If you cannot do that without standing over the cab or the firehole: leave it.",
            "Walk away, and keep everybody away until there is no pressure and it is cold.",
            "Write down what the glass, the gauge and the pumps did. Touch nothing more.",
        ),
        never=(
            "Never feed a boiler that may be hot and dry.",
            "Never throw water into the firebox.",
            "Never trust the glass again without blowing it through, and never look into the firehole to see.",
            "Never move it, and never open anything to let the steam out.",
        ),
        call=_BOILER_AFTER,
        source=(
            "Damping with wet earth or small coal, cold water only harms: A. Sinclair, Locomotive Engine Running and "
            "Management (1880s), on shortness of water. The rest: common practice, no source."
        ),
    ),
    "past_red_line": CardText(
        steps=(
            "Stop. Passengers off and away; everybody else back.",
            "Kill the fire. Gas or spirit: shut it off. Coal: blower off, damper shut, firehole door open.",
            "Only if the glass plainly shows water, and you can reach it safely: feed the boiler, which cools it.",
            "Still climbing: smother the fire with damp earth, sand or wet small coal from the side, and walk away.",
            "Keep everybody away until the pressure is down and it is cold.",
            "Write down the highest reading, and whether the safety valve lifted.",
        ),
        never=(
            "Never tap, lift, screw or hold down a safety valve.",
            "Never drop the fire onto dry grass, sleepers or oil.",
            "Never carry on because the gauge may be wrong: it is looked at cold, against another one.",
        ),
        call=_BOILER_AFTER,
        source=TRADE,
    ),
    "gas": CardText(
        steps=(
            "Everybody away, up wind. Nobody lights or switches anything; put out what burns near by only on the way.",
            "Shut the gas off at the tank, if you can reach it without going through gas or flame.",
            "Indoors: doors open, everybody out. The gas is heavier than air and lies in pits and corners.",
            "If it burns and cannot be shut off: let it burn, keep well away, ring the fire brigade.",
            "Keep away until it has blown off and a nose at the edge smells nothing for ten minutes.",
            "Liquid gas on skin is a cold burn: rinse with plenty of lukewarm water and get medical help.",
        ),
        never=(
            "Never blow out a gas flame that you cannot shut off: what does not burn collects, and then explodes.",
            "Never look for the leak with a flame. Soapy water, outdoors, with everything cold.",
            "Never fill or change a tank near a fire, or indoors.",
        ),
        call=(
            "Gas that cannot be shut off, or burns: the emergency number. Say that a gas tank is there.",
            "Then a mentor and the inspector. The tank is not used again until it has been looked at.",
        ),
        source=(
            "Shut off, no ignition, open doors, keep away: as suppliers of bottled gas tell their customers. "
            "The rest: common practice, no source."
        ),
    ),
    "fire": CardText(
        steps=(
            "Shout. Everybody out and away.",
            "Ring the emergency number from outside. Say that there is a boiler, and gas or spirit, if there is.",
            "Fuel off, if you pass it anyway.",
            "Small, and a way out behind you: the right extinguisher or a fire blanket, once. Otherwise leave it.",
            "Clothes on fire: stop, lie down, roll; wrap in a wool blanket or coat. Then the card for burns.",
            "Count everybody. Nobody goes back in.",
        ),
        never=(
            "Never water on burning oil or spirit, or near live wires.",
            "Never stay for the engine.",
            "Never go back because it looks out: gas tanks and boilers burst late.",
        ),
        call=("The emergency number first.", "Then whoever runs the day, a mentor and the inspector."),
        source="Common advice of fire services; common practice, no source.",
    ),
    "scald": CardText(
        steps=(
            "Get them away from the heat; steam or fuel off on the way.",
            "Cool under cool or lukewarm running water for at least 20 minutes, at once. Later still helps.",
            "Take off clothing and jewellery near it, but nothing that sticks to the skin.",
            "Keep the rest of them warm: a blanket, not on the burn.",
            "Then lay cling film over it, lengthways, not wound round; a clean plastic bag for a hand.",
            "Face or eyes: have them sit up.",
        ),
        never=(
            "Never ice, iced water, butter, cream or spray.",
            "Never break a blister or pull off what sticks.",
        ),
        call=(
            "Bigger than the hurt person's hand, deep, white or charred, on face, hands, feet, joints or between "
            "the legs, breathed in, by a chemical, or a child: the emergency number or the hospital.",
            "Then a mentor, and write it in the club's accident book.",
        ),
        source=(
            "First aid for burns and scalds as the NHS gives it (nhs.uk, Burns and scalds: treatment), recalled and in "
            "our words; have the club's first-aider read it."
        ),
    ),
}
