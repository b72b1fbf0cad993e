"""Drawing sheets: views, dimensions, tables and frames that `documents.drawings` puts on pages."""
