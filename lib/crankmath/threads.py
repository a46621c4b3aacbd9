"""Linear algebra on one thread."""

from functools import cache


@cache
def _controller():
    from threadpoolctl import ThreadpoolController

    return ThreadpoolController()


def one_thread():
    """Context in which linear algebra keeps to one thread.

    Left alone it spreads each small step over threads that then wait for each other longer than
    they work: up to twenty times as long with few cores.
    """
    return _controller().limit(limits=1)
