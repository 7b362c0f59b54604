"""Run the command line as `python -m sim.cli`."""

from sim.cli.main import main

main()
