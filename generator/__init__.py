"""Wareboard: one plain-text spec per pot in, every number of the run out."""

__version__ = "0.1.0"
