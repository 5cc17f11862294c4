"""Papers and records of an engine: work card, release, hand-back, logbook, component card, transfer bundle."""
