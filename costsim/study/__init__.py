"""What people type: the tables of a study file."""
