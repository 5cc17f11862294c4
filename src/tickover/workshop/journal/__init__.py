"""The append-only record that every action writes to, its hash chain, and its verification."""
