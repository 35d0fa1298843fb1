"""[PHAK25C] The pilot's handbook on reports and forecasts, with a forecast that the print has damaged."""

from datetime import UTC, datetime

import pytest

from gyrewright.air.reports import State, conditions_over, decode_metar, decode_taf

DOCUMENT = "FAA-H-8083-25C, Pilot's Handbook of Aeronautical Knowledge (2023)"
RECEIVED = datetime(2023, 5, 15, 12, 0, tzinfo=UTC)
KT = 1852.0 / 3600.0


@pytest.mark.source(DOCUMENT, "ch. 13, METAR example")
def test_the_example_of_a_report_is_read_whole():
    report = decode_metar(
        "METAR KGGG 161753Z AUTO 14021G26KT 3/4SM +TSRA BR BKN008 OVC012CB 18/17 A2970 RMK PRESFR",
        received_on=RECEIVED,
    )
    said = report.conditions
    assert report.unread == ()
    assert (report.station, report.is_automatic) == ("KGGG", True)
    assert report.observed_at == datetime(2023, 5, 16, 17, 53, tzinfo=UTC)
    wind = said.wind
    assert (wind.wind_from_true_deg, wind.wind_m_s / KT, wind.gust_m_s / KT) == (140.0, 21.0, pytest.approx(26.0))
    assert said.visibility.visibility_m / 1609.344 == 0.75
    assert [one.text for one in said.weather] == ["+TSRA", "BR"]
    assert [one.text for one in said.cloud.layers] == ["BKN008", "OVC012CB"]
    assert said.cloud.ceiling_m / 0.3048 == pytest.approx(800.0)
    assert said.temperature.air_temperature_k - 273.15 == pytest.approx(18.0)
    assert said.dew_point.dew_point_k - 273.15 == pytest.approx(17.0)
    assert said.altimeter.altimeter_pa / 3386.389 == pytest.approx(29.70)
    assert report.remarks.pressure_change == "falling rapidly"


# FM1500 is FM111500 in the source of the print, 1408KT is 14008KT, and the line of what prevails at first is gone: the
# explanation below it gives 150 degrees at 12 kt, more than 6 SM and broken cloud at 9,000 ft.
DAMAGED = (
    "TAF KPIR 111130Z 1112/1212 TEMPO 1112/1114 5SM BR FM1500 16015G25KT P6SM SCT040 BKN250 FM120000 14012KT P6SM "
    "BKN080 OVC150 PROB30 1200/1204 3SM TSRA BKN030CB FM120400 1408KT P6SM SCT040 OVC080 TEMPO 1204/1208 3SM TSRA "
    "OVC030CB"
)


@pytest.mark.source(DOCUMENT, "ch. 13, TAF example, as printed")
def test_the_damaged_groups_are_flagged_and_nothing_is_made_of_them():
    taf = decode_taf(DAMAGED, received_on=RECEIVED)
    assert [one.text for one in taf.unread] == ["FM1500", "1408KT"]
    assert taf.periods[0].kind == "prevailing"
    assert taf.periods[0].conditions.missing == {"wind", "visibility", "weather", "cloud"}
    assert taf.periods[5].conditions.state("wind") is State.UNREAD
    assert taf.periods[5].conditions.state("visibility") is State.KNOWN


@pytest.mark.source(DOCUMENT, "ch. 13, TAF example, as printed")
@pytest.mark.parametrize(
    ("day", "hour", "known"),
    [
        (11, 13, {}),  # what prevails is not printed, and FM1500 may have begun at any hour
        (11, 20, {}),
        (12, 2, {"wind", "visibility", "weather", "cloud"}),
        (12, 10, {"visibility", "weather", "cloud"}),
    ],
)
def test_no_hour_of_the_damaged_forecast_is_taken_for_good_weather(day, hour, known):
    moment = datetime(2023, 5, day, hour, tzinfo=UTC)
    spells = [
        one
        for one in conditions_over(decode_taf(DAMAGED, received_on=RECEIVED))
        if one.overlaps(start=moment, end=moment)
    ]
    facts = ("wind", "visibility", "weather", "cloud")
    assert {fact for fact in facts if all(one.conditions.state(fact) is State.KNOWN for one in spells)} == set(known)
