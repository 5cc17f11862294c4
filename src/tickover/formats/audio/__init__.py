"""What lives here is told by its modules."""
