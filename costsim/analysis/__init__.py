"""What is asked of a study beyond one year: layout, selection of sizes, and more."""
