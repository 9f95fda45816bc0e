"""Call signs, locators, geodesy, bands, reports and phonetics: pure functions, no I/O, no clock."""
