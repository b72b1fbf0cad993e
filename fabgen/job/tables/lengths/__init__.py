"""Tables of parts that are sawn from bars, tubes apart."""
