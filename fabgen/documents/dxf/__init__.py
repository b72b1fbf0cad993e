"""Files for machines: DXF, SVG, meshes."""
