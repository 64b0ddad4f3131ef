"""`python -m generator` is the command `wareboard`."""

from generator.cli import main

main()
