"""The workshop's measuring instruments: what each can tell, until when it is calibrated, where it is."""
