"""How a plan comes about: rules, order of work, milling, turning, and its words."""
