"""Functions that apply rules to facts, found by the name a pack gives them.

Importing this package registers all of them.
"""

from gyrewright.rules.evaluators import (
    after,
    aircraft,
    authority,
    instructor,
    pilot,
    plain,
    sport,
    student,
    test,
    weather,
)

__all__ = [
    "after",
    "aircraft",
    "authority",
    "instructor",
    "pilot",
    "plain",
    "sport",
    "student",
    "test",
    "weather",
]
