"""Formulas called with what a person writes, and the substance data they may be given by name."""
