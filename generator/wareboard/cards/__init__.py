"""Figures to printed cards."""
