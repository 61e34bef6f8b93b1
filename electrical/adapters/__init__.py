"""From the rows of a job to the plain values the electrical core computes with."""

from electrical.adapters.design import design_of

__all__ = ["design_of"]
