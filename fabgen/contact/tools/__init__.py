"""Whether what is worked with finds room: heads, washers and nuts, sockets and spanners, torches."""
