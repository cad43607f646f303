"""`python -m estimator`."""

from estimator.cli.commands import main

main()
