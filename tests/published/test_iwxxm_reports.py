"""[IWXXM] The examples of the international standard, in metres and metres per second."""

from datetime import UTC, datetime

import pytest

from gyrewright.air.reports import Relation, State, conditions_over, decode_metar, decode_taf

DOCUMENT = "WMO/ICAO IWXXM official examples: encoded text of ICAO Annex 3 examples with the matching XML"
RECEIVED = datetime(2012, 8, 20, 12, 0, tzinfo=UTC)
FT = 0.3048
exactly = pytest.approx


def at(day, hour, minute=0):
    return datetime(2012, 8, day, hour, minute, tzinfo=UTC)


def sky(conditions):
    return [(layer.amount, round(layer.base_m / FT, 6), layer.convective or "") for layer in conditions.cloud.layers]


@pytest.mark.source(DOCUMENT, "METAR A3-1 example")
def test_the_report_with_trends_is_read_whole():
    report = decode_metar(
        "METAR YUDO 221630Z 24004MPS 0600 R12/1000U DZ FG SCT010 OVC020 17/16 Q1018 "
        "BECMG TL1700 0800 FG BECMG AT1800 9999 NSW",
        received_on=RECEIVED,
    )
    said = report.conditions
    assert report.unread == ()
    assert (report.station, report.observed_at) == ("YUDO", at(22, 16, 30))
    assert (said.wind.wind_from_true_deg, said.wind.wind_m_s) == (240.0, 4.0)
    assert round(said.wind.wind_m_s / (1852.0 / 3600.0)) == 8
    assert said.visibility.visibility_m == 600.0
    (visual_range,) = said.runway_visual_range
    assert (visual_range.runway, visual_range.visual_range_m, visual_range.tendency) == ("12", 1000.0, "up")
    assert [one.text for one in said.weather] == ["DZ", "FG"]
    assert sky(said) == [("SCT", 1000.0, ""), ("OVC", 2000.0, "")]
    assert said.cloud.ceiling_m / FT == exactly(2000.0)
    assert said.temperature.air_temperature_k - 273.15 == exactly(17.0)
    assert said.dew_point.dew_point_k - 273.15 == exactly(16.0)
    assert said.altimeter.altimeter_pa == 101_800.0
    until, from_then = report.trends
    assert (until.kind, until.start, until.end) == ("becoming", at(22, 16, 30), at(22, 17))
    assert until.conditions.visibility.visibility_m == 800.0
    assert [one.text for one in until.conditions.weather] == ["FG"]
    assert (from_then.kind, from_then.start, from_then.end) == ("becoming", at(22, 18), at(22, 18))
    assert from_then.conditions.visibility.visibility_m == 10_000.0
    assert from_then.conditions.visibility.relation is Relation.AT_LEAST
    assert from_then.conditions.weather == ()


@pytest.mark.source(DOCUMENT, "METAR NIL example")
def test_an_empty_report_shows_no_values():
    report = decode_metar("METAR YUDO 221630Z NIL", received_on=RECEIVED)
    assert report.unread == ()
    assert (report.is_nil, report.observed_at) == (True, at(22, 16, 30))
    facts = ("wind", "visibility", "weather", "cloud", "temperature", "dew_point", "altimeter")
    assert [getattr(report.conditions, fact) for fact in facts] == [None] * 7
    assert [report.conditions.state(fact) for fact in facts] == [State.MISSING] * 7


@pytest.mark.source(DOCUMENT, "TAF A5-1 example")
def test_the_forecast_in_metres_per_second():
    taf = decode_taf(
        "TAF YUDO 151800Z 1600/1618 13005MPS 9000 BKN020 BECMG 1606/1608 SCT015CB BKN020 "
        "TEMPO 1608/1612 17006G12MPS 1000 TSRA SCT010CB BKN020 FM161230 15004MPS 9999 BKN020",
        received_on=RECEIVED,
    )
    assert taf.unread == ()
    assert (taf.station, taf.issued_at, taf.valid_from, taf.valid_to) == ("YUDO", at(15, 18), at(16, 0), at(16, 18))
    assert [(one.kind, one.start, one.end) for one in taf.periods] == [
        ("prevailing", at(16, 0), at(16, 12, 30)),
        ("becoming", at(16, 6), at(16, 8)),
        ("temporary", at(16, 8), at(16, 12)),
        ("from", at(16, 12, 30), at(16, 18)),
    ]
    said = [one.conditions for one in taf.periods]
    winds = [one.wind and (one.wind.wind_from_true_deg, one.wind.wind_m_s, one.wind.gust_m_s) for one in said]
    assert winds == [(130.0, 5.0, None), None, (170.0, 6.0, 12.0), (150.0, 4.0, None)]
    assert [one.visibility and one.visibility.visibility_m for one in said] == [9000.0, None, 1000.0, 10_000.0]
    assert [one.text for one in said[2].weather] == ["TSRA"]
    assert [sky(one) for one in said] == [
        [("BKN", 2000.0, "")],
        [("SCT", 1500.0, "CB"), ("BKN", 2000.0, "")],
        [("SCT", 1000.0, "CB"), ("BKN", 2000.0, "")],
        [("BKN", 2000.0, "")],
    ]


@pytest.mark.source(DOCUMENT, "TAF A5-2 example")
def test_a_canceled_forecast_shows_no_values():
    taf = decode_taf("TAF AMD YUDO 161500Z 1600/1618 CNL", received_on=RECEIVED)
    assert taf.unread == ()
    assert (taf.is_amended, taf.is_canceled, taf.periods) == (True, True, ())
    assert (taf.valid_from, taf.valid_to) == (at(16, 0), at(16, 18))
    (spell,) = conditions_over(taf)
    assert spell.conditions.state("wind") is State.UNREAD


@pytest.mark.source(DOCUMENT, "TAF NIL example")
def test_an_empty_forecast_shows_no_values():
    taf = decode_taf("TAF YUDO 160000Z NIL", received_on=RECEIVED)
    assert taf.unread == ()
    assert (taf.station, taf.is_nil, taf.periods, taf.valid_from) == ("YUDO", True, (), None)
