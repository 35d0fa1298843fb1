"""[IFH15B] The instrument handbook's reports, two of them damaged in print."""

from datetime import UTC, datetime

import pytest

from gyrewright.air.reports import State, decode_metar, decode_taf

DOCUMENT = "FAA-H-8083-15B, Instrument Flying Handbook (2012)"
RECEIVED = datetime(2012, 10, 12, 12, 0, tzinfo=UTC)
KT = 1852.0 / 3600.0
FT = 0.3048
SM = 1609.344
exactly = pytest.approx


@pytest.mark.source(DOCUMENT, "ch. 9, METAR table, in plain characters")
def test_the_report_of_a_light_variable_wind_in_fog():
    report = decode_metar(
        "METAR KBHM 111155Z VRB04KT 1/4SM FG -RA VV004 06/05 A2994 RMK AO2 SLP140", received_on=RECEIVED
    )
    said = report.conditions
    assert report.unread == ()
    assert (report.station, report.observed_at) == ("KBHM", datetime(2012, 10, 11, 11, 55, tzinfo=UTC))
    assert said.wind.wind_is_variable
    assert (said.wind.wind_from_true_deg, said.wind.wind_m_s / KT) == (None, 4.0)
    assert said.visibility.visibility_m / SM == 0.25
    assert [one.text for one in said.weather] == ["FG", "-RA"]
    assert said.cloud.ceiling_m / FT == exactly(400.0)
    assert said.temperature.air_temperature_k - 273.15 == exactly(6.0)
    assert said.dew_point.dew_point_k - 273.15 == exactly(5.0)
    assert said.altimeter.altimeter_pa / 3386.389 == exactly(29.94)
    assert report.remarks.sea_level_pressure_pa / 100.0 == exactly(1014.0)


@pytest.mark.source(DOCUMENT, "ch. 9, METAR table, with the characters of the print")
def test_the_characters_of_the_typesetter_are_refused_not_guessed_at():
    report = decode_metar(
        "METAR KBHM 111155Z VRB04KT \u00bcSM FG \u2013RA VV004 06/05 A2994 RMK A02 SLP140", received_on=RECEIVED
    )
    assert [one.text for one in report.unread] == ["\u00bcSM", "\u2013RA", "A02"]
    lost = [report.conditions.state(fact) for fact in ("visibility", "weather")]
    kept = [report.conditions.state(fact) for fact in ("wind", "cloud", "temperature", "dew_point", "altimeter")]
    assert (lost, kept) == ([State.UNREAD] * 2, [State.KNOWN] * 5)


@pytest.mark.source(DOCUMENT, "ch. 9, METAR table: 21010Z printed for 21010KT")
def test_a_wind_without_its_unit_is_flagged_and_lost():
    report = decode_metar("METAR KPNS 111150Z 21010Z 3SM BKN014 OVC025 09/03 A2973", received_on=RECEIVED)
    said = report.conditions
    assert [one.text for one in report.unread] == ["21010Z"]
    assert (said.wind, said.state("wind")) == (None, State.UNREAD)
    assert report.observed_at == datetime(2012, 10, 11, 11, 50, tzinfo=UTC)
    assert said.visibility.visibility_m / SM == exactly(3.0)
    assert [one.text for one in said.cloud.layers] == ["BKN014", "OVC025"]
    assert said.cloud.ceiling_m / FT == exactly(1400.0)
    assert said.temperature.air_temperature_k - 273.15 == exactly(9.0)
    assert said.dew_point.dew_point_k - 273.15 == exactly(3.0)
    assert said.altimeter.altimeter_pa / 3386.389 == exactly(29.73)


@pytest.mark.source(DOCUMENT, "ch. 9, TAF table: 0VC004 printed for OVC004")
def test_a_digit_for_a_letter_is_not_repaired():
    taf = decode_taf("TAF KXYZ 111120Z 1112/1212 15005KT 5SM BR SCT002 0VC004", received_on=RECEIVED)
    assert [one.text for one in taf.unread] == ["0VC004"]
    said = taf.periods[0].conditions
    assert (said.cloud, said.state("cloud")) == (None, State.UNREAD)
    assert [said.state(fact) for fact in ("wind", "visibility", "weather")] == [State.KNOWN] * 3
