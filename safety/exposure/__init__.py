"""The engine: from films of solvent to what people breathe. NumPy only."""

from safety.exposure.result import Afterwards, Balance, Curves, Exposure, Metrics, Neighbour, StepAir

__all__ = ["Afterwards", "Balance", "Curves", "Exposure", "Metrics", "Neighbour", "StepAir"]
