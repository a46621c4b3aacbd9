"""The stress field of a shoulder, solved live."""

from .block_cholesky import (
    eliminate,
)
from .field import (
    FilletField,
    solve_fillet,
)
from .fillet_mesh import (
    number_grid,
    place_nodes,
)

__all__ = [
    "FilletField",
    "eliminate",
    "number_grid",
    "place_nodes",
    "solve_fillet",
]
