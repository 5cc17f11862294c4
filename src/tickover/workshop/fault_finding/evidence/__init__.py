"""What the workshop's own records say in a fault-finding session."""
