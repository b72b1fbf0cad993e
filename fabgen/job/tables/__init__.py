"""The tables of a job file as pydantic models: what each key takes, and what is said of a wrong one."""
