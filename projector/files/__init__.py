"""Job, table and settings files: YAML to values, every problem reported at once."""
