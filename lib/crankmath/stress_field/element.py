"""The nine-node element of a shaft: shapes, strains and stresses of its three kinds of load."""

import numpy as np

LOADS = ("tension", "bending", "torsion")
POISSON = 0.3


def _shape(x):
    return np.array([x * (x - 1) / 2, 1 - x * x, x * (x + 1) / 2])


def _slope(x):
    return np.array([x - 0.5, -2 * x, x + 0.5])


_POINT, _WEIGHT = np.polynomial.legendre.leggauss(3)
_PLACES = [(x, y) for x in _POINT for y in _POINT]
WEIGHTS = np.outer(_WEIGHT, _WEIGHT).ravel()
SHAPES = np.array([np.outer(_shape(x), _shape(y)).ravel() for x, y in _PLACES])
SLOPES = np.array(
    [
        [np.outer(_slope(x), _shape(y)).ravel(), np.outer(_shape(x), _slope(y)).ravel()]
        for x, y in _PLACES
    ]
)
_BILINEAR = np.array([[1, x, y, x * y] for x, y in _PLACES])
# least-squares bilinear stress of an element, carried to its nodes
_CORNERS = np.array([[1, x, y, x * y] for x in (-1, 0, 1) for y in (-1, 0, 1)])
TO_NODES = _CORNERS @ np.linalg.solve(_BILINEAR.T * WEIGHTS @ _BILINEAR, _BILINEAR.T * WEIGHTS)
EDGE_WEIGHTS = _WEIGHT
EDGE_SHAPES, EDGE_SLOPES = (np.array([form(x) for x in _POINT]) for form in (_shape, _slope))
GAUGE = 1 / np.sqrt(3)
GAUGE_SHAPES, GAUGE_SLOPES = (np.array([form(-GAUGE), form(GAUGE)]) for form in (_shape, _slope))
FROM_GAUGES = np.array([[(1 - x / GAUGE) / 2, (1 + x / GAUGE) / 2] for x in (-1, 0, 1)])

# strain = sum of PARTS[strain, slope, part] * slope of a displacement part, for the slopes
# (axial, radial, value over distance from the axis) and the parts (axial, radial, hoop);
# strains: axial, radial, hoop, shear in the section, shear radial-hoop, shear axial-hoop
PARTS = {
    load: np.zeros(shape)
    for load, shape in (("tension", (4, 3, 2)), ("bending", (6, 3, 3)), ("torsion", (2, 2, 1)))
}
for _load in ("tension", "bending"):
    for _strain, _slope_of, _part in ((0, 0, 0), (1, 1, 1), (2, 2, 1), (3, 1, 0), (3, 0, 1)):
        PARTS[_load][_strain, _slope_of, _part] = 1
for _strain, _slope_of, _part, _sign in (
    (2, 2, 2, 1),
    (4, 1, 2, 1),
    (4, 2, 2, -1),
    (4, 2, 1, -1),
    (5, 0, 2, 1),
    (5, 2, 0, -1),
):
    PARTS["bending"][_strain, _slope_of, _part] = _sign
# twist: shear over distance from the axis
PARTS["torsion"][0, 0, 0] = PARTS["torsion"][1, 1, 0] = 1
SHEAR = 0.5 / (1 + POISSON)  # modulus of elasticity 1
_LAME = POISSON / ((1 + POISSON) * (1 - 2 * POISSON))
ELASTIC = {load: SHEAR * np.eye(len(parts)) for load, parts in PARTS.items()}
for _load in ("tension", "bending"):
    ELASTIC[_load][:3, :3] = _LAME + 2 * SHEAR * np.eye(3)
STRESS = {
    load: np.einsum("ts,spc->pct", ELASTIC[load], PARTS[load]).reshape(-1, len(PARTS[load]))
    for load in LOADS
}
ENERGY = {
    load: np.einsum("spc,st,tqd->pqcd", PARTS[load], ELASTIC[load], PARTS[load]).reshape(
        len(PARTS[load][0]) ** 2, -1
    )
    for load in LOADS
}

# where the products of all slopes of two shapes stand in an element's product matrix, by pairs
PAIRS = {
    kinds: np.arange(81 * kinds**2)
    .reshape(kinds, 9, kinds, 9)
    .transpose(1, 3, 0, 2)[np.triu_indices(9)]
    .reshape(45, -1)
    for kinds in (2, 3)
}
