"""The jobs of the demo workshop, made through the same functions people use."""

from .jobs import load

__all__ = ["load"]
