"""Records are read back quickly; what the slow reading refuses, the quick one refuses as well."""

from __future__ import annotations

import copy
import json

import pytest

from gyrewright.desk.book import schema
from gyrewright.desk.book.kinds import kind_named
from gyrewright.desk.book.models import Record
from gyrewright.desk.book.schema import decode
from gyrewright.errors import DefinitionError
from gyrewright.reading import Problems

WRONG = (7, True, None, "", [], {}, ["x"], {"x": 1}, "2027-02-30", "2027-06-12T13:30:00Z", "x" * 4001, 1.5)


def slowly(kind, body):
    problems = Problems()
    act = schema._table(kind.schema, copy.deepcopy(body), "", "", problems)
    return None if problems.found else act


def test_every_record_of_the_demonstration_reads_the_same_both_ways(demo_day):
    rows = list(Record.objects.values_list("kind", "body"))
    assert len({kind for kind, _ in rows}) > 20
    for name, body in rows:
        kind = kind_named(name)
        assert schema._quick(kind.schema)(json.loads(body)) == slowly(kind, json.loads(body))


def test_whatever_is_put_in_a_fields_place_both_readings_agree(demo_day):
    one_of_each = dict(Record.objects.values_list("kind", "body"))
    refused = 0
    for name, body in one_of_each.items():
        kind = kind_named(name)
        for key in (*json.loads(body), "unknown"):
            for wrong in WRONG:
                changed = {**json.loads(body), key: wrong}
                expected = slowly(kind, changed)
                try:
                    assert decode(kind.schema, changed, called=name) == expected
                except DefinitionError:
                    refused += 1
                    assert expected is None
    assert refused > 200


def test_what_is_missing_is_named(demo_day):
    with pytest.raises(DefinitionError, match="meter: is missing"):
        decode(kind_named("meter-read").schema, {"shows": "1 h"}, called="meter reading")
