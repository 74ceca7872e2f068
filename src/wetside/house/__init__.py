"""Plan geometry, surfaces and the heat load of each room."""
