"""[AIM2023] The key to reports and forecasts, and its examples."""

from datetime import UTC, datetime

import pytest

from gyrewright.air.reports import Relation, State, conditions_over, decode_metar, decode_taf

DOCUMENT = "FAA Aeronautical Information Manual, basic effective 20 April 2023"
KT = 1852.0 / 3600.0
FT = 0.3048
SM = 1609.344
INHG = 3386.389
RECEIVED = datetime(2023, 4, 18, 12, 0, tzinfo=UTC)

# Every value is exact after decoding; rounding to six places only takes back the conversion to SI.
exactly = pytest.approx


def at(day, hour, minute=0):
    return datetime(2023, 4, day, hour, minute, tzinfo=UTC)


def decoded(*groups):
    """A report with only these groups after its time."""
    report = decode_metar("METAR KXYZ 281250Z " + " ".join(groups), received_on=RECEIVED)
    assert report.unread == ()
    return report.conditions


def knots(wind):
    gust = None if wind.gust_m_s is None else round(wind.gust_m_s / KT, 6)
    return wind.wind_from_true_deg, round(wind.wind_m_s / KT, 6), gust


def sky(conditions):
    return [(layer.amount, round(layer.base_m / FT, 6), layer.convective or "") for layer in conditions.cloud.layers]


def texts(phenomena):
    return [one.text for one in phenomena]


@pytest.mark.source(DOCUMENT, "7-1-29, example of a METAR")
def test_the_example_of_a_report_is_read_whole():
    report = decode_metar(
        "METAR KBNA 281250Z 33018KT 290V360 1/2SM R31/2700FT SN BLSN FG VV008 00/M03 A2991 RMK RAE42SNB42",
        received_on=RECEIVED,
    )
    said = report.conditions
    assert report.unread == ()
    assert (report.kind, report.station, report.observed_at) == ("METAR", "KBNA", at(28, 12, 50))
    assert knots(said.wind) == (330.0, 18.0, None)
    assert (said.wind.sector_from_true_deg, said.wind.sector_to_true_deg) == (290.0, 360.0)
    assert (said.visibility.visibility_m / SM, said.visibility.relation) == (0.5, Relation.EXACTLY)
    (visual_range,) = said.runway_visual_range
    assert (visual_range.runway, visual_range.visual_range_m / FT) == ("31", exactly(2700.0))
    assert texts(said.weather) == ["SN", "BLSN", "FG"]
    assert sky(said) == [("VV", 800.0, "")]
    assert said.cloud.ceiling_m / FT == exactly(800.0)
    assert said.temperature.air_temperature_k - 273.15 == 0.0
    assert said.dew_point.dew_point_k - 273.15 == exactly(-3.0)
    assert said.altimeter.altimeter_pa / INHG == exactly(29.91)
    assert [(one.weather, one.has_begun, one.at) for one in report.remarks.weather_times] == [
        ("RA", False, at(28, 12, 42)),
        ("SN", True, at(28, 12, 42)),
    ]


# The book explains the time of this report as 2228 UTC; the report itself says 2224.
@pytest.mark.source(DOCUMENT, "7-1-29, example of a SPECI")
def test_the_example_of_a_special_report_is_read_whole():
    report = decode_metar(
        "SPECI KCVG 152224Z 28024G36KT 3/4SM +TSRA BKN008 OVC020CB 28/23 A3000 RMK TSRAB24 TS W MOV E",
        received_on=RECEIVED,
    )
    said = report.conditions
    assert report.unread == ()
    assert (report.kind, report.station, report.observed_at) == ("SPECI", "KCVG", at(15, 22, 24))
    assert knots(said.wind) == (280.0, 24.0, 36.0)
    assert said.visibility.visibility_m / SM == 0.75
    assert texts(said.weather) == ["+TSRA"]
    assert sky(said) == [("BKN", 800.0, ""), ("OVC", 2000.0, "CB")]
    assert said.cloud.ceiling_m / FT == exactly(800.0)
    assert said.cloud.has_cumulonimbus is True
    assert said.temperature.air_temperature_k - 273.15 == exactly(28.0)
    assert said.dew_point.dew_point_k - 273.15 == exactly(23.0)
    assert said.altimeter.altimeter_pa / INHG == exactly(30.00)
    assert report.remarks.weather_times[0].at == at(15, 22, 24)
    assert report.remarks.storms == ("TS W MOV E",)


@pytest.mark.source(DOCUMENT, "7-1-29, wind")
@pytest.mark.parametrize(
    ("group", "printed"),
    [
        ("13008KT", (130.0, 8.0, None)),
        ("08032G45KT", (80.0, 32.0, 45.0)),
        ("VRB04KT", (None, 4.0, None)),
        ("00000KT", (0.0, 0.0, None)),
        ("210103G130KT", (210.0, 103.0, 130.0)),
        ("32012G22KT", (320.0, 12.0, 22.0)),
    ],
)
def test_wind_groups(group, printed):
    said = decoded(group)
    assert knots(said.wind) == printed
    assert said.wind.wind_is_variable is group.startswith("VRB")
    assert said.state("wind") is State.KNOWN


@pytest.mark.source(DOCUMENT, "7-1-29, variable wind direction")
def test_a_variable_direction_stays_with_its_wind():
    wind = decoded("32012G22KT", "280V350").wind
    assert (wind.sector_from_true_deg, wind.sector_to_true_deg) == (280.0, 350.0)
    assert wind.text == "32012G22KT 280V350"


@pytest.mark.source(DOCUMENT, "7-1-29, visibility; 1 1/2SM from the weather handbook, ch. 24")
@pytest.mark.parametrize(
    ("group", "miles", "relation"),
    [
        ("7SM", 7.0, Relation.EXACTLY),
        ("15SM", 15.0, Relation.EXACTLY),
        ("1/2SM", 0.5, Relation.EXACTLY),
        ("M1/4SM", 0.25, Relation.LESS_THAN),
        ("10SM", 10.0, Relation.EXACTLY),
        ("1 1/2SM", 1.5, Relation.EXACTLY),
    ],
)
def test_visibility_groups(group, miles, relation):
    visibility = decoded(group).visibility
    assert visibility.visibility_m / SM == exactly(miles)
    assert (visibility.relation, visibility.text) == (relation, group)


@pytest.mark.source(DOCUMENT, "7-1-29, runway visual range, and the weather handbook, ch. 24")
@pytest.mark.parametrize(
    ("group", "runway", "feet", "relation", "highest_feet"),
    [
        ("R32L/1200FT", "32L", 1200, Relation.EXACTLY, None),
        ("R27R/M1000V4000FT", "27R", 1000, Relation.LESS_THAN, 4000),
        ("R01L/0800FT", "01L", 800, Relation.EXACTLY, None),
        ("R01L/0600V1000FT", "01L", 600, Relation.EXACTLY, 1000),
        ("R01L/M0600FT", "01L", 600, Relation.LESS_THAN, None),
        ("R27/P6000FT", "27", 6000, Relation.MORE_THAN, None),
        ("R17L/1400FT", "17L", 1400, Relation.EXACTLY, None),
    ],
)
def test_visual_range_groups(group, runway, feet, relation, highest_feet):
    (found,) = decoded(group).runway_visual_range
    assert (found.runway, found.relation) == (runway, relation)
    assert found.visual_range_m / FT == exactly(feet)
    assert (None if found.highest_m is None else round(found.highest_m / FT, 6)) == highest_feet


@pytest.mark.source(DOCUMENT, "7-1-29, sky condition; 000 means below 50 ft")
@pytest.mark.parametrize(
    ("groups", "ceiling_ft"),
    [
        ("SCT025TCU BKN080 BKN250", 8000.0),
        ("SCT008 OVC012CB", 1200.0),
        ("1/8SM FG VV006", 600.0),
        ("BKN000", 0.0),
        ("SCT005 BKN025CB", 2500.0),
        ("VV008", 800.0),
    ],
)
def test_what_counts_as_a_ceiling(groups, ceiling_ft):
    cloud = decoded(groups).cloud
    assert cloud.ceiling_m / FT == exactly(ceiling_ft)
    assert cloud.has_ceiling is True


@pytest.mark.source(DOCUMENT, "7-1-29, temperature and dew point, and the weather handbook, ch. 24")
@pytest.mark.parametrize(
    ("group", "air_c", "dew_c"),
    [("15/08", 15, 8), ("00/M02", 0, -2), ("M05/", -5, None), ("04/M02", 4, -2), ("02/", 2, None)],
)
def test_temperature_groups(group, air_c, dew_c):
    said = decoded(group)
    assert said.temperature.air_temperature_k - 273.15 == exactly(air_c)
    if dew_c is None:
        assert said.dew_point is None
        assert said.state("dew_point") is State.MISSING
    else:
        assert said.dew_point.dew_point_k - 273.15 == exactly(dew_c)


# The manual prints BRHZ as one group; obscurations are coded apart, and the joined form is not read.
@pytest.mark.source(DOCUMENT, "7-1-29, weather")
@pytest.mark.parametrize(
    ("groups", "parts"),
    [
        ("TSRA", [("moderate", False, "TS", ("RA",))]),
        ("+SN", [("heavy", False, "", ("SN",))]),
        ("-RA FG", [("light", False, "", ("RA",)), ("", False, "", ("FG",))]),
        ("FZDZ", [("moderate", False, "FZ", ("DZ",))]),
        ("VCSH", [("", True, "SH", ())]),
        ("+SHRASNPL", [("heavy", False, "SH", ("RA", "SN", "PL"))]),
        ("BR HZ", [("", False, "", ("BR",)), ("", False, "", ("HZ",))]),
    ],
)
def test_weather_groups_in_their_parts(groups, parts):
    weather = decoded(groups).weather
    assert [(one.intensity, one.is_in_vicinity, one.descriptor, one.phenomena) for one in weather] == parts


@pytest.mark.source(DOCUMENT, "7-1-29, weather: BRHZ printed as one group")
def test_the_joined_group_of_the_print_is_not_read():
    report = decode_metar("METAR KXYZ 281250Z BRHZ", received_on=RECEIVED)
    assert [one.text for one in report.unread] == ["BRHZ"]
    assert report.conditions.state("weather") is State.UNREAD


# The manual says that NSW occurs only with TEMPO, and uses it with BECMG in this very example.
FORECAST = (
    "TAF KPIT 091730Z 0918/1024 15005KT 5SM HZ FEW020 WS010/31022KT FM091930 30015G25KT 3SM SHRA OVC015 "
    "TEMPO 0920/0922 1/2SM +TSRA OVC008CB FM100100 27008KT 5SM SHRA BKN020 OVC040 PROB30 1004/1007 1SM -RA BR "
    "FM101015 18005KT 6SM -SHRA OVC020 BECMG 1013/1015 P6SM NSW SKC"
)


@pytest.mark.source(DOCUMENT, "7-1-29, key to the forecast")
def test_the_example_of_a_forecast_is_read_whole():
    taf = decode_taf(FORECAST, received_on=RECEIVED)
    assert taf.unread == ()
    assert (taf.station, taf.issued_at) == ("KPIT", at(9, 17, 30))
    assert (taf.valid_from, taf.valid_to) == (at(9, 18), at(11, 0))
    assert [(one.kind, one.probability_percent, one.start, one.end) for one in taf.periods] == [
        ("prevailing", None, at(9, 18), at(9, 19, 30)),
        ("from", None, at(9, 19, 30), at(10, 1)),
        ("temporary", None, at(9, 20), at(9, 22)),
        ("from", None, at(10, 1), at(10, 10, 15)),
        ("probable", 30, at(10, 4), at(10, 7)),
        ("from", None, at(10, 10, 15), at(11, 0)),
        ("becoming", None, at(10, 13), at(10, 15)),
    ]
    said = [one.conditions for one in taf.periods]
    assert [one.wind and knots(one.wind) for one in said] == [
        (150.0, 5.0, None),
        (300.0, 15.0, 25.0),
        None,
        (270.0, 8.0, None),
        None,
        (180.0, 5.0, None),
        None,
    ]
    assert [round(one.visibility.visibility_m / SM, 6) for one in said] == [5.0, 3.0, 0.5, 5.0, 1.0, 6.0, 6.0]
    assert [one.visibility.relation for one in said] == [Relation.EXACTLY] * 6 + [Relation.MORE_THAN]
    assert [texts(one.weather) for one in said] == [
        ["HZ"],
        ["SHRA"],
        ["+TSRA"],
        ["SHRA"],
        ["-RA", "BR"],
        ["-SHRA"],
        [],
    ]
    assert [one.cloud and sky(one) for one in said] == [
        [("FEW", 2000.0, "")],
        [("OVC", 1500.0, "")],
        [("OVC", 800.0, "CB")],
        [("BKN", 2000.0, ""), ("OVC", 4000.0, "")],
        None,
        [("OVC", 2000.0, "")],
        [],
    ]
    assert said[-1].cloud.has_ceiling is False


@pytest.mark.source(DOCUMENT, "7-1-29, key to the forecast; what each change implies")
def test_the_changes_of_the_forecast_are_completed_from_what_prevails():
    spells = conditions_over(decode_taf(FORECAST, received_on=RECEIVED))
    (temporary,) = [one for one in spells if one.kind == "temporary"]
    assert knots(temporary.conditions.wind) == (300.0, 15.0, 25.0)
    assert temporary.conditions.visibility.visibility_m / SM == exactly(0.5)
    (becoming,) = [one for one in spells if one.kind == "becoming"]
    assert (becoming.start, becoming.end, becoming.certain_from) == (at(10, 13), at(11, 0), at(10, 15))
    assert knots(becoming.conditions.wind) == (180.0, 5.0, None)
    assert becoming.conditions.weather == ()


@pytest.mark.source(DOCUMENT, "7-1-29, wind shear, and the weather handbook, ch. 27")
@pytest.mark.parametrize(
    ("group", "height_ft", "from_deg", "kt"),
    [("WS010/18040KT", 1000, 180.0, 40), ("WS020/27055KT", 2000, 270.0, 55), ("WS010/31022KT", 1000, 310.0, 22)],
)
def test_wind_shear_groups(group, height_ft, from_deg, kt):
    taf = decode_taf(f"TAF KXYZ 091730Z 0918/1018 15005KT P6SM SKC {group}", received_on=RECEIVED)
    (shear,) = taf.periods[0].conditions.wind_shear
    assert (shear.height_m / FT, shear.wind_m_s / KT) == (exactly(height_ft), exactly(kt))
    assert (shear.wind_from_true_deg, shear.text) == (from_deg, group)
