"""What remarks add: gyrewright.air.reports.remarks."""

from datetime import UTC, datetime

import pytest

from gyrewright.air.reports import Relation, State, decode_metar

RECEIVED = datetime(2027, 6, 15, 18, 0, tzinfo=UTC)
KT = 1852.0 / 3600.0
SM = 1609.344
FT = 0.3048


def decoded(text, body="24010KT 10SM BKN020 18/16 A2992", time="151753Z"):
    return decode_metar(f"METAR KAAA {time} {body} RMK {text}", received_on=RECEIVED)


def said(text, **more):
    report = decoded(text, **more)
    assert report.unread == ()
    return report.remarks


def at(day, hour, minute):
    return datetime(2027, 6, day, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "from_deg", "knots", "relation", "when"),
    [
        ("PK WND 28045/15", 280.0, 45, Relation.EXACTLY, at(15, 17, 15)),
        ("PK WND 28045/1659", 280.0, 45, Relation.EXACTLY, at(15, 16, 59)),
        ("PK WND 360112/54", 360.0, 112, Relation.EXACTLY, at(15, 16, 54)),
        ("PK WND 010P99/00", 10.0, 99, Relation.MORE_THAN, at(15, 17, 0)),
    ],
)
def test_peak_wind(text, from_deg, knots, relation, when):
    found = said(text).peak_wind
    assert (found.wind_from_true_deg, found.wind_m_s / KT) == (from_deg, pytest.approx(knots))
    assert (found.relation, found.at, found.text) == (relation, when, text)


@pytest.mark.parametrize(
    "text", ["PK WND 28545/15", "PK WND 00045/15", "PK WND 37045/15", "PK WND 28045/60", "PK WND 28045/2400"]
)
def test_a_peak_wind_that_cannot_be_is_unread(text):
    report = decoded(text)
    assert report.remarks.peak_wind is None
    assert "remark" in report.lost


def test_wind_shift():
    found = said("WSHFT 1715 FROPA").wind_shift
    assert (found.at, found.was_front) == (at(15, 17, 15), True)
    found = said("WSHFT 59").wind_shift
    assert (found.at, found.was_front) == (at(15, 16, 59), False)
    assert decoded("WSHFT 60").remarks.wind_shift is None
    assert decoded("WSHFT 2400").remarks.wind_shift is None


def test_times_of_the_day_before():
    found = said("TSB2359E0001", time="150053Z").weather_times
    assert [(one.weather, one.has_begun, one.at) for one in found] == [
        ("TS", True, at(14, 23, 59)),
        ("TS", False, at(15, 0, 1)),
    ]


def test_times_without_the_time_of_the_report_are_not_known():
    report = decode_metar("METAR KAAA 24010KT RMK TSB25 PK WND 28045/15", received_on=RECEIVED)
    assert report.remarks.weather_times[0].at is None
    assert report.remarks.peak_wind.at is None


def test_times_of_joined_weather():
    found = said("FZRAB10SHSNE12B13E1420").weather_times
    assert [(one.weather, one.has_begun, one.at) for one in found] == [
        ("FZRA", True, at(15, 17, 10)),
        ("SHSN", False, at(15, 17, 12)),
        ("SHSN", True, at(15, 17, 13)),
        ("SHSN", False, at(15, 14, 20)),
    ]


@pytest.mark.parametrize("text", ["RAB60", "RAB2500", "RAB1", "RAB123", "XXB10", "B10"])
def test_times_that_cannot_be_are_unread(text):
    assert [one.text for one in decoded(text).unread] == [text]
    assert decoded(text).remarks.weather_times == ()


@pytest.mark.parametrize(
    ("text", "least", "most", "relation"),
    [
        ("VIS 1/2V2", 0.5, 2.0, Relation.EXACTLY),
        ("VIS M1/4V1 1/2", 0.25, 1.5, Relation.LESS_THAN),
        ("VIS 3/4V1", 0.75, 1.0, Relation.EXACTLY),
    ],
)
def test_variable_visibility(text, least, most, relation):
    found = said(text).variable_visibility
    assert (found.least_m / SM, found.most_m / SM) == (pytest.approx(least), pytest.approx(most))
    assert found.least_relation is relation


def test_variable_ceiling():
    found = said("CIG 017V020").variable_ceiling
    assert (found.least_m / FT, found.most_m / FT) == (pytest.approx(1700.0), pytest.approx(2000.0))


@pytest.mark.parametrize("text", ["CIG 020V017", "CIG 020V020", "VIS 2V1/2", "VIS 2V2", "VIS 1/3V2", "VIS 1/2V1/3"])
def test_what_varies_backwards_is_unread(text):
    report = decoded(text)
    assert report.unread
    assert (report.remarks.variable_ceiling, report.remarks.variable_visibility) == (None, None)


@pytest.mark.parametrize(
    ("group", "setting", "hpa"),
    [
        ("SLP132", "A2992", 1013.2),
        ("SLP499", "", 1049.9),
        ("SLP500", "", 950.0),
        ("SLP982", "", 998.2),
        ("SLP550", "A3115", 1055.0),  # a high over cold ground
        ("SLP550", "A2820", 955.0),  # a deep low
        ("SLP450", "A2820", 945.0),
    ],
)
def test_sea_level_pressure_belongs_to_the_hundred_nearer_the_setting(group, setting, hpa):
    assert said(group, body=setting).sea_level_pressure_pa / 100.0 == pytest.approx(hpa)


def test_pressure_changes():
    assert said("PRESRR").pressure_change == "rising rapidly"
    assert said("PRESFR").pressure_change == "falling rapidly"


def test_what_the_station_cannot_measure():
    found = said("AO2 RVRNO PNO FZRANO TSNO VISNO RWY06 CHINO NE SLPNO $")
    assert found.sensors_out == ("RVRNO", "PNO", "FZRANO", "TSNO", "VISNO RWY06", "CHINO NE", "SLPNO")
    assert (found.station_type, found.needs_maintenance) == ("AO2", True)
    assert not said("AO1").needs_maintenance


def test_a_station_without_its_weather_sensor_knows_of_no_weather():
    conditions = decoded("AO2 PWINO").conditions
    assert (conditions.weather, conditions.state("weather")) == (None, State.MISSING)
    assert decoded("AO2 RVRNO").conditions.state("runway_visual_range") is State.MISSING
    assert decoded("AO2 TSNO").conditions.state("weather") is State.KNOWN


@pytest.mark.parametrize(
    "text",
    [
        *("TS OHD MOV E", "TS W MOV E", "TS SW-W", "TS OHD AND NW-N-E MOV NE", "TS VC N", "TS DSNT W"),
        *("LTG DSNT SW", "FRQ LTGICCG OHD", "OCNL LTGCG VC NE", "LTGIC"),
        *("CB W MOV E", "CB DSNT NW", "CBMAM E MOV S", "TCU NE", "ACC W", "ACSL SW-W", "ROTOR CLD NE"),
        *("TORNADO 6NE", "FUNNEL CLOUD B13 6NE", "WATERSPOUT"),
    ],
)
def test_storms_are_kept_as_printed(text):
    assert said(text).storms == (text,)


@pytest.mark.parametrize(
    "text",
    [
        *("TWR VIS 2", "SFC VIS 1 1/2", "VIS N 2", "VIS 2 1/2 RWY11", "CIG 002 RWY11", "FG SCT000", "FU BKN020"),
        *("BKN014 V OVC", "SCT V BKN", "VIRGA NE", "VCSH W", "RA DSNT NW", "SHRA OHD", "P0009", "60217", "70125"),
        *("6////", "7////", "I1012", "4/021", "933036", "931012", "SNINCR 2/10", "GR 1 3/4", "GR LESS THAN 1/4"),
        *("8/6//", "SC4AC2", "1CU030", "98096", "11021", "21001", "401120084", "52032", "5////", "FROPA", "NOSPECI"),
        *("ACFT MSHP", "FIRST", "LAST"),
    ],
)
def test_remarks_without_a_field_of_their_own_are_read_and_kept(text):
    report = decoded(f"AO2 {text} SLP132")
    assert report.unread == ()
    assert text in [group.text for group in report.groups]
    assert report.remarks.sea_level_pressure_pa is not None


def test_plain_language_is_listed_and_takes_no_fact_of_the_body_with_it():
    report = decoded("AO2 HAZY TO SOUTH SLP132")
    assert [one.text for one in report.unread] == ["HAZY", "TO", "SOUTH"]
    assert report.lost == {"remark"}
    facts = ("wind", "visibility", "weather", "cloud", "temperature", "dew_point", "altimeter")
    assert [report.conditions.state(fact) for fact in facts] == [State.KNOWN] * 7


def test_a_setting_repeated_in_the_remarks_must_agree():
    assert decoded("A2991", body="Q1013").conditions.state("altimeter") is State.KNOWN
    assert decoded("A2991").conditions.state("altimeter") is State.CONTRADICTORY
    assert decoded("A299l").conditions.state("altimeter") is State.UNREAD


def test_tenths_given_twice_must_agree():
    assert decoded("T01800160 T01800160").conditions.state("temperature") is State.KNOWN
    assert decoded("T01800160 T01810160").conditions.state("temperature") is State.CONTRADICTORY
