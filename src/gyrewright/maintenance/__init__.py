"""The state of the machine: meters, intervals, directives, notices, lives, papers, defects, events and work."""

from gyrewright.check import Check
from gyrewright.maintenance import condition, documents, intervals
from gyrewright.maintenance.condition import limits_in_force
from gyrewright.maintenance.documents import papers_ending_this_month
from gyrewright.maintenance.due import due_lines, due_list, is_clear
from gyrewright.maintenance.facts import facts
from gyrewright.maintenance.for_law import RECIPES as LAW_RECIPES
from gyrewright.maintenance.house import read_house
from gyrewright.maintenance.intervals import as_it_stands
from gyrewright.maintenance.parts import fitted_twice
from gyrewright.maintenance.program import Program, read_program
from gyrewright.maintenance.recipes import RECIPES, ending_this_month
from gyrewright.maintenance.records import Records, read_records

CHECKS: tuple[Check, ...] = (*intervals.CHECKS, *documents.CHECKS, *condition.CHECKS)

__all__ = [
    "CHECKS",
    "LAW_RECIPES",
    "RECIPES",
    "Program",
    "Records",
    "as_it_stands",
    "due_lines",
    "due_list",
    "ending_this_month",
    "facts",
    "fitted_twice",
    "is_clear",
    "limits_in_force",
    "papers_ending_this_month",
    "read_house",
    "read_program",
    "read_records",
]
