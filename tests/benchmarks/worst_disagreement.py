"""Where two methods of the library, or ours and another's, disagree most: the pairs of test_cross_checks with more points.

Run as: python tests/benchmarks/worst_disagreement.py [words]
Words pick the pairs whose names hold any of them; without them all run, in some minutes. Nothing is asserted.
"""

import sys
import warnings
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
import test_cross_checks as cross


def shown(name, found, stated):
    print(
        f"\n{name}; stated: {stated}\n  {found.low:+.3e}  {found.low_at}\n  {found.high:+.3e}  {found.high_at}",
        flush=True,
    )


def main(words=()):
    def picked(name):
        return not words or any(word in name for word in words)

    warnings.simplefilter("ignore")
    for source, load in cross.CHARTS:
        name = f"chart of {source} over the solved table, {load}"
        if picked(name):
            found, worst = cross.chart_beside_table(source, load, 800)
            low, high = cross.CHARTS[source, load]
            shown(name, found, f"{low} to {high:+} %")
            shown(
                "the same two shapes solved anew",
                cross.chart_beside_field(source, load, worst),
                "as above",
            )
            if source == "pilkey":
                shown(
                    "the table there over another mesh and solver",
                    cross.table_beside_other_mesh(load, worst[:1]),
                    f"{cross.OTHER_MESH:g}",
                )
    for pair, _, many, bound in cross.ROUNDING + cross.APPROXIMATE:
        name = cross.name_of(pair)
        if picked(name):
            shown(f"{name}, {many} points", pair(many), f"within {bound:g}")
    if picked("grades_beside_formula"):
        shown(
            "grades_beside_formula",
            cross.grades_beside_formula(),
            "{:g} to {:g}".format(*cross.GRADES),
        )


if __name__ == "__main__":
    main(sys.argv[1:])
