"""What of the metal has changed since papers were issued."""
