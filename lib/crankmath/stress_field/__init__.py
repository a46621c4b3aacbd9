"""The stress field of a shoulder, solved live."""

from .field import FilletField, solve_fillet
from .fillet_mesh import number_grid, place_nodes

__all__ = ["FilletField", "number_grid", "place_nodes", "solve_fillet"]
