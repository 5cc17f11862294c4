"""Files of engine loggers: tables to channels of rpm and temperature over time."""
