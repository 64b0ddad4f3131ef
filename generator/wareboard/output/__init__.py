"""From a maker's folder to output: the only rooms that read and write files."""
