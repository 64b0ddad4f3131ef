"""Figures to pages of the site."""
