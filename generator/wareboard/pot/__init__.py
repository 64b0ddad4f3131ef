"""The pot itself, as arithmetic: clay, glaze, solids of revolution, fits. Plain floats in and out; no files, no specs."""
