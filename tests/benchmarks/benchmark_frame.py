"""What a slider step costs in the kernel, and the same frame in PyNiteFEA, in one run.

Run as: python tests/benchmarks/benchmark_frame.py
"""

import statistics
import sys
import time
import warnings
from pathlib import Path

from crankmath import deflection
from crankmath.crank import EXAMPLES, Crank
from crankmath.frame import frame
from crankmath.spacers import Spacer, misfit_limits, runout_for_misfit, squeeze
from crankmath.units import OutOfRangeWarning, Quantity

sys.path.insert(0, str(Path(__file__).parents[1]))
from test_frame import displacements, pynite


def clock(step, rounds=40):
    """Median and 95th percentile of a step in ms; the step gets a number that changes each time."""
    times = []
    for number in range(rounds + 3):
        begin = time.perf_counter()
        step(number)
        times.append(1e3 * (time.perf_counter() - begin))
    times = sorted(times[3:])
    return statistics.median(times), times[int(0.95 * len(times))]


def spacers_of(crank, misfit):
    return [
        Spacer(throw, Quantity(misfit, "um"), 0.5 * crank.throws[throw].pin_diameter)
        for throw in range(len(crank.throws))
    ]


def main():
    warnings.simplefilter("ignore", OutOfRangeWarning)
    force = Quantity(300, "N")
    print("kernel time of a step [ms]                       crank         median    p95")
    own = {}
    for name in EXAMPLES:
        crank = Crank.load(name)
        throw = crank.throws[0]
        steps = {
            "thrust or misfit slider: squeeze": lambda number, crank=crank: squeeze(
                crank, force * (1 + number / 100), spacers_of(crank, number / 10)
            ),
            "size slider: new crank, squeeze": lambda number, crank=crank, throw=throw: squeeze(
                crank.with_throw(0, radius=throw.radius * (1 + number / 1e4)), force
            ),
            "runout curve of 41 misfits": lambda number, crank=crank: runout_for_misfit(
                crank,
                force,
                spacers_of(crank, 0),
                Quantity([number / 100 + misfit for misfit in range(-20, 21)], "um"),
            ),
            "misfit limits": lambda number, crank=crank: misfit_limits(
                crank, force, Quantity(8 + number / 100, "um"), spacers_of(crank, 0)
            ),
            "size error at 60 places": lambda number, crank=crank: deflection.size_error(
                crank, Quantity([number / 100 + place for place in range(60)], "mm"), force
            ),
        }
        for label, step in steps.items():
            median, high = clock(step)
            print(f"{label:<48} {name:<12} {median:7.2f}{high:7.2f}")

        def bare(number, crank=crank):
            frame._built.cache_clear()
            built = frame.build(crank, plain=True)
            rows, _ = built.gaps([(each, 0.0, 0.0) for each in range(len(crank.throws))])
            return rows @ built.compliance @ built.thrust

        def theirs(number, crank=crank):
            model, node, _, total = pynite(crank, [])
            return displacements(model, [(node(total, 0, 0), "FX", -1.0)])

        own[name] = clock(bare)[0], clock(theirs, 3)[0]
    print("plain center-line frame, built and solved [ms]    crank          ours  PyNiteFEA  ratio")
    for name, (ours, other) in own.items():
        print(f"{'':<48} {name:<12} {ours:7.2f} {other:9.1f} {other / ours:7.0f}")


if __name__ == "__main__":
    main()
