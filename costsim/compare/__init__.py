"""Options side by side: programmes, capacity, money over years, break-even, doubt and sizing."""
