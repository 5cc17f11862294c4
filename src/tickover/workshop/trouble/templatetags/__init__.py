"""Words of fault-finding for its templates."""
