"""Text to SI and back: quantities, the table of all units, fields of the study."""
