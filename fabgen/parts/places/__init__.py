"""Places against something else: where the skin is that a part lies or stands on, found from the finished pieces."""
