"""Documents: pictures, PDF, DXF, tables, and the folder they go to."""
