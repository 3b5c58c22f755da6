"""Write: SVG, PDF, DXF, PNG and the tables; the only place where y is turned downward."""
