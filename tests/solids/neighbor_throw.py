"""What the next throw, beyond a main, does to the peaks in a throw's two fillets.

python tests/solids/neighbor_throw.py   writes crank_corner_neighbors.csv: peaks with the next
throw's web and half of its pin beyond a main of that length, over those with the main alone. For
moments that main is the longest, as the table of corners has it; for the radial force it is as
long. Needs what quarter_throw.py needs; some 4 minutes of one core.
"""

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from corner_shapes import RATIOS
from crank_corner_table import throw_of
from quarter_throw import Throw, _faces, _profile, _revolved, _traction, peaks, solve

SHAPES = {  # ratios as in corner_shapes.RATIOS
    "pump": (0.0556, 0.778, 1.556, 0.0833, 0.0833, 1.111, 0.778, 0.0),
    "wide thin web": (0.05, 0.45, 2.0, 0.075, 0.075, 1.1, 0.8, 0.0),
    "long throw": (-0.6, 0.6, 1.7, 0.06, 0.06, 1.2, 0.85, 0.0),
}
PLACE = Path(__file__).with_name("crank_corner_neighbors.csv")
LENGTHS = (0.5, 0.8, 1.2)  # of the main between the webs, over its diameter
CASES = ("bending", "sideways", "torsion", "radial")


@dataclass(frozen=True)
class Neighbored(Throw):
    """A throw whose main, ``half_journal`` long, ends in the web of the next; ``side``: 1 where
    that stands on the same side of the axis, -1 on the other, 0 where nothing follows."""

    side: int = 0

    def beyond(self, o, end):
        if not self.side:
            return []
        low = -self.reach if self.side > 0 else -self.throw - self.reach
        high = self.throw + 2 * self.reach
        web = o.addBox(end, low, 0, self.web, high, self.width / 2)
        x, axis = end + self.web, self.side * self.throw
        corners = [(x, 0), (x, self.pin / 2), (x + self.pin_length / 2, self.pin / 2)]
        corners.append((x + self.pin_length / 2, 0))
        return [(3, web), _revolved(o, _profile(o, axis, corners, {}), axis)]


def load_cases(t, xyz, elements):
    """As quarter_throw's: moments of 1 N mm on the far end, which pass through both fillets alike;
    radial: 1 N on the pin, half of it on the main about its middle, the far end free."""
    x, y, z = xyz.T
    radius, axis = (t.pin / 2, t.side * t.throw) if t.side else (t.journal / 2, 0.0)
    inertia = np.pi * (2 * radius) ** 4 / 64
    tiny = 1e-6 * t.pin
    far = _faces(elements, abs(x - x.max()) < tiny)

    def on_end(stress):
        return _traction(xyz, far, lambda p: stress(p, np.zeros(len(p))) / inertia)

    start, face = t.pin_length / 2 - t.pin_fillet, t.pin_length / 2 + t.web
    on_pin = (abs(np.hypot(y - t.throw, z) - t.pin / 2) < 2e-4 * t.pin) & (x < start + tiny)
    main = face + t.journal_fillet, face + t.half_journal - t.journal_fillet
    on_main = (abs(np.hypot(y, z) - t.journal / 2) < 2e-4 * t.pin) & (
        (x > main[0] - tiny) & (x < main[1] + tiny)
    )

    def up(chosen):
        force = _traction(
            xyz, _faces(elements, chosen), lambda p: np.tile((0, 1.0, 0), (len(p), 1))
        )
        return force / force.sum()

    return {
        "bending": (on_end(lambda p, o: np.c_[p[:, 1] - axis, o, o]), (False, False)),
        "sideways": (on_end(lambda p, o: np.c_[p[:, 2], o, o]), (False, True)),
        "torsion": (on_end(lambda p, o: np.c_[o, -p[:, 2], p[:, 1] - axis] / 2), (True, True)),
        "radial": ((up(on_pin) - up(on_main)) / 2, (False, False)),
    }


def found(t):
    stresses, _ = solve(t, loads=load_cases)
    table = {}
    for i, place in enumerate(("pin", "journal")):
        for case in CASES:
            principal, _, shear, _ = peaks(stresses[case][i][0])
            table[f"{place}_{case}"] = shear if case == "torsion" else principal
    return table


def main():
    names = [f"{place}_{case}" for place in ("pin", "journal") for case in CASES]
    lines = [",".join(["shape", *RATIOS, "main_length", "side", *names])]
    for name, values in SHAPES.items():
        ratios, long = dict(zip(RATIOS, values, strict=True)), {}
        for length in sorted(LENGTHS, reverse=True):
            plain = throw_of(ratios, half_journal=length * ratios["journal_diameter"])
            t = Neighbored(**{key: getattr(plain, key) for key in Throw.__dataclass_fields__})
            alone = found(t)
            long = long or alone
            base = {key: (alone if "radial" in key else long)[key] for key in names}
            for side in (1, -1):
                beside = found(replace(t, side=side))
                rows = [f"{beside[key] / base[key]:.4f}" for key in names]
                lines.append(",".join(map(str, [name, *values, length, side, *rows])))
                print(lines[-1], flush=True)
    PLACE.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
