"""A small house, a wall and a loop as typed."""

HOUSE = {
    "floor_area": "100 m2",
    "design_heat_loss": "6 kW",
    "indoor_temperature": "20 degC",
    "balance_point": "16 degC",
}
WALL = {"name": "w", "area": "10 m2", "u_value": "0.3 W/(m2 K)"}
LOOP = {"count": 2, "length": "80 m", "flow": "2 L/min"}
