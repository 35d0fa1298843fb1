from __future__ import annotations

import tomllib
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.desk.services.toml_text import toml_text

DEMO = files("gyrewright.data").joinpath("demo")
PATHS = ["operation.toml", "field.toml", "people.toml"] + [
    f"aircraft/{name}{more}.toml"
    for name in ("dunlin", "whimbrel", "sanderling")
    for more in ("", "-program", "-records")
]


@pytest.mark.parametrize("path", PATHS)
def test_every_file_of_the_demonstration_reads_back_as_it_was(path):
    table = tomllib.loads(DEMO.joinpath(path).read_text(encoding="utf-8"))
    assert tomllib.loads(toml_text(table)) == table


def test_it_is_laid_out_as_a_person_would():
    text = toml_text({"a": 1, "b": {"c": "d", "e": {"f": True}}, "g": [{"h": [1, 2]}, {"h": []}]})
    assert text == 'a = 1\n\n[b]\nc = "d"\ne = { f = true }\n\n[[g]]\nh = [1, 2]\n\n[[g]]\nh = []'


KEYS = st.text(min_size=1, max_size=8)
LEAVES = st.one_of(
    st.text(max_size=20), st.booleans(), st.integers(-(2**60), 2**60), st.dates(), st.lists(st.text(max_size=5))
)
TABLES = st.recursive(
    LEAVES,
    lambda inner: st.one_of(st.dictionaries(KEYS, inner, max_size=4), st.lists(inner, max_size=3)),
    max_leaves=12,
)


@given(st.dictionaries(KEYS, TABLES, max_size=5))
def test_any_table_reads_back_as_it_was(table):
    assert tomllib.loads(toml_text(table)) == table
