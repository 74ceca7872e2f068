"""The hydraulic and thermal network."""
