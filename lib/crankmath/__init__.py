"""The maths of machining a one-piece crankshaft between centers."""

__version__ = "0.1.0"
