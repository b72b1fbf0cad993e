"""Which flat parts are cut from which sheet, and where on it."""
