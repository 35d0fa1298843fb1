"""What an aircraft has, in closed words: an item is left out only where the definition says that the part is not there.

Words stand in groups of which exactly one applies to an aircraft. Where a definition says nothing on a group, every
item that asks for one of its words stays in the walk: silence is never "not fitted".
"""

from __future__ import annotations

from collections.abc import Collection
from difflib import get_close_matches

EQUIPMENT: dict[str, tuple[str, ...]] = {
    "seats": ("one seat", "two seats in tandem", "two seats side by side"),
    "second controls": ("dual controls", "single controls"),
    "screens": ("open", "half-enclosed", "enclosed"),
    "fuel feed": ("one carburetor", "two carburetors", "injection"),
    "boost": ("turbocharged", "naturally aspirated"),
    "cooling": ("liquid cooling", "air cooling"),
    "oil": ("dry sump", "wet sump"),
    "engine drive": ("gearbox", "direct drive"),
    "cowling": ("cowls", "no cowls"),
    "electric pumps": ("one electric fuel pump", "two electric fuel pumps", "no electric fuel pump"),
    "mechanical fuel pump": ("mechanical fuel pump", "no mechanical fuel pump"),
    "carburetor heating": ("carburetor heat", "no carburetor heat"),
    "propeller": ("fixed propeller", "ground-adjustable propeller", "in-flight adjustable propeller"),
    "propeller hub": ("spinner", "no spinner"),
    "pre-rotator": (
        "mechanical pre-rotator",
        "cable pre-rotator",
        "pneumatic pre-rotator",
        "hydraulic pre-rotator",
        "electric pre-rotator",
        "no pre-rotator",
    ),
    "drive to the head": ("flex drive", "shaft drive", "no drive to the head"),
    "drive at the head": ("ring gear", "no ring gear"),
    "rotor brake": ("mechanical rotor brake", "pneumatic rotor brake", "no rotor brake"),
    "wheel brakes": ("disc brakes", "drum brakes"),
    "brake lines": ("hydraulic brakes", "cable brakes"),
    "trim": ("spring trim", "electric trim", "pneumatic trim"),
    "air system": ("compressed air", "no compressed air"),
    "mast": ("one-piece mast", "split mast"),
    "bearing temperature": ("bearing sensor", "no bearing sensor"),
    "teeter hinge": ("teeter bushes", "teeter bearings"),
    "rotor blades": ("metal blades", "composite blades"),
    "blade drains": ("blade drain holes", "no blade drain holes"),
    "nose-wheel centering": ("nose-wheel centering", "no nose-wheel centering"),
    "radiator": ("nose radiator", "no nose radiator"),
    "ballast": ("ballast place", "no ballast place"),
    "baggage": ("baggage", "no baggage"),
    "main gear": ("composite bow", "steel legs"),
    "tires": ("tube tires", "tubeless tires"),
    "lower control run": ("control rods", "control cables"),
    "rudder run": ("rudder cables", "rudder rods"),
    "trim tab": ("bendable tab", "no bendable tab"),
    "tail support": ("tail wheel or skid", "no tail wheel or skid"),
    "stick lock": ("stick lock", "no stick lock"),
}
"""What is fitted, as the definition of an aircraft says it under `equipment`."""

TODAY: dict[str, tuple[str, ...]] = {
    "second seat today": ("second seat taken", "second seat empty"),
    "work on controls or rotor": ("controls disturbed", "rotor disturbed", "controls and rotor not disturbed"),
    "work on the propeller": ("propeller disturbed", "propeller not disturbed"),
    "work on the fuel system": ("fuel opened", "fuel not opened"),
    "work on the oil system": ("oil opened", "oil not opened"),
    "work on the cooling": ("coolant opened", "coolant not opened"),
    "work on the electrics": ("electrics disturbed", "electrics not disturbed"),
    "work on the wheel brakes": ("brakes opened", "brakes not opened"),
    "change of mass": ("mass changed", "mass not changed"),
}
"""What holds today: who sits where, and what the work order says was opened; several words of a group may hold."""

GROUP_OF: dict[str, str] = {word: group for group, words in (EQUIPMENT | TODAY).items() for word in words}
WORDS: tuple[str, ...] = tuple(GROUP_OF)


def fits(needs: Collection[str], known: Collection[str]) -> bool:
    """Return whether something that needs these words belongs to an aircraft of which these are known.

    Words of one group are alternatives; every group named must hold. A group on which nothing is known holds.
    """
    said = {GROUP_OF[word] for word in known if word in GROUP_OF}
    groups = {GROUP_OF[word] for word in needs}
    met = {GROUP_OF[word] for word in needs if word in known}
    return all(group in met or group not in said for group in groups)


def is_said(needs: Collection[str], known: Collection[str]) -> bool:
    """Return whether each group named is known to hold; silence does not count here."""
    return {GROUP_OF[word] for word in needs} == {GROUP_OF[word] for word in needs if word in known}


def silent(known: Collection[str]) -> tuple[str, ...]:
    """Return the groups of equipment on which a definition says nothing, in the order of the vocabulary."""
    said = {GROUP_OF[word] for word in known if word in GROUP_OF}
    return tuple(group for group in EQUIPMENT if group not in said)


def equipment_problems(known: Collection[str]) -> tuple[str, ...]:
    """Return what is wrong with an aircraft's words for its equipment, one line each."""
    problems = []
    for word in sorted(known):
        if word not in GROUP_OF or GROUP_OF[word] not in EQUIPMENT:
            near = get_close_matches(word, WORDS, n=1)
            hint = f"did you mean {near[0]!r}?" if near else "see the vocabulary of equipment"
            problems.append(f"{word!r} is no word for equipment; {hint}")
    for group, words in EQUIPMENT.items():
        said = [word for word in words if word in known]
        if len(said) > 1:
            problems.append(f"{' and '.join(map(repr, said))} exclude each other; name one word for {group}")
    return tuple(problems)
