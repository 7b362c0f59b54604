"""Flight dynamics of odd-shaped multicopters: from a craft file to six answers.

The folders are the way of the data: spec, mass, params, (physics, sensing, controllers), step,
pack, flight, analysis, report, cli. A stage imports only stages before it.
"""
