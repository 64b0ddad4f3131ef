"""The words that pages and cards share, and the one template environment."""
