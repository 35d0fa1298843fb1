"""An own operation's first papers as they lie on the table, by page and field: an invented house with one aircraft.

The figures are those of the guide to one's own files, spread over the pages of the opening. A field that is chosen from
a list is written as `("choose", words)`, a box that is ticked as `("tick",)`.
"""

from __future__ import annotations

TICK = ("tick",)


def choose(words):
    return ("choose", words)


FIELD = {
    "name": "Gorse Hill",
    "identifier": "X0GH",
    "elevation": "820 ft",
    "latitude": "44.10 N",
    "longitude": "121.00 W",
    "time_zone": "America/Los_Angeles",
    "variation": "14 E",
    "chart": "field chart",
    "dated": "2026-11-05",
    "runway.0.name": "09",
    "runway.0.heading": "88 deg",
    "runway.0.reference": choose("magnetic"),
    "runway.0.length": "640 m",
    "runway.0.slope": "0.3 %",
    "runway.0.surface": choose("hard"),
}
AIRSPACE = {
    "law.flight_airspace": "G",
    "law.flight_surface": "none",
    "law.enters_controlled_airspace": choose("no"),
    "law.airspace_needs_transponder": choose("no"),
    "law.highest_ground": "1400 ft",
}
WHO = {
    "name": "Gorse Hill Gyroplanes",
    "rules": choose("us"),
    "house.title": "House rules",
    "house.dated": "2026-01-05",
    "house.set_by": "Ada Ost",
}
COUNTING = {
    "house.pressure_altitude_by": choose("altimeter equation"),
    "house.density_altitude_by": choose("dry air"),
    "house.between_forecasts": choose("worse end"),
    "house.burn_path_ends_at": choose("no usable fuel"),
    "house.observation_stands": "2 h",
    "house.least_useful": "15 min",
    "house.time_to_prepare": "15 min",
    "house.least_margin": "5 %",
    "house.fuel_readings=stick": TICK,
    "house.avoid_weather": "TS, SQ",
    "house.people.fitness": "6 h",
}
UPKEEP = {
    "house.maintenance.interval_allowance": "0 h",
    "house.maintenance.meter_reading_stands": "240 h",
    "house.maintenance.directives_stand": "31 days",
}
WALKS = {
    "house.walk.full=first of the day": TICK,
    "house.walk.needed.0.name": "first of the day",
    "house.walk.needed.0.counts=first of the day": TICK,
    "house.walk.needed.0.holds": "day",
    "house.walk.needed.0.whose": choose("commander"),
    "house.walk.needed.0.takes": "40 min",
    "house.walk.needed.0.ended_by=work": TICK,
}
HOUSE_LIMITS = {
    "house.limit.3.times": "1.33",
    "house.limit.4.at_least": "300 ft/min",
    "house.limit.5.at_least": "30 min",
    "house.limit.7.at_most": "60 min",
    "house.limit.8.at_most": "4 h",
}
HOUSE_LAW = {
    f"law.{name}": choose("no")
    for name in ("persons_for_hire", "instruction_for_hire", "instructor_provides_aircraft", "flight_to_inspection")
}
IDENTITY = {
    "id": "N0-404K",
    "name": "Kittiwake",
    "make_model": "Kittiwake K2",
    "serial_number": "K2-004",
    "certificate": choose("standard"),
    "equipment": "two seats in tandem, open",
    "datum": "a vertical plane through the nose tip; arms positive aft",
    "manual.title": "Flight manual, Kittiwake K2",
    "manual.revision": "2",
    "manual.dated": "2026-02-01",
    "station.0.id": "front",
    "station.0.kind": choose("seat"),
    "station.0.arm": "1320 mm",
    "station.1.id": "rear",
    "station.1.kind": choose("seat"),
    "station.1.arm": "2060 mm",
}
WEIGHING = {
    "weighing.on": "2026-03-14",
    "weighing.by": "the maintainer",
    "weighing.includes": "2 L unusable fuel, full oil and coolant",
    "weighing.empty_mass": "290.0 kg",
    "weighing.empty_arm": "2412 mm",
    "weighing.scale.0.at": "nose wheel",
    "weighing.scale.0.reads": "10.8 kg",
    "weighing.scale.0.tare": "0 kg",
    "weighing.scale.0.arm": "405 mm",
    "weighing.scale.1.at": "both main wheels",
    "weighing.scale.1.reads": "279.2 kg",
    "weighing.scale.1.tare": "0 kg",
    "weighing.scale.1.arm": "2490 mm",
}
FUEL = {
    "fuel.arm": "2150 mm",
    "fuel.usable": "60 L",
    "fuel.unusable": "2 L",
    "fuel.unusable_in_empty_mass": choose("yes"),
    "fuel.readings_count": choose("usable"),
    "fuel.density": "0.72 kg/L",
    "fuel.burn": "17 L/h",
}
ENVELOPE = {
    "envelope.page": "6-3",
    "envelope.forward": "340 kg, 2085 mm\n500 kg, 2085 mm",
    "envelope.aft": "340 kg, 2205 mm\n500 kg, 2205 mm",
}
LIMITS = {
    "limit.0.at_most": "500 kg",
    "limit.0.page": "2-2",
    "limit.1.on": "front",
    "limit.1.at_least": "65 kg",
    "limit.1.at_most": "120 kg",
    "limit.1.page": "2-2",
    "limit.2.at_most": "35 kt",
    "limit.2.counts": choose("gust"),
    "limit.2.page": "2-5",
    "limit.3.none": "the manual gives no figure",
    "limit.3.page": "2-5",
    "limit.4.at_most": "20 kt",
    "limit.4.counts": choose("gust"),
    "limit.4.demonstrated": choose("yes"),
    "limit.4.page": "2-5",
    "limit.5.at_most": "5 kt",
    "limit.5.counts": choose("mean"),
    "limit.5.page": "2-5",
    "limit.6.at_least": "-20 C",
    "limit.6.at_most": "40 C",
    "limit.6.page": "2-5",
    "limit.7.at_most": "10000 ft",
    "limit.7.page": "2-5",
    "limit.8.at_least": "0 min",
    "limit.8.page": "2-6",
    "limit.9.at_least": "0 min",
    "limit.9.page": "2-6",
    "limit.10.of": choose("load"),
    "limit.10.on": "rear",
    "limit.10.at_most": "110 kg",
    "limit.10.page": "2-2",
    "surfaces.approved=hard": TICK,
    "surfaces.approved=dry grass": TICK,
    "surfaces.page": "2-6",
    "avoid_weather": "TS, FZ, SN",
}
TAKE_OFF = {
    "table.take_off_distance.page": "5-3",
    "table.take_off_distance.unit": choose("m"),
    "table.take_off_distance.axis.0.points": "420 kg, 500 kg",
    "table.take_off_distance.axis.0.between": choose("next higher"),
    "table.take_off_distance.axis.0.below": choose("first"),
    "table.take_off_distance.axis.1.points": "0 ft, 4000 ft",
    "table.take_off_distance.axis.1.between": choose("linear"),
    "table.take_off_distance.axis.1.below": choose("first"),
    "table.take_off_distance.axis.2.points": "-20 C, 0 C, 15 C, 30 C",
    "table.take_off_distance.axis.2.between": choose("linear"),
    "table.take_off_distance.axis.2.below": choose("first"),
    "table.take_off_distance.rows": "160 180 205 235\n240 260 295 330\n240 265 300 340\n350 380 430 485",
    "corrections.page": "5-2",
    "corrections.headwind.counted": "100 %",
    "corrections.headwind.at_most": "20 kt",
    "corrections.headwind.shorter": "1.5 % per kt",
    "corrections.tailwind.at_most": "5 kt",
    "corrections.tailwind.longer": "5 % per kt",
    "corrections.slope.longer_for_each_percent": "5 %",
    "corrections.slope.favorable_counts": choose("no"),
    "corrections.surface.hard": "0 %",
    "corrections.surface.dry grass": "15 %",
}
CLIMB = {
    "table.climb.page": "5-5",
    "table.climb.unit": choose("ft/min"),
    "table.climb.axis.0.points": "420 kg, 500 kg",
    "table.climb.axis.0.between": choose("next higher"),
    "table.climb.axis.0.below": choose("first"),
    "table.climb.axis.1.points": "0 ft, 4000 ft, 8000 ft",
    "table.climb.axis.1.between": choose("linear"),
    "table.climb.axis.1.below": choose("first"),
    "table.climb.rows": "900 600 300\n620 340 70",
}
LANDING = {
    "table.landing_distance.page": "5-6",
    "table.landing_distance.unit": choose("m"),
    "table.landing_distance.axis.0.points": "0 ft, 4000 ft",
    "table.landing_distance.axis.0.between": choose("linear"),
    "table.landing_distance.axis.0.below": choose("first"),
    "table.landing_distance.axis.1.points": "-20 C, 40 C",
    "table.landing_distance.axis.1.between": choose("linear"),
    "table.landing_distance.axis.1.below": choose("first"),
    "table.landing_distance.rows": "140 165\n165 190",
    **{f"landing_{key}": text for key, text in TAKE_OFF.items() if key.startswith("corrections")},
}
AIRCRAFT_LAW = {
    "law.registration": "N0-404K",
    "law.certificate_registration": "N0-404K",
    "law.airworthiness_certificate_aboard": choose("yes"),
    "law.airworthiness_certificate_displayed": choose("yes"),
    "law.registration_aboard": choose("yes"),
    "law.registration_temporary": choose("no"),
    "law.registration_until_on": "2029-06-30",
    "law.manual_or_limitations_aboard": choose("yes"),
    "law.placards_in_place": choose("yes"),
    "law.markings_in_place": choose("yes"),
    "law.aircraft_seats": "2",
    "law.transponder_fitted": choose("no"),
    "law.transponder_to_be_used": choose("no"),
    "law.aircraft_features": "liquid cooling",
    "law.equipment_working": "airspeed indicator, altimeter, magnetic direction indicator, tachometer, "
    "oil pressure gauge, fuel quantity gauge, coolant temperature gauge, safety belts, shoulder harness",
}
PROGRAM = {
    "title": "Maintenance manual, Kittiwake K2",
    "papers": "airworthiness certificate, registration, flight manual, weight and balance",
    "inspection_after.hard landing": "hard landing inspection",
}
TASKS = {
    "task.0.id": "100h",
    "task.0.name": "100 h check",
    "task.0.kind": choose("inspection"),
    "task.0.clock.0.every": "100 h",
    "task.0.clock.0.meter": "airframe",
    "task.0.counts_as": choose("hundred hours"),
    "task.1.id": "annual",
    "task.1.name": "Annual inspection",
    "task.1.kind": choose("inspection"),
    "task.1.document": "14 CFR 91.409(a)",
    "task.1.clock.0.every": "12 calendar months",
    "task.1.counts_as": choose("annual inspection"),
    "task.2.id": "blades",
    "task.2.name": "Rotor blades",
    "task.2.kind": choose("life"),
    "task.2.part": "rotor blades",
    "task.2.clock.0.every": "2500 h",
    "task.2.clock.0.meter": "airframe",
}
PAGES = (
    ("house/field/place", FIELD),
    ("house/house/who", WHO),
    ("aircraft/aircraft/new/identity", IDENTITY),
    ("house/field/airspace", AIRSPACE),
    ("house/house/counting", COUNTING),
    ("house/house/upkeep", UPKEEP),
    ("house/house/walks", WALKS),
    ("house/house/limits", HOUSE_LIMITS),
    ("house/house/law", HOUSE_LAW),
    ("aircraft/aircraft/N0-404K/weighing", WEIGHING),
    ("aircraft/aircraft/N0-404K/fuel", FUEL),
    ("aircraft/aircraft/N0-404K/envelope", ENVELOPE),
    ("aircraft/aircraft/N0-404K/limits", LIMITS),
    ("aircraft/aircraft/N0-404K/take-off", TAKE_OFF),
    ("aircraft/aircraft/N0-404K/climb", CLIMB),
    ("aircraft/aircraft/N0-404K/landing", LANDING),
    ("aircraft/aircraft/N0-404K/law", AIRCRAFT_LAW),
    ("aircraft/program/N0-404K/program", PROGRAM),
    ("aircraft/program/N0-404K/tasks", TASKS),
)
"""In the order in which the opening leads through them; what hangs on today's date is written by the test itself."""

PERSON_WHO = {
    "born_on": "1980-05-04",
    "roles=pilot": TICK,
    "mass": "170 lb",
    "origin": choose("weighed"),
}
PERSON_PAPERS = {
    "certificate": "private",
    "certificate_temporary": choose("no"),
    "certificate_valid": choose("yes"),
    "privileges": "private",
    "ratings": "rotorcraft gyroplane",
    "class_endorsements": "none",
    "review_scope": choose("full"),
    "medical.route": choose("medical"),
}
INSURERS = {"insurance.0.aircraft": "N0-404K", "insurance.0.none": "we carry it ourselves"}


def dated(day, moment):
    """Return the pages that hang on today's date: `day` gives the day so many days ago, `moment` the present."""
    done = {"on": day(40), "signed_by": "Una Roe", "reference": "airframe log 1, page 12"}
    return (
        ("person/ost/who", {**PERSON_WHO, "weighed_at": moment}),
        (
            "person/ost/papers",
            {**PERSON_PAPERS, "certificate_on": day(900), "review_on": day(200), "medical.exam_on": day(150)},
        ),
        (
            "person/ost/logbook",
            {
                "landings.0.on": day(10),
                "landings.0.aircraft": "N0-404K",
                "landings.0.aircraft_class": "rotorcraft gyroplane",
                "landings.0.take_offs": "4",
                "landings.0.landings": "4",
                "landings.0.sole": choose("yes"),
                "complete=endorsement": TICK,
                "complete=checkout": TICK,
                "from_paper": "her logbook, page 88",
            },
        ),
        (
            "aircraft/books/N0-404K/meters",
            {"meter.0.shows": "112.4 h", "meter.0.at": moment, "from_paper": "the meter itself"},
        ),
        (
            "aircraft/books/N0-404K/done",
            {
                **{f"done.0.{key}": text for key, text in done.items()},
                "done.0.at.airframe": "98.0 h",
                **{f"done.1.{key}": text for key, text in done.items()},
                "from_paper": "airframe log 1, page 12",
                "read_by": "Una Roe",
            },
        ),
        (
            "aircraft/books/N0-404K/parts",
            {
                "part.0.serial": "BL-07",
                "part.0.on": day(700),
                "part.0.meter": "airframe",
                "part.0.meter_at": "0.0 h",
                "part.0.own": "0.0 h",
                "from_paper": "the blades' card",
            },
        ),
        (
            "aircraft/books/N0-404K/papers",
            {
                **{f"paper.{number}.aboard": choose("yes") for number in range(4)},
                **{f"paper.{number}.never_expires": choose("yes") for number in (0, 2, 3)},
                "paper.1.expires_on": day(-900),
                "paper.3.reference": "2026-03-14",
                "from_paper": "the papers themselves",
            },
        ),
        (
            "aircraft/books/N0-404K/open",
            {
                "directives_read_on": day(1),
                **{f"nothing.{name}": choose("yes") for name in ("defect", "event", "work", "marker", "touch", "walk")},
                "nothing.booking": choose("yes"),
                "from_paper": "airframe log 1, whole",
            },
        ),
        ("house/insurers/insurers", INSURERS),
    )
