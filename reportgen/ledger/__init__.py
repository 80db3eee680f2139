"""Back into the workbook."""
