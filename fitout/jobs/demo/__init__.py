"""The jobs of the demo workshop, made through the same functions people use."""

from .jobs import load, move_on

__all__ = ["load", "move_on"]
