"""Before leaving home: path, reach, power, exposure, the plan."""
