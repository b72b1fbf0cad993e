"""Cut list, shopping list, saw sheets, order pack."""
