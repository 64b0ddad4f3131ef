"""Wareboard: one plain-text spec per pot in, every number of the run out."""

from pathlib import Path
from types import SimpleNamespace

__version__ = "0.1.0"

_PACKAGE = Path(__file__).resolve().parent
# In a wheel templates and the demo studio stand in the package; in a clone beside it.
_INSTALLED = (_PACKAGE / "site_templates").is_dir()
TEMPLATES = _PACKAGE / "site_templates" if _INSTALLED else _PACKAGE.parents[1] / "site_templates"
DEMO = _PACKAGE / "demo" if _INSTALLED else _PACKAGE.parents[1] / "specs"
DEMO_SETTINGS = _PACKAGE / "demo.yml" if _INSTALLED else _PACKAGE.parents[1] / "mkdocs.yml"
# The site generator finds a theme beside the file of what its entry point names.
LOOK = SimpleNamespace(__file__=str(TEMPLATES / "theme" / "mkdocs_theme.yml"))
