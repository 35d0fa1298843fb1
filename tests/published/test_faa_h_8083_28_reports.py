"""[AWH28] The weather handbook on reports and forecasts: chapters 24 and 27."""

from datetime import UTC, datetime, timedelta

import pytest

from gyrewright.air.reports import Relation, State, decode_metar, decode_taf

DOCUMENT = "FAA-H-8083-28, Aviation Weather Handbook (2022)"
KT = 1852.0 / 3600.0
FT = 0.3048
SM = 1609.344
INHG = 3386.389
RECEIVED = datetime(2022, 6, 15, 12, 0, tzinfo=UTC)

# Every value is exact after decoding; the comparison only allows for the conversion to SI and back.
exactly = pytest.approx


def at(day, hour, minute=0):
    return datetime(2022, 6, day, hour, minute, tzinfo=UTC)


def knots(wind):
    gust = None if wind.gust_m_s is None else round(wind.gust_m_s / KT, 6)
    return wind.wind_from_true_deg, round(wind.wind_m_s / KT, 6), gust


def sky(conditions):
    return [(layer.amount, round(layer.base_m / FT, 6), layer.convective or "") for layer in conditions.cloud.layers]


def remarks(text, body=""):
    report = decode_metar(f"METAR KXYZ 141955Z {body}RMK {text}", received_on=RECEIVED)
    assert report.unread == ()
    return report


@pytest.mark.source(DOCUMENT, "24.4, decoded example")
def test_the_complete_report_with_remarks_is_read_whole():
    report = decode_metar(
        "METAR KOKC 011955Z AUTO 22015G25KT 180V250 3/4SM R17L/2600FT +TSRA BR OVC010CB 18/16 A2992 "
        "RMK AO2 TSB25 TS OHD MOV E SLP132",
        received_on=RECEIVED,
    )
    said = report.conditions
    assert report.unread == ()
    assert (report.station, report.observed_at, report.is_automatic) == ("KOKC", at(1, 19, 55), True)
    assert knots(said.wind) == (220.0, 15.0, 25.0)
    assert (said.wind.sector_from_true_deg, said.wind.sector_to_true_deg) == (180.0, 250.0)
    assert said.visibility.visibility_m / SM == 0.75
    (visual_range,) = said.runway_visual_range
    assert (visual_range.runway, visual_range.visual_range_m / FT) == ("17L", exactly(2600.0))
    assert [one.text for one in said.weather] == ["+TSRA", "BR"]
    assert sky(said) == [("OVC", 1000.0, "CB")]
    assert said.cloud.ceiling_m / FT == exactly(1000.0)
    assert said.temperature.air_temperature_k - 273.15 == exactly(18.0)
    assert said.dew_point.dew_point_k - 273.15 == exactly(16.0)
    assert said.altimeter.altimeter_pa / INHG == exactly(29.92)
    assert report.remarks.sea_level_pressure_pa / 100.0 == exactly(1013.2)
    assert report.remarks.station_type == "AO2"
    assert report.remarks.weather_times[0].at == at(1, 19, 25)


@pytest.mark.source(DOCUMENT, "ch. 24, remarks: hourly temperature in tenths, and the body it rounds to")
def test_tenths_of_temperature_stand_for_the_body_they_round_to():
    said = remarks("T00261015", "03/M01 ").conditions
    assert said.temperature.air_temperature_k - 273.15 == exactly(2.6)
    assert said.dew_point.dew_point_k - 273.15 == exactly(-1.5)
    assert (said.state("temperature"), said.state("dew_point")) == (State.KNOWN, State.KNOWN)


@pytest.mark.source(DOCUMENT, "ch. 24: 02/ stands for a measured 1.5 degrees; halves go to the warmer side")
def test_halves_go_to_the_warmer_side():
    assert remarks("T0015", "02/ ").conditions.state("temperature") is State.KNOWN
    assert remarks("T0015", "01/ ").conditions.state("temperature") is State.CONTRADICTORY


@pytest.mark.source(DOCUMENT, "ch. 24, remarks: sea-level pressure; SLP045 from the manual's key to reports")
@pytest.mark.parametrize(("group", "hpa"), [("SLP982", 998.2), ("SLP132", 1013.2), ("SLP045", 1004.5)])
def test_sea_level_pressure(group, hpa):
    assert remarks(group).remarks.sea_level_pressure_pa / 100.0 == exactly(hpa)


@pytest.mark.source(DOCUMENT, "ch. 24, remarks: SLPNO")
def test_sea_level_pressure_not_available():
    said = remarks("SLPNO").remarks
    assert said.sea_level_pressure_pa is None
    assert said.sensors_out == ("SLPNO",)


@pytest.mark.source(DOCUMENT, "ch. 24, remarks: beginning and ending of weather")
@pytest.mark.parametrize(
    ("group", "times"),
    [
        (
            "RAB05E30SNB20E55",
            [("RA", True, 19, 5), ("RA", False, 19, 30), ("SN", True, 19, 20), ("SN", False, 19, 55)],
        ),
        ("RAE42SNB42", [("RA", False, 19, 42), ("SN", True, 19, 42)]),
        ("TSB1759E30", [("TS", True, 17, 59), ("TS", False, 19, 30)]),
    ],
)
def test_times_of_weather(group, times):
    found = remarks(group).remarks.weather_times
    assert [(one.weather, one.has_begun, one.at) for one in found] == [
        (weather, begun, at(14, hour, minute)) for weather, begun, hour, minute in times
    ]


@pytest.mark.source(DOCUMENT, "ch. 24, remarks: TSB0159E30, a thunderstorm that began at 0159 and ended at 0230")
def test_a_thunderstorm_that_began_before_the_hour():
    report = decode_metar("METAR KXYZ 140255Z RMK TSB0159E30", received_on=RECEIVED)
    assert [one.at for one in report.remarks.weather_times] == [at(14, 1, 59), at(14, 2, 30)]


@pytest.mark.source(DOCUMENT, "ch. 24, remarks: variable visibility")
def test_variable_visibility():
    found = remarks("VIS 1/2V2").remarks.variable_visibility
    assert (found.least_m / SM, found.most_m / SM, found.least_relation) == (0.5, 2.0, Relation.EXACTLY)


@pytest.mark.source(DOCUMENT, "ch. 24, remarks, and the manual, 7-1-29: variable ceiling")
def test_variable_ceiling():
    found = remarks("CIG 005V010").remarks.variable_ceiling
    assert (found.least_m / FT, found.most_m / FT) == (exactly(500.0), exactly(1000.0))


@pytest.mark.source(DOCUMENT, "27.3.2.6, joint-use forecast: CAVOK")
def test_what_cavok_says_and_what_it_leaves_open():
    said = decode_metar("METAR KXYZ 141955Z CAVOK", received_on=RECEIVED).conditions
    assert (said.visibility.visibility_m, said.visibility.relation) == (10_000.0, Relation.AT_LEAST)
    assert said.cloud.no_ceiling_below_m / FT == exactly(5000.0)
    assert said.cloud.has_ceiling is None  # above 5,000 ft nothing is said
    assert said.cloud.has_cumulonimbus is False
    assert said.weather == ()


# The table prints VC for volcanic ash; VC means in the vicinity.
@pytest.mark.source(DOCUMENT, "ch. 24, table of weather codes")
def test_volcanic_ash_is_a_phenomenon_and_vicinity_none():
    said = decode_metar("METAR KXYZ 141955Z VA", received_on=RECEIVED).conditions
    assert [(one.phenomena, one.is_in_vicinity) for one in said.weather] == [(("VA",), False)]
    assert decode_metar("METAR KXYZ 141955Z VC", received_on=RECEIVED).unread[0].text == "VC"


@pytest.mark.source(DOCUMENT, "ch. 27, forecast issued late in the evening for the next day")
def test_a_forecast_for_the_next_day():
    taf = decode_taf(
        "TAF KDSM 022336Z 0300/0324 20015KT P6SM BKN015 FM030230 29020G35KT 1SM +SHRA OVC005 "
        "TEMPO 0303/0304 30030G45KT 3/4SM -SHSN FM030500 31010G20KT P6SM SCT025",
        received_on=RECEIVED,
    )
    assert taf.unread == ()
    assert (taf.issued_at, taf.valid_from, taf.valid_to) == (at(2, 23, 36), at(3, 0), at(4, 0))
    assert [(one.kind, one.start, one.end) for one in taf.periods] == [
        ("prevailing", at(3, 0), at(3, 2, 30)),
        ("from", at(3, 2, 30), at(3, 5)),
        ("temporary", at(3, 3), at(3, 4)),
        ("from", at(3, 5), at(4, 0)),
    ]
    said = [one.conditions for one in taf.periods]
    assert [knots(one.wind) for one in said] == [
        (200.0, 15.0, None),
        (290.0, 20.0, 35.0),
        (300.0, 30.0, 45.0),
        (310.0, 10.0, 20.0),
    ]
    assert [round(one.visibility.visibility_m / SM, 6) for one in said] == [6.0, 1.0, 0.75, 6.0]
    assert [one.visibility.relation is Relation.MORE_THAN for one in said] == [True, False, False, True]
    assert [[two.text for two in one.weather] for one in said] == [[], ["+SHRA"], ["-SHSN"], []]
    assert [one.cloud and sky(one) for one in said] == [
        [("BKN", 1500.0, "")],
        [("OVC", 500.0, "")],
        None,
        [("SCT", 2500.0, "")],
    ]


# The book explains the day of the temporary group as the 17th; the forecast says the 22nd.
@pytest.mark.source(DOCUMENT, "ch. 27, forecast with a temporary group")
def test_a_forecast_with_gusts_in_a_temporary_group():
    taf = decode_taf(
        "TAF KDDC 221130Z 2212/2312 29010G25KT P6SM SCT025 TEMPO 2215/2217 30025G35KT 1 1/2SM SHRA BKN010",
        received_on=RECEIVED,
    )
    assert taf.unread == ()
    first, temporary = taf.periods
    assert (first.start, first.end) == (at(22, 12), at(23, 12))
    assert (temporary.start, temporary.end) == (at(22, 15), at(22, 17))
    assert knots(first.conditions.wind) == (290.0, 10.0, 25.0)
    assert knots(temporary.conditions.wind) == (300.0, 25.0, 35.0)
    assert temporary.conditions.visibility.visibility_m / SM == exactly(1.5)
    assert sky(first.conditions) == [("SCT", 2500.0, "")]
    assert sky(temporary.conditions) == [("BKN", 1000.0, "")]


@pytest.mark.source(DOCUMENT, "ch. 27, forecast with a change group that says nothing of wind and visibility")
def test_what_a_temporary_group_does_not_state_it_does_not_change():
    taf = decode_taf(
        "TAF KSEA 091125Z 0912/1012 19008KT P6SM SCT010 BKN020 OVC090 TEMPO 0912/0915 -RA SCT010 BKN015 OVC040",
        received_on=RECEIVED,
    )
    assert taf.unread == ()
    first, temporary = taf.periods
    assert knots(first.conditions.wind) == (190.0, 8.0, None)
    assert sky(first.conditions) == [("SCT", 1000.0, ""), ("BKN", 2000.0, ""), ("OVC", 9000.0, "")]
    assert sky(temporary.conditions) == [("SCT", 1000.0, ""), ("BKN", 1500.0, ""), ("OVC", 4000.0, "")]
    assert [temporary.conditions.state(fact) for fact in ("wind", "visibility")] == [State.NOT_STATED] * 2


@pytest.mark.source(DOCUMENT, "ch. 27, validity")
@pytest.mark.parametrize(
    ("group", "hours"), [("1512/1612", 24), ("2306/2412", 30), ("0121/0218", 21), ("0600/0624", 24), ("0900/0924", 24)]
)
def test_validity_groups(group, hours):
    taf = decode_taf(f"TAF KXYZ {group} 15005KT P6SM SKC", received_on=RECEIVED)
    assert taf.unread == ()
    assert taf.valid_to - taf.valid_from == timedelta(hours=hours)
