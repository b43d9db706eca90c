"""The clock, what a service charges, and the bill."""
