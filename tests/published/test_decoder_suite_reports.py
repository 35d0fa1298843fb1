"""[DECODERS] Reports from the test-suite of a public decoder, good and damaged."""

from datetime import UTC, datetime

import pytest

from gyrewright.air.reports import Relation, State, decode_metar

DOCUMENT = "a public weather-report decoder's test-suite"
RECEIVED = datetime(2015, 1, 22, 22, 0, tzinfo=UTC)
exactly = pytest.approx


@pytest.mark.source(DOCUMENT, "report of an automatic station")
def test_slashes_for_the_sky_are_not_a_clear_sky():
    report = decode_metar("METAR FSIA 220100Z AUTO 14014KT 120V180 9999 ///////// 27/23 Q1010", received_on=RECEIVED)
    said = report.conditions
    assert report.unread == ()
    assert (report.station, report.is_automatic) == ("FSIA", True)
    assert report.observed_at == datetime(2015, 1, 22, 1, 0, tzinfo=UTC)
    assert (said.wind.wind_from_true_deg, said.wind.wind_m_s * 3600.0 / 1852.0) == (140.0, exactly(14.0))
    assert (said.wind.sector_from_true_deg, said.wind.sector_to_true_deg) == (120.0, 180.0)
    assert (said.visibility.visibility_m, said.visibility.relation) == (10_000.0, Relation.AT_LEAST)
    assert (said.cloud, said.state("cloud")) == (None, State.MISSING)
    assert said.temperature.air_temperature_k - 273.15 == exactly(27.0)
    assert said.dew_point.dew_point_k - 273.15 == exactly(23.0)
    assert said.altimeter.altimeter_pa == 101_000.0


@pytest.mark.source(DOCUMENT, "CAVOK beside a temperature group")
def test_cavok_beside_a_temperature():
    said = decode_metar("METAR EDDM 022150Z 26006KT CAVOK 02/01", received_on=RECEIVED).conditions
    assert said.visibility.visibility_m == 10_000.0
    assert said.temperature.air_temperature_k - 273.15 == exactly(2.0)
    assert said.dew_point.dew_point_k - 273.15 == exactly(1.0)


@pytest.mark.source(DOCUMENT, "CAVOK beside a damaged temperature group")
def test_a_temperature_of_three_digits_is_neither_20_nor_21():
    report = decode_metar("METAR EDDM 022150Z 26006KT CAVOK 201/16", received_on=RECEIVED)
    said = report.conditions
    assert [one.text for one in report.unread] == ["201/16"]
    assert [said.state(fact) for fact in ("temperature", "dew_point")] == [State.UNREAD] * 2
    assert said.temperature is None
    assert said.visibility.visibility_m == 10_000.0
    assert said.state("cloud") is State.KNOWN
