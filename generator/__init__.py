"""Wareboard: one plain-text spec per pot in, every number of the run out."""

from pathlib import Path

__version__ = "0.1.0"
TEMPLATES = Path(__file__).resolve().parent.parent / "site_templates"
