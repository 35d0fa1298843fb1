"""[FAA-S-8081-29A] Practical test standards, November 2023: the height of slow flight and recovery."""

from datetime import date

import pytest

from gyrewright.finding import Verdict
from gyrewright.rules import in_force, packaged, read_pack
from gyrewright.rules.registry import EVALUATORS

FT = 0.3048


@pytest.mark.source("FAA-S-8081-29A, November 2023", "section 2, area VIII, tasks A and B: 600 feet above the ground")
@pytest.mark.parametrize(("height_ft", "verdict"), [(600, Verdict.GO), (599, Verdict.STOP)])
def test_slow_flight_and_recovery_end_at_600_feet(height_ft, verdict):
    rule = read_pack(packaged("us")).rule("us.61.43.recovery")
    value = in_force(rule, date(2026, 10, 13))
    found = EVALUATORS[rule.evaluator].function(**value.parameters, planned_recovery_height_m=height_ft * FT)
    assert found.verdict is verdict
