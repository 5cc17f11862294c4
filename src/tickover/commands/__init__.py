"""What the commands of the command line do. May import everything; is imported by `cli` alone."""
