"""The manual: one HTML page made from the definitions, the checks, the starters and the samples themselves."""
