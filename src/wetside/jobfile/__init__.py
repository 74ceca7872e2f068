"""The job file: schema, reading, writing, variants."""
