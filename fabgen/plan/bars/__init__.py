"""Which pieces are sawn from which bar."""
