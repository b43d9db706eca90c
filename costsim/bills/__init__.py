"""What people's meters and bills say: interval readings, bills and deliveries in; the house's own figures out."""
