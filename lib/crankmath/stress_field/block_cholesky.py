"""Direct solution of equations that stand in blocks, one after the other, by Cholesky.

A banded solver would do, but its library spreads each small step over threads that then wait
for each other longer than they work: up to twenty times as long with few cores.
"""

import numpy as np
from scipy.linalg.lapack import dpotrf, dtrtri

# the library wakes no threads up to these sizes of a factor (rows) and of a product (multiplications)
ROOT_SIZE, PRODUCT_SIZE = 100, 2**18


def eliminate(blocks, start, first):
    """Unknowns of symmetric equations, block after block.

    Parameters
    ----------
    blocks : ndarray
        One block after the other, each with a column for each of its own unknowns; below each
        other the square part, of which the lower triangle counts, the coupling to the unknowns of
        the next two blocks (from each second block the next one), and the load.
    start : ndarray
        Place of the first number of each block, and the end.
    first : ndarray
        First unknown of each block, and the number of unknowns.

    Returns
    -------
    ndarray

    Raises
    ------
    ArithmeticError
        The equations are not positive definite.

    Notes
    -----
    Basis: derived.
    """
    size = np.diff(first)
    blocks = [
        blocks[a:b].reshape(-1, own) for a, b, own in zip(start[:-1], start[1:], size, strict=True)
    ]
    halves = []
    for row, (block, own) in enumerate(zip(blocks, size, strict=True)):
        inverse = _inverse_root(block[:own])
        half = _product(block[own:], inverse)
        halves.append((inverse, half))
        done = 0
        for later in range(row + 1, min(row + 3 - row % 2, len(size))):
            shares = _product(half[done:], half[done : done + size[later]].T)
            blocks[later][: len(shares) - 1] -= shares[:-1]
            blocks[later][-1] -= shares[-1]  # the load stands last
            done += size[later]
    solution = np.empty(first[-1])
    for (inverse, half), begin, end in zip(halves[::-1], first[-2::-1], first[:0:-1], strict=True):
        solution[begin:end] = inverse @ (half[-1] - solution[end : end + len(half) - 1] @ half[:-1])
    return solution


def _inverse_root(square):
    """Inverse of the Cholesky factor, upper triangle, of a square whose lower triangle is given."""
    if len(square) <= ROOT_SIZE:
        root, failed = dpotrf(square.T)
        if failed:
            raise ArithmeticError("these equations are not positive definite")
        return dtrtri(root)[0]
    half = len(square) // 2
    inverse = np.zeros(square.shape)
    inverse[:half, :half] = one = _inverse_root(square[:half, :half])
    coupling = _product(square[half:, :half], one)
    inverse[half:, half:] = two = _inverse_root(
        square[half:, half:] - _product(coupling, coupling.T)
    )
    inverse[:half, half:] = -_product(_product(one, coupling.T), two)
    return inverse


def _product(one, two):
    """Matrix product, in slices."""
    rows = max(PRODUCT_SIZE // two.size, 1)
    if rows >= len(one):
        return one @ two
    return np.concatenate([one[begin : begin + rows] @ two for begin in range(0, len(one), rows)])
