"""Physics of water, floors, fuels and sun: pure functions on arrays that know nothing of cases or files."""
