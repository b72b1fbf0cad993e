"""Parts made again: in rows and circles ([[repeat]]) and as their mirror image ([[mirror]])."""
