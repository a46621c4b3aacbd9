"""Marks over time: what is kept of a class, its results, what students get back, exports."""
