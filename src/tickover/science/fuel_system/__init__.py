"""From tank to cylinder: fuels and oil mix, venturi, carburettor, needles, orifices, metering, mixture.

Imports `core`, `measurement` and `atmosphere`.
"""
