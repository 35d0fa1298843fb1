"""[ENGINE] One engine maker's tolerance paragraph, read as an unattributed copy; an engine's own manual governs."""

from __future__ import annotations

import pytest

from gyrewright.maintenance.next_due import next_due_h

PLACE = "interval tolerance: +/-10 h; done at 110 the next is at 200, done at 87 the next is at 187"


@pytest.mark.source("engine maintenance manual (unattributed copy)", PLACE)
@pytest.mark.parametrize(("done_h", "next_h"), [(110.0, 200.0), (87.0, 187.0)], ids=["late", "early"])
@pytest.mark.parametrize("early_keeps_h", [0.0, 10.0])
def test_late_keeps_the_sequence_and_early_beyond_the_tolerance_pulls_it_forward(done_h, next_h, early_keeps_h):
    due = next_due_h(done_h=done_h, was_due_h=100.0, interval_h=100.0, late="subtracts", early_keeps_h=early_keeps_h)
    assert due == pytest.approx(next_h, abs=1e-9)  # whole hours as printed
