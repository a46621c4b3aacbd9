"""One mesh of the solids put through a second program, CalculiX.

python tests/solids/second_solver.py   needs gmsh, pypardiso and CalculiX's ``ccx`` on the path;
prints the greatest stress in each fillet by both. CalculiX averages at the nodes what its elements
carry there, which wavers by some percent; ``quarter_throw`` smooths that out. Seen with CalculiX
2.20 on the pump's throw: 0.1 % below to 3.3 % above at the pin, 0.4 % below to 1.5 % above at the
journal.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import quarter_throw as solids

PUMP = solids.Throw(18, 20, 18, 14, 28, 1.5, 1.5, 14, 0, 22, 22.5)
ORDER = [0, 1, 2, 3, 4, 5, 6, 7, 9, 8]  # the mesher swaps the last two middle nodes


def deck(xyz, elements, force, held):
    """Input of CalculiX: ten-node tetrahedra, held freedoms, forces at nodes."""
    lines = ["*NODE,NSET=ALL"]
    lines += [f"{n},{x:.12g},{y:.12g},{z:.12g}" for n, (x, y, z) in enumerate(xyz, start=1)]
    lines += ["*ELEMENT,TYPE=C3D10,ELSET=SOLID"]
    lines += [f"{n}," + ",".join(map(str, row)) for n, row in enumerate(elements[:, ORDER] + 1, 1)]
    lines += ["*MATERIAL,NAME=STEEL", "*ELASTIC", f"{solids.E:g},{solids.NU:g}"]
    lines += ["*SOLID SECTION,ELSET=SOLID,MATERIAL=STEEL", "*BOUNDARY"]
    lines += [f"{at // 3 + 1},{at % 3 + 1},{at % 3 + 1}" for at in held]
    lines += ["*STEP", "*STATIC,SOLVER=SPOOLES", "*CLOAD"]
    loaded = np.flatnonzero(force)
    lines += [f"{at // 3 + 1},{at % 3 + 1},{force[at]:.12g}" for at in loaded]
    lines += ["*NODE FILE", "U", "*EL FILE", "S", "*END STEP"]
    return "\n".join(lines) + "\n"


def results(text, count):
    """Motion (count, 3) and stress (count, 6: xx yy zz xy yz zx) at the nodes of a result file."""
    found, name = {}, None
    for line in text.splitlines():
        if line.startswith(" -4"):
            name = line.split()[1]
            found[name] = np.zeros((count, 3 if name == "DISP" else 6))
        elif line.startswith(" -3"):
            name = None
        elif name in found and line.startswith(" -1"):
            values = [float(line[k : k + 12]) for k in range(13, len(line.rstrip()), 12)]
            found[name][int(line[3:13]) - 1] = values[: found[name].shape[1]]
    return found["DISP"], found["STRESS"]


def greatest(stress, at):
    """Greatest |principal stress| at some nodes."""
    xx, yy, zz, xy, yz, zx = stress[at].T
    tensor = np.array([[xx, xy, zx], [xy, yy, yz], [zx, yz, zz]]).transpose(2, 0, 1)
    return abs(np.linalg.eigvalsh(tensor)).max()


def main(throw=PUMP):
    """Print both programs' answers of every load case on one mesh."""
    xyz, elements, fillets = solids.mesh(throw)
    print(f"{len(xyz)} nodes, {len(elements)} tetrahedra")
    own, _ = solids.solve(throw)
    scale = 1e6  # so that the result file's six figures are read where motions are small
    for case, (force, planes) in solids.load_cases(throw, xyz, elements).items():
        held = np.unique(np.concatenate(solids._held(throw, xyz, planes)))
        with tempfile.TemporaryDirectory() as folder:
            (Path(folder) / "throw.inp").write_text(deck(xyz, elements, force * scale, held))
            run = subprocess.run(
                ["ccx", "throw"], cwd=folder, capture_output=True, text=True, check=False
            )
            if run.returncode:
                sys.exit(run.stdout[-2000:])
            motion, stress = results((Path(folder) / "throw.frd").read_text(), len(xyz))
        print(f"{case}: largest motion {abs(motion).max() / scale:.6g} mm")
        for place, fillet, (smooth, _) in zip(("pin", "journal"), fillets, own[case], strict=True):
            theirs, ours = greatest(stress, fillet[0]) / scale, solids.peaks(smooth)[0]
            print(f"  {place}: {theirs:.5g} beside {ours:.5g} MPa, {theirs / ours - 1:+.1%}")


if __name__ == "__main__":
    main()
