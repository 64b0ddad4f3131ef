"""From a spec to every figure of it, and what follows from figures: checks, tolerances, matches, who may see what."""
