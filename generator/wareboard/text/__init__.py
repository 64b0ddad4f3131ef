"""A maker's text: sizes, specs and what is wrong in them."""
