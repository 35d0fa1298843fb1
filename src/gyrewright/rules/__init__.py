"""Law and house rules as data: how a pack is read, what held on a day, and the functions that apply it."""

from gyrewright.rules.force import (
    Flight,
    applies,
    checks_in_force,
    limits_in_force,
    maybe_facts,
    needed,
    pack_facts,
)
from gyrewright.rules.pack import Pack, Rule, Value, in_force, packaged, read_pack

__all__ = [
    "Flight",
    "Pack",
    "Rule",
    "Value",
    "applies",
    "checks_in_force",
    "in_force",
    "limits_in_force",
    "maybe_facts",
    "needed",
    "pack_facts",
    "packaged",
    "read_pack",
]
