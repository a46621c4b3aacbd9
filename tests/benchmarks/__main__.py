"""Every benchmark in one run, one table after another, each beside what others need for the same.

Run as: uv run --project lib python tests/benchmarks [--quick] [--suite]
--quick moves sliders 12 times in place of 60; --suite adds the time of the whole test suite. Nothing is asserted about time.
"""

import argparse
import platform
import re
import subprocess
import sys
import time
from pathlib import Path

import benchmark_check
import benchmark_fillet
import benchmark_frame
import benchmark_latency
import benchmark_start
import psutil

ROOT = Path(__file__).parents[2]
LESSONS = [
    path.stem[:2]
    for path in sorted((ROOT / "workbook").glob("[01]*.ipynb"))
    if re.match(r"(?!00|15)", path.stem)
]


def machine():
    """The machine in general words, without its name."""
    return (
        f"{psutil.cpu_count()} cores, {psutil.virtual_memory().total / 2**30:.0f} GiB, {platform.system()} {platform.machine()}, "
        f"Python {platform.python_version()}, busy before the start: {psutil.cpu_percent(2):.0f} %"
    )


def suite():
    begin = time.monotonic()
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q"], cwd=ROOT, capture_output=True, text=True
    )
    print(f"\ntest suite: {time.monotonic() - begin:.0f} s; {done.stdout.strip().splitlines()[-1]}")


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--suite", action="store_true")
    given = parser.parse_args()
    print(machine())
    moves = "12" if given.quick else "60"
    for name, run in (
        ("start", benchmark_start.main),
        ("sliders", lambda: benchmark_latency.main([*LESSONS, "--moves", moves])),
        ("solved corner", benchmark_fillet.main),
        ("frame", benchmark_frame.main),
        ("check of a job", benchmark_check.main),
    ):
        print(f"\n== {name}", flush=True)
        run()
    if given.suite:
        suite()


if __name__ == "__main__":
    main()
