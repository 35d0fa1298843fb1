"""The routine and special report of an aerodrome, METAR and SPECI, United States and international forms."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from gyrewright.air.reports import body, header
from gyrewright.air.reports.clock import latest_moment, next_at, shifted
from gyrewright.air.reports.draft import NEEDED_IN_REPORT, Draft
from gyrewright.air.reports.facts import (
    Conditions,
    DewPoint,
    Group,
    Period,
    Phenomenon,
    RunwayVisualRange,
    Temperature,
    Unread,
    WindShear,
)
from gyrewright.air.reports.remarks import REMARKS, Remarks, ReportReading, maintenance
from gyrewright.air.reports.tokens import ANYTHING, CHANGE, Row, Table, one_line, shown, walk
from gyrewright.errors import ReportError
from gyrewright.units import M_PER_FT, ZERO_C_K

# A trend covers the two hours after the report. Source: [ANNEX3] app. 5, 2.1, from memory.
TREND_VALIDITY = timedelta(hours=2)


@dataclass(frozen=True, slots=True)
class Metar:
    """A report as issued: its facts, every group of its text, and what could not be read.

    `kind` is METAR or SPECI, empty where the text does not say. `observed_at` is UTC, None where the time is lost;
    `is_from_future` tells that it lies after the moment at which the report was received. Of an empty report (NIL)
    every fact is missing. `trends` hold the changes of the next two hours.
    """

    text: str
    kind: str
    station: str
    observed_at: datetime | None
    is_from_future: bool
    is_automatic: bool
    is_correction: bool
    is_nil: bool
    conditions: Conditions
    recent_weather: tuple[Phenomenon, ...]
    is_nosig: bool
    trends: tuple[Period, ...]
    remarks: Remarks
    groups: tuple[Group, ...]
    unread: tuple[Unread, ...]

    @property
    def lost(self) -> frozenset[str]:
        """Return the names of the facts that groups which could not be read may have carried."""
        return self.conditions.lost


@dataclass(slots=True, eq=False)
class _Reading(ReportReading):
    recent_weather: list[Phenomenon] = field(default_factory=list)
    is_automatic: bool = False
    is_correction: bool = False
    is_nil: bool = False
    is_nosig: bool = False


def _automatic(reading: _Reading, text: str) -> bool:
    reading.is_automatic = reading.draft.is_automatic = True
    return True


def _correction(reading: _Reading, text: str) -> bool:
    reading.is_correction = True
    return True


def _nil(reading: _Reading, text: str) -> bool:
    reading.is_nil = True
    return True


def _visual_range(
    reading: _Reading,
    text: str,
    runway: str,
    bound: str | None,
    digits: str,
    high_bound: str | None,
    high_digits: str | None,
    feet: str | None,
    tendency: str | None,
) -> bool:
    unit_m = M_PER_FT if feet else 1.0
    highest_m = None if high_digits is None else int(high_digits) * unit_m
    least_m = int(digits) * unit_m
    if highest_m is not None and highest_m <= least_m:
        return False
    reading.draft.runway_visual_range.append(
        RunwayVisualRange(
            runway,
            least_m,
            body.RELATION[bound],
            highest_m,
            body.RELATION[high_bound],
            {None: "", "U": "up", "D": "down", "N": "none"}[tendency],
            text,
        )
    )
    return True


def _celsius(digits: str | None) -> int | None:
    """Return whole degrees of M05 or 15; None where not observed."""
    if digits is None or not digits[-1].isdecimal():
        return None
    return -int(digits[1:]) if digits[0] == "M" else int(digits)


def _temperature(reading: _Reading, text: str, air_digits: str, dew_digits: str | None) -> bool:
    air_c, dew_c = _celsius(air_digits), _celsius(dew_digits)
    if any(value is not None and not body.LEAST_C <= value <= body.MOST_C for value in (air_c, dew_c)):
        return False
    draft = reading.draft
    if air_c is None:
        draft.missing.add("temperature")
    else:
        draft.temperature = draft.once("temperature", draft.temperature, Temperature(air_c + ZERO_C_K, text))
        draft.celsius["temperature"] = air_c
    if dew_c is None:
        draft.missing.add("dew_point")
    else:
        draft.dew_point = draft.once("dew_point", draft.dew_point, DewPoint(dew_c + ZERO_C_K, text))
        draft.celsius["dew_point"] = dew_c
    if air_c is not None and dew_c is not None and dew_c > air_c:
        draft.contradictory |= {"temperature", "dew_point"}
    return True


def _recent(reading: _Reading, text: str, sign: str | None, descriptor: str | None, codes: str) -> bool:
    found = body.phenomenon(text, sign, descriptor, codes)
    if found is None:
        return False
    reading.recent_weather.append(found)
    return True


def _wind_shear(reading: _Reading, text: str, runway: str | None) -> bool:
    reading.draft.wind_shear.append(WindShear(None, None, None, runway or "ALL", text))
    return True


def _nosig(reading: _Reading, text: str) -> bool:
    reading.is_nosig = True
    return True


_TREND_TIME = re.compile(r"(FM|TL|AT)([0-9]{2})([0-9]{2})")


def _trend(reading: _Reading, text: str, kind: str) -> bool:
    stretch_kind = {"BECMG": "becoming", "TEMPO": "temporary"}[kind]
    if reading.observed_at is None:
        reading.open(stretch_kind)
        return True
    start = reading.observed_at
    end = last = shifted(start, TREND_VALIDITY)
    for word, hour, minute in _TREND_TIME.findall(text):
        moment = next_at(hour=int(hour), minute=int(minute), after=reading.observed_at)
        if moment is None or last is None or moment > last:
            return False
        start = start if word == "TL" else moment
        end = end if word == "FM" else moment
    if end and start > end:
        return False
    stretch = reading.open(stretch_kind)
    stretch.start, stretch.end = start, end
    return True


def _remarks(reading: _Reading, text: str) -> bool:
    reading.end_stretch()
    reading.table, reading.draft = REMARKS, reading.stretches[0].draft
    return True


def _settle_tenths(draft: Draft, tenths: tuple[int, int | None, str] | None) -> None:
    """Let the tenths of the remarks stand for the whole degrees of the body, if they round to them.

    The body rounds halves to the warmer side. Source: [AWH28] ch. 24.
    """
    if tenths is None:
        return
    air, dew, text = tenths
    if dew is not None and dew > air:
        draft.contradictory |= {"temperature", "dew_point"}
    for fact, tenth in (("temperature", air), ("dew_point", dew)):
        if tenth is None:
            continue
        whole = draft.celsius.get(fact)
        if whole is not None and whole != (tenth + 5) // 10:
            draft.contradictory.add(fact)
        draft.missing.discard(fact)
        if fact == "temperature":
            draft.temperature = Temperature(tenth / 10 + ZERO_C_K, text)
        else:
            draft.dew_point = DewPoint(tenth / 10 + ZERO_C_K, text)


_RUNWAY = r"[0-9]{2}[LCR]?"
_COLOR = r"BLACK|BLU\+?|WHT|GRN|YLO[12]?|AMB|RED"
_CELSIUS = r"M?[0-9]{2}|//|MM?|XX"

_BODY = Table(
    Row("station mode", r"AUTO", _automatic),
    Row("correction", r"COR|CC[A-Z]", _correction),
    Row("empty report", r"NIL", _nil),
    *body.SHARED,
    Row("wind sector", r"([0-9]{3})V([0-9]{3})", body.sector, ("wind",)),
    Row(
        "runway visual range",
        rf"R({_RUNWAY})/([MP])?([0-9]{{4}})(?:V([MP])?([0-9]{{4}}))?(FT)?/?([UDN])?",
        _visual_range,
        ("runway_visual_range",),
    ),
    Row(
        "runway visual range",
        rf"R{_RUNWAY}/////?(?:FT)?|RVRNO",
        body.missing("runway_visual_range"),
        ("runway_visual_range",),
    ),
    Row("temperature", rf"({_CELSIUS})/({_CELSIUS})?", _temperature, ("temperature", "dew_point")),
    Row("altimeter", r"([AQ])([0-9]{4}|////)", body.altimeter, ("altimeter",)),
    Row("recent weather", "RE" + body.WEATHER, _recent, ("recent_weather",)),
    Row("wind shear", rf"WS (?:ALL RWY|R(?:WY)?({_RUNWAY}))", _wind_shear, ("wind_shear",)),
    Row("sea", r"W(?:M?[0-9]{2}|//)/(?:S[0-9/]|H(?:[0-9]{1,3}|///))", body.ignore, ("sea",)),
    Row("runway state", rf"R{_RUNWAY}/(?:[0-9/]{{6}}|CLRD(?:[0-9]{{2}}|//))|R/SNOCLO", body.ignore, ("runway_state",)),
    Row("color state", rf"(?:{_COLOR}){{1,3}}", body.ignore, ("color_state",)),
    Row("missing group", r"M", body.ignore),
    Row("trend", r"NOSIG", _nosig, (CHANGE,)),
    Row("trend", r"(BECMG|TEMPO)(?: (?:FM|TL|AT)[0-9]{4}){0,2}", _trend, (CHANGE,)),
    Row("trend", r"(?:FM|TL|AT)[0-9]{4}", body.refuse, (CHANGE,)),
    Row("remarks", r"RMK", _remarks, tuple(ANYTHING)),
    Row("maintenance", r"\$", maintenance),
    shapes=body.SHAPES,
)

_OPENING = re.compile(r"(?:(METAR|SPECI) )?(?:(COR) )?")
_FORECAST = re.compile(r"[0-9]{4}/[0-9]{4} ")


def decode_metar(text: str, *, received_on: date | datetime) -> Metar:
    """Return a METAR or SPECI decoded, every group of it accounted for.

    A group that cannot be read takes the facts with it that it may have carried; nothing is repaired, guessed or
    filled in. The month and year of the report are those that bring it nearest to the moment it was received.

    Args:
        text: One report as issued, in capitals, from METAR, SPECI or the station on; it may end with "=".
        received_on: When it was received: a moment with its time zone, or the date, UTC.

    Raises:
        ReportError: The text is no such report, or more than one; or `received_on` has no time zone.

    Source: [AIM2023] 7-1-29; [AWH28] ch. 24; international forms: [WMO306] FM 15 and FM 16, from memory.
    """
    line = one_line(text)
    received_at = latest_moment(received_on)
    reading = _Reading(_BODY)
    reading.open("report", with_last_group=False)
    (kind, correction), at = header.words(reading, line, _OPENING, ("report", "correction"))
    station, at = header.station(reading, line, at)
    observed_at, at = header.time(reading, line, at, received_at=received_at)
    if not ((station or observed_at) if kind else (station and observed_at)) or _FORECAST.match(line, at):
        raise ReportError(
            f"{shown(text)} is no METAR or SPECI; give one report, in capitals, from METAR, SPECI or the station on"
        )
    reading.observed_at = observed_at
    walk(reading, line, at)
    draft = reading.stretches[0].draft
    _settle_tenths(draft, reading.tenths)
    conditions = draft.close(needed=NEEDED_IN_REPORT, is_empty=reading.is_nil)
    altimeter = conditions.altimeter
    return Metar(
        text=text,
        kind=kind,
        station=station,
        observed_at=observed_at,
        is_from_future=observed_at is not None and observed_at > received_at,
        is_automatic=reading.is_automatic,
        is_correction=reading.is_correction or bool(correction),
        is_nil=reading.is_nil,
        conditions=conditions,
        recent_weather=tuple(reading.recent_weather),
        is_nosig=reading.is_nosig,
        trends=tuple(stretch.close(reading.groups) for stretch in reading.stretches[1:]),
        remarks=reading.remarks(None if altimeter is None else altimeter.altimeter_pa),
        groups=tuple(reading.groups),
        unread=tuple(reading.unread),
    )
