"""What a panel works out once and keeps while sliders move."""

import warnings

from crankmath.units import OutOfRangeWarning

MOST = 200
_kept: dict = {}


def once(key, work):
    """The answer of a piece of work, kept by a key; range warnings are silenced, since the lesson
    words them.

    - ``key``: Everything the answer depends on, beginning with a word for what it is.

    At two hundred keys all are dropped, and the store begins again.
    """
    if key not in _kept:
        if len(_kept) >= MOST:
            _kept.clear()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OutOfRangeWarning)
            _kept[key] = work()
    return _kept[key]
