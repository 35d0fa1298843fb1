"""Whatever is done to a report, it is read or it is refused: no crash, no hang, and no fact out of a damaged group."""

import string
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gyrewright.air.reports import WEATHER_FACTS, State, conditions_over, decode_metar, decode_taf
from gyrewright.errors import ReportError

RECEIVED = datetime(2027, 6, 15, 18, 0, tzinfo=UTC)


def one_each(block):
    """The reports of a block of text, each ended by "="."""
    return tuple(" ".join(report.split()) for report in block.split("=") if report.strip())


METARS = one_each("""
METAR KAAA 151250Z 33018KT 290V360 1/2SM R31/2700FT SN BLSN FG VV008 00/M03 A2991 RMK RAE42SNB42=
SPECI KAAA 152224Z 28024G36KT 3/4SM +TSRA BKN008 OVC020CB 28/23 A3000 RMK TSRAB24 TS W MOV E=
METAR KAAA 151955Z AUTO 22015G25KT 180V250 1 1/2SM +TSRA BR OVC010CB 18/16 A2992 RMK AO2 SLP132 T01780161=
METAR YAAA 151630Z 24004MPS 0600 R12/1000U DZ FG SCT010 OVC020 17/16 Q1018=
METAR YAAA 151630Z 24004MPS CAVOK 17/16 Q1018 NOSIG=
METAR KAAA 151753Z 00000KT 10SM CLR M05/M10 A3031 RMK AO2 SLP285 T10501100 $=
""")
TAFS = one_each("""
TAF KAAA 151730Z 1518/1624 15005KT 5SM HZ FEW020 WS010/31022KT FM151930 30015G25KT 3SM SHRA OVC015 TEMPO 1520/1522
    1/2SM +TSRA OVC008CB FM160100 27008KT 5SM SHRA BKN020 OVC040 PROB30 1604/1607 1SM -RA BR FM161015 18005KT 6SM
    -SHRA OVC020 BECMG 1613/1615 P6SM NSW SKC=
TAF YAAA 151800Z 1600/1618 13005MPS 9000 BKN020 BECMG 1606/1608 SCT015CB BKN020 PROB40 TEMPO 1608/1612 17006G12MPS
    1000 TSRA SCT010CB BKN020 FM161230 15004MPS 9999 BKN020=
""")
CARRIES = {
    "wind": {"wind"},
    "wind sector": {"wind"},
    "visibility": {"visibility"},
    "ceiling and visibility": {"visibility", "weather", "cloud"},
    "runway visual range": {"runway_visual_range"},
    "weather": {"weather"},
    "cloud": {"cloud"},
    "temperature": {"temperature", "dew_point"},
    "tenths of temperature": {"temperature", "dew_point"},
    "altimeter": {"altimeter"},
    "wind shear": {"wind_shear"},
}
ANY_CHARACTER = st.sampled_from(string.ascii_letters + string.digits + " /+-$.,:;=\u2013\u00bc\u0660\ufeff")


def decoders(text):
    for decode in (decode_metar, decode_taf):
        try:
            yield decode(text, received_on=RECEIVED)
        except ReportError as error:
            assert "\n" not in str(error)  # noqa: PT017
            assert str(error)[-1] not in ".!"  # noqa: PT017


def look_at(text):
    """Decode as both; what comes out accounts for every word and gives no value to a fact that is not known."""
    words = text.replace("=", " ").split()
    for found in decoders(text):
        assert " ".join(group.text for group in found.groups).split() == words
        assert [one.text for one in found.unread] == [group.text for group in found.groups if not group.was_read]
        assert all(one.may_have_carried for one in found.unread)
        if hasattr(found, "periods"):
            conditions = [period.conditions for period in found.periods]
            conditions += [spell.conditions for spell in conditions_over(found)]
        else:
            conditions = [found.conditions, *(trend.conditions for trend in found.trends)]
        for one in conditions:
            assert not one.lost & one.contradictory
            assert all(getattr(one, fact, None) is None for fact in one.lost | one.contradictory)


@given(st.text(max_size=300))
def test_any_text_is_decoded_or_refused(text):
    look_at(text)


WORDS = sorted({word for report in (*METARS, *TAFS) for word in report.split()} | {"//", "////", "M", "NIL", "CNL"})


@given(st.lists(st.sampled_from(WORDS), max_size=40), st.sampled_from(["METAR KAAA 151250Z", "TAF KAAA 1518/1624", ""]))
def test_groups_in_any_order_are_decoded_or_refused(words, opening):
    look_at(f"{opening} {' '.join(words)}")


def edited(text, kind, at, character):
    if kind == "change":
        return text[:at] + character + text[at + 1 :]
    return text[:at] + (character if kind == "insert" else "") + text[at + (kind == "delete") :]


edits = st.tuples(
    st.sampled_from(["change", "insert", "delete"]), st.integers(min_value=0, max_value=400), ANY_CHARACTER
)


@given(st.sampled_from((*METARS, *TAFS)), st.lists(edits, min_size=1, max_size=6))
def test_a_damaged_report_is_decoded_or_refused(text, damages):
    for kind, at, character in damages:
        text = edited(text, kind, at % len(text), character)
    look_at(text)


def places(text, found):
    """Yield each group with the places of its characters in the text."""
    at = 0
    for group in found.groups:
        at = text.index(group.text, at)
        yield group, range(at, at + len(group.text))
        at += len(group.text)


@pytest.mark.parametrize("text", METARS)
@given(edit=edits)
@settings(max_examples=150)
def test_one_wrong_character_never_leaves_a_fact_beside_an_unread_group(text, edit):
    kind, at, character = edit
    before = decode_metar(text, received_on=RECEIVED)
    candidates = [item for item in places(text, before) if item[0].kind in CARRIES]
    group, where = candidates[at % len(candidates)]
    damaged = edited(text, kind, where[at * 7 % len(where)], character)
    try:
        after = decode_metar(damaged, received_on=RECEIVED)
    except ReportError:
        return
    if after.unread:
        for fact in CARRIES[group.kind]:
            assert after.conditions.state(fact) is not State.KNOWN, (damaged, after.unread)


@pytest.mark.parametrize("text", TAFS)
@given(edit=edits)
@settings(max_examples=300)
def test_one_wrong_character_in_a_forecast_leaves_no_hour_of_its_period_known(text, edit):
    kind, at, character = edit
    before = decode_taf(text, received_on=RECEIVED)
    header = next(i for i, group in enumerate(before.groups) if group.kind == "validity") + 1
    candidates = list(places(text, before))[header:]
    group, where = candidates[at % len(candidates)]
    damaged = edited(text, kind, where[at * 7 % len(where)], character)
    try:
        after = decode_taf(damaged, received_on=RECEIVED)
    except ReportError:
        return
    if not after.unread:
        return
    seen, period = 0, before.periods[0]
    for period in before.periods:
        seen += len(period.text) + 1
        if where[0] < text.index(period.text) + len(period.text):
            break
    spells = [one for one in conditions_over(after) if one.overlaps(start=period.start, end=period.end)]
    facts = CARRIES.get(group.kind) or {
        fact for fact in WEATHER_FACTS if period.conditions.state(fact) is not State.NOT_STATED
    }
    for fact in facts:
        assert any(one.conditions.state(fact) is not State.KNOWN for one in spells), (damaged, after.unread)
