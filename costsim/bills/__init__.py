"""From people's bills to their house: readers of bills and meter files, and the regression on the weather of their days."""
