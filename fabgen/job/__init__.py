"""The job file: units, formulas, definitions, and a reader whose errors name file and line."""
