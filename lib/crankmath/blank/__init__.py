"""The blank: bar, layout, center holes, locked-in stress."""
