"""Ground floor: unit gates, rules and findings, errors, published tables."""
