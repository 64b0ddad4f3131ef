"""`python -m wareboard` is the command `wareboard`."""

from wareboard.cli import main

main()
