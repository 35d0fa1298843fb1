"""The report as a whole: gyrewright.air.reports.metar and header."""

from datetime import UTC, date, datetime, timedelta

import pytest

from gyrewright.air.reports import WEATHER_FACTS, Relation, State, decode_metar
from gyrewright.errors import ReportError

RECEIVED = datetime(2027, 6, 15, 18, 0, tzinfo=UTC)
OBSERVED = datetime(2027, 6, 15, 17, 53, tzinfo=UTC)
FT = 0.3048


def decoded(groups):
    return decode_metar(f"METAR KAAA 151753Z {groups}", received_on=RECEIVED)


GOOD = "METAR KAAA 151753Z 24010KT 10SM BKN020 18/16 A2992"


@pytest.mark.parametrize(
    ("text", "kind", "is_automatic", "is_correction"),
    [
        (GOOD, "METAR", False, False),
        (GOOD.replace("METAR", "SPECI"), "SPECI", False, False),
        (GOOD.removeprefix("METAR "), "", False, False),
        (GOOD.replace("METAR", "METAR COR"), "METAR", False, True),
        (GOOD.replace("151753Z", "151753Z AUTO"), "METAR", True, False),
        (GOOD.replace("151753Z", "151753Z COR"), "METAR", False, True),
        (GOOD.replace("151753Z", "151753Z CCA"), "METAR", False, True),
        (GOOD + "=", "METAR", False, False),
        (GOOD + " = \n", "METAR", False, False),
        (GOOD.replace(" ", "\n  "), "METAR", False, False),
    ],
)
def test_the_forms_of_a_report(text, kind, is_automatic, is_correction):
    report = decode_metar(text, received_on=RECEIVED)
    assert report.unread == ()
    assert (report.kind, report.station, report.observed_at) == (kind, "KAAA", OBSERVED)
    assert (report.is_automatic, report.is_correction, report.is_nil) == (is_automatic, is_correction, False)
    facts = ("wind", "visibility", "weather", "cloud", "temperature", "dew_point", "altimeter")
    assert [report.conditions.state(fact) for fact in facts] == [State.KNOWN] * 7
    assert report.text == text


@pytest.mark.parametrize(
    ("text", "quoted"),
    [
        ("", "the text is empty; give the report as it was issued"),
        (" \n ", "the text is empty"),
        ("=", "the text is empty"),
        ("wind calm, sunny", "'wind calm, sunny' is no METAR or SPECI; give one report, in capitals, from METAR"),
        (GOOD.lower(), "is no METAR or SPECI"),
        ("METAR", "'METAR' is no METAR or SPECI"),
        ("METAR one two three", "'METAR one two three' is no METAR or SPECI"),
        ("KAAA 24010KT 10SM", "is no METAR or SPECI"),
        ("SAUS70 KWBC 151800 METAR KAAA 151753Z 24010KT", "is no METAR or SPECI"),
        ("TAF KAAA 151730Z 1518/1618 24010KT P6SM SKC", "is no METAR or SPECI"),
        ("KAAA 151730Z 1518/1618 24010KT P6SM SKC", "is no METAR or SPECI"),
        (f"{GOOD}= {GOOD}=", "goes on after '=', which ends a report; give one report at a time"),
        (f"{GOOD} {'X ' * 2000}", "characters; one report has at most 4000"),
    ],
)
def test_what_is_no_report_is_refused_in_one_line(text, quoted):
    with pytest.raises(ReportError, match=r"\A[^\n]+\Z") as refusal:
        decode_metar(text, received_on=RECEIVED)
    assert quoted in str(refusal.value)


def test_a_long_text_is_quoted_in_part():
    with pytest.raises(ReportError) as refusal:
        decode_metar("x" * 500, received_on=RECEIVED)
    assert f"'{'x' * 60}...' is no METAR" in str(refusal.value)
    with pytest.raises(ReportError) as refusal:
        decode_metar("x" * 60, received_on=RECEIVED)
    assert f"'{'x' * 60}' is no METAR" in str(refusal.value)


def test_a_report_may_be_as_long_as_the_longest_and_no_longer():
    report = decode_metar(GOOD + " " + "X" * (4000 - len(GOOD) - 1), received_on=RECEIVED)
    assert len(report.text) == 4000
    with pytest.raises(ReportError, match="has 4001 characters"):
        decode_metar(report.text + "X", received_on=RECEIVED)


def test_two_reports_without_an_end_between_them_leave_nothing_known():
    report = decode_metar(f"{GOOD} {GOOD.replace('KAAA', 'KBBB')}", received_on=RECEIVED)
    assert [one.text for one in report.unread] == ["METAR", "KBBB", "151753Z"]
    assert {report.conditions.state(fact) for fact in WEATHER_FACTS} == {State.UNREAD}


def test_a_station_that_is_damaged_is_lost_and_the_rest_kept():
    report = decode_metar(GOOD.replace("KAAA", "KAA"), received_on=RECEIVED)
    assert (report.station, report.observed_at) == ("", OBSERVED)
    assert report.lost == {"station"}
    assert report.conditions.state("wind") is State.KNOWN


def test_a_station_that_is_not_there_is_missing():
    report = decode_metar(GOOD.replace("KAAA ", ""), received_on=RECEIVED)
    assert (report.station, report.unread) == ("", ())
    assert "station" in report.conditions.missing


def test_a_time_that_is_not_there_is_missing():
    report = decode_metar(GOOD.replace("151753Z ", ""), received_on=RECEIVED)
    assert (report.observed_at, report.is_from_future, report.unread) == (None, False, ())
    assert "time" in report.conditions.missing


def test_an_empty_report_without_a_time_is_still_an_empty_report():
    report = decode_metar("METAR KAAA NIL", received_on=RECEIVED)
    assert (report.is_nil, report.unread) == (True, ())


def test_values_in_an_empty_report_contradict_it():
    report = decoded("NIL 24010KT")
    assert report.conditions.state("wind") is State.CONTRADICTORY
    assert report.conditions.state("visibility") is State.MISSING
    assert report.conditions.wind is None


def test_facts_that_the_report_leaves_out_are_missing():
    conditions = decoded("24010KT").conditions
    assert conditions.missing == {"visibility", "cloud", "temperature", "dew_point", "altimeter"}
    assert decoded("").conditions.missing == conditions.missing | {"wind", "weather"}


@pytest.mark.parametrize(
    "group", ["/////", "//", "////", "//////", "A////", "Q////", "/////KT", "R01/////", "M/M", "M"]
)
def test_slashes_and_m_are_missing_and_not_unread(group):
    report = decoded(group)
    assert (report.unread, report.lost, report.conditions.contradictory) == ((), frozenset(), frozenset())
    assert all(getattr(report.conditions, fact) is None for fact in WEATHER_FACTS)


@pytest.mark.parametrize(
    ("group", "air", "dew"),
    [
        ("M05/M10", -5, -10),
        ("M00/M01", 0, -1),
        ("05/M", 5, None),
        ("M/05", None, 5),
        ("///05", None, 5),
        ("05///", 5, None),
        ("05/XX", 5, None),
        ("MM/MM", None, None),
        ("60/M90", 60, -90),
    ],
)
def test_temperatures_and_those_not_observed(group, air, dew):
    conditions = decoded(group).conditions
    found = (
        conditions.temperature and round(conditions.temperature.air_temperature_k - 273.15, 6),
        conditions.dew_point and round(conditions.dew_point.dew_point_k - 273.15, 6),
    )
    assert found == (air, dew)
    states = [State.MISSING if value is None else State.KNOWN for value in (air, dew)]
    assert [conditions.state(fact) for fact in ("temperature", "dew_point")] == states


@pytest.mark.parametrize("group", ["61/10", "10/M91", "5/3", "05/3", "-5/-7", "201/16", "18/1G", "18-16"])
def test_temperatures_that_cannot_be_are_unread_and_both_lost(group):
    report = decoded(f"24010KT 10SM {group} A2992")
    assert [one.text for one in report.unread] == [group]
    assert {"temperature", "dew_point"} <= report.lost


@pytest.mark.parametrize(
    ("body", "tenths", "air", "dew"),
    [
        ("03/M01", "T00261015", 2.6, -1.5),
        ("00/M01", "T10041005", None, None),  # -0.5 rounds to 0, not to -1
        ("M00/M01", "T10041006", -0.4, -0.6),
        ("02/", "T0015", 1.5, None),
        ("//////", "T00261015", 2.6, -1.5),
        ("", "T00261015", 2.6, -1.5),
        ("18/16", "T01741160", None, None),
    ],
)
def test_the_tenths_stand_where_they_round_to_the_body(body, tenths, air, dew):
    conditions = decoded(f"{body if body != '//////' else '/////'} RMK {tenths}").conditions
    if air is not None:
        assert conditions.temperature.air_temperature_k == pytest.approx(air + 273.15)
        assert conditions.temperature.text == tenths
    if dew is not None:
        assert conditions.dew_point.dew_point_k == pytest.approx(dew + 273.15)
        assert conditions.dew_point.text == tenths
    if air is None:
        assert State.CONTRADICTORY in [conditions.state(fact) for fact in ("temperature", "dew_point")]


def test_tenths_that_do_not_round_to_the_body_contradict_only_their_own_fact():
    conditions = decoded("18/16 RMK T01740160").conditions
    assert [conditions.state(fact) for fact in ("temperature", "dew_point")] == [State.CONTRADICTORY, State.KNOWN]
    assert conditions.temperature is None


def test_tenths_do_not_rescue_a_body_that_could_not_be_read():
    conditions = decoded("1B/16 RMK T01800160").conditions
    assert [conditions.state(fact) for fact in ("temperature", "dew_point")] == [State.UNREAD] * 2


def test_damaged_tenths_take_the_temperature_of_the_body_with_them():
    report = decoded("18/16 A2992 RMK T018O0160")
    assert report.conditions.state("temperature") is State.UNREAD
    assert report.conditions.state("altimeter") is State.KNOWN


@pytest.mark.parametrize("tenths", ["T06010160", "T01601901", "T01600170"])
def test_tenths_that_cannot_be(tenths):
    conditions = decoded(f"RMK {tenths}").conditions
    assert conditions.state("temperature") in (State.UNREAD, State.CONTRADICTORY)


@pytest.mark.parametrize(
    ("group", "runway", "meters", "relation", "tendency"),
    [
        ("R12/1000U", "12", 1000.0, Relation.EXACTLY, "up"),
        ("R06L/P2000N", "06L", 2000.0, Relation.MORE_THAN, "none"),
        ("R06L/M0050D", "06L", 50.0, Relation.LESS_THAN, "down"),
        ("R18C/2600FT/U", "18C", 2600 * FT, Relation.EXACTLY, "up"),
    ],
)
def test_runway_visual_range(group, runway, meters, relation, tendency):
    (found,) = decoded(group).conditions.runway_visual_range
    assert (found.runway, found.relation, found.tendency) == (runway, relation, tendency)
    assert found.visual_range_m == pytest.approx(meters)


def test_a_runway_visual_range_that_varies():
    (found,) = decoded("R01R/0550VP1500U").conditions.runway_visual_range
    assert (found.visual_range_m, found.highest_m, found.highest_relation) == (550.0, 1500.0, Relation.MORE_THAN)


def test_a_runway_visual_range_that_varies_backwards_is_unread():
    report = decoded("R01R/1500V0550")
    assert report.lost == {"runway_visual_range"}
    assert decoded("R01R/1500V1500").lost == {"runway_visual_range"}


def test_wind_shear_names_its_runway():
    found = decoded("24010KT WS R23 WS ALL RWY WS RWY05L").conditions.wind_shear
    assert [one.runway for one in found] == ["23", "ALL", "05L"]
    assert found[0].height_m is None


def test_recent_weather_is_kept_apart_from_the_present():
    report = decoded("24010KT 10SM RERA RETS")
    assert [(one.descriptor, one.phenomena) for one in report.recent_weather] == [("", ("RA",)), ("TS", ())]
    assert report.conditions.weather == ()
    assert decoded("24010KT 10SM REMI").lost == {"recent_weather"}


@pytest.mark.parametrize(
    "group", ["R24/290155", "R88/CLRD//", "R/SNOCLO", "W12/S4", "W19/H03", "BLU", "BLACKRED", "BLU+BLU+", "YLO1", "$"]
)
def test_groups_that_carry_no_fact_used_here_are_read_and_kept(group):
    report = decoded(f"24010KT {group}")
    assert report.unread == ()
    assert report.groups[-1].text == group


def hours(minutes):
    return OBSERVED + timedelta(minutes=minutes)


@pytest.mark.parametrize(
    ("trend", "kind", "start", "end"),
    [
        ("TEMPO 3000 RA", "temporary", 0, 120),
        ("BECMG 3000 RA", "becoming", 0, 120),
        ("BECMG FM1810 3000", "becoming", 17, 120),
        ("BECMG TL1900 3000", "becoming", 0, 67),
        ("BECMG FM1810 TL1900 3000", "becoming", 17, 67),
        ("TEMPO AT1930 3000", "temporary", 97, 97),
        ("TEMPO TL1953 3000", "temporary", 0, 120),
        ("TEMPO FM1753 3000", "temporary", 0, 120),
    ],
)
def test_trends_and_their_times(trend, kind, start, end):
    report = decoded(f"24010KT 9999 18/16 Q1013 {trend}")
    assert report.unread == ()
    (found,) = report.trends
    assert (found.kind, found.start, found.end) == (kind, hours(start), hours(end))
    assert (found.text, found.conditions.visibility.visibility_m) == (trend, 3000.0)
    assert report.conditions.visibility.visibility_m == 10_000.0


def test_a_trend_over_midnight():
    report = decode_metar("METAR KAAA 152330Z 24010KT TEMPO TL2400 3000", received_on=date(2027, 6, 15))
    assert report.trends[0].end == datetime(2027, 6, 16, 0, 0, tzinfo=UTC)


@pytest.mark.parametrize("trend", ["TEMPO TL1954 3000", "BECMG FM1900 TL1800 3000", "BECMG TL18OO 3000", "TEMP0 3000"])
def test_a_trend_that_cannot_be_read_keeps_its_weather_out_of_the_report(trend):
    report = decoded(f"24010KT 9999 18/16 Q1013 {trend}")
    assert report.unread
    assert report.conditions.visibility.visibility_m == 10_000.0
    assert report.trends[-1].kind == "unknown"
    assert report.trends[-1].conditions.state("visibility") is State.UNREAD


def test_a_trend_ends_where_the_remarks_begin():
    report = decoded("24010KT 9999 18/16 Q1013 NOSIG TEMPO 3000 BECMG NSW RMK AO2 T01800160")
    assert report.is_nosig
    assert [one.text for one in report.trends] == ["TEMPO 3000", "BECMG NSW"]
    assert report.conditions.temperature.text == "T01800160"


def test_a_group_that_resembles_nothing_may_have_carried_anything():
    report = decoded("24010KT 10SM XQJZW BKN020 18/16 A2992")
    assert {report.conditions.state(fact) for fact in WEATHER_FACTS} == {State.UNREAD}
    assert report.unread[0].may_have_carried > set(WEATHER_FACTS)


def test_damaged_remarks_word_leaves_nothing_known():
    report = decoded("24010KT 10SM BKN020 18/16 A2992 RNK AO2 TSB25")
    assert {report.conditions.state(fact) for fact in WEATHER_FACTS} == {State.UNREAD}


def test_every_group_stands_in_its_place():
    report = decode_metar(
        "METAR COR KAAA 151753Z AUTO 24010KT 210V270 1 1/2SM 2l010KT RMK PK WND 24030/12", received_on=RECEIVED
    )
    assert [(group.kind, group.text, group.was_read) for group in report.groups] == [
        ("report", "METAR", True),
        ("correction", "COR", True),
        ("station", "KAAA", True),
        ("time", "151753Z", True),
        ("station mode", "AUTO", True),
        ("wind", "24010KT", True),
        ("wind sector", "210V270", True),
        ("visibility", "1 1/2SM", True),
        ("unread", "2l010KT", False),
        ("remarks", "RMK", True),
        ("peak wind", "PK WND 24030/12", True),
    ]
