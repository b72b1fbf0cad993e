"""fabgen: drawings, templates and cut lists for one-off metalwork."""

__version__ = "0.1.0"
