"""Exchange of contacts with other programs: ADIF both ways; CSV, GPX and GeoJSON out."""
