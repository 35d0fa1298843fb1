"""Readers of the groups that reports and forecasts share: wind, visibility, weather, cloud, altimeter setting.

Each takes the parts of its pattern and says whether they make sense. A value that the code cannot hold (a wind from
370 degrees, a gust below the wind, a visibility between the code's steps) marks a damaged group: it is not read.
"""

from __future__ import annotations

from collections.abc import Callable

from gyrewright.air.reports.facts import (
    Altimeter,
    DirectionalVisibility,
    Layer,
    Phenomenon,
    Relation,
    Visibility,
    Wind,
)
from gyrewright.air.reports.tokens import Reading, Row
from gyrewright.units import M_PER_FT, M_PER_SM, unit_named

M_PER_HUNDRED_FT = 100.0 * M_PER_FT
PA_PER_HPA = unit_named("pressure", "hPa").factor
PA_PER_INHG = unit_named("pressure", "inHg").factor
M_S_PER = {
    "KT": unit_named("speed", "kt").factor,
    "MPS": unit_named("speed", "m/s").factor,
    "KMH": unit_named("speed", "km/h").factor,
}
RELATION = {None: Relation.EXACTLY, "": Relation.EXACTLY, "M": Relation.LESS_THAN, "P": Relation.MORE_THAN}

# What the code can print. Directions in tens and visibility in steps of 50 m: [WMO306] FM 15, from memory. The
# altimeter settings enclose every sea-level pressure on record with room to spare: from memory, 870 to 1085 hPa.
FULL_CIRCLE = 360
LEAST_HPA, MOST_HPA = 850, 1100
LEAST_HUNDREDTHS_INHG, MOST_HUNDREDTHS_INHG = 2500, 3250
TEN_KM_M = 10_000.0
LEAST_PRINTED_M = 50.0
VISIBILITY_STEP = 50
# Colder and hotter than any air ever measured near the ground: from memory, -89 and 57 degrees C.
LEAST_C, MOST_C = -90, 60
SIXTEENTHS = frozenset({2, 4, 8, 16})

_PRECIPITATION = ("DZ", "RA", "SN", "SG", "IC", "PL", "GR", "GS", "UP")
_OTHER = ("BR", "FG", "FU", "VA", "DU", "SA", "HZ", "PY", "PO", "SQ", "FC", "SS", "DS")
PHENOMENA = "|".join(_PRECIPITATION + _OTHER)
DESCRIPTORS = "MI|PR|BC|DR|BL|SH|TS|FZ"

# Which phenomena a descriptor may qualify; an empty one: it may stand alone. Source: [AIM2023] table 7-1-7 and
# [AWH28] table of weather codes; combinations from memory of the code.
_SHOWERS = {"", "RA", "SN", "PL", "GR", "GS", "UP"}
_QUALIFIES: dict[str, set[str]] = {
    "MI": {"FG"},
    "PR": {"FG"},
    "BC": {"FG"},
    "DR": {"SN", "DU", "SA"},
    "BL": {"SN", "DU", "SA", "PY"},
    "SH": _SHOWERS,
    "TS": _SHOWERS,
    "FZ": {"RA", "DZ", "FG", "UP"},
}


def direction_deg(digits: str) -> float | None:
    """Return a direction printed in tens of degrees, calm as zero and north as 360; None if it is none. [deg]"""
    from_deg = float(digits)
    return None if from_deg % 10 or from_deg > FULL_CIRCLE else from_deg


def wind(reading: Reading, text: str, direction: str, speed: str, gust: str | None, unit: str) -> bool:
    """Read 24015G25KT, VRB04KT, 00000KT, /////KT."""
    factor = M_S_PER[unit]
    from_deg = direction_deg(direction) if direction.isdecimal() else None
    wind_m_s = None if speed == "//" else int(speed.lstrip("P")) * factor
    gust_is_missing = gust == "//"
    gust_m_s = None if gust is None or gust_is_missing else int(gust.lstrip("P")) * factor
    if direction.isdecimal() and from_deg is None:
        return False
    # Calm is printed as all noughts and in no other way; north is 360.
    if from_deg == 0.0 and (wind_m_s != 0.0 or gust is not None):
        return False
    if wind_m_s == 0.0 and from_deg != 0.0:
        return False
    if gust_m_s is not None and wind_m_s is not None and gust_m_s <= wind_m_s:
        return False
    draft = reading.draft
    if "/" in text:
        draft.missing.add("wind")
        if direction == "///" and wind_m_s is None and gust_m_s is None:
            return True
    draft.wind = draft.once(
        "wind",
        draft.wind,
        Wind(
            from_deg,
            wind_m_s,
            gust_m_s,
            Relation.MORE_THAN if speed[0] == "P" else Relation.EXACTLY,
            Relation.MORE_THAN if gust and gust[0] == "P" else Relation.EXACTLY,
            direction == "VRB",
            gust_is_missing,
            None,
            None,
            text,
        ),
    )
    return True


def sector(reading: Reading, text: str, first: str, last: str) -> bool:
    """Read 290V360, the ends of a variable direction."""
    ends = float(first), float(last)
    if max(ends) > FULL_CIRCLE:
        return False
    draft = reading.draft
    draft.sector = draft.once("wind", draft.sector, (*ends, text))
    return True


def cavok(reading: Reading, text: str) -> bool:
    """Read CAVOK: 10 km or more, no cloud below 5,000 ft, no cumulonimbus, no significant weather."""
    draft = reading.draft
    draft.visibility = draft.once("visibility", draft.visibility, Visibility(TEN_KM_M, Relation.AT_LEAST, (), text))
    draft.no_weather = True
    return sky_clear(reading, text)


def statute_miles(
    beside: str | None, numerator: str | None, denominator: str | None, whole: str | None
) -> float | None:
    """Return 1 1/2, 3/4 or 3 as a number [SM]; None for a fraction that the code does not know."""
    if numerator is None or denominator is None:
        return None if whole is None else float(whole)
    over, under = int(numerator), int(denominator)
    if under not in SIXTEENTHS or not 0 < over < under:
        return None
    return over / under + (int(beside) if beside else 0)


def miles(reading: Reading, text: str, bound: str | None, *number: str | None) -> bool:
    """Read 10SM, 1 1/2SM, M1/4SM, P6SM."""
    distance = statute_miles(*number)
    if distance is None:
        return False
    draft = reading.draft
    now = Visibility(distance * M_PER_SM, RELATION[bound], (), text)
    draft.visibility = draft.once("visibility", draft.visibility, now)
    return True


def meters(reading: Reading, text: str, digits: str, direction: str | None) -> bool:
    """Read 9999, 0600, 4000NDV, and 1200NE beside the prevailing visibility."""
    number = int(digits)
    if number == 9999:
        visibility = Visibility(TEN_KM_M, Relation.AT_LEAST, (), text)
    elif number == 0:
        visibility = Visibility(LEAST_PRINTED_M, Relation.LESS_THAN, (), text)
    elif number % VISIBILITY_STEP:
        return False
    else:
        visibility = Visibility(float(number), Relation.EXACTLY, (), text)
    draft = reading.draft
    if direction is None or direction == "NDV":
        draft.visibility = draft.once("visibility", draft.visibility, visibility)
    else:
        draft.directional.append(DirectionalVisibility(visibility.visibility_m, direction, text))
    return True


def phenomenon(text: str, sign: str | None, descriptor: str | None, codes: str) -> Phenomenon | None:
    """Return a weather group in its parts; None for a combination that the code does not know."""
    sign, descriptor = sign or "", descriptor or ""
    phenomena = tuple(codes[at : at + 2] for at in range(0, len(codes), 2))
    if descriptor:
        if not _QUALIFIES[descriptor].issuperset(phenomena or ("",)):
            return None
    elif not phenomena:
        return None
    falling = all(code in _PRECIPITATION for code in phenomena)
    if len(phenomena) > 1 and not falling:
        return None
    if sign.startswith(("+", "-")):
        intensity = "heavy" if sign.startswith("+") else "light"
    else:
        intensity = "moderate" if phenomena and falling and sign != "VC" else ""
    return Phenomenon(intensity, sign.endswith("VC"), descriptor, phenomena, text)


def weather(reading: Reading, text: str, sign: str | None, descriptor: str | None, codes: str) -> bool:
    """Read +TSRA, BR, VCSH, FZDZ."""
    found = phenomenon(text, sign, descriptor, codes)
    if found is None:
        return False
    reading.draft.weather.append(found)
    return True


def no_weather(reading: Reading, text: str) -> bool:
    """Read NSW."""
    reading.draft.no_weather = True
    return True


def layer(reading: Reading, text: str, amount: str, hundreds: str, convective: str | None) -> bool:
    """Read BKN008, OVC012CB, SCT015///, ///015, /////////."""
    draft = reading.draft
    if "/" in text:
        draft.missing.add("cloud")
    blank = amount == "///" and hundreds == "///"
    kind = None if convective == "///" or (blank and not convective) else convective or ""
    draft.layers.append(
        Layer(
            None if amount == "///" else amount,
            None if hundreds == "///" else int(hundreds) * M_PER_HUNDRED_FT,
            kind,
            text,
        )
    )
    return True


def vertical_visibility(reading: Reading, text: str, hundreds: str) -> bool:
    """Read VV004 and VV///: the sky is hidden, and what can be seen upwards is the ceiling."""
    return layer(reading, text, "VV", hundreds, "///")


def sky_clear(reading: Reading, text: str) -> bool:
    """Read SKC, CLR, NSC, NCD, and the cloud of CAVOK."""
    draft = reading.draft
    draft.clear = draft.once("cloud", draft.clear or None, text)
    return True


def altimeter(reading: Reading, text: str, unit: str, digits: str) -> bool:
    """Read A2992, Q1013, QNH2992INS, A////."""
    draft = reading.draft
    if digits == "////":
        draft.missing.add("altimeter")
        return True
    number = int(digits)
    if unit == "Q":
        inside, value_pa, step_pa = LEAST_HPA <= number <= MOST_HPA, number * PA_PER_HPA, PA_PER_HPA
    else:
        inside = LEAST_HUNDREDTHS_INHG <= number <= MOST_HUNDREDTHS_INHG
        # Divided, not multiplied: 3110 is then the same number as 31.10 typed.
        value_pa, step_pa = number / 100 * PA_PER_INHG, PA_PER_INHG / 100
    if not inside:
        return False
    draft.altimeters.append((Altimeter(value_pa, text), step_pa))
    return True


def ignore(reading: Reading, text: str, *parts: str | None) -> bool:
    """Read a group that carries no fact used here; its text stays in its place among the groups."""
    return True


def refuse(reading: Reading, text: str) -> bool:
    """Leave unread what has a known shape but stands where it means nothing."""
    return False


def missing(*facts: str) -> Callable[..., bool]:
    """Return a reader for a group of slashes that stands for the named facts."""

    def read(reading: Reading, text: str) -> bool:
        reading.draft.missing.update(facts)
        return True

    return read


_SPEED = r"P?(?:[0-9]{2}|[1-9][0-9]{2})|//"
WEATHER = rf"([-+]|VC|[-+]VC)?({DESCRIPTORS})?((?:{PHENOMENA}){{0,3}})"

# The rows that reports and forecasts share, in the order in which the groups are printed.
SHARED = (
    Row("wind", rf"([0-9]{{3}}|VRB|///)({_SPEED})(?:G({_SPEED}))?(KT|MPS|KMH)", wind, ("wind",)),
    Row("ceiling and visibility", r"CAVOK", cavok, ("visibility", "weather", "cloud")),
    Row("visibility", r"([MP])?(?:(?:([0-9]{1,2}) )?([0-9]{1,2})/([0-9]{1,2})|([0-9]{1,2}))SM", miles, ("visibility",)),
    Row("visibility", r"([0-9]{4})(NDV|[NS][EW]?|[EW])?", meters, ("visibility",)),
    Row("visibility", r"////(?:SM)?", missing("visibility"), ("visibility",)),
    Row("weather", WEATHER, weather, ("weather",)),
    Row("weather", r"NSW", no_weather, ("weather",)),
    Row("weather", r"//", missing("weather"), ("weather",)),
    Row("cloud", r"(FEW|SCT|BKN|OVC|///)([0-9]{3}|///)(CB|TCU|///)?", layer, ("cloud",)),
    Row("cloud", r"VV([0-9]{3}|///)", vertical_visibility, ("cloud",)),
    Row("cloud", r"SKC|CLR|NSC|NCD", sky_clear, ("cloud",)),
)

# A group in five digits with a short tail is a wind with its unit damaged: nothing else is printed so.
SHAPES = ((r"[0-9]{5}[^0-9/]{0,3}", ("wind",)),)
