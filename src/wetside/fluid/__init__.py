"""Water, glycol mixtures, moist air and fuels."""
