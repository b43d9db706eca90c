"""Speed as ratios measured in one process: ``python -m costsim.benchmarks``. Nothing here gates a test."""
