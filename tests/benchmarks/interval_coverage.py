"""How often the stated 95 % intervals of a fit to simulated readings hold the truth.

`python tests/benchmarks/interval_coverage.py` prints the whole table (minutes); a share of 2,000 sets scatters
by 0.5 %. tests/test_coverage.py asserts a smaller one.
"""

import sys
import warnings

import numpy as np

from crankmath.inspection.runout_fit import solve

FINE = np.linspace(0, 2 * np.pi, 720, endpoint=False)
RATIOS = (0.2, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0)  # division over scatter of a reading


def marks(count, missing=0, closing=False):
    """Angles [rad], their share of the time taken, of `count` equal steps."""
    places = np.arange(count + closing)
    lost = np.linspace(1, count - 2, missing).round().astype(int)
    kept = ~np.isin(places, lost)
    return places[kept] * 2 * np.pi / count, places[kept] / (count - 1 + closing)


def coverage(
    count, ratio, offset, lobes=(), missing=0, closing=False, drift=0.0, sets=2000, seed=1
):
    """Share of sets whose intervals hold offset, direction, swing, drift; share within a division.

    Sizes are in divisions. Zero of the dial, high spot and tops of lobes are drawn anew for each set;
    `offset` may be a range to draw from, evenly in its logarithm.
    """
    random = np.random.default_rng(seed)
    turn, time = marks(count, missing, closing)
    held = []
    for _ in range(sets):
        e = offset if np.isscalar(offset) else np.exp(random.uniform(*np.log(offset)))
        toward, mean = random.uniform(0, 2 * np.pi), random.uniform(-0.5, 0.5)
        tops = [(n, share, random.uniform(0, 2 * np.pi)) for n, share in lobes]

        def curve(at, e=e, toward=toward, tops=tops):
            lobed = sum(share * np.cos(n * at - top) for n, share, top in tops)
            return e * np.cos(at - toward) + lobed

        raw = curve(turn) + mean + drift * time + random.normal(0, 1 / ratio, len(turn))
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            a, _, sure, _ = solve(turn, np.round(raw), None, None, 1.0, time if closing else None)
        found = a[1] + 1j * a[2]
        held.append(
            (
                abs(abs(found) - e) <= sure.expanded,
                abs(np.angle(found * np.exp(-1j * toward), deg=True)) <= sure.direction,
                abs(sure.swing - np.ptp(curve(FINE))) <= sure.swing_expanded,
                not closing or abs(sure.drift - drift) <= sure.drift_expanded,
                np.ptp(np.round(raw)) <= 1,
            )
        )
    return np.mean(held, axis=0)


CASES = {
    "8 readings": {"count": 8},
    "12 readings": {"count": 12},
    "16 readings": {"count": 16},
    "24 readings": {"count": 24},
    "12, 2 missing": {"count": 12, "missing": 2},
    "24, 4 missing": {"count": 24, "missing": 4},
    "12, three lobes": {"count": 12, "lobes": ((3, 1.5),)},
    "24, 2 and 5 lobes": {"count": 24, "lobes": ((2, 1.0), (5, 0.7))},
    "8 and closing, drift 3": {"count": 8, "closing": True, "drift": 3.0},
    "12 and closing, no drift": {"count": 12, "closing": True},
    "12 and closing, drift 3": {"count": 12, "closing": True, "drift": 3.0},
    "24 and closing, drift 3": {"count": 24, "closing": True, "drift": 3.0},
}
OFFSETS = {"0.3": 0.3, "0.2 to 2": (0.2, 2.0), "2 to 20": (2.0, 20.0)}


def main(sets=2000):
    print(
        "| readings | offset [div] | division / scatter | offset | direction | swing | drift |",
        end="",
    )
    print(" within a division |\n|---|---|---|---|---|---|---|---|")
    for name, case in CASES.items():
        for words, offset in OFFSETS.items():
            for ratio in RATIOS:
                shares = 100 * coverage(ratio=ratio, offset=offset, sets=sets, **case)
                e, toward, swing, drift, flat = (f"{share:.1f}" for share in shares)
                drift = drift if case.get("closing") else ""
                print(
                    f"| {name} | {words} | {ratio:g} | {e} | {toward} | {swing} | {drift} | {flat} |"
                )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
