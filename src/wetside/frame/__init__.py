"""Weight and heat on the pipework: supports, sag, loads on the boiler's connections, expansion."""
