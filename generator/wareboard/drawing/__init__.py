"""Figures to drawings: SVG, as an engineer draws."""
