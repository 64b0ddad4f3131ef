"""Commands that are more than a few lines."""
