"""The remarks of a report: what they add to the body, and the many that are only kept as text.

Remarks may be plain language. A word that fits no row is listed as unread and may have carried a remark; only where
it resembles a group that repeats a fact of the body (tenths of temperature, altimeter setting) is that fact given up.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import datetime

from gyrewright.air.reports import body
from gyrewright.air.reports.clock import last_at
from gyrewright.air.reports.facts import Relation
from gyrewright.air.reports.tokens import Reading, Row, Table
from gyrewright.units import M_PER_SM

_THOUSAND_HPA = 1000.0


@dataclass(frozen=True, slots=True)
class PeakWind:
    """The strongest wind since the last routine report, direction true."""

    wind_from_true_deg: float
    wind_m_s: float
    relation: Relation
    at: datetime | None
    text: str


@dataclass(frozen=True, slots=True)
class WindShift:
    """When the wind changed its direction, and whether a front passed with it."""

    at: datetime | None
    was_front: bool
    text: str


@dataclass(frozen=True, slots=True)
class Extent:
    """The least and the most of something that varied. [m]"""

    least_m: float
    most_m: float
    least_relation: Relation
    text: str


@dataclass(frozen=True, slots=True)
class WeatherTime:
    """When a weather began or ended within the hour."""

    weather: str
    has_begun: bool
    at: datetime | None
    text: str


@dataclass(frozen=True, slots=True)
class Remarks:
    """What the remarks say. Those with no field of their own stand among the groups of the report, as text.

    `storms` holds the remarks on thunderstorms, lightning, tornadoes and convective cloud, as printed; `sensors_out`
    what the station says that it cannot measure.
    """

    station_type: str = ""
    peak_wind: PeakWind | None = None
    wind_shift: WindShift | None = None
    variable_visibility: Extent | None = None
    variable_ceiling: Extent | None = None
    weather_times: tuple[WeatherTime, ...] = ()
    sea_level_pressure_pa: float | None = None
    pressure_change: str = ""
    storms: tuple[str, ...] = ()
    sensors_out: tuple[str, ...] = ()
    needs_maintenance: bool = False


@dataclass(slots=True, eq=False)
class ReportReading(Reading):
    """A report with remarks while it is read. `tenths` holds temperature and dew point in tenths of a degree C."""

    observed_at: datetime | None = None
    station_type: str = ""
    peak_wind: PeakWind | None = None
    wind_shift: WindShift | None = None
    variable_visibility: Extent | None = None
    variable_ceiling: Extent | None = None
    weather_times: list[WeatherTime] = field(default_factory=list)
    sea_level_tenths: int | None = None
    pressure_change: str = ""
    storms: list[str] = field(default_factory=list)
    sensors_out: list[str] = field(default_factory=list)
    needs_maintenance: bool = False
    tenths: tuple[int, int | None, str] | None = None

    def past(self, hour: str | None, minute: str) -> datetime | None:
        """Return the last such moment before the report, if its time is known."""
        if self.observed_at is None:
            return None
        return last_at(hour=int(hour) if hour else None, minute=int(minute), before=self.observed_at)

    def remarks(self, altimeter_pa: float | None) -> Remarks:
        """Return the remarks; the altimeter setting tells which hundred a sea-level pressure belongs to."""
        return Remarks(
            self.station_type,
            self.peak_wind,
            self.wind_shift,
            self.variable_visibility,
            self.variable_ceiling,
            tuple(self.weather_times),
            self._sea_level_pressure_pa(altimeter_pa),
            self.pressure_change,
            tuple(self.storms),
            tuple(self.sensors_out),
            self.needs_maintenance,
        )

    def _sea_level_pressure_pa(self, altimeter_pa: float | None) -> float | None:
        if self.sea_level_tenths is None:
            return None
        near_hpa = _THOUSAND_HPA if altimeter_pa is None else altimeter_pa / body.PA_PER_HPA
        over_hpa = self.sea_level_tenths / 10.0
        high_hpa, low_hpa = _THOUSAND_HPA + over_hpa, _THOUSAND_HPA - 100.0 + over_hpa
        # With nothing to go by, a first digit below 5 goes with the thousands, as in [AWH28] ch. 24.
        is_high = abs(high_hpa - near_hpa) < abs(low_hpa - near_hpa)
        return (high_hpa if is_high else low_hpa) * body.PA_PER_HPA


def _is_time(hour: str | None, minute: str) -> bool:
    return int(minute) < 60 and (not hour or int(hour) < 24)


def _station_type(reading: ReportReading, text: str) -> bool:
    reading.station_type = text
    return True


def _peak_wind(
    reading: ReportReading, text: str, direction: str, bound: str, speed: str, hour: str | None, minute: str
) -> bool:
    from_deg = body.direction_deg(direction)
    if not from_deg or not _is_time(hour, minute):
        return False
    # Remarks are a United States practice: this wind is in knots whatever the unit of the body.
    wind_m_s = int(speed) * body.M_S_PER["KT"]
    reading.peak_wind = PeakWind(from_deg, wind_m_s, body.RELATION[bound], reading.past(hour, minute), text)
    return True


def _wind_shift(reading: ReportReading, text: str, hour: str | None, minute: str, front: str | None) -> bool:
    if not _is_time(hour, minute):
        return False
    reading.wind_shift = WindShift(reading.past(hour, minute), front is not None, text)
    return True


def _variable_visibility(reading: ReportReading, text: str, bound: str, *parts: str | None) -> bool:
    least, most = body.statute_miles(*parts[:4]), body.statute_miles(*parts[4:])
    if least is None or most is None or least >= most:
        return False
    reading.variable_visibility = Extent(least * M_PER_SM, most * M_PER_SM, body.RELATION[bound], text)
    return True


def _variable_ceiling(reading: ReportReading, text: str, least: str, most: str) -> bool:
    if int(least) >= int(most):
        return False
    reading.variable_ceiling = Extent(
        int(least) * body.M_PER_HUNDRED_FT, int(most) * body.M_PER_HUNDRED_FT, Relation.EXACTLY, text
    )
    return True


_EVENT = re.compile(r"((?:[A-Z]{2})+?)?([BE])([0-9]{2})?([0-9]{2})(?![0-9])")


def _weather_times(reading: ReportReading, text: str) -> bool:
    times, weather = [], ""
    for codes, change, hour, minute in _EVENT.findall(text):
        weather = codes or weather
        if not _is_time(hour, minute):
            return False
        times.append(WeatherTime(weather, change == "B", reading.past(hour, minute), text))
    reading.weather_times.extend(times)
    return True


def _tenths(
    reading: ReportReading, text: str, sign: str, digits: str, dew_sign: str | None, dew_digits: str | None
) -> bool:
    air = int(digits) * (-1 if sign == "1" else 1)
    dew = None if dew_digits is None else int(dew_digits) * (-1 if dew_sign == "1" else 1)
    if not all(body.LEAST_C * 10 <= tenth <= body.MOST_C * 10 for tenth in (air, air if dew is None else dew)):
        return False
    now = air, dew, text
    if reading.tenths is not None and reading.tenths != now:
        reading.draft.contradictory |= {"temperature", "dew_point"}
    reading.tenths = now
    return True


def _sea_level_pressure(reading: ReportReading, text: str, digits: str) -> bool:
    if digits == "NO":
        reading.sensors_out.append(text)
    else:
        reading.sea_level_tenths = int(digits)
    return True


def _pressure_change(reading: ReportReading, text: str, change: str) -> bool:
    reading.pressure_change = {"R": "rising rapidly", "F": "falling rapidly"}[change]
    return True


def _sensor_out(reading: ReportReading, text: str) -> bool:
    reading.sensors_out.append(text)
    fact = {"PWINO": "weather", "RVRNO": "runway_visual_range"}.get(text)
    if fact:
        reading.draft.missing.add(fact)
    return True


def _storm(reading: ReportReading, text: str) -> bool:
    reading.storms.append(text)
    return True


def maintenance(reading: ReportReading, text: str) -> bool:
    """Read $: the station asks for maintenance."""
    reading.needs_maintenance = True
    return True


_MILES = r"(?:(?:([0-9]{1,2}) )?([0-9])/([0-9]{1,2})|([0-9]{1,2}))"
_SOME_MILES = r"M?(?:[0-9]{1,2}(?: [0-9]/[0-9]{1,2})?|[0-9]/[0-9]{1,2})(?:SM)?"
_TOWARDS = r"(?:NE|NW|SE|SW|N|E|S|W)"
_PLACE = rf"(?: (?:OHD|VC|DSNT|ALQDS|AND|[0-9]{{1,2}}{_TOWARDS}|{_TOWARDS}(?:-{_TOWARDS})*))*"
_MOVING = rf"{_PLACE}(?: MOV {_TOWARDS}| MOVG {_TOWARDS}| STNRY)?"
_RUNWAY = r"RWY ?[0-9]{2}[LCR]?"
_CLOUDS = r"CI|CC|CS|ACC|AC|AS|NS|SC|ST|SF|CU|CF|CB|TCU|FG|BR|HZ|FU|SN|RA"
_AMOUNT = r"(?:FEW|SCT|BKN|OVC)"
_WEATHER_CODES = rf"(?:(?:{body.DESCRIPTORS})?(?:{body.PHENOMENA})+|TS)"

# Source: [AWH28] ch. 24, remarks; groups not named there from memory of the federal handbook of surface observations.
REMARKS = Table(
    Row("station type", r"AO[12]A?", _station_type),
    Row("peak wind", r"PK WND ([0-9]{3})(P?)([0-9]{2,3})/([0-9]{2})?([0-9]{2})", _peak_wind),
    Row("wind shift", r"WSHFT ([0-9]{2})?([0-9]{2})(?: (FROPA))?", _wind_shift),
    Row("variable visibility", rf"VIS (M?){_MILES}V{_MILES}", _variable_visibility),
    Row("visibility elsewhere", rf"(?:TWR|SFC) VIS {_SOME_MILES}|VIS {_TOWARDS} {_SOME_MILES}", body.ignore),
    Row("visibility elsewhere", rf"VIS {_SOME_MILES} {_RUNWAY}", body.ignore),
    Row("storm", rf"(?:TORNADO|FUNNEL CLOUD|WATERSPOUT)(?: [BE][0-9]{{2,4}}){{0,2}}{_MOVING}", _storm),
    Row("storm", rf"(?:(?:OCNL|FRQ|CONS) )?LTG(?:IC|CC|CG|CA)*{_PLACE}", _storm),
    Row("weather times", rf"(?:{_WEATHER_CODES}(?:[BE](?:[0-9]{{4}}|[0-9]{{2}}))+)+", _weather_times),
    Row("storm", rf"TS{_MOVING}", _storm),
    Row("storm", rf"(?:CBMAM|CB|TCU|ACC|(?:AC|CC|SC)SL|ROTOR CLD){_MOVING}", _storm),
    Row("virga", rf"VIRGA{_MOVING}", body.ignore),
    Row("variable ceiling", r"CIG ([0-9]{3})V([0-9]{3})", _variable_ceiling),
    Row("ceiling elsewhere", rf"CIG [0-9]{{3}} {_RUNWAY}", body.ignore),
    Row("obscuration", rf"(?:{body.PHENOMENA}) {_AMOUNT}[0-9]{{3}}", body.ignore),
    Row("variable sky", rf"{_AMOUNT}(?:[0-9]{{3}})? V {_AMOUNT}", body.ignore),
    Row(
        "weather nearby",
        rf"(?:VC)?(?:{_WEATHER_CODES}|SH)(?: (?:OHD|VC|DSNT|ALQDS|{_TOWARDS}(?:-{_TOWARDS})*))+",
        body.ignore,
    ),
    Row("pressure change", r"PRES([RF])R", _pressure_change),
    Row("sea-level pressure", r"SLP([0-9]{3}|NO)", _sea_level_pressure),
    Row(
        "tenths of temperature",
        r"T([01])([0-9]{3})(?:([01])([0-9]{3}))?",
        _tenths,
        ("temperature", "dew_point"),
    ),
    Row("altimeter", r"(A)([0-9]{4})", body.altimeter, ("altimeter",)),
    Row("sensor out", r"RVRNO|PWINO|PNO|FZRANO|TSNO", _sensor_out),
    Row("sensor out", rf"(?:VISNO|CHINO)(?: (?:{_RUNWAY}|{_TOWARDS}))?", _sensor_out),
    Row("precipitation", r"P[0-9]{4}|[67](?:[0-9]{4}|////)|I[136][0-9]{3}", body.ignore),
    Row("snow", r"4/[0-9]{3}|93[13][0-9]{3}|SNINCR [0-9]{1,2}/[0-9]{1,3}", body.ignore),
    Row("hail", r"GR (?:[0-9]{1,2}(?: [0-9]/[0-9])?|[0-9]/[0-9]|LESS THAN 1/4)", body.ignore),
    Row("cloud types", rf"8/[0-9/]{{3}}|(?:(?:{_CLOUDS})[0-9]){{1,6}}|[0-9](?:{_CLOUDS})[0-9]{{3}}", body.ignore),
    Row("sunshine", r"98[0-9]{3}", body.ignore),
    Row("temperature range", r"[12][01][0-9]{3}|4[01][0-9]{3}[01][0-9]{3}", body.ignore),
    Row("pressure tendency", r"5(?:[0-8][0-9]{3}|////)", body.ignore),
    Row("station note", r"FROPA|NOSPECI|ACFT MSHP|FIRST|LAST", body.ignore),
    Row("maintenance", r"\$", maintenance),
    otherwise=frozenset({"remark"}),
)
