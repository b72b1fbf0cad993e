"""What is bought besides bars and sheets, and what it costs."""
