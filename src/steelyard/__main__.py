"""`python -m steelyard` is the command line."""

from steelyard.cli import main

main()
