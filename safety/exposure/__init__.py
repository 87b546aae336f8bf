"""The engine: from films of solvent to what people breathe. NumPy only."""

from safety.exposure.result import Balance, Curves, Exposure, Metrics, Neighbour, StepAir

__all__ = ["Balance", "Curves", "Exposure", "Metrics", "Neighbour", "StepAir"]
