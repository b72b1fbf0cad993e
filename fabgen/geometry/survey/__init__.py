"""Points from measurements: trilateration, fits, a frame as built."""
