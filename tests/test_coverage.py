"""The stated 95 % intervals hold the truth: a smaller, seeded part of benchmarks/interval_coverage.py."""

import pytest
from interval_coverage import CASES, coverage

SETS = 400  # chance scatter of a share of 95 % is then 1.1 %


@pytest.mark.parametrize("name", ["8 readings", "12 readings", "24, 2 and 5 lobes"])
@pytest.mark.parametrize("ratio", [0.2, 2.0, 10.0])
@pytest.mark.parametrize("offset", [(0.2, 2.0), (2.0, 20.0)])
def test_intervals_hold_however_coarse_the_dial(name, ratio, offset):
    """Issue 22: 93 to 97 % of many sets; here less three chance scatters, 2.5 % below."""
    shares = coverage(ratio=ratio, offset=offset, sets=SETS, **CASES[name])[:3]
    assert shares.min() >= 0.915, shares
    if ratio < 1 and offset[0] > 1:
        assert shares[:2].max() <= 0.985, shares


@pytest.mark.parametrize(
    ("count", "ratio", "offset"),
    [(12, 0.2, (2.0, 20.0)), (12, 2.0, (2.0, 20.0)), (12, 10.0, (2.0, 20.0)), (24, 10.0, 0.3)],
)
def test_intervals_hold_with_drift_and_a_closing_reading(count, ratio, offset):
    """Readings that a slow drift carries over a coarse dial's divisions are rounded as it goes."""
    case = CASES[f"{count} and closing, drift 3"]
    shares = coverage(ratio=ratio, offset=offset, sets=SETS, **case)[:4]
    assert shares.min() >= 0.915, shares
