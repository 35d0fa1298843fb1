"""The house's rules and its field, page by page."""

from __future__ import annotations

from gyrewright.air.field import REFERENCES
from gyrewright.air.field import SURFACES as GROUNDS
from gyrewright.air.weather import CODES
from gyrewright.desk.opening.ask import Ask, Page, Rows
from gyrewright.desk.opening.law import OF_FIELD, OF_HOUSE, law_asks
from gyrewright.desk.opening.manual import LIMIT_HINTS
from gyrewright.inspection.items import EVENTS
from gyrewright.limits import PURPOSES, QUANTITIES, WINDS
from gyrewright.release.operation import HOUSE_CHOICES
from gyrewright.units import DIMENSIONS
from gyrewright.words.catalogue import LANGUAGES

PLACE = Page(
    "place",
    "The field",
    (
        Ask("name", "Name"),
        Ask("identifier", "Identifier", hint="as in its reports; four letters of your own where it has none"),
        Ask("elevation", "Elevation", hint="820 ft"),
        Ask("latitude", "Latitude", hint="44.10 N"),
        Ask("longitude", "Longitude", hint="121.00 W"),
        Ask("time_zone", "Time zone", hint="America/Los_Angeles"),
        Ask("variation", "Magnetic variation", hint="14 E as charted, or: model"),
        Ask("chart", "Read from", hint="the chart's title"),
        Ask("dated", "Dated", "day"),
        Ask("notes", "What a stranger should know, a line each", "lines", is_wide=True),
        Rows(
            "runway",
            "Runways: a row for each direction",
            (
                Ask("name", "Name", hint="09"),
                Ask("heading", "Heading", hint="88 deg"),
                Ask("reference", "By", "choice", among=REFERENCES),
                Ask("length", "Length", hint="640 m"),
                Ask("slope", "Slope, positive where it rises", hint="0.3 %"),
                Ask("surface", "Surface", "choice", among=GROUNDS),
            ),
            "name",
            spare=4,
        ),
    ),
    why="Read it from the chart. Wind, light, distances and every time on these pages go by it.",
    answers=frozenset(
        ("name", "identifier", "elevation", "latitude", "longitude", "time_zone", "variation", "chart", "runway")
    ),
)
AIRSPACE = Page("airspace", "The airspace above it", law_asks(OF_FIELD), why="Read it from the chart as well.")
FIELD_PAGES = (PLACE, AIRSPACE)

_UNITS = ("mass", "arm", "volume", "length", "speed", "pressure", "temperature")

WHO = Page(
    "who",
    "The house and its law",
    (
        Ask("name", "Name of the operation"),
        Ask("rules", "Law", "choice", "the packaged rule pack", ("us",)),
        Ask("words", "Wording", "choice", among=LANGUAGES),
        Ask("house.title", "Title of the house rules", hint="where they are written down"),
        Ask("house.dated", "Dated", "day"),
        Ask("house.set_by", "Set by", hint="the accountable manager's name"),
        *(
            Ask(
                f"units.{name}",
                f"{name.capitalize()} in",
                "choice",
                among=tuple(u.symbol for u in DIMENSIONS[name].units),
            )
            for name in _UNITS
        ),
    ),
    why="Whose rules these are. Units are how numbers are shown; what you type always carries its own.",
    answers=frozenset(("name", "rules", "words", "units")),
)
_COUNTED = {
    "pressure_altitude_by": "Pressure altitude by",
    "density_altitude_by": "Density altitude by",
    "between_forecasts": "Between two forecast times, read",
    "burn_path_ends_at": "The burn of the fuel ends at",
}
COUNTING = Page(
    "counting",
    "How this house counts",
    (
        *(Ask(f"house.{name}", _COUNTED[name], "choice", among=words) for name, words in HOUSE_CHOICES.items()),
        Ask("house.observation_stands", "An observation stands for the weather for", hint="2 h"),
        Ask("house.least_useful", "A flight shorter than this is of no use", hint="15 min"),
        Ask("house.time_to_prepare", "Getting ready takes", hint="15 min"),
        Ask("house.least_margin", "Margin below which a limit is called near", hint="5 %"),
        Ask("house.fuel_readings", "Fuel readings that count", "several", among=("gauge", "stick")),
        Ask(
            "house.avoid_weather",
            "Weather ruled out here, two-letter codes",
            "words",
            f"TS, SQ or none; of {', '.join(CODES)}",
        ),
        Ask("house.unweighed.fresh", "A person's scale reading counts for", hint="30 days"),
        Ask("house.unweighed.share", "Else their mass counts more or less by", hint="10 %"),
        Ask("house.unweighed.near", "The scale is asked for within this of a limit", hint="15 kg"),
        Ask("house.people.fitness", "A word about being fit is good for", hint="6 h"),
        Ask("house.people.checkout", "A check-out lasts", hint="60 days; 0 days for one that never ages"),
        Ask("house.people.checkout_for", "Flights that need a check-out", "several", among=PURPOSES),
    ),
    why="Houses count differently, and none of it is assumed: until a line is answered, what rests on it is unknown.",
    answers=frozenset(
        (
            *HOUSE_CHOICES,
            "observation_stands",
            "least_useful",
            "time_to_prepare",
            "least_margin",
            "fuel_readings",
            "avoid_weather",
            "unweighed",
            "people",
        )
    ),
)
_FACTORS = tuple(of for of, limited in QUANTITIES.items() if limited.times)
_MEASURED = tuple(of for of in QUANTITIES if of not in (*_FACTORS, "cautions"))
HOUSE_LIMITS = Page(
    "limits",
    "The house's limits",
    (
        Rows(
            "house.limit",
            "Every limit that the house sets",
            (
                Ask("of", "On", "choice", among=tuple(QUANTITIES)),
                Ask("at_most", "At most", hints=LIMIT_HINTS, only=_MEASURED),
                Ask("at_least", "At least", hints=LIMIT_HINTS, only=_MEASURED),
                Ask("below", "Fewer than", hint="... times", only=("cautions",)),
                Ask("times", "Must fit so often", "factor", "a number", only=_FACTORS),
                Ask("counts", "Wind counts as", "choice", among=("gust", "mean"), only=WINDS),
                Ask("purpose", "For", "several", "none chosen: every flight", PURPOSES, is_wide=True),
                Ask("page", "Rule", hint="rule 1"),
                Ask("scope", "For whom, in its words", hint="student alone"),
                Ask("none", "Or why there is no figure"),
            ),
            "of",
            hint="A house may be stricter than law and manual, never laxer. There are no figures here to start from: "
            "they are the manager's.",
            starts=(
                {"of": "wind"},
                {"of": "gust spread"},
                {"of": "crosswind"},
                {"of": "take-off distance"},
                {"of": "climb"},
                {"of": "reserve"},
                {"of": "gauge and stick apart"},
                {"of": "age of observation"},
                {"of": "age of stick reading"},
                {"of": "age of weighing"},
                {"of": "visibility"},
                {"of": "cloud base"},
                {"of": "cautions"},
            ),
            spare=4,
        ),
    ),
    answers=frozenset(("limit",)),
)
UPKEEP = Page(
    "upkeep",
    "The house's rules on upkeep",
    (
        Ask("house.maintenance.interval_allowance", "Every plan leaves over, of an interval", hint="0 h"),
        Ask("house.maintenance.meter_reading_stands", "A meter reading stands for", hint="48 h"),
        Ask("house.maintenance.directives_stand", "The list of directives is read again every", hint="31 days"),
        Ask("house.maintenance.alone_after_event", "After an event, no student alone for", hint="24 h"),
        Ask("house.maintenance.second_look_areas", "Work here needs a second look", "words", "rotor, controls"),
        Ask("house.maintenance.mandatory_areas", "Notices about these count as mandatory", "words", "rotor, controls"),
        Ask("house.maintenance.repeat_times", "Reports of one symptom that go to an inspector", "whole", "3"),
        Ask("house.maintenance.repeat_days", "within so many days", "whole", "60"),
        Ask("house.maintenance.no_over_for", "Never past an interval on", "several", among=PURPOSES),
        Ask("house.maintenance.cautions_ending_this_month", "Is a paper that ends this month a caution?", "yes"),
    ),
    answers=frozenset(("maintenance",)),
)
_ENDS = ("flown", "moved", "transported", "refueled", "touched by another", "work", "event")
WALKS = Page(
    "walks",
    "The house's rules on walk-rounds",
    (
        Ask("house.walk.full", "A full inspection is", "several", among=EVENTS[:2]),
        Rows(
            "house.walk.needed",
            "Which walk-rounds must hold at the start",
            (
                Ask("name", "Called", hint="first of the day"),
                Ask("counts", "Kinds that count as it", "several", among=EVENTS[:8], is_wide=True),
                Ask("holds", "Holds for", hint="day, or 2 h"),
                Ask(
                    "whose",
                    "Whose",
                    "choice",
                    "entitled: anybody entitled; commander: their own, or accepted",
                    ("commander", "entitled"),
                ),
                Ask("spots", "Items looked at again to accept another's", "whole", "3"),
                Ask("takes", "Takes", hint="40 min"),
                Ask("ended_by", "Ended by", "several", among=_ENDS, is_wide=True),
            ),
            "name",
            spare=2,
        ),
        Ask("house.walk.pace_share", "Judged where quicker than this share of one's own median", hint="50 %"),
        Ask("house.walk.pace_walks", "counted from so many walks", "whole", "5"),
        Ask("house.walk.same_readings", "Judged where so many readings repeat the last walk's", "whole", "4"),
    ),
    answers=frozenset(("walk",)),
)
CAUTIONS = Page(
    "cautions",
    "What this house calls a caution",
    (
        Ask("house.cautions.slept_under", "Less sleep than", hint="6 h"),
        Ask("house.cautions.lessons_from", "From which lesson of the day on", "whole", "5"),
        Ask("house.cautions.taught_over", "Taught more than", hint="5 h"),
        Ask("house.cautions.taught_window", "within", hint="24 h"),
        Ask("house.cautions.lesson_over", "Since the last lesson more than", hint="14 days"),
        Ask("house.may_replace_instructor", "Who may take an instructor's place, by id", "words"),
    ),
    why="Each is shown by name and counted. One that the house does not use stays empty.",
    answers=frozenset(("cautions",)),
)
HOUSE_LAW = Page(
    "law",
    "What the law asks about the operation",
    law_asks(OF_HOUSE),
    why="Whether training is paid for and who provides the aircraft decides which rules bind.",
)
HOUSE_PAGES = (WHO, COUNTING, UPKEEP, WALKS, HOUSE_LIMITS, HOUSE_LAW, CAUTIONS)

INSURERS = Page(
    "insurers",
    "The insurers' conditions",
    (
        Rows(
            "insurance",
            "For each aircraft: what its insurer asks, or that nobody insures it",
            (
                Ask("aircraft", "Aircraft", hint="its registration"),
                Ask("document", "Policy"),
                Ask("dated", "Dated", "day"),
                Ask("from", "First day", "day"),
                Ask("until", "Last day", "day"),
                Ask("named", "Pilots covered, by id", "words"),
                Ask("none", "Not insured, because", hint="in your own words"),
            ),
            "aircraft",
            hint="Limits in a policy are written in the text below, as the manual's are.",
            spare=2,
        ),
    ),
    why="Dates, named pilots and limits of a policy bind like any other layer.",
    answers=frozenset(("insurance",)),
)
INSURERS_PAGES = (INSURERS,)
