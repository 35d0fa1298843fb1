"""[CP1934] The exact interval of a share against intervals that others have printed."""

from __future__ import annotations

import pytest

from gyrewright.inspection.found import share

PRINTED = (
    # Documentation of a general statistics library, SciPy 1.7.1, the example of an exact interval.
    pytest.param(7, 50, 0.95, 0.05819170033997342, 0.26739600249700846, 1e-12, id="7 of 50"),
    # A printed run of R's exact binomial test, in a public collection of worked examples.
    pytest.param(9, 24, 0.95, 0.1879929, 0.5940636, 0.5e-7, id="9 of 24"),
    pytest.param(1, 1497, 0.90, 3.426347e-5, 3.164954e-3, 0.5e-9, id="1 of 1497"),
)
HANDBOOK = (
    # NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.2; the example was read, its two limits are from memory.
    pytest.param(4, 20, 0.90, 0.0714, 0.4010, 0.5e-4, id="4 of 20"),
    # Worked example of R's help page on the exact binomial test (Conover 1971); from memory.
    pytest.param(682, 925, 0.95, 0.7076683, 0.7654066, 0.5e-7, id="682 of 925"),
)


@pytest.mark.source("SciPy 1.7.1 documentation; printed runs of R's exact binomial test", "examples of exact intervals")
@pytest.mark.parametrize(("found", "of", "confidence", "low", "high", "half_last_digit"), [*PRINTED, *HANDBOOK])
def test_the_exact_interval_is_the_printed_one(found, of, confidence, low, high, half_last_digit):
    made = share(found, of, confidence_ratio=confidence)
    assert made.low_ratio == pytest.approx(low, abs=half_last_digit)
    assert made.high_ratio == pytest.approx(high, abs=half_last_digit)


@pytest.mark.source("Clopper and Pearson 1934, Biometrika 26 (4), p. 404-413", "definition of the two limits")
@pytest.mark.parametrize("of", [1, 2, 10, 30, 400])
def test_none_and_all_have_limits_that_can_be_worked_out_by_hand(of):
    # With nothing found only the upper limit is open: (1 - p)^n is one tail.
    assert share(0, of).low_ratio == 0.0
    assert (1.0 - share(0, of).high_ratio) ** of == pytest.approx(0.025, rel=1e-12)
    assert share(of, of).high_ratio == 1.0
    assert share(of, of).low_ratio ** of == pytest.approx(0.025, rel=1e-9)
