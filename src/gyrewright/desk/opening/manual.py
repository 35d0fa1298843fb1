"""The aircraft's file, page by page as its weighing record and its manual lie on the table."""

from __future__ import annotations

from gyrewright.air.weather import CODES
from gyrewright.aircraft.definition import AXES, CERTIFICATES, STATION_KINDS, SURFACES
from gyrewright.aircraft.tables import BELOW, BETWEEN
from gyrewright.card import CARD_NUMBERS, COUNTS, READ_ON_A_WALK
from gyrewright.desk.opening.ask import Ask, Page, Rows
from gyrewright.desk.opening.law import OF_AIRCRAFT, OF_SOME_AIRCRAFT, card_words, law_asks
from gyrewright.limits import QUANTITIES, WINDS
from gyrewright.units import DIMENSIONS

_PAGE = "2-3"

IDENTITY = Page(
    "identity",
    "The aircraft and its manual",
    (
        Ask("id", "Registration", hint="N0-404K"),
        Ask("name", "What people here call it", hint="Kittiwake"),
        Ask("make_model", "Make and model", hint="as on its plate"),
        Ask("serial_number", "Serial number", hint="as on its plate"),
        Ask("certificate", "Kind of airworthiness certificate", "choice", among=CERTIFICATES),
        Ask("equipment", "What it has and is", "words", "two seats in tandem, open, dual controls", is_wide=True),
        Ask("datum", "Where arms are measured from, and which way they count", is_wide=True),
        Ask("manual.title", "Title of its flight manual"),
        Ask("manual.revision", "Revision", hint="as printed; 0 where none is printed"),
        Ask("manual.dated", "Dated", "day"),
        Rows(
            "station",
            "Places for mass: each seat, each locker, each place for ballast",
            (
                Ask("id", "Called", hint="front"),
                Ask("kind", "Kind", "choice", among=STATION_KINDS),
                Ask("arm", "Arm", hint="1320 mm"),
                Ask("lateral_arm", "Arm across", hint="only where seats are side by side"),
            ),
            "id",
            hint="The arms stand on the loading page of the manual.",
            spare=4,
        ),
    ),
    why="What the plate and the title page say, and where somebody can sit.",
    answers=frozenset(
        ("id", "name", "make_model", "serial_number", "certificate", "equipment", "datum", "manual", "station")
    ),
)

WEIGHING = Page(
    "weighing",
    "The weighing record",
    (
        Ask("weighing.on", "Weighed on", "day"),
        Ask("weighing.by", "By"),
        Ask("weighing.includes", "What was in it", hint="2 L unusable fuel, full oil and coolant"),
        Ask("weighing.empty_mass", "Empty mass as the record says", hint="290.0 kg"),
        Ask("weighing.empty_arm", "Empty center of gravity as the record says", hint="2412 mm"),
        Ask("weighing.empty_lateral_arm", "The same, across", hint="only where seats are side by side"),
        Rows(
            "weighing.scale",
            "What each scale read",
            (
                Ask("at", "At", hint="nose wheel"),
                Ask("reads", "Reads", hint="10.8 kg"),
                Ask("tare", "Tare", hint="0 kg"),
                Ask("arm", "Arm", hint="405 mm"),
            ),
            "at",
            hint="They must add up to what the record says; where they do not, you are told by how much.",
            spare=3,
        ),
    ),
    why="The newest one, signed. A sum that the scales do not give is refused.",
)

FUEL = Page(
    "fuel",
    "Tanks and consumption",
    (
        Ask("fuel.arm", "Arm of the fuel", hint="2150 mm"),
        Ask("fuel.lateral_arm", "Arm across", hint="only where seats are side by side"),
        Ask("fuel.usable", "Usable", hint="60 L"),
        Ask("fuel.unusable", "Unusable", hint="2 L"),
        Ask("fuel.unusable_in_empty_mass", "Is the unusable fuel in the empty mass?", "yes"),
        Ask(
            "fuel.readings_count",
            "Stick and gauge count",
            "choice",
            "all fuel, or only what can be used",
            ("usable", "everything"),
        ),
        Ask("fuel.density", "Density", hint="0.72 kg/L"),
        Ask("fuel.burn", "Burns in planning", hint="17 L/h"),
    ),
)

ENVELOPE = Page(
    "envelope",
    "The loading envelope",
    (
        Ask("envelope.page", "Page", hint=_PAGE),
        Ask("envelope.forward", "Forward limit, a line for each corner", "pairs", "340 kg, 2085 mm"),
        Ask("envelope.aft", "Aft limit, a line for each corner", "pairs", "340 kg, 2205 mm"),
        Ask("envelope.polygon", "Or the whole outline, corner by corner", "pairs", "340 kg, 2085 mm"),
        Ask("lateral_envelope.page", "Limits across: page", hint="only where seats are side by side"),
        Ask("lateral_envelope.left", "Left limit", "pairs", "340 kg, -25 mm"),
        Ask("lateral_envelope.right", "Right limit", "pairs", "340 kg, 25 mm"),
        Ask("no_arms", "Where the manual gives no arms: what it limits instead", hint="each station and the total"),
        Ask("hang.least", "Hang test, least angle", hint="7 deg"),
        Ask("hang.most", "Hang test, greatest angle", hint="12 deg"),
        Ask("hang.measured_full", "Hang angle measured with a full tank", hint="9 deg"),
        Ask("hang.measured_empty", "Hang angle measured with an empty tank", hint="10 deg"),
    ),
)


LIMIT_HINTS = {of: f"... {DIMENSIONS[limited.dimension].units[0].symbol}" for of, limited in QUANTITIES.items()}
"""How a limit on each quantity is written: a figure of the manual, with its unit."""


LIMITS = Page(
    "limits",
    "The limits",
    (
        Rows(
            "limit",
            "Every limit that the manual prints",
            (
                Ask("of", "On", "choice", among=tuple(QUANTITIES)),
                Ask("at_most", "At most", hints=LIMIT_HINTS),
                Ask("at_least", "At least", hints=LIMIT_HINTS),
                Ask("counts", "Wind counts as", "choice", among=("gust", "mean"), only=WINDS),
                Ask("on", "Load: where", "words", "front", only=("load",)),
                Ask("aboard", "With so many aboard", "wholes", "1, 2", only=("load", "take-off mass")),
                Ask("demonstrated", "Demonstrated?", "yes", only=WINDS),
                Ask("page", "Page", hint=_PAGE),
                Ask("scope", "For whom, in its words", hint="alone"),
                Ask("none", "Or why there is no figure"),
            ),
            "of",
            hint="A row offered here counts only once a figure, or why there is none, stands in it.",
            starts=(
                {"of": "take-off mass"},
                {"of": "load"},
                {"of": "wind"},
                {"of": "gust spread"},
                {"of": "crosswind"},
                {"of": "tailwind"},
                {"of": "air temperature"},
                {"of": "pressure altitude"},
                {"of": "before sunset"},
                {"of": "after sunrise"},
            ),
            spare=6,
        ),
        Ask("surfaces.approved", "Surfaces approved", "several", among=SURFACES, is_wide=True),
        Ask("surfaces.page", "Page", hint=_PAGE),
        Ask(
            "avoid_weather",
            "Weather ruled out, two-letter codes",
            "words",
            f"TS, FZ, SN or none; of {', '.join(CODES)}",
        ),
    ),
    why="A limit left out is no permission: the answer stays unknown until it is said.",
)


_POINTS = {
    "mass": "420 kg, 500 kg",
    "pressure altitude": "0 ft, 2000 ft",
    "density altitude": "0 ft, 2000 ft",
    "air temperature": "0 C, 15 C, 30 C",
}


def _printed(name: str, title: str, axes: tuple[str, ...], *, body: str) -> tuple[Ask | Rows, ...]:
    key = f"table.{name}"
    units = DIMENSIONS["climb" if name == "climb" else "length"].units
    return (
        Ask(f"{key}.page", f"{title}: page", hint=_PAGE),
        Ask(f"{key}.conditions", "Conditions printed with it", hint="calm, level, dry hard runway", is_wide=True),
        Ask(f"{key}.unit", "Unit of its numbers", "choice", among=tuple(unit.symbol for unit in units)),
        Ask(f"{key}.none", "No such table, because", hint="the manual prints one figure only"),
        Rows(
            f"{key}.axis",
            "What it goes by, the slowest first",
            (
                Ask("of", "By", "choice", among=tuple(AXES)),
                Ask("points", "Printed at", "words", hints=_POINTS, is_wide=True),
                Ask("between", "Between them", "choice", among=BETWEEN),
                Ask("below", "Below the first", "choice", among=BELOW),
            ),
            "of",
            starts=tuple({"of": axis} for axis in axes),
            spare=1,
        ),
        Ask(f"{key}.rows", "Its numbers, line by line as printed", "numbers", body, is_wide=True),
    )


_BY_PAIRS = (
    Ask("corrections.page", "Corrections: page", hint=_PAGE),
    Ask("corrections.headwind.counted", "Head wind: share of it that counts", hint="100 %"),
    Ask("corrections.headwind.at_most", "Head wind counted up to", hint="20 kt"),
    Ask("corrections.headwind.shorter", "Shorter by", hint="1.5 % per kt"),
    Ask("corrections.tailwind.at_most", "Tail wind allowed up to", hint="5 kt"),
    Ask("corrections.tailwind.longer", "Longer by", hint="5 % per kt"),
    Ask("corrections.slope.longer_for_each_percent", "Slope: longer for each percent", hint="5 %"),
    Ask("corrections.slope.favorable_counts", "May a slope that helps be counted?", "yes"),
    *(Ask(f"corrections.surface.{name}", f"On {name}: longer by", hint="15 %") for name in SURFACES),
)
_LANDING = tuple(Ask(f"landing_{each.key}", each.words, each.how, each.hint, each.among) for each in _BY_PAIRS)

TAKE_OFF = Page(
    "take-off",
    "Take-off distance",
    (
        *_printed(
            "take_off_distance",
            "Distance over the obstacle",
            ("mass", "pressure altitude", "air temperature"),
            body="180 205 235",
        ),
        *_BY_PAIRS,
    ),
    why="Say how the table is read between its lines: linear, or the next higher one where the manual says so. "
    "Beyond its last line there is no data.",
    answers=frozenset(("table:take_off_distance", "corrections")),
)
ROLL = Page(
    "ground-roll",
    "Ground roll",
    _printed("ground_roll", "Ground roll", ("mass", "pressure altitude", "air temperature"), body="70 75 85"),
    answers=frozenset(("table:ground_roll",)),
)
CLIMB = Page(
    "climb",
    "Climb",
    _printed("climb", "Rate of climb", ("mass", "density altitude"), body="900 600 300"),
    answers=frozenset(("table:climb",)),
)
LANDING = Page(
    "landing",
    "Landing distance",
    (
        *_printed(
            "landing_distance", "Landing over the obstacle", ("pressure altitude", "air temperature"), body="140"
        ),
        *_LANDING,
    ),
    answers=frozenset(("table:landing_distance", "landing_corrections")),
)


def _figures(names: tuple[str, ...]) -> tuple[Ask, ...]:
    units = {name: DIMENSIONS[CARD_NUMBERS[name]].units[0].symbol for name in names}
    return tuple(Ask(f"card.{name}", card_words(name), hint=f"... {units[name]}") for name in names)


SPEEDS = Page(
    "speeds",
    "Speeds and rotor",
    (
        Ask("card.page", "Page", hint=_PAGE),
        *_figures(
            (
                *(name for name in CARD_NUMBERS if name not in READ_ON_A_WALK),
                *("rotor_lowest", "rotor_highest", "rotor_most", "prerotation_target"),
            )
        ),
    ),
    why="They are printed on cards and sheets; none of them decides whether a flight may start.",
    answers=frozenset(("card",)),
)
READINGS = Page(
    "readings",
    "What a walk-round reads",
    (
        *_figures(
            tuple(
                name
                for name in READ_ON_A_WALK
                if name not in ("rotor_lowest", "rotor_highest", "rotor_most", "prerotation_target")
            )
        ),
        *(Ask(f"counts.{name}", card_words(name), "whole") for name in COUNTS),
    ),
    why="What a reading on a walk-round is compared with, and how many there are of a thing on this aircraft.",
    answers=frozenset(("counts",)),
)
LAW = Page(
    "law",
    "What the law asks about it",
    (*law_asks(OF_AIRCRAFT), *law_asks(OF_SOME_AIRCRAFT)),
    why="Look at the aircraft and its papers. The last ones are asked of special certificates and equipment only.",
)

PAGES = (
    IDENTITY, WEIGHING, FUEL, ENVELOPE, LIMITS, TAKE_OFF, CLIMB, LANDING, LAW, SPEEDS, READINGS, ROLL,
)  # fmt: skip
"""In the order in which they free a first flight."""
