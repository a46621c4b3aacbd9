"""Elastic solid of a quarter throw, from the pin's middle to the bearing's middle.

Ten-node curved tetrahedra; a structured ring of them under each fillet, free ones elsewhere.
The throw's plane (z = 0) and the pin's middle (x = 0) are planes of symmetry or antisymmetry, so
five load cases need three factorizations of one matrix.
"""

import itertools
from dataclasses import dataclass

import gmsh
import numpy as np
import pypardiso
import scipy.sparse as sp

E, NU = 206e3, 0.29  # steel; the stresses of these load cases depend on the second only, slightly
FLAT = 1e5  # times the median, the stiffest node of a sound mesh
COARSE = 0.3  # of the pin diameter, element size far from the fillets
ARC_ELEMENTS = 6  # elements along a fillet's quarter arc
UNIT_FORCE, UNIT_MOMENT, UNIT_TORQUE = 1.0, 1.0, 1.0  # per whole throw: radial, tangential; ends


@dataclass(frozen=True)
class Throw:
    """Sizes of a throw in mm: webs have width, equal reach past both axes, and corner radius."""

    pin: float
    journal: float
    throw: float
    web: float
    width: float
    pin_fillet: float
    journal_fillet: float
    reach: float
    corner: float  # radius of the web's corners seen along the axis, 0 for a square bar
    pin_length: float
    half_journal: float  # web face to the bearing's middle

    def beyond(self, o, end):
        """Solids that follow the journal's end; none here."""
        return []


def _profile(o, axis, points, arc):
    """Face in the plane z = 0 of (x, radius) points; ``arc`` maps a start index to its center."""
    tags = [o.addPoint(x, axis + radius, 0) for x, radius in points]
    edges = []
    for i, tag in enumerate(tags):
        following = tags[(i + 1) % len(tags)]
        if i in arc:
            center = o.addPoint(arc[i][0], axis + arc[i][1], 0)
            edges.append(o.addCircleArc(tag, center, following))
        else:
            edges.append(o.addLine(tag, following))
    return o.addPlaneSurface([o.addCurveLoop(edges)])


def _revolved(o, face, axis):
    return [e for e in o.revolve([(2, face)], 0, axis, 0, 1, 0, 0, np.pi) if e[0] == 3][0]


def _journal_and_ring(o, axis, radius, fillet, end, face, depth):
    """Half cylinder with its fillet from ``end`` to the web's ``face``, and the ring under it."""
    to_web = np.sign(face - end)
    start = face - to_web * fillet
    center = (start, radius + fillet)
    body = [(end, 0), (end, radius), (start, radius), (face, radius + fillet), (face, 0)]
    ring = [
        (start, radius),
        (face, radius + fillet),
        (face + to_web * depth, radius + fillet),
        (start, radius - depth),
    ]
    return (
        _revolved(o, _profile(o, axis, body, {2: center}), axis),
        _revolved(o, _profile(o, axis, ring, {0: center, 2: center}), axis),
    )


def _web(o, t, x):
    """Half of the web, z above 0, its corners rounded."""
    low, high, half, r = -t.reach, t.throw + t.reach, t.width / 2, t.corner
    box = o.addBox(x, low, -half, t.web, high - low, t.width)
    if r > 1e-6 * t.pin:
        edges = [
            tag
            for _, tag in o.getEntities(1)
            if _is_corner(o.getBoundingBox(1, tag), low, high, half, t.web)
        ]
        # two fillets that meet in a full half circle leave no flat between them
        box = o.fillet([box], edges, [min(r, half * (1 - 1e-4), (high - low) / 2 * (1 - 1e-4))])[0][
            1
        ]
    upper = o.addBox(x - 1, low - 1, 0, t.web + 2, high - low + 2, half + 1)
    return o.intersect([(3, box)], [(3, upper)])[0][0]


def _is_corner(b, low, high, half, web):
    along = abs(b[3] - b[0] - web) < 1e-5 * web
    y, z = (b[1] + b[4]) / 2, (b[2] + b[5]) / 2
    at = min(abs(y - low), abs(y - high)) + abs(abs(z) - half)
    return along and b[4] - b[1] < 1e-4 * web and at < 1e-4 * web


def mesh(t, arc=ARC_ELEMENTS, deep=2, around=1.0, coarse=COARSE, growth=0.6):
    """Nodes, tetrahedra, and the two rings' tetrahedra and fillet nodes."""
    gmsh.initialize()
    for name, value in (
        ("General.Terminal", 0),
        ("General.NumThreads", 1),
        ("Geometry.OCCAutoFix", 0),
    ):
        gmsh.option.setNumber(name, value)
    try:
        return _mesh(t, arc, deep, around, coarse, growth)
    finally:
        gmsh.finalize()


def _mesh(t, arc, deep, around, coarse, growth):
    model, o = gmsh.model, gmsh.model.occ
    xw = t.pin_length / 2
    xj = xw + t.web
    end = xj + t.half_journal
    fillets = ((t.throw, t.pin / 2, t.pin_fillet), (0.0, t.journal / 2, t.journal_fillet))
    web = _web(o, t, xw)
    solids, rings = [web], []
    for (axis, radius, fillet), outer, face in zip(fillets, (0.0, end), (xw, xj), strict=False):
        body, ring = _journal_and_ring(o, axis, radius, fillet, outer, face, 0.6 * fillet)
        solids.append(body)
        rings.append(ring)
    solids += t.beyond(o, end)
    whole, _ = o.fuse(solids[:1], solids[1:])
    _, parts = o.fragment(whole, rings)
    ring_tags = [[tag for _, tag in part] for part in parts[len(whole) :]]
    if [len(tags) for tags in ring_tags] != [1, 1]:
        raise RuntimeError(f"rings in pieces: {parts}")
    o.synchronize()
    curves, sides = [], []
    for (_, radius, fillet), (tag,) in zip(fillets, ring_tags, strict=False):
        sides.append([face for _, face in model.getBoundary([(3, tag)], oriented=False)])
        step = 1.571 * fillet / arc
        turn = int(np.clip(np.pi * radius / (4.5 * step), 24, 44) * around)
        for _, face in model.getBoundary([(3, tag)], oriented=False):
            for _, edge in model.getBoundary([(2, face)], oriented=False):
                box = model.getBoundingBox(1, edge)
                if box[5] - box[2] > 0.5 * radius:
                    count = turn
                    curves.append((edge, np.pi * radius / turn))
                else:
                    count = arc if model.getType(1, edge) == "Circle" else deep
                model.mesh.setTransfiniteCurve(edge, count + 1)
        model.mesh.setTransfiniteVolume(tag)
    field = model.mesh.field
    limits = []
    for fine in sorted({size for _, size in curves}):
        near = field.add("Distance")
        field.setNumbers(near, "CurvesList", sorted({e for e, size in curves if size == fine}))
        field.setNumber(near, "Sampling", 60)
        grown = field.add("MathEval")
        field.setString(grown, "F", f"{fine:.6g} + {growth:g}*F{near}")
        limits.append(grown)
    limits.append(field.add("MathEval"))
    field.setString(limits[-1], "F", f"{coarse * t.pin:.6g}")
    least = field.add("Min")
    field.setNumbers(least, "FieldsList", limits)
    field.setAsBackgroundMesh(least)
    for name, value in (
        ("Mesh.MeshSizeExtendFromBoundary", 0),
        ("Mesh.MeshSizeFromPoints", 0),
        ("Mesh.Algorithm", 6),
        ("Mesh.Algorithm3D", 1),
        ("Mesh.Optimize", 1),
    ):
        gmsh.option.setNumber(name, value)
    _generate(model, sides)
    model.mesh.setOrder(2)
    tags, xyz, _ = model.mesh.getNodes()
    place = np.zeros(int(tags.max()) + 1, int)
    place[tags.astype(int)] = np.arange(len(tags))
    xyz = xyz.reshape(-1, 3)

    def tetrahedra(volume=-1):
        kinds, _, nodes = model.mesh.getElements(3, volume)
        return place[nodes[list(kinds).index(11)].reshape(-1, 10).astype(int)]

    elements = tetrahedra()
    used = np.unique(elements)
    renumber = np.full(len(xyz), -1)
    renumber[used] = np.arange(len(used))
    xyz = xyz[used]
    found = []
    for (axis, radius, fillet), (tag,), start, sense in zip(
        fillets, ring_tags, (xw - t.pin_fillet, xj + t.journal_fillet), (1, -1), strict=False
    ):
        nodes = np.unique(renumber[tetrahedra(tag)])
        x, y, z = xyz[nodes].T
        rho = np.hypot(y - axis, z)
        off = np.hypot(x - start, rho - radius - fillet) - fillet
        surface = nodes[abs(off) < 1e-3 * fillet]
        x, y, z = xyz[surface].T
        rho = np.hypot(y - axis, z)
        # angle along the arc from the cylinder, and around it from the direction of the throw
        along = np.degrees(np.arctan2(sense * (x - start), radius + fillet - rho))
        turn = np.degrees(np.arctan2(z, y - axis))
        found.append((surface, along, turn, axis, sense))
    rings = np.unique(np.concatenate([renumber[tetrahedra(tag)].ravel() for (tag,) in ring_tags]))
    return _straightened(xyz, renumber[elements], rings), renumber[elements], found


def _generate(model, sides):
    """Tetrahedra that meet face to face where a ring ends.

    The diagonals in a ring's sides have to run as those of its hexahedra: on one side the other
    way than on the rest, by how the mesher happens to number it.
    """
    for turned in itertools.product(range(6), repeat=len(sides)):
        turned = turned[::-1]
        model.mesh.clear()
        for faces, other in zip(sides, turned, strict=True):
            for i, face in enumerate(faces):
                way = "Left" if i == other else "Right"
                model.mesh.setTransfiniteSurface(face, way)
        model.mesh.generate(3)
        if _meets(model):
            return
    raise UnsoundMesh("the rings' tetrahedra do not meet the others face to face")


def _meets(model):
    """Whether the faces that only one tetrahedron has enclose one body: two at every edge."""
    kinds, _, nodes = model.mesh.getElements(3)
    elements = nodes[list(kinds).index(4)].reshape(-1, 4)
    faces = np.vstack([elements[:, list(one)] for one in itertools.combinations(range(4), 3)])
    faces, count = np.unique(np.sort(faces, axis=1), axis=0, return_counts=True)
    edges = faces[count == 1][:, [[0, 1], [1, 2], [0, 2]]].reshape(-1, 2)
    return bool((np.unique(edges, axis=0, return_counts=True)[1] == 2).all())


def _straightened(xyz, elements, rings):
    """Nodes with the curved edges of folded tetrahedra made straight, those of the rings kept."""
    free = np.ones(len(xyz), bool)
    free[rings] = False
    for _ in range(5):
        det = np.linalg.det(np.einsum("qcn,end->eqcd", AT_NODES, xyz[elements]))
        folded = elements[det.min(axis=1) < 0.1 * det.max(axis=1)]
        for k, (i, j) in enumerate(EDGES, start=4):
            middle = (xyz[folded[:, i]] + xyz[folded[:, j]]) / 2
            own = free[folded[:, k]]
            xyz[folded[own, k]] = middle[own]
    return xyz


A4, B4 = 0.5854101966249685, 0.1381966011250105
GAUSS = np.full((4, 3), B4)
GAUSS[1, 0] = GAUSS[2, 1] = GAUSS[3, 2] = A4
# corner order 0 (1,0..): local coordinates r, s, t of the ten nodes
CORNERS = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1.0]])
EDGES = ((0, 1), (1, 2), (0, 2), (0, 3), (2, 3), (1, 3))  # the mesher's order of middle nodes
NODES = np.vstack([CORNERS, [(CORNERS[i] + CORNERS[j]) / 2 for i, j in EDGES]])


def _derivatives(point):
    share = np.r_[1 - sum(point), point]
    slope = np.vstack([[-1.0, -1, -1], np.eye(3)])
    rows = [(4 * share[i] - 1) * slope[i] for i in range(4)]
    rows += [4 * (share[i] * slope[j] + share[j] * slope[i]) for i, j in EDGES]
    return np.array(rows).T


AT_GAUSS = np.array([_derivatives(p) for p in GAUSS])
AT_NODES = np.array([_derivatives(p) for p in NODES])
LAME, SHEAR = E * NU / (1 + NU) / (1 - 2 * NU), E / 2 / (1 + NU)
ELASTIC = np.diag([2 * SHEAR] * 3 + [SHEAR] * 3)
ELASTIC[:3, :3] += LAME


def _strain_rows(xyz, elements, at):
    """Strain-displacement rows (element, point, 6, 30) and Jacobians at local points."""
    jacobian = np.einsum("qcn,end->eqcd", at, xyz[elements])
    slope = np.linalg.solve(jacobian, np.broadcast_to(at, (len(elements), *at.shape)))
    rows = np.zeros((*slope.shape[:2], 6, 10, 3))
    for k in range(3):
        rows[:, :, k, :, k] = slope[:, :, k]
    for k, (i, j) in enumerate(((0, 1), (1, 2), (0, 2)), start=3):
        rows[:, :, k, :, i] = slope[:, :, j]
        rows[:, :, k, :, j] = slope[:, :, i]
    return rows.reshape(*slope.shape[:2], 6, 30), np.linalg.det(jacobian)


def stiffness(xyz, elements):
    """Upper triangle of the stiffness matrix, and the least Jacobian (above 0 for a sound mesh)."""
    size = 3 * len(xyz)
    root = np.linalg.cholesky(ELASTIC).T
    total, worst = sp.csr_matrix((size, size)), np.inf
    for part in np.array_split(elements, max(1, len(elements) // 12000)):
        rows, det = _strain_rows(xyz, part, AT_GAUSS)
        worst = min(worst, det.min())
        rows = (root @ rows) * np.sqrt(abs(det) / 24)[..., None, None]
        rows = rows.reshape(len(part), 24, 30)
        local = np.swapaxes(rows, 1, 2) @ rows
        freedoms = (part[:, :, None] * 3 + np.arange(3)).reshape(-1, 30)
        i, j = np.repeat(freedoms, 30, axis=1).ravel(), np.tile(freedoms, (1, 30)).ravel()
        keep = i <= j
        total = (
            total
            + sp.coo_matrix((local.ravel()[keep], (i[keep], j[keep])), shape=(size, size)).tocsr()
        )
    return total, worst


def _faces(elements, chosen):
    """Six-node faces of tetrahedra all of whose corners are ``chosen`` and that lie outside."""
    corner = ((0, 1, 2, 4, 5, 6), (0, 1, 3, 4, 9, 7), (0, 2, 3, 6, 8, 7), (1, 2, 3, 5, 8, 9))
    faces = np.vstack([elements[:, list(c)] for c in corner])
    return faces[chosen[faces].all(axis=1)]


TRIANGLE = np.array([[1 / 6, 1 / 6], [2 / 3, 1 / 6], [1 / 6, 2 / 3]])


def _traction(xyz, faces, stress):
    """Nodal forces of a traction: ``stress(points)`` in N/mm2, an array (points, 3)."""
    force = np.zeros(3 * len(xyz))
    for r, s in TRIANGLE:
        share = np.array([1 - r - s, r, s])
        slope = np.array([[-1, -1], [1, 0], [0, 1.0]])
        pairs = ((0, 1), (1, 2), (0, 2))
        value = np.r_[share * (2 * share - 1), [4 * share[i] * share[j] for i, j in pairs]]
        rows = [(4 * share[i] - 1) * slope[i] for i in range(3)]
        rows += [4 * (share[i] * slope[j] + share[j] * slope[i]) for i, j in pairs]
        tangent = np.einsum("nc,end->ecd", np.array(rows), xyz[faces])
        area = np.linalg.norm(np.cross(tangent[:, 0], tangent[:, 1]), axis=1) / 6
        pressure = stress(np.einsum("n,end->ed", value, xyz[faces])) * area[:, None]
        for k in range(3):
            np.add.at(force, faces * 3 + k, pressure[:, k, None] * value)
    return force


def load_cases(t, xyz, elements):
    """Forces on the quarter of the cases, and which planes they are antisymmetric in.

    radial, tangential: 1 N on the pin, spread over its cylinder, half of it carried at each
    bearing's middle (tangential: and its torque); bending, sideways: pure bending of 1 N mm in
    the throw's plane and across it; torsion: 1 N mm through pin and journals.
    """
    x, y, z = xyz.T
    end = t.pin_length / 2 + t.web + t.half_journal
    tiny = 1e-6 * t.pin
    at_end = _faces(elements, abs(x - end) < tiny)
    on_pin = (abs(np.hypot(y - t.throw, z) - t.pin / 2) < 2e-4 * t.pin) & (
        x < t.pin_length / 2 - t.pin_fillet + tiny
    )
    on_pin = _faces(elements, on_pin)
    area, inertia = np.pi * t.journal**2 / 4, np.pi * t.journal**4 / 64
    half = UNIT_FORCE / 2

    def along(direction):
        vector = np.eye(3)[direction]
        ends = _traction(xyz, at_end, lambda p: np.tile(-half / area * vector, (len(p), 1)))
        pin = _traction(xyz, on_pin, lambda p: np.tile(vector, (len(p), 1)))
        return ends - pin * ends.sum() / pin.sum()

    def twist(torque):
        def stress(p):
            zero = np.zeros(len(p))
            return np.c_[zero, -p[:, 2], p[:, 1]] * torque / (2 * inertia)

        return _traction(xyz, at_end, stress)

    def bend(direction):
        def stress(p):
            zero = np.zeros(len(p))
            return np.c_[p[:, direction], zero, zero] * UNIT_MOMENT / inertia

        return _traction(xyz, at_end, stress)

    tangential = along(2)
    moment = (xyz[:, 1] * tangential[2::3] - xyz[:, 2] * tangential[1::3]).sum()
    unit = twist(1.0)
    unit_moment = (xyz[:, 1] * unit[2::3] - xyz[:, 2] * unit[1::3]).sum()
    return {
        "radial": (along(1), (False, False)),
        "bending": (bend(1), (False, False)),
        "tangential": (tangential - unit * moment / unit_moment, (False, True)),
        "sideways": (bend(2), (False, True)),
        "torsion": (twist(UNIT_TORQUE), (True, True)),
    }


def _held(t, xyz, antisymmetric):
    """Freedoms that the planes hold, and none to two that stop rigid motion without force."""
    x, y, z = xyz.T
    tiny = 1e-6 * t.pin
    held = []
    for axis, (on, opposite) in ((0, (x, antisymmetric[0])), (2, (z, antisymmetric[1]))):
        nodes = np.flatnonzero(abs(on) < tiny)
        held += [nodes * 3 + k for k in range(3) if (k != axis) == opposite]
    end = np.argmin(abs(x - x.max()) + abs(y) + abs(z))
    pin = np.argmin(abs(x) + abs(y - t.throw) + abs(z))
    free = {(False, False): [end * 3 + 1], (False, True): [end * 3 + 2, pin * 3 + 2]}
    return np.unique(np.concatenate(held)), np.array(free.get(antisymmetric, []), int)


class UnsoundMesh(RuntimeError):
    """A tetrahedron so flat that the solution cannot be trusted."""


def solve(t, **fineness):
    """As ``_solve``, with up to three other meshes where one is unsound."""
    for coarse in (1.0, 0.93, 1.08, 0.86):
        try:
            return _solve(t, **{**fineness, "coarse": coarse * fineness.get("coarse", COARSE)})
        except (UnsoundMesh, pypardiso.pardiso_wrapper.PyPardisoError) as error:
            failure = error
    raise failure


def _solve(t, loads=None, read=None, **fineness):
    """Stress on the fillets, {case: [(stress, misfit) of pin, of journal]}, and about the mesh.

    ``read(xyz, elements)`` may give one other reader of the stress, in place of the two fillets.
    """
    xyz, elements, fillets = mesh(t, **fineness)
    matrix, worst = stiffness(xyz, elements)
    matrix.sort_indices()
    cases = (loads or load_cases)(t, xyz, elements)
    diagonal = matrix.diagonal()
    stiffest = diagonal.max()
    if worst <= 0 or stiffest > FLAT * np.median(diagonal):
        raise UnsoundMesh(f"least Jacobian {worst:.2g}, stiffest node {stiffest:.2g}")
    stresses, residual, solver = {}, 0.0, pypardiso.PyPardisoSolver(mtype=-2)
    arc = fineness.get("arc", ARC_ELEMENTS)
    surfaces = (
        [read(xyz, elements)]
        if read
        else [_Surface(xyz, elements, arc, *fillet) for fillet in fillets]
    )
    rows = np.repeat(np.arange(matrix.shape[0]), np.diff(matrix.indptr))
    for planes in sorted({planes for _, planes in cases.values()}):
        own = [name for name in cases if cases[name][1] == planes]
        planar, free = _held(t, xyz, planes)
        moves = np.ones(len(xyz) * 3)
        moves[np.r_[planar, free]] = 0
        bound = matrix.copy()  # held rows and columns emptied, one pattern for all
        bound.data *= moves[rows] * moves[matrix.indices]
        bound.setdiag(np.where(moves, diagonal, np.median(diagonal)))
        forces = np.array([cases[name][0] for name in own]).T
        pushed = np.asfortranarray(forces * moves[:, None])
        # the order of elimination is found once; Cholesky (2) stopped at some sound matrices
        for phase in (22, 33) if stresses else (11, 22, 33):
            solver.set_phase(phase)
            answer = solver._call_pardiso(bound, pushed)
        answer = answer.reshape(len(forces), -1)
        off = matrix @ answer + sp.triu(matrix, 1).T @ answer - forces
        residual = max(residual, abs(off * moves[:, None]).max() / abs(forces).max())
        for name, motion, left in zip(own, answer.T, off.T, strict=True):
            # loads are in balance, so the nodes that stop rigid motion carry nothing
            carried = abs(left[free]).max(initial=0.0)
            if carried > 1e-4 * abs(cases[name][0]).sum():
                raise UnsoundMesh(f"{name}: a hold against rigid motion carries {carried:.2g}")
            stresses[name] = [surface.stress(motion, planes[1]) for surface in surfaces]
    solver.free_memory(everything=True)
    about = {"nodes": len(xyz), "tetrahedra": len(elements), "worst": worst, "residual": residual}
    return stresses, about


ARC, TURN = np.linspace(2, 86, 43), np.linspace(0, 180, 91)  # degrees, where stress is read off
DEGREE, HARMONICS = 4, 9


def summed(rows, part, motion, size):
    """Stress of every element at its nodes, summed at each node (size, 6)."""
    total = np.zeros((size, 6))
    local = motion.reshape(-1, 3)[part].reshape(-1, 1, 30, 1)
    np.add.at(total, part, (rows @ local)[..., 0])
    return total


class _Surface:
    """A fillet's surface: reads the stress in it off the motion, smoothed by least squares.

    Stress wavers by some percent between the corners and the edges' middles of quadratic elements
    and is best at the middles. A polynomial along the arc times harmonics around it, fitted to
    each component at the middles along the arc, takes the wavering out.
    """

    def __init__(self, xyz, elements, arc, at, along, turn, axis, sense):
        middle = np.round(along * 2 * arc / 90).astype(int) % 2 == 1
        at, along, turn = at[middle], along[middle], turn[middle]
        wanted = np.zeros(len(xyz), bool)
        wanted[at] = True
        self.part = elements[wanted[elements].any(axis=1)]
        rows, _ = _strain_rows(xyz, self.part, AT_NODES)
        self.rows = ELASTIC @ rows
        self.at, self.size = at, len(xyz)
        self.count = np.bincount(self.part.ravel(), minlength=self.size)[at, None]
        a, f = np.radians(along), np.radians(turn)
        out = np.c_[0 * f, np.cos(f), np.sin(f)]
        lead = np.tile([float(sense), 0, 0], (len(f), 1))
        # along the arc from the cylinder to the web's face, and around
        self.arc = lead * np.cos(a)[:, None] + out * np.sin(a)[:, None]
        self.round = np.c_[0 * f, -np.sin(f), np.cos(f)]
        grid = [g.ravel() for g in np.meshgrid(ARC, TURN, indexing="ij")]
        self.fits = {}
        for odd in (False, True):
            terms = self._terms(along, turn, odd)
            inverse = np.linalg.solve(terms.T @ terms, terms.T)
            self.fits[odd] = terms, inverse, self._terms(*grid, odd)

    @staticmethod
    def _terms(along, turn, odd):
        powers = np.polynomial.legendre.legvander(along / 45 - 1, DEGREE)
        angles = np.radians(turn)[:, None] * np.arange(HARMONICS + 1)
        waves = np.sin(angles[:, 1:]) if odd else np.cos(angles)
        return (powers[:, :, None] * waves[:, None, :]).reshape(len(along), -1)

    def stress(self, motion, antisymmetric):
        """Arc, round and shear stress on the grid ARC x TURN, and the fit's own misfit."""
        total = summed(self.rows, self.part, motion, self.size)
        xx, yy, zz, xy, yz, xz = (total[self.at] / self.count).T
        tensor = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])
        smooth, off = [], []
        pairs = (self.arc, self.arc), (self.round, self.round), (self.arc, self.round)
        for first, second in pairs:
            value = np.einsum("ni,ijn,nj->n", first, tensor, second)
            terms, inverse, grid = self.fits[(first is not second) != antisymmetric]
            fit = inverse @ value
            smooth.append((grid @ fit).reshape(len(ARC), len(TURN)))
            off.append(terms @ fit - value)
        return np.array(smooth), np.sqrt(np.mean(np.square(off)))


def peaks(stress):
    """Greatest |principal stress| and where (arc, turn in degrees), shear, von Mises stress."""
    arc, around, shear = stress
    middle, half = (arc + around) / 2, np.hypot((arc - around) / 2, shear)
    principal = abs(middle) + half
    i, j = np.unravel_index(np.argmax(principal), principal.shape)
    largest_shear = np.maximum(half, principal / 2).max()
    mises = np.sqrt(middle**2 + 3 * half**2).max()
    return principal[i, j], (ARC[i], TURN[j]), largest_shear, mises
